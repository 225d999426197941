/**
 * Dense LU with partial pivoting on row-major Float64Array, real and complex, in place.
 *
 * Method  Doolittle elimination; the real form updates in panels of four pivots (rank-4 row updates), which halves the
 *         memory traffic of the inner loop. Pivot rows are swapped whole, `pivots[k]` names the row taken at step k.
 * Limits  Returns false when a column has no pivot (all zero or not finite); the matrix is then spoiled.
 * Sources Golub and Van Loan, Matrix Computations, ch. 3 (outer-product and block forms; from memory).
 */
import { assert } from "../result.ts";

/** Factors the n x n matrix `a` in place. False: singular to working precision (a pivot that is 0 or not finite). */
export function luFactor(a: Float64Array, n: number, pivots: Int32Array): boolean {
  assert(
    a.length >= n * n && pivots.length >= n,
    `luFactor: ${a.length} entries and ${pivots.length} pivots for n = ${n}`,
  );
  for (let panel = 0; panel < n; panel += 4) {
    const end = panel + 4 < n ? panel + 4 : n;
    for (let k = panel; k < end; k++) {
      let best = Math.abs(a[k * n + k] as number);
      let row = k;
      for (let i = k + 1; i < n; i++) {
        const size = Math.abs(a[i * n + k] as number);
        if (size > best) {
          best = size;
          row = i;
        }
      }
      if (!(best > 0 && best < Infinity)) return false;
      pivots[k] = row;
      if (row !== k) {
        for (let j = 0, p = k * n, q = row * n; j < n; j++, p++, q++) {
          const t = a[p] as number;
          a[p] = a[q] as number;
          a[q] = t;
        }
      }
      const inverse = 1 / (a[k * n + k] as number);
      for (let i = k + 1; i < n; i++) {
        const factor = (a[i * n + k] as number) * inverse;
        a[i * n + k] = factor;
        if (factor !== 0) {
          for (let j = k + 1; j < end; j++) a[i * n + j] = (a[i * n + j] as number) - factor * (a[k * n + j] as number);
        }
      }
    }
    trailingUpdate(a, n, panel, end);
  }
  return true;
}

/** Rows panel..end of the right block are solved with the panel's unit lower triangle, then all rows below updated. */
function trailingUpdate(a: Float64Array, n: number, panel: number, end: number): void {
  for (let k = panel; k < end; k++) {
    for (let i = k + 1; i < end; i++) {
      const factor = a[i * n + k] as number;
      if (factor === 0) continue;
      for (let j = end, p = i * n + end, q = k * n + end; j < n; j++, p++, q++)
        a[p] = (a[p] as number) - factor * (a[q] as number);
    }
  }
  if (end - panel === 4) {
    const r0 = panel * n;
    const r1 = r0 + n;
    const r2 = r1 + n;
    const r3 = r2 + n;
    for (let i = end; i < n; i++) {
      const base = i * n;
      const f0 = a[base + panel] as number;
      const f1 = a[base + panel + 1] as number;
      const f2 = a[base + panel + 2] as number;
      const f3 = a[base + panel + 3] as number;
      for (let j = end; j < n; j++) {
        a[base + j] =
          (a[base + j] as number) -
          (f0 * (a[r0 + j] as number) +
            f1 * (a[r1 + j] as number) +
            f2 * (a[r2 + j] as number) +
            f3 * (a[r3 + j] as number));
      }
    }
    return;
  }
  for (let i = end; i < n; i++) {
    for (let k = panel; k < end; k++) {
      const factor = a[i * n + k] as number;
      for (let j = end; j < n; j++) a[i * n + j] = (a[i * n + j] as number) - factor * (a[k * n + j] as number);
    }
  }
}

/** Solves A x = b in place of `b`, with the factors of `luFactor`. `offset` is where the vector begins in `b`. */
export function luSolve(a: Float64Array, n: number, pivots: Int32Array, b: Float64Array, offset = 0): void {
  for (let k = 0; k < n; k++) {
    const row = pivots[k] as number;
    if (row !== k) {
      const t = b[offset + k] as number;
      b[offset + k] = b[offset + row] as number;
      b[offset + row] = t;
    }
  }
  // Four rows at a time: four sums that do not wait for each other share what they read of b.
  let i = 0;
  for (; i < n - 3; i += 4) {
    const r0 = i * n;
    const r1 = r0 + n;
    const r2 = r1 + n;
    const r3 = r2 + n;
    let s0 = b[offset + i] as number;
    let s1 = b[offset + i + 1] as number;
    let s2 = b[offset + i + 2] as number;
    let s3 = b[offset + i + 3] as number;
    for (let j = 0; j < i; j++) {
      const x = b[offset + j] as number;
      s0 -= (a[r0 + j] as number) * x;
      s1 -= (a[r1 + j] as number) * x;
      s2 -= (a[r2 + j] as number) * x;
      s3 -= (a[r3 + j] as number) * x;
    }
    s1 -= (a[r1 + i] as number) * s0;
    s2 -= (a[r2 + i] as number) * s0 + (a[r2 + i + 1] as number) * s1;
    s3 -= (a[r3 + i] as number) * s0 + (a[r3 + i + 1] as number) * s1 + (a[r3 + i + 2] as number) * s2;
    b[offset + i] = s0;
    b[offset + i + 1] = s1;
    b[offset + i + 2] = s2;
    b[offset + i + 3] = s3;
  }
  for (; i < n; i++) {
    let sum = b[offset + i] as number;
    for (let j = 0, p = i * n; j < i; j++, p++) sum -= (a[p] as number) * (b[offset + j] as number);
    b[offset + i] = sum;
  }
  for (i = n - 1; i >= 3; i -= 4) {
    const r0 = i * n;
    const r1 = r0 - n;
    const r2 = r1 - n;
    const r3 = r2 - n;
    let s0 = b[offset + i] as number;
    let s1 = b[offset + i - 1] as number;
    let s2 = b[offset + i - 2] as number;
    let s3 = b[offset + i - 3] as number;
    for (let j = i + 1; j < n; j++) {
      const x = b[offset + j] as number;
      s0 -= (a[r0 + j] as number) * x;
      s1 -= (a[r1 + j] as number) * x;
      s2 -= (a[r2 + j] as number) * x;
      s3 -= (a[r3 + j] as number) * x;
    }
    s0 /= a[r0 + i] as number;
    s1 = (s1 - (a[r1 + i] as number) * s0) / (a[r1 + i - 1] as number);
    s2 = (s2 - (a[r2 + i] as number) * s0 - (a[r2 + i - 1] as number) * s1) / (a[r2 + i - 2] as number);
    s3 =
      (s3 - (a[r3 + i] as number) * s0 - (a[r3 + i - 1] as number) * s1 - (a[r3 + i - 2] as number) * s2) /
      (a[r3 + i - 3] as number);
    b[offset + i] = s0;
    b[offset + i - 1] = s1;
    b[offset + i - 2] = s2;
    b[offset + i - 3] = s3;
  }
  for (; i >= 0; i--) {
    let sum = b[offset + i] as number;
    for (let j = i + 1, p = i * n + i + 1; j < n; j++, p++) sum -= (a[p] as number) * (b[offset + j] as number);
    b[offset + i] = sum / (a[i * n + i] as number);
  }
}

/** Solves A' x = b in place of `b` (the transposed system), for adjoints. */
export function luSolveTransposed(a: Float64Array, n: number, pivots: Int32Array, b: Float64Array): void {
  for (let i = 0; i < n; i++) {
    const value = (b[i] as number) / (a[i * n + i] as number);
    b[i] = value;
    for (let j = i + 1; j < n; j++) b[j] = (b[j] as number) - (a[i * n + j] as number) * value;
  }
  for (let i = n - 1; i > 0; i--) {
    const value = b[i] as number;
    for (let j = 0; j < i; j++) b[j] = (b[j] as number) - (a[i * n + j] as number) * value;
  }
  for (let k = n - 1; k >= 0; k--) {
    const row = pivots[k] as number;
    if (row !== k) {
      const t = b[k] as number;
      b[k] = b[row] as number;
      b[row] = t;
    }
  }
}
