import { describe, expect, test } from "vitest";
import { quasiRandom } from "./quasi-random.ts";
import { seededRandom } from "./random.ts";

const points = (dimensions: number, count: number, seed?: number) => {
  const sequence = quasiRandom(dimensions, seed);
  return Array.from({ length: count }, (_, n) => {
    const out = new Float64Array(dimensions);
    sequence.point(n, out);
    return out;
  });
};

/** Warnock's closed form of the squared L2 star discrepancy. */
function discrepancySquared(list: readonly Float64Array[]): number {
  const n = list.length;
  const dimensions = (list[0] as Float64Array).length;
  let single = 0;
  let pairs = 0;
  for (const x of list) {
    single += x.reduce((product, v) => product * (1 - v * v), 1);
    for (const y of list) pairs += x.reduce((product, v, d) => product * (1 - Math.max(v, y[d] as number)), 1);
  }
  return 3 ** -dimensions - (2 ** (1 - dimensions) * single) / n + pairs / (n * n);
}

describe("quasi-random points", () => {
  test("without a seed they are Halton's: digits of n + 1 mirrored at the point", () => {
    expect(points(1, 7).map((x) => x[0])).toEqual([1 / 2, 1 / 4, 3 / 4, 1 / 8, 5 / 8, 3 / 8, 7 / 8]);
    const thirds = points(2, 8).map((x) => x[1] as number);
    [1 / 3, 2 / 3, 1 / 9, 4 / 9, 7 / 9, 2 / 9, 5 / 9, 8 / 9].forEach((wanted, i) =>
      expect(thirds[i]).toBeCloseTo(wanted, 14),
    );
  });

  test.each([1, 2, 3])("in every base, base^2 - 1 points and the corner hit each cell once (seed %d)", (seed) => {
    for (const [d, base] of [2, 3, 5, 7, 11, 13].entries()) {
      const cells = points(6, base * base - 1, seed).map((x) => Math.floor((x[d] as number) * base * base + 1e-9));
      expect(new Set(cells).size).toBe(base * base - 1);
      expect(cells).not.toContain(0);
      for (const cell of cells) expect(cell).toBeLessThan(base * base);
    }
  });

  test.each([
    [2, undefined],
    [4, undefined],
    [4, 1],
    [8, 2],
  ])("L2 discrepancy in %d dimensions (seed %s): a third of random's mean, or less", (dimensions, seed) => {
    const n = 512;
    // E D^2 of n random points is (2^-d - 3^-d)/n.
    const random = (2 ** -dimensions - 3 ** -dimensions) / n;
    expect(Math.sqrt(discrepancySquared(points(dimensions, n, seed)) / random)).toBeLessThan(
      dimensions < 8 ? 1 / 3 : 0.8,
    );
  });

  test("the closed form of the discrepancy itself, on random points (seed 9)", () => {
    const source = seededRandom(9);
    let sum = 0;
    for (let run = 0; run < 40; run++)
      sum += discrepancySquared(Array.from({ length: 64 }, () => Float64Array.of(source.uniform(), source.uniform())));
    expect(sum / 40 / ((1 / 4 - 1 / 9) / 64)).toBeGreaterThan(0.7);
    expect(sum / 40 / ((1 / 4 - 1 / 9) / 64)).toBeLessThan(1.4);
  });

  test("the mean of a smooth function settles faster than 1/sqrt(n) (seed 3)", () => {
    const error = (n: number) => {
      let sum = 0;
      for (const x of points(5, n, 3)) sum += Math.exp(x.reduce((a, v) => a + v, 0) / 5);
      return Math.abs(sum / n - (5 * (Math.exp(1 / 5) - 1)) ** 5);
    };
    // The worst of a few counts near each end, so that a lucky crossing of zero does not decide.
    const worst = (n: number) => Math.max(error(n - 31), error(n), error(n + 17));
    expect(worst(16384) / worst(256)).toBeLessThan(64 ** -0.75);
  });

  test("the same seed gives the same points, another seed others; dimensions out of range throw", () => {
    expect(points(10, 5, 4)).toEqual(points(10, 5, 4));
    expect(points(10, 40, 4)).not.toEqual(points(10, 40, 5));
    expect(() => quasiRandom(0)).toThrow();
    expect(() => quasiRandom(33)).toThrow();
  });
});
