import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { readDesign } from "./read.ts";

const text = readFileSync("examples/hearth/hearth.design.json", "utf8");
// oxlint-disable-next-line typescript/no-explicit-any -- a document being spoilt on purpose has no type
type Spoilt = any;

const CHASSIS = {
  plate: { widthMillimetres: 300, depthMillimetres: 180, thicknessMillimetres: 2, material: "aluminium" },
  items: [
    { id: "V1", what: { envelope: "V1" }, footprint: "noval-ceramic-above", x: 60, y: 104, degrees: 0 },
    {
      id: "DRIVE",
      what: { part: "L.P1", also: ["R.P1"] },
      footprint: "potentiometer-24-dual",
      x: 60,
      y: 24,
      degrees: 0,
    },
    { id: "T1", what: { transformer: true }, footprint: "transformer-drop-60", x: 243, y: 104, degrees: 0 },
    { id: "E", what: { fitting: "earth-stud-m4" }, footprint: "earth-stud-m4", x: 288, y: 165, degrees: 0 },
  ],
  holes: [
    { id: "H1", x: 60, y: 104, shape: { kind: "circle", diameterMillimetres: 22 }, state: "cut", serves: "V1" },
    {
      id: "H2",
      x: 243,
      y: 104,
      shape: { kind: "rectangle", widthMillimetres: 68, heightMillimetres: 52, cornerMillimetres: 2, degrees: 90 },
      state: "cut",
    },
  ],
  tools: [{ id: "P22", kind: "punch", cutsMillimetres: [22.5] }],
  salvage: [{ hole: "H1", item: "V1", by: "keep" }],
};

function complaint(edit: (chassis: Spoilt, now: Spoilt) => void): string {
  const file = JSON.parse(text) as Spoilt;
  file.revisions = [];
  delete file.proven;
  file.now.chassis = structuredClone(CHASSIS);
  edit(file.now.chassis, file.now);
  const read = readDesign(JSON.stringify(file));
  return read.ok ? "" : read.failure.sentence;
}

test("a chassis reads; a document without one is as valid as before", () => {
  expect(complaint(() => undefined)).toBe("");
  expect(complaint((_, now) => void delete now.chassis)).toBe("");
});

describe("what is wrong with a chassis is one sentence with its place", () => {
  test.each<[string, (chassis: Spoilt, now: Spoilt) => void, RegExp]>([
    [
      "a hole past an edge",
      (c) => void (c.holes[0].x = 8),
      /^chassis\.holes\[H1\]: the hole reaches 3 mm past the left edge of the plate \(300 × 180 × 2 mm aluminium\); it must lie inside\.$/,
    ],
    ["a hole far away", (c) => void (c.holes[0].y = 900), /past the rear edge/],
    [
      "a hole over a round corner",
      (c) => void ((c.plate.cornerRadiusMillimetres = 20), (c.holes[0].x = 12), (c.holes[0].y = 12)),
      /mm past a corner of the plate/,
    ],
    [
      "a turned rectangle past the edge",
      (c) => void ((c.holes[1].x = 272), (c.holes[1].shape.degrees = 0)),
      /chassis\.holes\[H2\]: the hole reaches 6 mm past the right edge/,
    ],
    [
      "a negative diameter",
      (c) => void (c.holes[0].shape.diameterMillimetres = -22),
      /holes\[H1\]\.shape\.diameterMillimetres: -22 is too small; more than 0 is wanted/,
    ],
    [
      "a negative radius",
      (c) => void (c.plate.cornerRadiusMillimetres = -1),
      /cornerRadiusMillimetres: -1 is too small; at least 0/,
    ],
    [
      "a plate of no thickness",
      (c) => void (c.plate.thicknessMillimetres = 0),
      /thicknessMillimetres: 0 is too small; more than 0 is wanted/,
    ],
    [
      "a radius larger than the plate",
      (c) => void (c.plate.cornerRadiusMillimetres = 91),
      /91 mm is more than half of the plate; at most 90 mm/,
    ],
    [
      "a corner larger than its hole",
      (c) => void (c.holes[1].shape.cornerMillimetres = 40),
      /holes\[H2\]\.shape\.cornerMillimetres: 40 mm is more than half of the hole; at most 26/,
    ],
    [
      "an item without footprint",
      (c) => void delete c.items[0].footprint,
      /items\[V1\]\.footprint: is missing; a text is wanted/,
    ],
    [
      "an unknown envelope",
      (c) => void (c.items[0].what.envelope = "V9"),
      /items\[V1\]\.what\.envelope: there is no envelope V9; one of V1, V2, V3 is/,
    ],
    [
      "an unknown part",
      (c) => void (c.items[1].what.part = "L.P9"),
      /items\[DRIVE\]\.what\.part: there is no part L\.P9; name it as instance\.part/,
    ],
    ["an unknown second gang", (c) => void (c.items[1].what.also = ["Q.P1"]), /there is no part Q\.P1/],
    ["what is not one of the forms", (c) => void (c.items[0].what = { tube: "V1" }), /items\[V1\]\.what/],
    [
      "a part that stands twice",
      (c) => void c.items.push({ ...c.items[1], id: "D2" }),
      /items\[D2\]\.what: L\.P1 stands on the chassis as DRIVE already/,
    ],
    [
      "a transformer without a supply",
      (c, now) => void (delete now.supply, now.envelopes.forEach((e: Spoilt) => void (e.wiring = {}))),
      /items\[T1\]\.what\.transformer: the unit has no supply/,
    ],
    [
      "a fitting of another footprint",
      (c) => void (c.items[3].footprint = "earth-stud-m5"),
      /earth-stud-m4 is not the item's footprint/,
    ],
    ["two items of one id", (c) => void (c.items[1].id = "V1"), /items\[V1\]: two have this id/],
    ["two holes of one id", (c) => void (c.holes[1].id = "H1"), /holes\[H1\]: two have this id/],
    ["two tools of one id", (c) => void c.tools.push(c.tools[0]), /tools\[P22\]: two have this id/],
    ["a hole that serves nothing", (c) => void (c.holes[0].serves = "V8"), /holes\[H1\]\.serves: there is no item V8/],
    [
      "a hole of no known shape",
      (c) => void (c.holes[0].shape = { kind: "star" }),
      /holes\[H1\]\.shape\.kind: "star" is not accepted|none of the forms/,
    ],
    [
      "an edge bent twice",
      (c) =>
        void (c.plate.bends = [0, 1].map(() => ({ edge: "rear", insideRadiusMillimetres: 2, flangeMillimetres: 20 }))),
      /the rear edge is bent twice/,
    ],
    [
      "a tool's range the wrong way round",
      (c) => void (c.tools[0].cutsMillimetres = { from: 12, to: 4 }),
      /tools\[P22\]\.cutsMillimetres: from 12 is more than to 4/,
    ],
    ["salvage of no hole", (c) => void (c.salvage[0].hole = "H9"), /salvage\[H9\]: there is no hole H9/],
    ["salvage decided twice", (c) => void c.salvage.push(c.salvage[0]), /two decisions stand for this hole/],
    [
      "a ring for nothing",
      (c) => void (c.salvage = [{ hole: "H1", by: "adapter-ring" }]),
      /adapter-ring needs an item/,
    ],
    ["a ring for an item that is not there", (c) => void (c.salvage[0].item = "V7"), /there is no item V7/],
    [
      "an own footprint that is not convex",
      (c) =>
        void (c.footprints = [
          own([
            [0, 0],
            [40, 0],
            [10, 10],
            [0, 40],
          ]),
        ]),
      /footprints\[mine\]: the outline of iron is not convex/,
    ],
    [
      "an own footprint whose corners cross",
      (c) =>
        void (c.footprints = [
          own([
            [0, 0],
            [10, 10],
            [10, 0],
            [0, 10],
          ]),
        ]),
      /is not convex/,
    ],
    [
      "a height of nothing",
      (c) =>
        void (c.footprints = [
          {
            ...own([
              [0, 0],
              [9, 0],
              [0, 9],
            ]),
            holes: [],
          },
        ]),
      /footprints\[mine\]\.holes: \[\] is too small/,
    ],
    ["an unknown field", (c) => void (c.plate.colour = "black"), /chassis\.plate: 'colour' is not a field/],
  ])("%s", (_, edit, words) => expect(complaint(edit)).toMatch(words));
});

const own = (points: readonly (readonly [number, number])[]) => ({
  id: "mine",
  label: "my iron",
  kind: "transformer",
  holes: [
    {
      id: "body",
      x: 0,
      y: 0,
      shape: { kind: "circle", diameterMillimetres: 9 },
      underMillimetres: 0,
      overMillimetres: 1,
      purpose: "screw",
    },
  ],
  above: [
    { what: "iron", outline: { kind: "polygon", points: points.map(([x, y]) => ({ x, y })) }, heightMillimetres: 40 },
  ],
  below: [],
});
