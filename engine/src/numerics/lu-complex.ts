/** Dense complex LU with partial pivoting; real and imaginary parts in two row-major arrays, factored in place. */
import { assert } from "../result.ts";

/** Factors the n x n complex matrix in place. False: a column without a finite, non-zero pivot. */
export function luFactorComplex(re: Float64Array, im: Float64Array, n: number, pivots: Int32Array): boolean {
  assert(
    re.length >= n * n && im.length >= n * n && pivots.length >= n,
    `luFactorComplex: arrays too short for n = ${n}`,
  );
  for (let k = 0; k < n; k++) {
    let best = -1;
    let row = k;
    for (let i = k; i < n; i++) {
      const size = Math.hypot(re[i * n + k] as number, im[i * n + k] as number);
      if (size > best) {
        best = size;
        row = i;
      }
    }
    if (!(best > 0 && best < Infinity)) return false;
    pivots[k] = row;
    if (row !== k) {
      for (let j = 0; j < n; j++) {
        swap(re, k * n + j, row * n + j);
        swap(im, k * n + j, row * n + j);
      }
    }
    const pr = re[k * n + k] as number;
    const pi = im[k * n + k] as number;
    const size = pr * pr + pi * pi;
    for (let i = k + 1; i < n; i++) {
      const ar = re[i * n + k] as number;
      const ai = im[i * n + k] as number;
      if (ar === 0 && ai === 0) continue;
      const fr = (ar * pr + ai * pi) / size;
      const fi = (ai * pr - ar * pi) / size;
      re[i * n + k] = fr;
      im[i * n + k] = fi;
      for (let j = k + 1; j < n; j++) {
        const ur = re[k * n + j] as number;
        const ui = im[k * n + j] as number;
        re[i * n + j] = (re[i * n + j] as number) - (fr * ur - fi * ui);
        im[i * n + j] = (im[i * n + j] as number) - (fr * ui + fi * ur);
      }
    }
  }
  return true;
}

/** Solves A x = b in place of (bRe, bIm). */
export function luSolveComplex(
  re: Float64Array,
  im: Float64Array,
  n: number,
  pivots: Int32Array,
  bRe: Float64Array,
  bIm: Float64Array,
): void {
  for (let k = 0; k < n; k++) {
    const row = pivots[k] as number;
    if (row !== k) {
      swap(bRe, k, row);
      swap(bIm, k, row);
    }
  }
  for (let i = 1; i < n; i++) {
    let sr = bRe[i] as number;
    let si = bIm[i] as number;
    for (let j = 0; j < i; j++) {
      const ar = re[i * n + j] as number;
      const ai = im[i * n + j] as number;
      const xr = bRe[j] as number;
      const xi = bIm[j] as number;
      sr -= ar * xr - ai * xi;
      si -= ar * xi + ai * xr;
    }
    bRe[i] = sr;
    bIm[i] = si;
  }
  for (let i = n - 1; i >= 0; i--) {
    let sr = bRe[i] as number;
    let si = bIm[i] as number;
    for (let j = i + 1; j < n; j++) {
      const ar = re[i * n + j] as number;
      const ai = im[i * n + j] as number;
      const xr = bRe[j] as number;
      const xi = bIm[j] as number;
      sr -= ar * xr - ai * xi;
      si -= ar * xi + ai * xr;
    }
    const pr = re[i * n + i] as number;
    const pi = im[i * n + i] as number;
    const size = pr * pr + pi * pi;
    bRe[i] = (sr * pr + si * pi) / size;
    bIm[i] = (si * pr - sr * pi) / size;
  }
}

function swap(a: Float64Array, i: number, j: number): void {
  const t = a[i] as number;
  a[i] = a[j] as number;
  a[j] = t;
}
