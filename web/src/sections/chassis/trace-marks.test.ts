/** The order of marks on a photo: what is next, what is taken back, what comes of them. */
import fc from "fast-check";
import { expect, test } from "vitest";
import { marked, type Marks, nextOf, NO_MARKS, STEPS, tracedOf, unmarked, withoutHole } from "./trace-marks.ts";

const at = (u: number, v: number) => ({ u, v, pixels: 1 });

/** A photo of 4 pixels to a millimetre, its corner at 100, 800. */
const FRAME = [at(100, 700), at(1300, 700), at(200, 800), at(200, 80), at(100, 800), at(1300, 800)];
const framed = FRAME.reduce(marked, NO_MARKS);

test("the frame is set in order, then holes by centre and rim, or by three rim points", () => {
  expect(nextOf(NO_MARKS)).toBe("alongFrom");
  expect(nextOf(framed)).toBeUndefined();
  const two = [at(500, 400), at(544, 400)].reduce(marked, framed);
  const three = [at(900, 356), at(944, 400), at(900, 444)].reduce(marked, { ...two, by: "rim" } as Marks);
  expect(three.holes.map((one) => one.marks.length)).toEqual([2, 3]);
  const traced = tracedOf(three, { along: 300, across: 180 }, false);
  const [first, second] = (traced?.holes ?? []).map((one) => (one.ok ? one.value : undefined));
  expect(first).toMatchObject({ x: 100, y: 100 });
  expect(first?.diameterMillimetres).toBeCloseTo(22, 9);
  expect(second?.x).toBeCloseTo(200, 9);
  expect(second?.diameterMillimetres).toBeCloseTo(22, 9);
  expect(withoutHole(three, 0).holes.length).toBe(1);
});

test("a mark can be set anew without the others", () => {
  const again = marked({ ...framed, again: "corner" }, at(104, 796));
  expect(again.frame).toEqual({ ...framed.frame, corner: at(104, 796) });
  expect(nextOf(again)).toBeUndefined();
});

test("without the whole frame nothing is traced, without lengths it says so", () => {
  expect(tracedOf(NO_MARKS, { along: 300, across: 180 }, false)).toBeUndefined();
  const traced = tracedOf(framed, { along: 300, across: undefined }, false);
  expect(traced?.map.ok === false && traced.map.failure).toMatch(/Write both known distances/);
});

test("every mark that is set is taken back in turn, to the beginning, seed 45", () => {
  fc.assert(
    fc.property(fc.array(fc.tuple(fc.nat(2000), fc.nat(2000)), { maxLength: 20 }), (presses) => {
      const all = presses.reduce<Marks[]>(
        (seen, [u, v]) => [...seen, marked(seen.at(-1) ?? NO_MARKS, at(u, v))],
        [NO_MARKS],
      );
      let now = all.at(-1) ?? NO_MARKS;
      for (const before of all.slice(0, -1).reverse()) {
        now = unmarked(now);
        expect(now).toEqual(before);
      }
      expect(Object.keys(now.frame).length).toBe(0);
      expect(STEPS.length).toBe(6);
    }),
    { seed: 45 },
  );
});
