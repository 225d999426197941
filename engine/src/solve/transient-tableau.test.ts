import { expect, test } from "vitest";
import { A, C, DENSE, DENSE_FIRST, denseWeights, ERROR, GAMMA, PREDICT, STAGES } from "./transient-tableau.ts";

const dot = (w: ArrayLike<number>, of: (j: number) => number) =>
  Array.from({ length: STAGES }, (_, j) => (w[j] as number) * of(j)).reduce((a, b) => a + b, 0);
const c = (j: number) => C[j] as number;
const row = (i: number) => A.subarray(i * STAGES, (i + 1) * STAGES);
const Ac2 = (i: number) => dot(row(i), (j) => c(j) ** 2);
const b = row(STAGES - 1);

test("rows sum to the abscissae and integrate a line: stage order 2", () => {
  for (let i = 0; i < STAGES; i++) {
    expect(dot(row(i), () => 1)).toBeCloseTo(c(i), 14);
    expect(dot(row(i), c)).toBeCloseTo(c(i) ** 2 / 2, 14);
    expect(c(i)).toBeLessThanOrEqual(1);
    if (i > 0) expect(A[i * STAGES + i]).toBe(GAMMA);
  }
});

test("b has order 4, the estimate's companion order 3 and not 4", () => {
  const orders = (w: ArrayLike<number>) => [
    dot(w, () => 1) - 1,
    dot(w, c) - 1 / 2,
    dot(w, (j) => c(j) ** 2) - 1 / 3,
    dot(w, (j) => c(j) ** 3) - 1 / 4,
    dot(w, Ac2) - 1 / 12,
  ];
  for (const miss of orders(b)) expect(Math.abs(miss)).toBeLessThan(1e-15);
  const companion = orders(Array.from(b, (value, j) => value - (ERROR[j] as number)));
  for (const miss of companion.slice(0, 3)) expect(Math.abs(miss)).toBeLessThan(1e-15);
  expect(Math.abs(companion[3] as number)).toBeGreaterThan(1e-4);
});

/** y1/y0 of y' = (z/h) y over one step, and the ends of dense output at x. */
function step(z: number, x = 1, table = DENSE): number {
  const k: number[] = [];
  for (let i = 0; i < STAGES; i++) {
    let sum = 1;
    for (let j = 0; j < i; j++) sum += (A[i * STAGES + j] as number) * (k[j] as number);
    k.push((z * sum) / (1 - z * (A[i * STAGES + i] as number)));
  }
  const weights = new Float64Array(STAGES);
  denseWeights(x, weights, table);
  return 1 + dot(weights, (j) => k[j] as number);
}

test("L-stable: bounded by 1 for decay at any rate, nothing left at infinity", () => {
  for (let e = -3; e < 12; e += 0.1) expect(Math.abs(step(-(10 ** e)))).toBeLessThan(1);
  expect(Math.abs(step(-1e6))).toBeLessThan(2e-5);
});

test("dense output: order 4 inside, b at the end; the first step's stays bounded when infinitely stiff", () => {
  const weights = new Float64Array(STAGES);
  for (const table of [DENSE, DENSE_FIRST]) {
    for (let x = 0; x <= 1; x += 0.1) {
      denseWeights(x, weights, table);
      expect(dot(weights, () => 1)).toBeCloseTo(x, 11);
      expect(dot(weights, c)).toBeCloseTo(x ** 2 / 2, 11);
      expect(dot(weights, (j) => c(j) ** 2)).toBeCloseTo(x ** 3 / 3, 11);
      expect(dot(weights, (j) => c(j) ** 3)).toBeCloseTo(x ** 4 / 4, 11);
      expect(dot(weights, Ac2)).toBeCloseTo(x ** 4 / 12, 11);
    }
    denseWeights(1, weights, table);
    for (let j = 0; j < STAGES; j++) expect(weights[j]).toBeCloseTo(b[j] as number, 11);
  }
  for (const x of [0.2, 0.5, 0.8]) expect(Math.abs(step(-1e6, x, DENSE_FIRST))).toBeLessThan(10);
});

test("predictors integrate the polynomial through the slopes before them", () => {
  for (let i = 1; i < STAGES; i++)
    for (let p = 0; p < i; p++)
      expect(dot(PREDICT.subarray(i * STAGES), (j) => (j < i ? c(j) ** p : 0))).toBeCloseTo(
        c(i) ** (p + 1) / (p + 1),
        10,
      );
});
