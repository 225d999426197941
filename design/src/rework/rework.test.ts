import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { applyChanges } from "../document/change.ts";
import { expand } from "../document/expand.ts";
import { readDesign, readShelf } from "../document/read.ts";
import { setPart } from "../document/set-part.ts";
import { judgeDesign } from "../judge-design.ts";
import { stagesOf } from "../solved/roles.ts";
import { solveDesign } from "../solved/solve.ts";
import { signedRatio, voicingDistance } from "./goal.ts";
import { placeType } from "./place.ts";
import { rework, type ReworkAnswer, type ReworkAsk } from "./rework.ts";
import { onShelf, resistancesOf, wattsOnShelf } from "./shelf.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const shelf = readShelf(readFileSync("examples/hearth/shelf.json", "utf8"));
if (!file.ok || !shelf.ok) throw new Error("the demo does not read");
const base = file.value.now;

function reworked(ask: Partial<ReworkAsk>): ReworkAnswer {
  const done = rework({
    proven: base,
    catalogue,
    goal: { kind: "keep-voicing" },
    judge: (document, nominal, how) => judgeDesign(document, catalogue, nominal, how),
    types: [],
    ...ask,
  });
  if (!done.ok) throw new Error(done.failure.sentence);
  return done.value;
}
const h2 = (done: ReworkAnswer, which: "proven" | "now", volts: number): number => {
  const channel = done[which].channels[0];
  return channel === undefined ? Number.NaN : (signedRatio(channel, volts, 2) ?? Number.NaN);
};

test("the same tube again changes nothing at all", () => {
  const done = reworked({ put: new Map([["V1", "5687"]]) });
  expect(done.changes).toEqual([]);
  expect(done.held).toBe(true);
  expect(done.distanceDecibels).toBeLessThan(1e-6);
  for (const one of done.differences)
    if (one.proven === null) expect(one.now).toBeNull();
    else expect(one.now).toBeCloseTo(one.proven, 6);
});

test("what is said to be held is held by a solve of its own, and the changes lead to the revised document", () => {
  const done = reworked({ put: new Map([["V1", "6N6P"]]) });
  expect(done.held).toBe(true);
  const applied = applyChanges(base, done.changes);
  expect(applied.ok && applied.value).toEqual(done.document);
  const again = solveDesign(done.document, catalogue, { detail: "levels" });
  if (!again.ok) throw new Error(again.failure.sentence);
  for (const volts of base.targets.voicingVolts) {
    const got = signedRatio(again.value.channels[0] as never, volts, 2) ?? Number.NaN;
    expect(voicingDistance(h2(done, "proven", volts), got)).toBeLessThanOrEqual(1.01);
  }
});

describe("moving the voicing", () => {
  test.each([
    [0.006, 1],
    [0.015, 1],
  ])("H2 of %d at %d V, with values on the grid of the shelf", (ratio, volts) => {
    const done = reworked({
      goal: { kind: "move-voicing", ratio, inputVolts: volts },
      put: new Map([["V1", "5687"]]),
      shelf: shelf.value,
    });
    expect(Math.abs(h2(done, "now", volts)) / ratio).toBeGreaterThan(0.88);
    expect(Math.abs(h2(done, "now", volts)) / ratio).toBeLessThan(1.13);
    expect(done.held).toBe(true);
    expect(done.changedParts.length).toBeGreaterThan(0);
    const values = resistancesOf(shelf.value);
    for (const id of done.changedParts) {
      const stage = done.now.expanded.parts.find((part) => part.id === `L.${id}`)?.electrical;
      if (stage?.kind !== "resistor") throw new Error("not a resistor");
      expect(
        values.some((ohms) => Math.abs(ohms / stage.ohms - 1) < 1e-9),
        `${id} ${stage.ohms}`,
      ).toBe(true);
    }
  });
});

test("keeping the current brings another tube's currents near the proven ones", () => {
  const done = reworked({ goal: { kind: "keep-current" }, put: new Map([["V1", "12AU7A"]]) });
  for (const [id, bias] of done.proven.bias.triodes)
    expect((done.now.bias.triodes.get(id)?.plateAmps ?? 0) / bias.plateAmps, id).toBeGreaterThan(0.8);
});

test("one bottle alone gets overrides in its own channel", () => {
  const done = reworked({
    put: new Map([
      ["V1", "12BH7A"],
      ["V2", "5687"],
    ]),
  });
  expect(done.document.envelopes.map((one) => one.type)).toEqual(["12BH7A", "5687", "EZ80"]);
  expect(done.now.channels.every((one) => one.sameAs === undefined)).toBe(true);
});

test("nothing named: the best on the shelf is proposed, and there must be enough of it", () => {
  const few = {
    ...shelf.value,
    tubes: [
      { type: "6FQ7", count: 1 },
      { type: "12BH7A", count: 2 },
    ],
  };
  const { types: _, ...ask } = { types: [], shelf: few };
  const done = rework({
    proven: base,
    catalogue,
    goal: { kind: "keep-voicing" },
    judge: (document, nominal, how) => judgeDesign(document, catalogue, nominal, how),
    ...ask,
  });
  expect(done.ok && done.value.fitted).toEqual([{ envelopes: ["V1", "V2"], type: "12BH7A", proposed: true }]);
  expect(done.ok && done.value.candidates.find((one) => one.tube === "6FQ7")?.reason).toMatch(
    /1 on the shelf, 2 needed/,
  );
});

test("stages are told by their nets, whatever the parts are called", () => {
  const renamed = JSON.parse(
    JSON.stringify(base).replaceAll('"R3"', '"Rxx"').replaceAll('"V1a"', '"Tz"').replaceAll('"R8"', '"Tail"'),
  ) as typeof base;
  const solved = solveDesign(renamed, catalogue, { detail: "brief" });
  if (!solved.ok) throw new Error(solved.failure.sentence);
  const [gain, follower] = stagesOf(solved.value);
  expect(gain).toMatchObject({ role: "gain", plateLoad: "L.Rxx", cathodeResistors: ["L.R4"] });
  expect(follower).toMatchObject({ role: "follower", cathodeResistors: ["L.R7", "L.Tail"] });
});

test("a type for another socket is placed with its own wiring; one that cannot be lit is refused", () => {
  const expanded = expand(base);
  if (!expanded.ok) throw new Error(expanded.failure.sentence);
  const octal = placeType(base, expanded.value, catalogue, ["V1"], "6SN7GTB");
  expect(octal.newSockets).toEqual([{ envelope: "V1", socket: "octal", before: "noval" }]);
  const wiring = octal.document.envelopes[0]?.wiring ?? {};
  expect(Object.values(wiring)).toContainEqual({ net: "L.p1" });
  expect(placeType(base, expanded.value, catalogue, ["V1"], "300B").obstacle).toBeDefined();
});

test("shelves: names of one type count together, ratings are the smallest that will do", () => {
  expect(onShelf(shelf.value, catalogue, "6CG7")).toBe(3);
  expect(wattsOnShelf(shelf.value, 15e3, 1)).toBe(3);
  expect(wattsOnShelf(shelf.value, 15e3, 0.3)).toBe(0.5);
  expect(wattsOnShelf(shelf.value, 15e3, 7)).toBeUndefined();
  expect(resistancesOf(undefined).length).toBe(61);
  expect(setPart(base, ["nobody"], "R4", { value: "1k" })).toBe(base);
});
