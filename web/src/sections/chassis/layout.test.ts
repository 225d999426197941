import { applyChanges, type Document, gapBetween, inverseOf, placedOutline, solidOf } from "@platewright/design";
import type { Outline, Place } from "@platewright/engine";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import { gapsAround, nearestPlaces, neighbourOf } from "./gaps.ts";
import {
  aligned,
  mirroredChannel,
  mirroredPlace,
  movedBy,
  movedItems,
  pairsOf,
  setOn,
  spacedEvenly,
} from "./layout-edits.ts";
import { placedAt } from "./place-edit.ts";
import { onGrid, snapLines, snapped, STEPS } from "./snap.ts";
import type { Edit } from "../../state/edits.ts";

const { document } = demoOpen();
const done = ({ changes }: Edit, on: Document = document): Document => {
  const changed = applyChanges(on, changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  return changed.value;
};
const item = (on: Document, id: string) => {
  const found = on.chassis?.items.find((one) => one.id === id);
  if (found === undefined) throw new Error(`no ${id}`);
  return found;
};
const hundredths = (from: number, to: number) => fc.integer({ min: 100 * from, max: 100 * to }).map((n) => n / 100);
const coordinate = hundredths(0, 300);
const place = fc.record({ x: coordinate, y: coordinate });

describe("snap, seed 41", () => {
  const step = fc.constantFrom(...STEPS.map((one) => one.millimetres));
  test("nothing is moved by more than the reach or half a step, and what rests on a line stays", () => {
    fc.assert(
      fc.property(
        place,
        step,
        fc.array(place, { maxLength: 8 }),
        hundredths(0, 4),
        (at, stepMillimetres, others, reachMillimetres) => {
          const lines = snapLines(
            { widthMillimetres: 300, depthMillimetres: 180 },
            others.map((one, n) => ({ ...one, id: `I${n}`, name: `I${n}` })),
            new Set(["I0"]),
          );
          const ask = { stepMillimetres, reachMillimetres, lines };
          const rest = snapped(at, ask);
          for (const axis of ["x", "y"] as const) {
            expect(Math.abs(rest[axis] - at[axis])).toBeLessThanOrEqual(
              Math.max(reachMillimetres, stepMillimetres / 2) + 1e-3,
            );
            const near = lines.filter((line) => line.axis === axis).map((line) => Math.abs(line.at - at[axis]));
            const least = Math.min(...near);
            // A line within reach is met exactly; else the grid is.
            if (least < reachMillimetres - 1e-9) expect(Math.abs(rest[axis] - at[axis])).toBeCloseTo(least, 9);
            else if (least > reachMillimetres + 1e-9) expect(rest[axis]).toBe(onGrid(at[axis], stepMillimetres));
          }
          const onLines = snapped({ x: lines[0]?.at ?? 0, y: lines[1]?.at ?? 0 }, ask);
          expect([onLines.x, onLines.y]).toEqual([150, 90]);
        },
      ),
      { seed: 41, numRuns: 400 },
    );
  });
  test("a line that something rests on is named once for each thing on it", () => {
    const lines = snapLines(
      { widthMillimetres: 300, depthMillimetres: 180 },
      [{ id: "V1", name: "V1", x: 60, y: 104 }],
      new Set(),
    );
    const rest = snapped({ x: 60.8, y: 33.4 }, { stepMillimetres: 1, reachMillimetres: 1.5, lines });
    expect(rest).toMatchObject({ x: 60, y: 33 });
    expect(rest.lines.map(({ what }) => what)).toEqual(["centre of V1"]);
  });
});

describe("edits of the layout", () => {
  test("one drag is one step with the place in its name, and its inverse puts it back; seed 42", () => {
    fc.assert(
      fc.property(place, ({ x, y }) => {
        const moved = placedAt(document, "V3", { x, y });
        const now = done(moved);
        expect(item(now, "V3").x).toBeCloseTo(x, 2);
        expect(item(now, "V3").y).toBeCloseTo(y, 2);
        expect(done({ title: "", changes: moved.changes.map(inverseOf) }, now)).toEqual(document);
      }),
      { seed: 42, numRuns: 100 },
    );
    expect(placedAt(document, "V3", { x: 165, y: 129 }).title).toBe("V3 to 165, 129");
    expect(placedAt(document, "V3", { x: 165, y: 128 }).changes).toEqual([]);
    expect(placedAt(document, "nobody", { x: 1 }).changes).toEqual([]);
  });
  test("several move by the same way", () => {
    const now = done(movedBy(document, ["V1", "V2"], 5, -2));
    expect([item(now, "V1"), item(now, "V2")].map(({ x, y }) => [x, y])).toEqual([
      [65, 102],
      [120, 102],
    ]);
  });
  test("a turn is told from 0 to under 360", () => {
    expect(placedAt(document, "V3", { degrees: 270 + 90 }).changes).toEqual([
      { target: "chassis.items[V3].degrees", before: 270, after: 0 },
    ]);
    expect(placedAt(document, "V1", { degrees: -15 }).title).toBe("V1 turned to 345°");
    expect(placedAt(document, "V1", { x: 61, degrees: 15 }).title).toBe("V1 to 61, 104, turned to 15°");
  });
  test("a field that is taken away leaves no trace", () => {
    const now = done(setOn(document, "SWITCH", { booted: undefined }, "no boots"));
    expect("booted" in item(now, "SWITCH")).toBe(false);
  });
  test("in line, and evenly between the outermost", () => {
    expect(item(done(aligned(document, ["V1", "V3"], "y")), "V3").y).toBe(104);
    const now = done(spacedEvenly(document, ["IN-L", "IN-R", "OUT-L", "OUT-R"], "x"));
    const xs = ["IN-L", "IN-R", "OUT-L", "OUT-R"].map((id) => item(now, id).x);
    expect(xs[0]).toBe(24);
    expect(xs[3]).toBe(116);
    for (const n of [1, 2, 3]) expect((xs[n] ?? 0) - (xs[n - 1] ?? 0)).toBeCloseTo(92 / 3, 2);
    expect(spacedEvenly(document, ["V1", "V2"], "x").changes).toEqual([]);
  });
});

describe("the second channel", () => {
  test("what stands for the same is paired; a body that serves both is not", () => {
    expect(pairsOf(document, "L").toSorted((a, b) => a.from.localeCompare(b.from))).toEqual([
      { from: "IN-L", to: "IN-R" },
      { from: "OUT-L", to: "OUT-R" },
      { from: "V1", to: "V2" },
    ]);
    expect(pairsOf(document, "R")).toContainEqual({ from: "V2", to: "V1" });
  });
  test("mirrored twice is where it was, and a key to the left is a key to the right; seed 43", () => {
    fc.assert(
      fc.property(place, fc.integer({ min: 0, max: 23 }), coordinate, (at, turns, middle) => {
        const one = { x: Math.round(at.x), y: at.y, degrees: 15 * turns };
        const other = mirroredPlace(one, Math.round(middle));
        expect(mirroredPlace(other, Math.round(middle))).toEqual(one);
        // The key stands at the front of a socket that is not turned.
        const key = (pose: Place & { readonly degrees: number }) =>
          placedOutline(
            { ...pose, mirrored: false },
            { kind: "circle", x: 0, y: -10, diameterMillimetres: 1 },
          ) as Place;
        expect(key(other).x).toBeCloseTo(2 * Math.round(middle) - key(one).x, 3);
        expect(key(other).y).toBeCloseTo(key(one).y, 6);
      }),
      { seed: 43, numRuns: 200 },
    );
  });
  test("the channel is mirrored as one step that undo takes back", () => {
    const edit = mirroredChannel(document, "L", 150);
    expect(edit.title).toBe("R mirrored from L about x 150");
    const now = done(edit);
    expect(item(now, "V2")).toMatchObject({ x: 240, y: 104, degrees: 0 });
    expect(item(now, "IN-R").x).toBe(276);
    expect(item(now, "DRIVE")).toEqual(item(document, "DRIVE"));
    expect(done({ title: "", changes: edit.changes.map(inverseOf).toReversed() }, now)).toEqual(document);
  });
  test("what is in hand is told from what is kept", () => {
    expect([...movedItems(document, done(placedAt(document, "C1", { x: 170 })))]).toEqual(["C1"]);
    expect(movedItems(document, document).size).toBe(0);
  });
});

describe("gaps, seed 44", () => {
  const circle = fc.record({
    kind: fc.constant("circle" as const),
    x: coordinate,
    y: coordinate,
    diameterMillimetres: hundredths(1, 60),
  });
  const rectangle = fc.record({
    kind: fc.constant("rectangle" as const),
    x: coordinate,
    y: coordinate,
    widthMillimetres: hundredths(4, 60),
    heightMillimetres: hundredths(4, 60),
    cornerMillimetres: hundredths(0, 2),
    degrees: hundredths(0, 360),
  });
  const outline: fc.Arbitrary<Outline> = fc.oneof(circle, rectangle);
  test("the two nearest places are as far apart as the outlines are", () => {
    fc.assert(
      fc.property(outline, outline, (one, other) => {
        const [a, b] = [solidOf(one), solidOf(other)];
        const gap = gapBetween(a, b);
        fc.pre(gap > 0.01);
        const [from, to] = nearestPlaces(a, b);
        expect(Math.hypot(from.x - to.x, from.y - to.y)).toBeCloseTo(gap, 6);
      }),
      { seed: 44, numRuns: 1000 },
    );
  });
  test("no neighbour is nearer than the least gap that is told, and an overlap is always told", () => {
    fc.assert(
      fc.property(outline, fc.array(outline, { maxLength: 12 }), (own, others) => {
        const told = gapsAround(
          [own],
          others.flatMap((one, n) => neighbourOf(`I${n}`, [one]) ?? []),
          { widthMillimetres: 300, depthMillimetres: 300 },
        );
        const least = Math.min(...told.map(({ millimetres }) => millimetres));
        for (const [n, other] of others.entries()) {
          const gap = gapBetween(solidOf(own), solidOf(other));
          expect(gap).toBeGreaterThanOrEqual(least - 1e-9);
          if (gap < 0) expect(told.some(({ what }) => what === `I${n}`)).toBe(true);
        }
      }),
      { seed: 45, numRuns: 300 },
    );
  });
});
