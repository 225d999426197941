/**
 * The Runge-Kutta scheme of the transient solve: coefficients, dense output, stage predictors.
 *
 * Law     ESDIRK4(3)6L[2]SA: explicit first stage, five implicit stages with one diagonal 1/4, order 4, embedded order 3,
 *         stage order 2, L-stable and stiffly accurate. Every abscissa lies inside the step, so that no function of time
 *         is asked beyond a break.
 * Dense   y(t + x h) = y + h sum b_j(x) k_j with b_j of degree 4 in x, from the order conditions up to 4 for every x
 *         (five, because stage order 2 makes the others follow) and a sixth: in the limit of infinite stiffness the slope
 *         at the start of the step has no weight, as it has none at its end.
 * Sources Kennedy and Carpenter, NASA TM-2001-211038 and Appl. Numer. Math. 44 (2003) 139, the implicit part of
 *         ARK4(3)6L[2]SA; the entries agree with the table compiled into SUNDIALS 6.4 (ARK436L2SA_DIRK_6_3_4). The dense
 *         output is ours: theirs is of order 3.
 */
import { luFactor, luSolve } from "../numerics/lu.ts";

export const STAGES = 6;
export const GAMMA = 1 / 4;

/** a_ij, row-major 6 x 6; the last row is b. */
export const A = Float64Array.from(
  [
    [0, 0, 0, 0, 0, 0],
    [GAMMA, GAMMA, 0, 0, 0, 0],
    [8611 / 62500, -1743 / 31250, GAMMA, 0, 0, 0],
    [5012029 / 34652500, -654441 / 2922500, 174375 / 388108, GAMMA, 0, 0],
    [15267082809 / 155376265600, -71443401 / 120774400, 730878875 / 902184768, 2285395 / 8070912, GAMMA, 0],
    [82889 / 524892, 0, 15625 / 83664, 69875 / 102672, -2260 / 8211, GAMMA],
  ].flat(),
);

export const C = Float64Array.of(0, 1 / 2, 83 / 250, 31 / 50, 17 / 20, 1);

/** b - b^: weights of the error estimate. */
export const ERROR = Float64Array.of(
  82889 / 524892 - 4586570599 / 29645900160,
  0,
  15625 / 83664 - 178811875 / 945068544,
  69875 / 102672 - 814220225 / 1159782912,
  -2260 / 8211 + 3700637 / 11593932,
  GAMMA - 61727 / 225920,
);

const sum = (row: number, of: (j: number) => number): number => {
  let total = 0;
  for (let j = 0; j < STAGES; j++) total += (A[row * STAGES + j] as number) * of(j);
  return total;
};

/** Coefficients of b_j(x): DENSE[4 j + p] multiplies x^(p + 1). */
export const DENSE: Float64Array = (() => {
  const n = STAGES;
  // w solves the implicit block against the first column: the weight of k_1 in each k_i when stiffness is infinite.
  const block = new Float64Array((n - 1) * (n - 1));
  const w = new Float64Array(n - 1);
  for (let i = 1; i < n; i++) {
    for (let j = 1; j < n; j++) block[(i - 1) * (n - 1) + j - 1] = A[i * n + j] as number;
    w[i - 1] = A[i * n] as number;
  }
  const pivots = new Int32Array(n);
  luFactor(block, n - 1, pivots);
  luSolve(block, n - 1, pivots, w);
  const conditions = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    const c = C[j] as number;
    conditions[j] = 1;
    conditions[n + j] = c;
    conditions[2 * n + j] = c * c;
    conditions[3 * n + j] = c * c * c;
    conditions[4 * n + j] = sum(j, (i) => (C[i] as number) ** 2);
    conditions[5 * n + j] = j === 0 ? 1 : -(w[j - 1] as number);
  }
  luFactor(conditions, n, pivots);
  const right = [
    [1, 0, 0, 0, 0, 0],
    [0, 1 / 2, 0, 0, 0, 0],
    [0, 0, 1 / 3, 0, 0, 0],
    [0, 0, 0, 1 / 4, 1 / 12, 0],
  ];
  const dense = new Float64Array(4 * n);
  for (const [p, column] of right.entries()) {
    const b = Float64Array.from(column);
    luSolve(conditions, n, pivots, b);
    for (let j = 0; j < n; j++) dense[4 * j + p] = b[j] as number;
  }
  return dense;
})();

/** b_j at x into `out`. */
export function denseWeights(x: number, out: Float64Array): void {
  for (let j = 0; j < STAGES; j++) {
    const at = 4 * j;
    out[j] =
      x *
      ((DENSE[at] as number) +
        x * ((DENSE[at + 1] as number) + x * ((DENSE[at + 2] as number) + x * (DENSE[at + 3] as number))));
  }
}

/**
 * Predictors of stage i from the slopes of the stages before it: row i integrates, from 0 to c_i, the polynomial through
 * them. A guess only: Newton corrects it.
 */
export const PREDICT: Float64Array = (() => {
  const rows = new Float64Array(STAGES * STAGES);
  for (let i = 1; i < STAGES; i++) {
    // Moments: sum_j a_j c_j^p = c_i^(p+1) / (p + 1), p < i.
    const m = new Float64Array(i * i);
    const b = new Float64Array(i);
    const pivots = new Int32Array(i);
    for (let p = 0; p < i; p++) {
      for (let j = 0; j < i; j++) m[p * i + j] = (C[j] as number) ** p;
      b[p] = (C[i] as number) ** (p + 1) / (p + 1);
    }
    luFactor(m, i, pivots);
    luSolve(m, i, pivots, b);
    rows.set(b, i * STAGES);
  }
  return rows;
})();
