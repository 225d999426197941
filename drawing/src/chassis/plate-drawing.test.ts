import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import { type Box, flatten, itemBox, overlap, textBox } from "../bounds.ts";
import { type Item, SIZES, type TextItem, WEIGHTS } from "../scene.ts";
import { type PlateDrawing, plateDrawing } from "./plate-drawing.ts";
import type { PlateLook } from "./plate-look.ts";
import { plateWires } from "./plate-wires.ts";
import { sideDrawing } from "./side-drawing.ts";
import { shapeBox, shapeOf } from "./shapes.ts";
import { testPlates } from "./test-plates.ts";

const { decided, demo, judged, randomDocument, with7Pin } = testPlates(
  readFileSync("examples/hearth/hearth.design.json", "utf8"),
  footprints,
  openCatalogue(),
);

const FULL: Omit<PlateLook, "face" | "scale"> = {
  bodies: true,
  names: true,
  dimensions: true,
  grid: true,
  pins: true,
  keys: true,
  bends: true,
  datum: true,
  edges: true,
};

const textsOf = (items: readonly Item[]): readonly TextItem[] =>
  flatten(items).filter((item): item is TextItem => item.kind === "text");

/** Figures have nothing under their line. */
function inkOf(item: TextItem): Box {
  const box = textBox(item);
  return /^\d+$/.test(item.text) ? { ...box, bottom: item.at[1] } : box;
}

/** Pairs of texts that meet; a hair of both is let go. */
function meeting(items: readonly Item[]): readonly string[] {
  const boxes = textsOf(items).map((item) => ({ item, box: inkOf(item) }));
  const met: string[] = [];
  for (const [n, one] of boxes.entries())
    for (const other of boxes.slice(n + 1))
      if (overlap(one.box, other.box, -0.05)) met.push(`${one.item.text} | ${other.item.text}`);
  return met;
}

const documents = {
  demo,
  "7-pin socket": with7Pin,
  ring: decided("adapter-ring"),
  "cover plate": decided("cover-plate"),
  "sub-plate": decided("sub-plate"),
};
const cases = Object.entries(documents).flatMap(([name, document]) =>
  (["top", "under"] as const).flatMap((face) =>
    [0.4, 0.5, 0.6, 0.8, 1].map((scale) => [name, face, scale, document] as const),
  ),
);

test.each(cases)("%s, %s, at %f: no two texts meet, all are written large enough", (_, face, scale, document) => {
  const drawing = plateDrawing(judged(document), { ...FULL, face, scale });
  expect(meeting(drawing.items)).toEqual([]);
  for (const item of textsOf(drawing.items)) expect(item.size).toBeGreaterThanOrEqual(SIZES.small);
});

test("the demo has a place for every word of it at the scales of screen and papers", () => {
  for (const face of ["top", "under"] as const)
    for (const scale of [0.5, 0.6, 0.8, 1])
      expect(plateDrawing(judged(demo), { ...FULL, face, scale }).unplaced, `${face} ${scale}`).toEqual([]);
});

const SEED = 6_110;
const RANDOM = 200;

test(`on ${RANDOM} random plates no text meets another or lies on a hole's rim (seed ${SEED})`, () => {
  let words = 0;
  let unplaced = 0;
  for (let n = 0; n < RANDOM; n++) {
    const found = judged(randomDocument(SEED + n, 3 + (n % 38)));
    const face = n % 2 === 0 ? "top" : "under";
    const drawing = plateDrawing(found, { ...FULL, grid: false, face, scale: [0.4, 0.6, 1][n % 3] ?? 1 });
    expect(meeting(drawing.items), `plate ${n}`).toEqual([]);
    const past = flatten(drawing.items).filter((item) => !inside(drawing.box, itemBox(item)));
    expect(past, `plate ${n} leaves its box`).toEqual([]);
    const named = textsOf(drawing.items).filter((item) => found.items.some((one) => one.item.id === item.text));
    const holes = found.holes.holes.map((hole) => shapeBox(shapeOf(hole.outline, drawing.map)));
    for (const item of named) {
      const box = inkOf(item);
      // Over a hole's box is right only where the words lie inside it.
      const crossed = holes.filter((hole) => overlap(hole, box, -0.05) && !inside(hole, box) && !cornerOnly(hole, box));
      expect(crossed, `plate ${n}: ${item.text}`).toEqual([]);
    }
    words += textsOf(drawing.items).length;
    unplaced += drawing.unplaced.length;
  }
  // What has no place is said; on crowded plates some has none.
  expect(unplaced / words).toBeLessThan(0.12);
});

const inside = (outer: Box, inner: Box): boolean =>
  inner.left >= outer.left && inner.right <= outer.right && inner.top >= outer.top && inner.bottom <= outer.bottom;

/** A round hole leaves the corners of its box free. */
function cornerOnly(hole: Box, box: Box): boolean {
  const [x, y] = [(hole.left + hole.right) / 2, (hole.top + hole.bottom) / 2];
  const nearX = Math.max(box.left, Math.min(x, box.right));
  const nearY = Math.max(box.top, Math.min(y, box.bottom));
  return Math.hypot(nearX - x, nearY - y) >= (hole.right - hole.left) / 2 - 0.05;
}

/** What is drawn of metal: no words, no ordinates. */
const metalOf = ({ items }: PlateDrawing) =>
  flatten(items).flatMap((item) =>
    item.kind === "circle"
      ? [{ at: item.at, radius: item.radius, weight: item.weight, ids: (item.ids ?? []).join() }]
      : [],
  );

test(`the underside is the top mirrored, place by place, and its words are the same (seed ${SEED + 1000})`, () => {
  const look = { names: true, scale: 1 } as const;
  for (let n = 0; n < 60; n++) {
    // Carriers lie on one face; everything else is seen from both.
    const found = judged(randomDocument(SEED + 1000 + n, 4 + (n % 20)));
    const [top, under] = [
      plateDrawing(found, { ...look, face: "top" }),
      plateDrawing(found, { ...look, face: "under" }),
    ];
    const { width } = top.map;
    const [above, below] = [metalOf(top), metalOf(under)];
    expect(below.length).toBe(above.length);
    for (const [k, one] of above.entries()) {
      const other = below[k];
      expect(other?.ids).toBe(one.ids);
      expect(other?.at[0]).toBeCloseTo(width - one.at[0], 9);
      expect(other?.at[1]).toBeCloseTo(one.at[1], 9);
      expect(other?.radius).toBe(one.radius);
    }
    const words = ({ items, unplaced }: PlateDrawing) =>
      [...textsOf(items).map((item) => item.text), ...unplaced].join(" ").split(" ").sort();
    // A word may be shortened where there is no room on one face only.
    const [said, alike] = [new Set(words(top)), words(under)];
    const ids = found.items.map((one) => one.item.id);
    expect(alike.filter((word) => ids.includes(word))).toEqual([...said].filter((word) => ids.includes(word)).sort());
  }
});

test("at true size holes have their own radius and centre, and every hole is there by its id", () => {
  for (const document of Object.values(documents))
    for (const face of ["top", "under"] as const) {
      const found = judged(document);
      const { items, map } = plateDrawing(found, { ...FULL, face, scale: 1 });
      const all = flatten(items);
      const wide = found.chassis.plate.widthMillimetres;
      const deep = found.chassis.plate.depthMillimetres;
      for (const hole of found.holes.holes) {
        const own = all.filter((item) => item.ids?.includes(hole.id) === true);
        expect(own.length, hole.id).toBeGreaterThan(0);
        if (hole.shape.kind !== "circle" || hole.purpose === "opening") continue;
        const radius = hole.shape.diameterMillimetres / 2;
        const [x, y] = [face === "top" ? hole.x : wide - hole.x, deep - hole.y];
        const drawn = own.some(
          (item) =>
            item.kind === "circle" &&
            Math.abs(item.radius - radius) < 1e-9 &&
            Math.hypot(item.at[0] - x, item.at[1] - y) < 1e-9,
        );
        expect(drawn, `${hole.id} ${face}`).toBe(true);
      }
      expect(map.toPlate(map.toSheet({ x: 12.3, y: 45.6 })).x).toBeCloseTo(12.3, 9);
    }
});

test("ordinates are the places themselves, from the datum, on both faces", () => {
  for (const face of ["top", "under"] as const) {
    const found = judged(demo);
    const { items } = plateDrawing(found, { dimensions: true, face, scale: 1 });
    const words = new Set(textsOf(items).map((item) => item.text));
    for (const { item } of found.items)
      for (const value of [item.x, item.y]) expect(words, item.id).toContain(String(Math.round(value * 10) / 10));
  }
});

test("what is in hand has its role and corners round it; the box holds everything", () => {
  const { items, box } = plateDrawing(judged(demo), { ...FULL, face: "top", scale: 0.6, chosen: new Set(["V3"]) });
  const live = flatten(items).filter((item) => item.role === "live");
  expect(live.every((item) => item.ids?.includes("V3") === true)).toBe(true);
  expect(live.filter((item) => item.kind === "polyline" && item.weight === WEIGHTS.light)).toHaveLength(4);
  for (const item of textsOf(items)) expect(inside(box, textBox(item))).toBe(true);
});

test("a gap is an arrow with its words; wires of one way are drawn once", () => {
  const gap = { from: { x: 90, y: 60 }, to: { x: 120, y: 60 }, words: "30 mm", ids: ["=gap/x"] };
  const { items, unplaced } = plateDrawing(judged(demo), { face: "top", scale: 1, gaps: [gap] });
  expect(unplaced).toEqual([]);
  expect(textsOf(items).find((item) => item.text === "30 mm")?.ids).toEqual(["=gap/x"]);
  const run = {
    id: "w1",
    purpose: "heater",
    net: "h",
    from: { item: "T1", at: "" },
    to: { item: "V1", at: "" },
    route: [
      { x: 0, y: 0 },
      { x: 50, y: 0 },
    ],
    twisted: true,
    screened: false,
    lengthMillimetres: 60,
    parts: { route: 50, twist: 5, rise: 0, slack: 5 },
    hangs: false,
  } as const;
  const back = { ...run, id: "w2", route: [...run.route].reverse() };
  expect(plateWires([run, back])).toEqual([{ kind: "heater", points: run.route, ids: ["w1", "w2"] }]);
});

test(`from its sides no two texts meet, and every height is listed (seed ${SEED + 2000})`, () => {
  for (let n = 0; n < 60; n++) {
    const found = judged(n === 0 ? demo : randomDocument(SEED + 2000 + n, 2 + (n % 25)));
    for (const from of ["front", "left"] as const) {
      const { items, heights } = sideDrawing(found, { from, scale: n % 2 === 0 ? 0.6 : 0.4 });
      expect(meeting(items), `plate ${n} from the ${from}`).toEqual([]);
      expect(heights.map((one) => one.id).sort()).toEqual(found.items.map((one) => one.item.id).sort());
      const words = textsOf(items).map((item) => item.text);
      for (const one of heights)
        if (one.aboveMillimetres > 0)
          expect(words.some((text) => text.startsWith(`${Math.round(one.aboveMillimetres * 10) / 10} above`))).toBe(
            true,
          );
    }
  }
});
