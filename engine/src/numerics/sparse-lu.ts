/**
 * Sparse complex LU in a fixed order: an index program made once per pattern, run for every frequency and value.
 *
 * Method  Minimum-degree order on the symmetric pattern, diagonal pivots, fill computed once; the program is the list of
 *         slots touched in elimination order, so that a factoring is one pass over flat arrays.
 *         The real forms serve dc.
 * Limits  Diagonal pivots are safe for nodal matrices of passive networks; with the slopes of tubes stamped in they
 *         were so in every case tried (docs/solves.md). A pivot that vanishes is reported, never divided by.
 */
import { assert } from "../result.ts";

export interface SparseProgram {
  readonly n: number;
  /** Number of stored slots, fill included. */
  readonly slots: number;
  /** Elimination order: order[k] is the unknown eliminated at step k. */
  readonly order: Int32Array;
  /** Slot of entry (row, column) in the original numbering; -1 where the pattern is zero. */
  slot(row: number, column: number): number;
  readonly diagonal: Int32Array;
  /** Flat program: per step, for each row below: slot of the factor, count, then (target, source) pairs. */
  readonly steps: Int32Array;
  readonly stepStart: Int32Array;
  /** Per step k: columns right of the pivot (unknown, slot) pairs, for the backward pass. */
  readonly upper: Int32Array;
  readonly upperStart: Int32Array;
  /** Per step k: rows below the pivot (unknown, slot) pairs, for the forward pass. */
  readonly lower: Int32Array;
  readonly lowerStart: Int32Array;
}

/** Makes the program for an n x n matrix whose pattern is the given symmetric pairs (the diagonal is always there). */
export function sparseProgram(n: number, pairs: Iterable<readonly [number, number]>): SparseProgram {
  const pattern: Set<number>[] = Array.from({ length: n }, () => new Set<number>());
  for (const [i, j] of pairs) {
    assert(i >= 0 && i < n && j >= 0 && j < n, `sparseProgram: pair (${i}, ${j}) outside n = ${n}`);
    if (i === j) continue;
    pattern[i]?.add(j);
    pattern[j]?.add(i);
  }
  const { order, filled } = minimumDegree(n, pattern);
  const place = new Int32Array(n);
  order.forEach((unknown, k) => {
    place[unknown] = k;
  });
  const index = new Int32Array(n * n).fill(-1);
  let slots = 0;
  for (let i = 0; i < n; i++) index[i * n + i] = slots++;
  filled.forEach((row, i) => {
    for (const j of row) index[i * n + j] = slots++;
  });
  const at = (i: number, j: number) => index[i * n + j] as number;
  const steps: number[] = [];
  const upper: number[] = [];
  const lower: number[] = [];
  const stepStart = new Int32Array(n + 1);
  const upperStart = new Int32Array(n + 1);
  const lowerStart = new Int32Array(n + 1);
  for (let k = 0; k < n; k++) {
    const pivot = order[k] as number;
    const later = [...(filled[pivot] as Set<number>)].filter((j) => (place[j] as number) > k);
    later.sort((p, q) => (place[p] as number) - (place[q] as number));
    for (const i of later) {
      lower.push(i, at(i, pivot));
      upper.push(i, at(pivot, i));
      steps.push(at(i, pivot), later.length);
      for (const j of later) steps.push(at(i, j), at(pivot, j));
    }
    stepStart[k + 1] = steps.length;
    upperStart[k + 1] = upper.length;
    lowerStart[k + 1] = lower.length;
  }
  return {
    n,
    slots,
    order: Int32Array.from(order),
    slot: (row, column) => at(row, column),
    diagonal: Int32Array.from({ length: n }, (_, i) => at(i, i)),
    steps: Int32Array.from(steps),
    stepStart,
    upper: Int32Array.from(upper),
    upperStart,
    lower: Int32Array.from(lower),
    lowerStart,
  };
}

/** Repeatedly takes the unknown with the fewest neighbours left and joins those neighbours. */
function minimumDegree(n: number, pattern: readonly Set<number>[]): { order: number[]; filled: Set<number>[] } {
  const left = new Set<number>(Array.from({ length: n }, (_, i) => i));
  const graph = pattern.map((row) => new Set(row));
  const filled = pattern.map((row) => new Set(row));
  const order: number[] = [];
  while (left.size > 0) {
    let best = -1;
    for (const i of left) if (best < 0 || (graph[i] as Set<number>).size < (graph[best] as Set<number>).size) best = i;
    const around = [...(graph[best] as Set<number>)];
    for (const i of around) {
      graph[i]?.delete(best);
      for (const j of around) {
        if (i === j) continue;
        graph[i]?.add(j);
        filled[i]?.add(j);
      }
    }
    order.push(best);
    left.delete(best);
  }
  return { order, filled };
}

/** Factors in place. False when a pivot is zero or not finite. Factors stand in the lower slots, inverse pivots apart. */
export function sparseFactor(
  program: SparseProgram,
  re: Float64Array,
  im: Float64Array,
  inverseRe: Float64Array,
  inverseIm: Float64Array,
): boolean {
  const { n, order, diagonal, steps, stepStart } = program;
  for (let k = 0; k < n; k++) {
    const unknown = order[k] as number;
    const d = diagonal[unknown] as number;
    const dr = re[d] as number;
    const di = im[d] as number;
    const size = dr * dr + di * di;
    if (!(size > 0 && size < Infinity)) return false;
    const ir = dr / size;
    const ii = -di / size;
    inverseRe[unknown] = ir;
    inverseIm[unknown] = ii;
    const end = stepStart[k + 1] as number;
    for (let s = stepStart[k] as number; s < end; ) {
      const factor = steps[s] as number;
      const count = steps[s + 1] as number;
      s += 2;
      const ar = re[factor] as number;
      const ai = im[factor] as number;
      if (ar === 0 && ai === 0) {
        s += 2 * count;
        continue;
      }
      const fr = ar * ir - ai * ii;
      const fi = ar * ii + ai * ir;
      re[factor] = fr;
      im[factor] = fi;
      for (let c = 0; c < count; c++, s += 2) {
        const target = steps[s] as number;
        const source = steps[s + 1] as number;
        const ur = re[source] as number;
        const ui = im[source] as number;
        re[target] = (re[target] as number) - (fr * ur - fi * ui);
        im[target] = (im[target] as number) - (fr * ui + fi * ur);
      }
    }
  }
  return true;
}

/**
 * Solves A x = b in place of (bRe, bIm), n entries from `offset`. Unknowns eliminated before step `from` are left unsolved:
 * who reads only some need not pay for all.
 */
export function sparseSolve(
  program: SparseProgram,
  re: Float64Array,
  im: Float64Array,
  inverseRe: Float64Array,
  inverseIm: Float64Array,
  bRe: Float64Array,
  bIm: Float64Array,
  offset = 0,
  from = 0,
): void {
  const { n, order, lower, lowerStart, upper, upperStart } = program;
  for (let k = 0; k < n; k++) {
    const unknown = order[k] as number;
    const xr = bRe[offset + unknown] as number;
    const xi = bIm[offset + unknown] as number;
    if (xr === 0 && xi === 0) continue;
    const end = lowerStart[k + 1] as number;
    for (let s = lowerStart[k] as number; s < end; s += 2) {
      const i = offset + (lower[s] as number);
      const slot = lower[s + 1] as number;
      const fr = re[slot] as number;
      const fi = im[slot] as number;
      bRe[i] = (bRe[i] as number) - (fr * xr - fi * xi);
      bIm[i] = (bIm[i] as number) - (fr * xi + fi * xr);
    }
  }
  for (let k = n - 1; k >= from; k--) {
    const unknown = order[k] as number;
    let sr = bRe[offset + unknown] as number;
    let si = bIm[offset + unknown] as number;
    const end = upperStart[k + 1] as number;
    for (let s = upperStart[k] as number; s < end; s += 2) {
      const j = offset + (upper[s] as number);
      const slot = upper[s + 1] as number;
      const ur = re[slot] as number;
      const ui = im[slot] as number;
      const xr = bRe[j] as number;
      const xi = bIm[j] as number;
      sr -= ur * xr - ui * xi;
      si -= ur * xi + ui * xr;
    }
    const ir = inverseRe[unknown] as number;
    const ii = inverseIm[unknown] as number;
    bRe[offset + unknown] = sr * ir - si * ii;
    bIm[offset + unknown] = sr * ii + si * ir;
  }
}

/** Real matrices: factors in place. False when a pivot is zero or not finite. */
export function sparseFactorReal(program: SparseProgram, a: Float64Array, inverse: Float64Array): boolean {
  const { n, order, diagonal, steps, stepStart } = program;
  for (let k = 0; k < n; k++) {
    const unknown = order[k] as number;
    const pivot = a[diagonal[unknown] as number] as number;
    const size = pivot * pivot;
    if (!(size > 0 && size < Infinity)) return false;
    const over = 1 / pivot;
    inverse[unknown] = over;
    const end = stepStart[k + 1] as number;
    for (let s = stepStart[k] as number; s < end; ) {
      const at = steps[s] as number;
      const last = s + 2 + 2 * (steps[s + 1] as number);
      const factor = (a[at] as number) * over;
      a[at] = factor;
      if (factor !== 0) {
        for (let c = s + 2; c < last; c += 2) {
          const target = steps[c] as number;
          a[target] = (a[target] as number) - factor * (a[steps[c + 1] as number] as number);
        }
      }
      s = last;
    }
  }
  return true;
}

/** Solves A x = b in place of b, n entries from `offset`, with the factors of `sparseFactorReal`. */
export function sparseSolveReal(
  program: SparseProgram,
  a: Float64Array,
  inverse: Float64Array,
  b: Float64Array,
  offset = 0,
): void {
  const { n, order, lower, lowerStart, upper, upperStart } = program;
  for (let k = 0; k < n; k++) {
    const x = b[offset + (order[k] as number)] as number;
    if (x === 0) continue;
    const end = lowerStart[k + 1] as number;
    for (let s = lowerStart[k] as number; s < end; s += 2) {
      const i = offset + (lower[s] as number);
      b[i] = (b[i] as number) - (a[lower[s + 1] as number] as number) * x;
    }
  }
  for (let k = n - 1; k >= 0; k--) {
    const unknown = order[k] as number;
    let sum = b[offset + unknown] as number;
    const end = upperStart[k + 1] as number;
    for (let s = upperStart[k] as number; s < end; s += 2)
      sum -= (a[upper[s + 1] as number] as number) * (b[offset + (upper[s] as number)] as number);
    b[offset + unknown] = sum * (inverse[unknown] as number);
  }
}
