/**
 * Transposed solve with the factors of `sparseFactor`: one solve answers every injection into one output.
 *
 * Law     A = L U in the program's order, L with ones on its diagonal: A^T x = b is U^T y = b, then L^T x = y.
 */
import type { SparseProgram } from "../numerics/sparse-lu.ts";

/** Solves A^T x = b in place of (bRe, bIm); the transpose, not the conjugate. */
export function sparseSolveTransposed(
  program: SparseProgram,
  re: Float64Array,
  im: Float64Array,
  inverseRe: Float64Array,
  inverseIm: Float64Array,
  bRe: Float64Array,
  bIm: Float64Array,
): void {
  const { n, order, lower, lowerStart, upper, upperStart } = program;
  for (let k = 0; k < n; k++) {
    const unknown = order[k] as number;
    const sr = bRe[unknown] as number;
    const si = bIm[unknown] as number;
    if (sr === 0 && si === 0) continue;
    const ir = inverseRe[unknown] as number;
    const ii = inverseIm[unknown] as number;
    const yr = sr * ir - si * ii;
    const yi = sr * ii + si * ir;
    bRe[unknown] = yr;
    bIm[unknown] = yi;
    const end = upperStart[k + 1] as number;
    for (let s = upperStart[k] as number; s < end; s += 2) {
      const j = upper[s] as number;
      const slot = upper[s + 1] as number;
      const ur = re[slot] as number;
      const ui = im[slot] as number;
      bRe[j] = (bRe[j] as number) - (ur * yr - ui * yi);
      bIm[j] = (bIm[j] as number) - (ur * yi + ui * yr);
    }
  }
  for (let k = n - 1; k >= 0; k--) {
    const unknown = order[k] as number;
    let sr = bRe[unknown] as number;
    let si = bIm[unknown] as number;
    const end = lowerStart[k + 1] as number;
    for (let s = lowerStart[k] as number; s < end; s += 2) {
      const i = lower[s] as number;
      const slot = lower[s + 1] as number;
      const fr = re[slot] as number;
      const fi = im[slot] as number;
      const xr = bRe[i] as number;
      const xi = bIm[i] as number;
      sr -= fr * xr - fi * xi;
      si -= fr * xi + fi * xr;
    }
    bRe[unknown] = sr;
    bIm[unknown] = si;
  }
}
