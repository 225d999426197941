import { readFileSync } from "node:fs";
import { type Document, expand, type Expanded, readDesign, setPart, solveDesign } from "@platewright/design";
import { partCode, seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { complaints } from "../../test/read-schematic.ts";
import { overlap, textBox } from "../bounds.ts";
import { netsWithVolts, schematicFacts, type SchematicFacts, withMoved, withProven } from "./facts.ts";
import { ladderWords, schematicLadder } from "./ladder.ts";
import { schematicLayout, schematicStructure } from "./layout.ts";
import { sheetOf } from "./sheet.ts";

const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const demo = file.value.now;
const answer = solveDesign(demo, openCatalogue(), { detail: "bias" });
if (!answer.ok) throw new Error(answer.failure.sentence);
const facts = schematicFacts(answer.value.expanded, answer.value);
const volts = netsWithVolts(facts);

const expanded = (document: Document): Expanded => {
  const all = expand(document);
  if (!all.ok) throw new Error(all.failure.sentence);
  return all.value;
};

/** Every value of the demo anew; capacitors stay on their side of 1 µF, and the divider a divider. */
function anyValues(seed: number): Document {
  const random = seededRandom(seed);
  const between = (low: number, high: number) => low * (high / low) ** random.uniform();
  let document = demo;
  for (const { instance, written } of expanded(demo).parts) {
    if (written.kind === "resistor" && instance !== "PS")
      document = setPart(document, [instance], written.id, {
        value: partCode(Number(between(10, 9e6).toPrecision(3)), "resistance"),
      });
    if (written.kind === "capacitor") {
      const large = written.value.endsWith("u");
      document = setPart(document, [instance], written.id, {
        value: partCode(Number(between(large ? 1e-6 : 1e-11, large ? 9e-4 : 9e-7).toPrecision(3)), "capacitance"),
      });
    }
  }
  return document;
}

describe("places depend on structure alone", () => {
  for (const seed of [1, 2, 3, 4])
    test.each(["L", "PS"])(`same structure, same places, whatever the values: seed ${seed}, %s`, (channel) => {
      const options = { channel, volts, was: true, scale: 0.85 };
      const before = { ...options, document: demo };
      const document = anyValues(seed);
      const after = { ...options, document };
      expect(schematicStructure(expanded(document), after)).toBe(schematicStructure(expanded(demo), before));
      expect(schematicLayout(expanded(document), after)).toEqual(schematicLayout(expanded(demo), before));
    });

  test("a part less, another tube, a capacitor no more a reservoir, another supply: another structure", () => {
    const key = (document: Document, channel = "L") => schematicStructure(expanded(document), { channel, document });
    const own = demo.blocks["channel"];
    if (own === undefined || demo.supply === undefined) throw new Error("channel");
    const parts = own.parts.filter(({ id }) => id !== "C1");
    const others = [
      { ...demo, blocks: { ...demo.blocks, channel: { ...own, parts } } },
      { ...demo, envelopes: demo.envelopes.map((one) => ({ ...one, type: "12BH7A" })) },
      setPart(demo, ["L", "R"], "C4", { value: "470n" }),
    ];
    for (const other of others) expect(key(other)).not.toBe(key(demo));
    const fused = {
      ...demo,
      supply: { ...demo.supply, fuse: { amps: 1, kind: "fast" as const, breaking: "low" as const } },
    };
    expect(key(fused, "PS")).not.toBe(key(demo, "PS"));
    expect(key(fused)).toBe(key(demo));
  });
});

/** The longest that can be said of everything, with what was, all of it moved. */
function longest(of: SchematicFacts): SchematicFacts {
  const all = (words: string) => Object.fromEntries(Object.keys(of.values).map((id) => [id, { now: words }]));
  const long = (sign: string): SchematicFacts => ({
    values: all(`8.88\u202f${sign === "" ? "M" : "k"}Ω`),
    settings: Object.fromEntries(Object.keys(of.settings).map((id) => [id, { now: `8.${sign.length}` }])),
    currents: Object.fromEntries(Object.keys(of.currents).map((id) => [id, { now: `8.8${sign.length}\u202fmA` }])),
    volts: Object.fromEntries(
      Object.keys(of.volts).map((net) => [net, { now: `−8.8${sign.length}\u202fV`, dangerous: true }]),
    ),
  });
  return withMoved(withProven(long(""), long("−")), long("−"));
}

describe("words stay in their places", () => {
  test.each([1, 0.85, 0.7].flatMap((scale) => ["L", "PS"].map((channel) => ({ scale, channel }))))(
    "nothing touches, whatever is said: %o",
    ({ scale, channel }) => {
      const layout = schematicLayout(expanded(demo), { channel, document: demo, volts, was: true, scale });
      for (const said of [facts, longest(facts)])
        expect(complaints(sheetOf(layout, said, { title: "Hearth", description: "", note: "" }))).toEqual([]);
      expect(layout.apart).toBe(false);
    },
  );

  test("what differs is said beside what is, and what moved is live", () => {
    const other = setPart(demo, ["L", "R"], "R3", { value: "18k" });
    const solved = solveDesign(other, openCatalogue(), { detail: "bias" });
    if (!solved.ok) throw new Error(solved.failure.sentence);
    const now = schematicFacts(solved.value.expanded, solved.value);
    const seen = withMoved(withProven(now, facts), facts);
    expect(seen.values["L.R3"]).toEqual({ now: "18\u202fkΩ", was: "15\u202fkΩ", live: true });
    expect(seen.values["L.R4"]).toEqual({ now: "680\u202fΩ" });
    expect(seen.currents["L.V1a"]?.was).toBe(facts.currents["L.V1a"]?.now);
    expect(seen.volts["L.p1"]).toMatchObject({ was: facts.volts["L.p1"]?.now, live: true, dangerous: true });
  });
});

test("the ladder stands under the signal's way, in its order, and nothing in it touches", () => {
  const layout = schematicLayout(expanded(demo), { channel: "L", volts, scale: 0.7 });
  expect(layout.stations.map(({ words }) => words)).toEqual(["at jack", "V1a grid", "V1a plate", "V1b cathode", "out"]);
  expect(layout.stations.map(({ net }) => net)).toEqual(["L.in", "L.g1", "L.p1", "L.k2", "L.out"]);
  const ladder = schematicLadder(layout.stations, layout.width);
  if (ladder === undefined) throw new Error("no room");
  const levels = Object.fromEntries(
    layout.stations.map(({ net }) => [net, { now: "888\u202fmV", was: "8.88\u202fmV" }]),
  );
  const words = [...ladder.items, ...ladderWords(ladder, levels)].flatMap((item) =>
    item.kind === "text" ? [textBox(item)] : [],
  );
  expect(words).toHaveLength(15);
  words.forEach((box, n) => {
    expect(box.left).toBeGreaterThanOrEqual(-1e-9);
    expect(box.right).toBeLessThanOrEqual(layout.width + 1e-9);
    for (const other of words.slice(n + 1)) expect(overlap(box, other)).toBe(false);
  });
  expect(schematicLadder(layout.stations, 60)).toBeUndefined();
});
