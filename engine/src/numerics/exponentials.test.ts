import { describe, expect, test } from "vitest";
import { exponential, logOnePlus } from "./exponentials.ts";
import { seededRandom } from "./random.ts";

const worst = (count: number, of: (i: number) => number): number => {
  let most = 0;
  for (let i = 0; i < count; i++) most = Math.max(most, of(i));
  return most;
};

describe("exponential", () => {
  test.each([1, 40, 690])("relative error below 1e-15 (1 + |x| / 4) for |x| up to %f (seed 1)", (reach) => {
    const random = seededRandom(1);
    const error = worst(20000, () => {
      const x = reach * (2 * random.uniform() - 1);
      return Math.abs(exponential(x) / Math.exp(x) - 1) / (1 + Math.abs(x) / 4);
    });
    expect(error).toBeLessThan(1e-15);
  });

  test("exact at zero, and Math.exp itself beyond reach", () => {
    expect(exponential(0)).toBe(1);
    expect(exponential(-0)).toBe(1);
    for (const x of [-1e308, -745.2, -744, -720, -700, 700, 709, 710, 1e300, Infinity, -Infinity])
      expect(exponential(x)).toBe(Math.exp(x));
    expect(exponential(Number.NaN)).toBeNaN();
  });

  test("never falls between neighbours a millionth apart", () => {
    for (let i = 0; i < 20000; i++) {
      const x = -10 + i * 1e-3;
      expect(exponential(x + 1e-6)).toBeGreaterThan(exponential(x));
    }
  });
});

describe("logOnePlus", () => {
  test("relative error below 1e-15 on the whole of [0, 1], down to 1e-300 (seed 2)", () => {
    const random = seededRandom(2);
    expect(
      worst(20000, () => {
        const t = random.uniform();
        return Math.abs(logOnePlus(t) / Math.log1p(t) - 1);
      }),
    ).toBeLessThan(1e-15);
    expect(
      worst(20000, () => {
        const t = 10 ** (-300 * random.uniform());
        return Math.abs(logOnePlus(t) / Math.log1p(t) - 1);
      }),
    ).toBeLessThan(1e-15);
  });

  test("ends and what is not a number", () => {
    expect(logOnePlus(0)).toBe(0);
    expect(logOnePlus(1)).toBeCloseTo(Math.LN2, 15);
    expect(logOnePlus(Number.NaN)).toBeNaN();
  });
});
