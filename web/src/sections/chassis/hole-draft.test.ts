/** A hole as it is typed. */
import type { DocumentHole } from "@platewright/design";
import fc from "fast-check";
import { expect, test } from "vitest";
import { draftOf, EMPTY_HOLE, type HoleDraft, readDegrees, readHole } from "./hole-draft.ts";

const hundredths = (least: number, most: number) =>
  fc.integer({ min: least * 100, max: most * 100 }).map((n) => n / 100);

const holes: fc.Arbitrary<DocumentHole> = fc.record({
  id: fc.constant("H1"),
  x: hundredths(0, 2000),
  y: hundredths(0, 2000),
  state: fc.constantFrom("cut", "planned"),
  shape: fc.oneof(
    fc.record({ kind: fc.constant("circle" as const), diameterMillimetres: hundredths(1, 100) }),
    fc.record({
      kind: fc.constant("rectangle" as const),
      widthMillimetres: hundredths(1, 100),
      heightMillimetres: hundredths(1, 100),
      cornerMillimetres: hundredths(1, 9),
      degrees: fc.integer({ min: 1, max: 359 }),
    }),
  ),
});

test("what is filled in from a hole makes that hole again, seed 48", () => {
  fc.assert(
    fc.property(holes, ({ id: _id, ...hole }) => {
      expect(readHole(draftOf({ id: "H1", ...hole }))).toEqual({ ok: true, value: hole });
    }),
    { seed: 48 },
  );
});

test("inches and drills are sizes too, an empty corner is square", () => {
  const draft: HoleDraft = { ...EMPTY_HOLE, diameter: "letter F", x: "1 in", y: "2,5" };
  expect(readHole(draft)).toEqual({
    ok: true,
    value: { x: 25.4, y: 2.5, shape: { kind: "circle", diameterMillimetres: 6.528 }, state: "cut" },
  });
  expect(readHole({ ...draft, kind: "rectangle", width: "20", height: "1/2 in" })).toMatchObject({
    value: { shape: { kind: "rectangle", widthMillimetres: 20, heightMillimetres: 12.7 } },
  });
});

test.each([
  [{}, /^Diameter: write a length/],
  [{ diameter: "-3" }, /^Diameter: Write a length above 0/],
  [{ diameter: "22" }, /^x: write a length/],
  [{ diameter: "22", x: "10", y: "up" }, /^y: 'up' is not a length/],
  [{ kind: "rectangle", width: "10" }, /^Height: write a length/],
  [{ kind: "rectangle", width: "10", height: "10", degrees: "steep" }, /^Turn: write degrees/],
] as const)("%o is refused with the name of its field", (more, why) => {
  const read = readHole({ ...EMPTY_HOLE, ...more });
  expect(read.ok ? "" : read.failure).toMatch(why);
});

test("degrees with a true minus and a sign", () => {
  expect(readDegrees("−90°")).toEqual({ ok: true, value: -90 });
  expect(readDegrees("").ok).toBe(true);
  expect(readDegrees("400").ok).toBe(false);
});
