import { describe, expect, test } from "vitest";
import { leastSquares } from "./least-squares.ts";
import { seededRandom } from "./random.ts";

const model = (x: Float64Array, t: number) => (x[0] as number) * Math.exp(-(x[1] as number) * t) + (x[2] as number);
const times = Array.from({ length: 40 }, (_, i) => i / 10);
const truth = Float64Array.from([3, 0.9, 0.5]);

function fit(seed: number, sigma: number, start = [1, 1, 0]) {
  const random = seededRandom(seed);
  const data = times.map((t) => model(truth, t) + sigma * random.normal());
  return leastSquares(
    (x) => Float64Array.from(times, (t, i) => (model(x, t) - (data[i] as number)) / (sigma || 1)),
    start,
  );
}

describe("least squares", () => {
  test("recovers planted parameters without noise", () => {
    const answer = fit(1, 0);
    if (!answer.ok) throw new Error(answer.failure.kind);
    answer.value.x.forEach((v, i) => expect(v).toBeCloseTo(truth[i] as number, 8));
    expect(answer.value.effort.iterations).toBeLessThan(30);
  });

  test("the covariance agrees with the scatter of 300 noisy fits (seeds 1 to 300)", () => {
    const sigma = 0.02;
    const fits = Array.from({ length: 300 }, (_, s) => fit(s + 1, sigma, [3, 1, 0.4]));
    const first = fits[0];
    if (first === undefined || !first.ok) throw new Error("first fit");
    for (let i = 0; i < 3; i++) {
      const xs = fits.map((f) => (f.ok ? (f.value.x[i] as number) : Number.NaN));
      const mean = xs.reduce((a, b) => a + b) / xs.length;
      const sd = Math.sqrt(xs.reduce((a, b) => a + (b - mean) ** 2, 0) / (xs.length - 1));
      expect(Math.sqrt(first.value.covariance[i * 3 + i] as number) / sd).toBeGreaterThan(0.85);
      expect(Math.sqrt(first.value.covariance[i * 3 + i] as number) / sd).toBeLessThan(1.18);
    }
  });

  test("a parameter without effect is named", () => {
    const answer = leastSquares((x) => Float64Array.of((x[0] as number) - 1, (x[0] as number) - 1), [0, 5]);
    expect(answer.ok).toBe(false);
    if (!answer.ok) expect(answer.failure).toEqual({ kind: "degenerate", parameter: 1 });
  });

  test("a start that is not finite is refused", () => {
    expect(leastSquares(() => Float64Array.of(Number.NaN), [1]).ok).toBe(false);
  });
});
