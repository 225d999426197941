import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import type { Box } from "../bounds.ts";
import type { Point } from "../scene.ts";
import { clipLine, clipSegment, cross, fromSegment, hatch, stationsFromEnd } from "./geometry.ts";
import { simplify } from "./simplify.ts";
import { spread } from "./spread.ts";

const box: Box = { left: 10, right: 30, top: 5, bottom: 25 };
const inside = ([x, y]: Point, edge = 0) =>
  x >= box.left - edge && x <= box.right + edge && y >= box.top - edge && y <= box.bottom + edge;
const between = ([x0, y0]: Point, [x1, y1]: Point, t: number): Point => [x0 + t * (x1 - x0), y0 + t * (y1 - y0)];
const place = (random: { uniform(): number }): Point => [40 * random.uniform(), 35 * random.uniform()];

describe("clipping", () => {
  test("keeps exactly the part of a segment that is inside (seed 1)", () => {
    const random = seededRandom(1);
    for (let n = 0; n < 500; n++) {
      const [from, to] = [place(random), place(random)];
      const kept = clipSegment(from, to, box);
      const samples = Array.from({ length: 101 }, (_, k) => between(from, to, k / 100));
      if (kept === undefined) expect(samples.some((point) => inside(point, -1e-9))).toBe(false);
      else {
        for (const end of kept) {
          expect(inside(end, 1e-9)).toBe(true);
          expect(fromSegment(end, from, to)).toBeLessThan(1e-9);
        }
        const covered = samples.filter((sample) => inside(sample)).map((point) => fromSegment(point, ...kept));
        expect(Math.max(0, ...covered)).toBeLessThan(1e-9);
      }
    }
  });

  test("a line is parted where it leaves and where a point is no number", () => {
    const line: readonly Point[] = [
      [12, 10],
      [12, 40],
      [20, 40],
      [20, 10],
      [22, Number.NaN],
      [24, 10],
      [26, 10],
    ];
    expect(clipLine(line, box)).toEqual([
      [
        [12, 10],
        [12, 25],
      ],
      [
        [20, 25],
        [20, 10],
      ],
      [
        [24, 10],
        [26, 10],
      ],
    ]);
    expect(clipLine([[1, 1]], box)).toEqual([]);
  });

  test("a hatch stays inside, at 45 degrees, evenly apart", () => {
    const lines = hatch(box, 2);
    expect(lines.length).toBe(20);
    for (const [from, to] of lines) {
      expect(inside(from, 1e-9) && inside(to, 1e-9)).toBe(true);
      expect(to[0] - from[0]).toBeCloseTo(from[1] - to[1], 9);
    }
  });
});

test("a simpler line keeps its ends and no point of the first is farther away than told (seed 2)", () => {
  const random = seededRandom(2);
  for (let n = 0; n < 40; n++) {
    const line = Array.from({ length: 200 }, (_, k): Point => [k / 5, 10 * Math.sin(k / 9) + random.normal() * 0.05]);
    const simple = simplify(line, 0.2);
    expect(simple.length).toBeLessThan(line.length / 2);
    expect([simple[0], simple.at(-1)]).toEqual([line[0], line.at(-1)]);
    const distances = line.map((point) =>
      Math.min(...simple.slice(1).map((to, k) => fromSegment(point, simple[k] as Point, to))),
    );
    expect(Math.max(...distances)).toBeLessThanOrEqual(0.2);
  }
});

test("a long ripple is drawn with as many points as its width can show, and keeps its height", () => {
  const line = Array.from({ length: 50_001 }, (_, k): Point => [k / 1250, 20 + 3 * Math.sin(k / 5) + k / 5000]);
  const simple = simplify(line, 0.05);
  expect(simple.length).toBeLessThan((4 * 40) / 0.025 + line.length / 256);
  const away = line
    .filter((_, k) => k % 500 === 0)
    .map((point) => Math.min(...simple.slice(1).map((to, k) => fromSegment(point, simple[k] as Point, to))));
  expect(Math.max(...away)).toBeLessThanOrEqual(0.05);
  const top = (list: readonly Point[]) => list.reduce((highest, [, y]) => Math.max(highest, y), 0);
  expect(Math.abs(top(simple) - top(line))).toBeLessThanOrEqual(0.05);
});

test("segments cross when each parts the ends of the other (seed 4)", () => {
  const random = seededRandom(4);
  for (let n = 0; n < 300; n++) {
    const [a, b, c, d] = [place(random), place(random), place(random), place(random)] as const;
    // Independently: the parameters of the meeting point of the two lines, by Cramer's rule.
    const [ux, uy, vx, vy] = [b[0] - a[0], b[1] - a[1], c[0] - d[0], c[1] - d[1]];
    const determinant = ux * vy - uy * vx;
    const s = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / determinant;
    const t = (ux * (c[1] - a[1]) - uy * (c[0] - a[0])) / determinant;
    expect(cross([a, b], [c, d])).toBe(s > 0 && s < 1 && t > 0 && t < 1);
  }
});

test("stations stand at even lengths from the end", () => {
  const stations = stationsFromEnd(
    [
      [0, 0],
      [10, 0],
      [10, 10],
    ],
    4,
  );
  expect(stations).toEqual([
    [10, 10],
    [10, 5],
    [10, 0],
    [5, 0],
  ]);
});

describe("spread", () => {
  test("keeps order, pitch and room, and no feasible step makes it better (seed 3)", () => {
    const random = seededRandom(3);
    for (let n = 0; n < 300; n++) {
      const wanted = Array.from({ length: 1 + random.below(7) }, () => 40 * random.uniform());
      const heights = spread(wanted, 4, 2, 38) as readonly number[];
      const order = wanted.map((_, k) => k).sort((a, b) => (wanted[a] as number) - (wanted[b] as number));
      const feasible = (list: readonly number[]) =>
        order.every((k, rank) => {
          const before = rank === 0 ? -Infinity : (list[order[rank - 1] as number] as number);
          return (
            (list[k] as number) - before >= 4 - 1e-9 &&
            (list[k] as number) >= 2 - 1e-9 &&
            (list[k] as number) <= 38 + 1e-9
          );
        });
      const cost = (list: readonly number[]) =>
        list.reduce((sum, height, k) => sum + (height - (wanted[k] as number)) ** 2, 0);
      expect(feasible(heights)).toBe(true);
      for (let trial = 0; trial < 30; trial++) {
        const from = random.below(order.length);
        const moved = [...heights];
        const step = (random.uniform() - 0.5) * 2;
        for (const k of order.slice(from, from + 1 + random.below(order.length)))
          moved[k] = (moved[k] as number) + step;
        if (feasible(moved)) expect(cost(moved)).toBeGreaterThanOrEqual(cost(heights) - 1e-9);
      }
    }
  });

  test("says when there is no room", () => {
    expect(spread([1, 2, 3], 4, 0, 7)).toBeUndefined();
    expect(spread([1, 2, 3], 4, 0, 8)).toEqual([0, 4, 8]);
    expect(spread([], 4, 0, 8)).toEqual([]);
  });
});
