/**
 * The Runge-Kutta scheme of the transient solve: coefficients, dense output, stage predictors.
 *
 * Law     ESDIRK4(3)6L[2]SA: explicit first stage, five implicit stages with one diagonal 1/4, order 4, embedded order 3,
 *         stage order 2, L-stable and stiffly accurate. Every abscissa lies inside the step, so that no function of time
 *         is asked beyond a break.
 * Dense   y(t + x h) = y + h sum b_j(x) k_j with b_j of degree 4 in x: the order conditions up to 4 hold for every x
 *         (five, because stage order 2 makes the others follow), the ends join in value and slope.
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

/**
 * Coefficients of b_j(x), [4 j + p] multiplying x^(p + 1): a cubic with the slopes k_1 and k_6 at its ends, plus
 * x^2 (1 - x)^2 w_j. Order 4 asks five things of w; A sixth is free.
 */
function dense(w: Float64Array): Float64Array {
  const n = STAGES;
  const table = new Float64Array(4 * n);
  for (let j = 0; j < n; j++) {
    const b = A[(n - 1) * n + j] as number;
    const first = j === 0 ? 1 : 0;
    const last = j === n - 1 ? 1 : 0;
    const wj = w[j] as number;
    table.set([first, 3 * b - 2 * first - last + wj, -2 * b + first + last - 2 * wj, wj], 4 * j);
  }
  return table;
}

/** The five conditions on w, row-major: its sums with 1, c, c^2, c^3 and A c^2. */
function conditions(): { readonly rows: Float64Array; readonly right: Float64Array } {
  const n = STAGES;
  const rows = new Float64Array(5 * n);
  for (let j = 0; j < n; j++) {
    const c = C[j] as number;
    rows.set([1], j);
    rows.set([c], n + j);
    rows.set([c * c], 2 * n + j);
    rows.set([c * c * c], 3 * n + j);
    rows.set([sum(j, (i) => (C[i] as number) ** 2)], 4 * n + j);
  }
  return { rows, right: Float64Array.of(0, 0, 0, 1 / 4, 1 / 12) };
}

/** Dense output of the smallest w: within a segment. */
export const DENSE: Float64Array = (() => {
  const n = STAGES;
  const { rows, right } = conditions();
  const gram = new Float64Array(25);
  for (let p = 0; p < 5; p++)
    for (let q = 0; q < 5; q++)
      for (let j = 0; j < n; j++)
        gram[5 * p + q] = (gram[5 * p + q] as number) + (rows[p * n + j] as number) * (rows[q * n + j] as number);
  const pivots = new Int32Array(5);
  luFactor(gram, 5, pivots);
  luSolve(gram, 5, pivots, right);
  const w = new Float64Array(n);
  for (let j = 0; j < n; j++)
    for (let p = 0; p < 5; p++) w[j] = (w[j] as number) + (rows[p * n + j] as number) * (right[p] as number);
  return dense(w);
})();

/**
 * Dense output in which k_1 has no weight where stiffness is infinite, as it has none in b: for the first step of a
 * segment, where the slopes of algebraic modes are not known. Order 4 as well, with larger weights.
 */
export const DENSE_FIRST: Float64Array = (() => {
  const n = STAGES;
  // The weight of k_1 in each k_i when stiffness is infinite.
  const block = new Float64Array((n - 1) * (n - 1));
  const weight = new Float64Array(n - 1);
  for (let i = 1; i < n; i++) {
    for (let j = 1; j < n; j++) block[(i - 1) * (n - 1) + j - 1] = A[i * n + j] as number;
    weight[i - 1] = A[i * n] as number;
  }
  const pivots = new Int32Array(n);
  luFactor(block, n - 1, pivots);
  luSolve(block, n - 1, pivots, weight);
  const matrix = new Float64Array(n * n);
  matrix.set(conditions().rows);
  for (let j = 0; j < n; j++) matrix[5 * n + j] = j === 0 ? 1 : -(weight[j - 1] as number);
  luFactor(matrix, n, pivots);
  const right = [
    [1, 0, 0, 0, 0, 0],
    [0, 1 / 2, 0, 0, 0, 0],
    [0, 0, 1 / 3, 0, 0, 0],
    [0, 0, 0, 1 / 4, 1 / 12, 0],
  ];
  const table = new Float64Array(4 * n);
  for (const [p, column] of right.entries()) {
    const b = Float64Array.from(column);
    luSolve(matrix, n, pivots, b);
    for (let j = 0; j < n; j++) table[4 * j + p] = b[j] as number;
  }
  return table;
})();

/** b_j at x into `out`, of one of the two tables. */
export function denseWeights(x: number, out: Float64Array, table: Float64Array): void {
  for (let j = 0; j < STAGES; j++) {
    const at = 4 * j;
    out[j] =
      x *
      ((table[at] as number) +
        x * ((table[at + 1] as number) + x * ((table[at + 2] as number) + x * (table[at + 3] as number))));
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
