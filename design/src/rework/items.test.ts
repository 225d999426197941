import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { applyChanges } from "../document/change.ts";
import { expand } from "../document/expand.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import { reworkItems, takeBack } from "./items.ts";
import { placeType } from "./place.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error("the demo does not read");
const base = file.value.now;

function placed(document: Document, envelopes: readonly string[], type: string): Document {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(expanded.failure.sentence);
  return placeType(document, expanded.value, catalogue, envelopes, type).document;
}

test("nothing differs from itself", () => {
  expect(reworkItems(base, base)).toEqual([]);
});

test("a tube in both channels is one item with its wires; a part of both channels is one with its designator", () => {
  const now = setPart(placed(base, ["V1", "V2"], "12BH7A"), ["L", "R"], "R4", { value: "820", watts: 1 });
  const items = reworkItems(base, now);
  expect(items.map((one) => [one.where, one.before, one.after])).toEqual([
    ["V1, V2", "5687", "12BH7A"],
    ["R4", "680 Ω", "820 Ω"],
  ]);
  expect(items[0]?.words).toMatch(/^move 6→8, 8→9, 9→6 from below$/);
  expect(items[1]?.words).toBe("rating 0.5 W → 1 W");
});

test("one channel alone, a control, a fuse, a resistor in the plate leads", () => {
  let now = setPart(base, ["L"], "R4", { value: "820" });
  now = setPart(now, ["L", "R"], "P1", { position: 0.5 });
  if (now.supply === undefined) throw new Error("the demo has a supply");
  now = { ...now, supply: { ...now.supply, rectifier: { ...now.supply.rectifier, seriesOhms: "330" } } };
  expect(reworkItems(base, now).map((one) => `${one.kind} ${one.where} ${one.before} ${one.after}`)).toEqual([
    "part L.R4 680 Ω 820 Ω",
    "control P1 5 o'clock 12 o'clock",
    "supply rectifier none 330 Ω",
  ]);
});

test("another socket is said; two bottles that go apart are two items", () => {
  const items = reworkItems(base, placed(placed(base, ["V1"], "6SN7GTB"), ["V2"], "12BH7A"));
  expect(items.map((one) => one.where)).toEqual(["V1", "V2"]);
  expect(items[0]?.words).toBe("octal socket in place of noval, wired anew; the chassis still has the old one");
});

test("what the chassis still has is said until its socket is another, and of no chassis nothing", () => {
  const octal = placed(base, ["V1"], "6SN7GTB");
  const { chassis } = octal;
  if (chassis === undefined) throw new Error("the demo has a chassis");
  const items = chassis.items.map((one) => (one.id === "V1" ? { ...one, footprint: "octal-saddle-above" } : one));
  const words = (document: Document) => reworkItems(base, document).find((one) => one.where === "V1")?.words;
  expect(words({ ...octal, chassis: { ...chassis, items } })).toBe("octal socket in place of noval, wired anew");
  const { chassis: _, ...bare } = octal;
  expect(words(bare)).toBe("octal socket in place of noval, wired anew");
});

/** Edits in every way a document can change, one after the other. */
const EDITS: readonly ((document: Document) => Document)[] = [
  (document) => placed(document, ["V1", "V2"], "12BH7A"),
  (document) => setPart(document, ["L", "R"], "R4", { value: "820", watts: 1 }),
  (document) => setPart(document, ["L"], "R3", { value: "18k" }),
  (document) => setPart(document, ["L"], "R8", { value: "10k" }),
  (document) => setPart(document, ["R"], "R3", { value: "12k" }),
  (document) => setPart(document, ["PS"], "C1", { value: "22u" }),
  (document) => ({ ...document, houseRules: { mute: true } }),
  (document) => ({ ...document, targets: { ...document.targets, largestInputVolts: 3 } }),
];

test("taking back: each item alone leaves the others, all of them lead to the proven unit, in any order", () => {
  const now = EDITS.reduce((document, edit) => edit(document), base);
  const ids = (document: Document) => reworkItems(base, document).map((one) => one.id);
  const all = ids(now);
  expect(all.length).toBe(8);
  for (const order of [all, all.toReversed(), [...all.slice(4), ...all.slice(0, 4)]]) {
    let here = now;
    for (const [n, id] of order.entries()) {
      const item = reworkItems(base, here).find((one) => one.id === id);
      if (item === undefined) throw new Error(`no ${id}`);
      const back = applyChanges(here, takeBack(here, base, item));
      if (!back.ok) throw new Error(back.failure.sentence);
      here = back.value;
      expect(ids(here).toSorted()).toEqual(order.slice(n + 1).toSorted());
    }
    expect(here).toEqual(base);
  }
});
