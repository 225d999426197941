import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { footprints } from "../../../library/src/index.ts";
import type { Chassis, ChassisItem, DocumentHole } from "../document/chassis-schema.ts";
import { applyChanges, diffDocuments, same } from "../document/change.ts";
import { itemWords, reworkItems, takeBack } from "../rework/items.ts";
import { chassisWords } from "./chassis-words.ts";
import { demoOf, uniform } from "./test-chassis.ts";

const demo = demoOf(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const { chassis } = demo;

const item =
  (id: string, set: Partial<ChassisItem>) =>
  (of: Chassis): Chassis => ({
    ...of,
    items: of.items.map((one) => (one.id === id ? { ...one, ...set } : one)),
  });
const hole =
  (id: string, set: Partial<DocumentHole>) =>
  (of: Chassis): Chassis => ({
    ...of,
    holes: of.holes.map((one) => (one.id === id ? { ...one, ...set } : one)),
  });
const plate =
  (set: Partial<Chassis["plate"]>) =>
  (of: Chassis): Chassis => ({ ...of, plate: { ...of.plate, ...set } });

const circle = (diameterMillimetres: number) => ({ kind: "circle" as const, diameterMillimetres });

const CASES: readonly [words: string, edit: (of: Chassis) => Chassis][] = [
  ["V3 moved 12 mm to the rear", item("V3", { y: 140 })],
  ["V3 moved 5 mm to the left and 8.5 mm to the front", item("V3", { x: 160, y: 119.5 })],
  ["V3 turned to 90°", item("V3", { degrees: 90 })],
  ["socket of V3: 7-pin, saddle, from above", item("V3", { footprint: "7-pin-saddle-above" })],
  ["C1: can capacitor 35 mm, ring clamp", item("C1", { footprint: "can-35-clamp" })],
  ["V1 mounted on the underside", item("V1", { face: "under" })],
  ["V1 is called Left", item("V1", { label: "Left" })],
  ["V1 measured in hand", item("V1", { measured: true })],
  ["SWITCH without its boots", item("SWITCH", { booted: false })],
  ["C1 stands for PS.C1", item("C1", { what: { part: "PS.C1" } })],
  ["H3 opened to 28 mm", hole("H3", { shape: circle(28) })],
  ["H3 Ø 22 mm → Ø 20 mm", hole("H3", { shape: circle(20) })],
  ["H3 moved 2 mm to the right", hole("H3", { x: 167 })],
  ["H3 is planned, not cut", hole("H3", { state: "planned" })],
  ["H3 meant for V2", hole("H3", { serves: "V2" })],
  ["plate 2 → 3 mm", plate({ thicknessMillimetres: 3 })],
  ["plate 300 × 180 → 320 × 180 mm", plate({ widthMillimetres: 320 })],
  ["plate aluminium → steel", plate({ material: "steel" })],
  ["finish powder coat → bare", plate({ finish: "bare" })],
  ["cover 95 mm above the plate", plate({ coverMillimetres: 95 })],
  ["vents 0 → 20 cm²", plate({ ventSquareMillimetres: 2000 })],
  [
    "rear edge bent down 40 mm, inside radius 2 mm",
    plate({ bends: [{ edge: "rear", insideRadiusMillimetres: 2, flangeMillimetres: 40 }] }),
  ],
  [
    "ring on H3 for V3",
    (of) => ({ ...of, salvage: [...(of.salvage ?? []), { hole: "H3", item: "V3", by: "adapter-ring" }] }),
  ],
  ["plug in H9a", (of) => ({ ...of, salvage: [...(of.salvage ?? []), { hole: "H9a", by: "blank-plug" }] })],
  ["LAMP taken off the plate", (of) => ({ ...of, items: of.items.filter((one) => one.id !== "LAMP") })],
  [
    "hole H40 entered: Ø 8 mm at 20, 30 mm",
    (of) => ({ ...of, holes: [...of.holes, { id: "H40", x: 20, y: 30, shape: circle(8), state: "cut" }] }),
  ],
];

test.each(CASES)("%s", (words, edit) => {
  const after = edit(chassis);
  expect(chassisWords(chassis, after, footprints).flatMap((one) => one.sentences)).toEqual([words]);
  const items = reworkItems(demo, { ...demo, chassis: after }, footprints);
  expect(items.map(itemWords)).toEqual([words]);
});

test("without footprints a socket is named by its id, in words", () => {
  const after = item("V3", { footprint: "7-pin-saddle-above" })(chassis);
  expect(chassisWords(chassis, after)[0]?.sentences).toEqual(["socket of V3: 7-pin saddle above"]);
});

test("a chassis that comes or goes is one thing", () => {
  const { chassis: _, ...bare } = demo;
  expect(reworkItems(bare, demo).map(itemWords)).toEqual(["a chassis of 300 × 180 × 2 mm aluminium"]);
  expect(reworkItems(demo, bare).map(itemWords)).toEqual(["no chassis"]);
});

test("nothing that differs goes unsaid, no path is shown, and each thing alone can be taken back: 300 walks (seed 71)", () => {
  const random = uniform(71);
  const pick = <T>(all: readonly T[]): T => all[Math.floor(random() * all.length)] as T;
  for (let n = 0; n < 300; n++) {
    let after = chassis;
    for (let steps = 0; steps < 3; steps++) after = pick(CASES)[1](after);
    const now = { ...demo, chassis: after };
    const items = reworkItems(demo, now, footprints);
    expect(items.length > 0).toBe(!same(demo, now));
    for (const one of items) expect(itemWords(one)).not.toMatch(/chassis\.|\[|Millimetres/);
    const changes = items.flatMap((one) => takeBack(now, demo, one));
    expect(changes).toHaveLength(diffDocuments(now, demo).length);
    const back = applyChanges(now, changes);
    expect(back.ok && same(back.value, demo)).toBe(true);
  }
});
