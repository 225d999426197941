import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { flatten, itemBox, outside } from "./bounds.ts";
import type { Item, Point, Scene } from "./scene.ts";

const sheet = (...items: readonly Item[]): Scene => ({
  units: "mm",
  width: 100,
  height: 60,
  title: "",
  description: "",
  items,
});

/** One item of each kind, at a place. */
const kinds: Readonly<Record<string, (at: Point) => Item>> = {
  line: ([x, y]) => ({ kind: "line", from: [50, 30], to: [x, y], weight: 0.2 }),
  polyline: (at) => ({ kind: "polyline", points: [[50, 30], [51, 31], at], weight: 0.2 }),
  path: (at) => ({ kind: "path", points: [[50, 30], [51, 31], at], weight: 0.2 }),
  rect: (at) => ({ kind: "rect", at, width: 1, height: 1, weight: 0.2 }),
  circle: (at) => ({ kind: "circle", at, radius: 1, weight: 0.2 }),
  text: (at) => ({ kind: "text", at, text: "4k7", size: 3.44 }),
};

describe("outside", () => {
  test.each(Object.keys(kinds))("names a %s that leaves the sheet on any side, and no other", (kind) => {
    const item = kinds[kind] as (at: Point) => Item;
    for (const at of [
      [-2, 30],
      [101, 30],
      [50, -2],
      [50, 62],
    ] as const)
      expect(outside(sheet(item(at), item([50, 30])))).toHaveLength(1);
  });

  test("adds up the places of groups", () => {
    const inner: Item = { kind: "group", at: [60, 0], items: [{ kind: "circle", at: [30, 20], radius: 2, weight: 0 }] };
    expect(outside(sheet({ kind: "group", at: [0, 5], items: [inner] }))).toEqual([]);
    expect(outside(sheet({ kind: "group", at: [9, 5], items: [inner] }))).toMatchObject([{ at: [99, 25] }]);
  });

  test("knows the room of a text at each of its ends, and of a stroke beside its line", () => {
    const words: Item = { kind: "text", at: [99, 30], text: "330 V", size: 3.44 };
    expect(outside(sheet(words))).toHaveLength(1);
    expect(outside(sheet({ ...words, anchor: "end" }))).toEqual([]);
    expect(outside(sheet({ kind: "line", from: [10, 0.2], to: [20, 0.2], weight: 0.75 }))).toHaveLength(1);
  });

  test("a place that is no number is outside; an empty group is not", () => {
    expect(outside(sheet({ kind: "circle", at: [Number.NaN, 1], radius: 1, weight: 0 }))).toHaveLength(1);
    expect(outside(sheet({ kind: "group", at: [0, 0], items: [] }))).toEqual([]);
  });
});

test("the box of a group is the box of its items where they stand (seed 5)", () => {
  const random = seededRandom(5);
  for (let n = 0; n < 50; n++) {
    const makers = Object.values(kinds);
    const items = Array.from({ length: 1 + random.below(5) }, () =>
      (makers[random.below(makers.length)] as (at: Point) => Item)([random.uniform() * 90, random.uniform() * 50]),
    );
    const group: Item = { kind: "group", at: [3, 4], items };
    const boxes = flatten([group]).map(itemBox);
    expect(itemBox(group).left).toBeCloseTo(Math.min(...boxes.map((box) => box.left)), 9);
    expect(itemBox(group).bottom).toBeCloseTo(Math.max(...boxes.map((box) => box.bottom)), 9);
  }
});
