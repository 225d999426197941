import { readFileSync } from "node:fs";
import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { applyChanges, inverseOf } from "../document/change.ts";
import { checkDocument, readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import type { Change } from "../findings.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { type CircuitSwitch, circuitSwitches } from "./switches.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const demo = file.value.now;

function solved(document: Document): SolvedDesign {
  const answer = solveDesign(document, catalogue, { detail: "levels" });
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
}

const switchesOf = (document: Document, reference?: Document): readonly CircuitSwitch[] =>
  circuitSwitches({
    solved: solved(document),
    catalogue,
    instance: "L",
    ...(reference === undefined ? {} : { reference }),
  });

function apply(document: Document, changes: readonly Change[]): Document {
  const done = applyChanges(document, changes);
  if (!done.ok) throw new Error(done.failure.sentence);
  return done.value;
}

/** The way of a switch that does not stand now. */
function other(document: Document, id: string, reference?: Document) {
  const found = switchesOf(document, reference).find((one) => one.id === id);
  const choice = found?.choices.find((one) => !one.present);
  if (choice === undefined) throw new Error(`no other way of ${id}`);
  return choice;
}

const volts = (design: SolvedDesign, net: string) => design.bias.netVolts.get(net) ?? Number.NaN;
const amps = (design: SolvedDesign, id: string) => design.bias.triodes.get(id)?.plateAmps ?? Number.NaN;
const gain = (design: SolvedDesign) => 20 * Math.log10(design.channels[0]?.gain ?? Number.NaN);

describe("the demo", () => {
  test("has every switch where its stages allow it", () => {
    expect(switchesOf(demo).map(({ id, choices }) => [id, choices.map(({ words }) => words)])).toEqual([
      ["bypass/L.V1a", ["C1 470 µF", "not bypassed"]],
      ["stopper/L.V1a", ["R2 220 Ω", "none"]],
      ["coupling/L.V1b", ["C2 0.1 µF", "direct"]],
      ["tail/L.V1b", ["R8 8.2 kΩ", `current sink ${(1e3 * amps(solved(demo), "L.V1b")).toFixed(2)} mA`]],
      ["stopper/L.V1b", ["R6 470 Ω", "none"]],
    ]);
    for (const one of switchesOf(demo)) expect(one.instances).toEqual(["L", "R"]);
  });

  test("the supply has none", () => {
    expect(circuitSwitches({ solved: solved(demo), catalogue, instance: "PS" })).toEqual([]);
    expect(circuitSwitches({ solved: solved(demo), catalogue, instance: "nobody" })).toEqual([]);
  });

  test("not bypassed: the bias stays, the gain falls as the cathode's resistance says", () => {
    const before = solved(demo);
    const after = solved(apply(demo, other(demo, "bypass/L.V1a").changes));
    expect(amps(after, "L.V1a")).toBeCloseTo(amps(before, "L.V1a"), 9);
    const bias = before.bias.triodes.get("L.V1a");
    if (bias === undefined) throw new Error("V1a");
    // The load of the stage at 1 kHz from its gain: mu RL / (rp + RL); without the bypass Rk (mu + 1) joins rp.
    const lost = gain(before) - gain(after);
    const least = 20 * Math.log10(1 + (680 * (bias.mu + 1)) / (bias.plateOhms + 15e3));
    const most = 20 * Math.log10(1 + (680 * (bias.mu + 1)) / bias.plateOhms);
    expect(lost).toBeGreaterThan(least - 0.05);
    expect(lost).toBeLessThan(most);
  });

  test("a sink of the present current leaves every standing volt where it is, and follows better", () => {
    const before = solved(demo);
    const after = solved(apply(demo, other(demo, "tail/L.V1b").changes));
    for (const net of ["L.p1", "L.k2", "L.tap", "B2"])
      expect(Math.abs(volts(after, net) - volts(before, net)), net).toBeLessThan(0.2);
    expect(gain(after)).toBeGreaterThan(gain(before));
  });

  test("direct: the follower's grid stands at the plate, no capacitor and no leak are left", () => {
    const after = apply(demo, other(demo, "coupling/L.V1b").changes);
    const design = solved(after);
    expect(volts(design, "L.g2")).toBeCloseTo(volts(design, "L.p1"), 2);
    expect(volts(design, "L.k2")).toBeGreaterThan(volts(design, "L.p1"));
    const ids = after.blocks["channel"]?.parts.map(({ id }) => id) ?? [];
    expect(ids).not.toContain("C2");
    expect(ids).not.toContain("R5");
  });

  test("no stopper: the wire on the socket follows, in both bottles", () => {
    const after = apply(demo, other(demo, "stopper/L.V1a").changes);
    expect(after.envelopes.map(({ wiring }) => wiring["7"])).toEqual([
      { net: "L.w1" },
      { net: "R.w1" },
      { winding: "HT", lead: "b" },
    ]);
    expect(amps(solved(after), "L.V1a")).toBeCloseTo(amps(solved(demo), "L.V1a"), 9);
  });
});

test.each(["bypass/L.V1a", "stopper/L.V1a", "coupling/L.V1b", "stopper/L.V1b"])(
  "%s, there and back by its other way with the demo to compare with: the same circuit, part for part",
  (id) => {
    const away = apply(demo, other(demo, id).changes);
    const back = apply(away, other(away, id, demo).changes);
    const sorted = (document: Document) => document.blocks["channel"]?.parts.toSorted((a, b) => (a.id < b.id ? -1 : 1));
    expect(sorted(back)?.map(({ id: one, kind, pins }) => [one, kind, pins])).toEqual(
      sorted(demo)?.map(({ id: one, kind, pins }) => [one, kind, pins]),
    );
    expect(back.envelopes).toEqual(demo.envelopes);
    const [was, is] = [solved(demo), solved(back)];
    for (const net of was.bias.netVolts.keys()) expect(volts(is, net), net).toBeCloseTo(volts(was, net), 6);
  },
);

test("with nothing to compare with, a way back is found too: bias resistor and tap for a follower that had none", () => {
  const direct = apply(demo, other(demo, "coupling/L.V1b").changes);
  const own = direct.blocks["channel"];
  if (own === undefined) throw new Error("channel");
  // One resistor below the cathode, as a direct coupled follower is usually drawn.
  const parts = own.parts
    .filter(({ id }) => id !== "R7")
    .map((part) =>
      part.kind === "resistor" && part.id === "R8" ? { ...part, value: "9k1", pins: { a: "k2", b: "0" } } : part,
    );
  const single: Document = { ...direct, blocks: { ...direct.blocks, channel: { ...own, parts } } };
  expect(checkDocument(single).ok).toBe(true);
  const back = apply(single, other(single, "coupling/L.V1b").changes);
  const [was, is] = [solved(single), solved(back)];
  expect(amps(is, "L.V1b")).toBeGreaterThan(0.5 * amps(was, "L.V1b"));
  expect(amps(is, "L.V1b")).toBeLessThan(1.5 * amps(was, "L.V1b"));
  expect(volts(is, "L.g2")).toBeLessThan(volts(is, "L.k2"));
});

test.each([1, 2, 3, 4, 5, 6])(
  "over a walk of switches and values each document is valid, solves, and each step taken back leaves the one before: seed %i",
  (seed) => {
    const random = seededRandom(seed);
    let now = demo;
    for (let n = 0; n < 8; n++) {
      if (random.below(3) === 0) {
        const value = ["560", "820", "1k"][random.below(3)] ?? "820";
        now = setPart(now, random.below(2) === 0 ? ["L"] : ["L", "R"], "R4", { value });
      }
      const switches = switchesOf(now, random.below(2) === 0 ? demo : undefined);
      const one = switches[random.below(switches.length)];
      const choices = one?.choices.filter(({ present }) => !present) ?? [];
      const choice = choices[random.below(choices.length)];
      if (one === undefined || choice === undefined) throw new Error("nothing to switch");
      const next = apply(now, choice.changes);
      const checked = checkDocument(next);
      expect(checked.ok ? "" : checked.failure.sentence, choice.title).toBe("");
      expect(apply(next, choice.changes.toReversed().map(inverseOf))).toEqual(now);
      const design = solved(next);
      for (const [id, bias] of design.bias.triodes) {
        expect(bias.plateAmps, `${id} after ${choice.title}`).toBeGreaterThan(5e-4);
        expect(bias.plateAmps).toBeLessThan(0.05);
        expect(bias.plateVolts).toBeGreaterThan(20);
      }
      expect(gain(design)).toBeGreaterThan(-30);
      now = next;
    }
  },
);
