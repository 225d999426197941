/** Sheets cover the drawing, share enough, and every two neighbours have two marks in common. */
import fc from "fast-check";
import { expect, test } from "vitest";
import { isOn, OVERLAP_MILLIMETRES, tileCount, tilesOf } from "./tiles.ts";

const SEED = 60_621;
const length = (from: number, to: number) => fc.double({ min: from, max: to, noNaN: true });

test(`any drawing on any sheet (seed ${SEED})`, () => {
  fc.assert(
    fc.property(
      fc.record({ wide: length(30, 1200), deep: length(30, 900) }),
      fc.record({ width: length(150, 400), height: length(110, 400) }),
      fc.array(fc.record({ x: length(0, 1200), y: length(0, 900), r: length(1, 30) }), { maxLength: 12 }),
      ({ wide, deep }, { width, height }, holes) => {
        const drawing = { left: -6, top: -6, right: wide + 6, bottom: deep + 6 };
        const tiling = tilesOf(drawing, width, height, {
          xs: holes.flatMap(({ x, r }) => [x - r, x, x + r]),
          ys: holes.flatMap(({ y, r }) => [y - r, y, y + r]),
          isClear: (x, y, room) => holes.every((one) => Math.abs(Math.hypot(one.x - x, one.y - y) - one.r) > room),
        });
        const { tiles, marks } = tiling;
        expect(tiles).toHaveLength(tileCount(drawing, width, height));
        expect(tiles).toHaveLength(tiling.columns * tiling.rows);
        // From the first edge to the last without a gap.
        const lefts = tiles.filter((one) => one.row === 0).map((one) => one.window.left);
        expect(lefts[0]).toBeLessThanOrEqual(drawing.left + 1e-9);
        expect((lefts[lefts.length - 1] ?? 0) + width).toBeGreaterThanOrEqual(drawing.right - 1e-9);
        for (const [n, left] of lefts.slice(1).entries())
          expect((lefts[n] ?? 0) + width - left).toBeGreaterThanOrEqual(OVERLAP_MILLIMETRES - 1e-6);
        expect(tiling.overlap).toBeGreaterThanOrEqual(OVERLAP_MILLIMETRES - 1e-6);
        expect(new Set(marks.map((one) => one.name)).size).toBe(marks.length);
        for (const mark of marks) {
          expect([Number.isInteger(mark.x), Number.isInteger(mark.y)]).toContain(true);
          expect(tiles.filter((tile) => isOn(tile, mark)).length).toBeGreaterThanOrEqual(2);
        }
        for (const one of tiles)
          for (const other of tiles) {
            const beside =
              (one.row === other.row && other.column === one.column + 1) ||
              (one.column === other.column && other.row === one.row + 1);
            if (!beside) continue;
            const shared = marks.filter((mark) => isOn(one, mark) && isOn(other, mark));
            expect(shared.length, JSON.stringify({ one, other, marks })).toBeGreaterThanOrEqual(2);
          }
      },
    ),
    { seed: SEED, numRuns: 400 },
  );
});

test("a drawing that fits stands in the middle of one sheet, without marks", () => {
  const tiling = tilesOf({ left: 0, top: 0, right: 100, bottom: 60 }, 200, 120, {
    xs: [],
    ys: [],
    isClear: () => true,
  });
  expect(tiling).toMatchObject({ columns: 1, rows: 1, marks: [], upright: [], level: [] });
  expect(tiling.tiles[0]?.window).toEqual({ left: -50, top: -30, right: 150, bottom: 90 });
});
