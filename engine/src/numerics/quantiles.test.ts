import { describe, expect, test } from "vitest";
import { quantile, quantileSorted, weightedQuantile } from "./quantiles.ts";
import { seededRandom } from "./random.ts";

describe("quantiles", () => {
  test("by hand: 1 2 3 4 (type 7), and the ends", () => {
    const values = [3, 1, 4, 2];
    expect(quantile(values, 0)).toBe(1);
    expect(quantile(values, 0.25)).toBe(1.75);
    expect(quantile(values, 0.5)).toBe(2.5);
    expect(quantile(values, 1)).toBe(4);
    expect(quantile([7], 0.3)).toBe(7);
    expect(values).toEqual([3, 1, 4, 2]);
    // Numbers, not words: 10 stands after 9.
    expect(quantile([10, 9], 0)).toBe(9);
    expect(quantileSorted([0, 10], 0.9)).toBe(9);
  });

  test.each([1, 2, 3, 4, 5])(
    "at i/(n - 1) it is the order statistic; monotone; moves and scales with its values (seed %d)",
    (seed) => {
      const random = seededRandom(seed);
      const values = Array.from({ length: 2 + random.below(40) }, () => random.normal());
      const sorted = values.toSorted((a, b) => a - b);
      const last = sorted.length - 1;
      sorted.forEach((value, i) => expect(quantile(values, i / last)).toBeCloseTo(value, 12));
      let before = -Infinity;
      for (let p = 0; p <= 1; p += 1 / 64) {
        const here = quantile(values, p);
        expect(here).toBeGreaterThanOrEqual(before);
        before = here;
        expect(
          quantile(
            values.map((v) => 3 - 2 * v),
            1 - p,
          ),
        ).toBeCloseTo(3 - 2 * here, 10);
      }
    },
  );

  test.each([1, 2, 3, 4, 5])(
    "weighted: a whole weight is a value given that often, at the middle of its copies (seed %d)",
    (seed) => {
      const random = seededRandom(seed);
      const values = Array.from({ length: 6 }, () => random.normal());
      const weights = values.map(() => random.below(4));
      weights[0] = 2;
      const total = weights.reduce((a, b) => a + b);
      const sorted = values.map((v, i) => [v, weights[i] as number] as const).toSorted((a, b) => a[0] - b[0]);
      let sum = 0;
      for (const [value, weight] of sorted) {
        if (weight === 0) continue;
        expect(weightedQuantile(values, weights, (sum + weight / 2) / total)).toBeCloseTo(value, 10);
        // The share below it is the sum before it, the share up to it the sum with it.
        expect(weightedQuantile(values, weights, Math.max(0, sum / total - 1e-9))).toBeLessThan(value + 1e-9);
        expect(weightedQuantile(values, weights, Math.min(1, (sum + weight) / total))).toBeGreaterThanOrEqual(
          value - 1e-9,
        );
        sum += weight;
      }
    },
  );

  test("weighted: by hand, scale of the weights, order of the values, halves", () => {
    expect(weightedQuantile([1, 2], [1, 3], 0)).toBe(1);
    expect(weightedQuantile([1, 2], [1, 3], 1 / 8)).toBe(1);
    expect(weightedQuantile([1, 2], [1, 3], 3 / 8)).toBe(1.5);
    expect(weightedQuantile([1, 2], [1, 3], 5 / 8)).toBe(2);
    expect(weightedQuantile([1, 2], [1, 3], 1)).toBe(2);
    expect(weightedQuantile([2, 1], [30, 10], 3 / 8)).toBe(1.5);
    // Equal weights: type 5, whose median is the plain one.
    expect(weightedQuantile([5, 1, 4, 2], [1, 1, 1, 1], 0.5)).toBe(3);
    expect(weightedQuantile([5, 1, 9], [1, 1, 0], 1)).toBe(5);
  });

  test("both recover the normal distribution's quantiles (seed 11, 100,000 draws)", () => {
    const random = seededRandom(11);
    const values = Float64Array.from({ length: 100_000 }, () => random.normal());
    // Standard normal table: 5 % at -1.6449, 90 % at 1.2816.
    expect(Math.abs(quantile(values, 0.05) + 1.6449)).toBeLessThan(0.02);
    expect(Math.abs(quantile(values, 0.9) - 1.2816)).toBeLessThan(0.02);
    // Uniform draws weighted by the density.
    const flat = Float64Array.from({ length: 100_000 }, () => 10 * random.uniform() - 5);
    const weights = flat.map((x) => Math.exp((-x * x) / 2));
    expect(Math.abs(weightedQuantile(flat, weights, 0.9) - 1.2816)).toBeLessThan(0.03);
  });

  test("broken promises throw", () => {
    expect(() => quantile([], 0.5)).toThrow();
    expect(() => quantile([1, Number.NaN], 0.5)).toThrow();
    expect(() => quantile([1], 1.1)).toThrow();
    expect(() => weightedQuantile([1, 2], [1], 0.5)).toThrow();
    expect(() => weightedQuantile([1, 2], [1, -1], 0.5)).toThrow();
    expect(() => weightedQuantile([1, 2], [0, 0], 0.5)).toThrow();
    expect(() => weightedQuantile([1, 2], [1, 1], Number.NaN)).toThrow();
    expect(() => weightedQuantile([1, Number.NaN], [1, 1], 0.5)).toThrow();
  });
});
