/**
 * Preconditioner for many harmonics: the network taken as resistances, but for its lowest harmonics, which stand as it is.
 *
 * Law     J = 1 + D z. With z = R delta + (what differs from R up to harmonic LOWEST): J is M(t) = 1 + D(t) R, a matrix of the
 *         order of the currents at each sample, plus a part of low rank: coefficients of 1, cos, sin of each control.
 * Method  M inverted sample by sample, the low harmonics by the Woodbury identity. All devices at once, backward coupling and
 *         grids included. What is left to the iterations: stale slopes, and reactances above LOWEST.
 * Limits  Costs N Q^3 and a small dense matrix, about one direction, where factors of whole blocks cost N^3; pays from some
 *         thirty harmonics on. Exact for resistive networks (harmonics-local.test.ts); Miller capacitance at high harmonics
 *         costs directions. Turning each harmonic by mean slopes as well was tried: clipped tubes made it worse.
 * Sources Woodbury identity: Golub and Van Loan, ch. 2 (from memory).
 */
import { luFactor, luSolve } from "../numerics/lu.ts";
import { analyseRow, type Collocation } from "./collocation.ts";

/** Harmonics 0 to LOWEST stand as they are; the resistances are those of the harmonic after. */
const LOWEST = 2;
const FUNCTIONS = 2 * LOWEST + 1;

export interface Local {
  /** [f N + t]: 1, cos, sin, cos 2.. of the sample's angle. */
  readonly functions: Float64Array;
  /** [(q Q + p) N + t]: M^-1; [(q C + c) N + t]: M^-1 D. */
  readonly inverse: Float64Array;
  readonly driven: Float64Array;
  /** 1 + L G of the coefficients of every control, factored. */
  readonly matrix: Float64Array;
  readonly pivots: Int32Array;
  /** Scratch: M at one sample with its pivots and a column, G, coefficients of currents and controls, a row of samples. */
  readonly sample: Float64Array;
  readonly samplePivots: Int32Array;
  readonly column: Float64Array;
  readonly gains: Float64Array;
  readonly currents: Float64Array;
  readonly controls: Float64Array;
  readonly row: Float64Array;
}

export function openLocal(work: Collocation): Local {
  const { samples: N, model } = work;
  const { currents: Q, controls: C } = model;
  const functions = new Float64Array(FUNCTIONS * N).fill(1, 0, N);
  for (let k = 1; k <= LOWEST; k++)
    for (let t = 0; t < N; t++) {
      functions[(2 * k - 1) * N + t] = Math.cos((2 * Math.PI * k * t) / N);
      functions[2 * k * N + t] = Math.sin((2 * Math.PI * k * t) / N);
    }
  const order = C * FUNCTIONS;
  return {
    functions,
    inverse: new Float64Array(Q * Q * N),
    driven: new Float64Array(Q * C * N),
    matrix: new Float64Array(order * order),
    pivots: new Int32Array(order),
    sample: new Float64Array(Q * Q),
    samplePivots: new Int32Array(Q),
    column: new Float64Array(Q),
    gains: new Float64Array(Q * FUNCTIONS * order),
    currents: new Float64Array(Q * FUNCTIONS),
    controls: new Float64Array(order),
    row: new Float64Array(N),
  };
}

/** Makes the preconditioner at the slopes of the last evaluation. False: singular at a sample. */
export function factorLocal(work: Collocation, local: Local): boolean {
  return invertSamples(work, local) && factorLowest(work, local);
}

function invertSamples(work: Collocation, local: Local): boolean {
  const { samples: N, model, law, firstControl, controlCount, impedanceRe } = work;
  const { currents: Q, controls: C } = model;
  const { inverse, driven, sample, samplePivots, column } = local;
  const K1 = model.harmonics + 1;
  for (let t = 0; t < N; t++) {
    for (let q = 0; q < Q; q++) {
      const c = firstControl[q] as number;
      const two = controlCount[q] === 2;
      const s0 = law[(3 * q + 1) * N + t] as number;
      const s1 = two ? (law[(3 * q + 2) * N + t] as number) : 0;
      for (let p = 0; p < Q; p++) {
        let entry = s0 * (impedanceRe[(c * Q + p) * K1 + LOWEST + 1] as number);
        if (two) entry += s1 * (impedanceRe[((c + 1) * Q + p) * K1 + LOWEST + 1] as number);
        sample[q * Q + p] = p === q ? 1 + entry : entry;
      }
    }
    if (!luFactor(sample, Q, samplePivots)) return false;
    for (let q = 0; q < Q; q++) for (let c = 0; c < C; c++) driven[(q * C + c) * N + t] = 0;
    for (let p = 0; p < Q; p++) {
      column.fill(0);
      column[p] = 1;
      luSolve(sample, Q, samplePivots, column);
      const c = firstControl[p] as number;
      const s0 = law[(3 * p + 1) * N + t] as number;
      const s1 = law[(3 * p + 2) * N + t] as number;
      for (let q = 0; q < Q; q++) {
        const m = column[q] as number;
        inverse[(q * Q + p) * N + t] = m;
        const at = (q * C + c) * N + t;
        driven[at] = (driven[at] as number) + m * s0;
        if (controlCount[p] === 2) driven[at + N] = (driven[at + N] as number) + m * s1;
      }
    }
  }
  return true;
}

/** 1 + L G, where G takes coefficients of controls to those of the currents they drive and L those through the network. */
function factorLowest(work: Collocation, local: Local): boolean {
  const { samples: N, model } = work;
  const { currents: Q, controls: C } = model;
  const { functions, driven, matrix, pivots, gains, currents, controls, row } = local;
  const order = C * FUNCTIONS;
  for (let p = 0; p < Q; p++)
    for (let c = 0; c < C; c++)
      for (let b = 0; b < FUNCTIONS; b++) {
        for (let t = 0; t < N; t++) row[t] = (driven[(p * C + c) * N + t] as number) * (functions[b * N + t] as number);
        for (let a = 0; a < FUNCTIONS; a++)
          gains[(p * FUNCTIONS + a) * order + c * FUNCTIONS + b] = coefficient(functions, a, row, 0, N);
      }
  for (let column = 0; column < order; column++) {
    for (let i = 0; i < Q * FUNCTIONS; i++) currents[i] = gains[i * order + column] as number;
    throughLowest(work, currents, controls);
    for (let i = 0; i < order; i++) matrix[i * order + column] = (controls[i] as number) + (i === column ? 1 : 0);
  }
  return luFactor(matrix, order, pivots);
}

/** Coefficient a of the samples at x[at..]. */
function coefficient(functions: Float64Array, a: number, x: Float64Array, at: number, N: number): number {
  let sum = 0;
  for (let t = 0, f = a * N; t < N; t++, f++) sum += (functions[f] as number) * (x[at + t] as number);
  return (a === 0 ? sum : 2 * sum) / N;
}

/** Coefficients of currents to those of control volts through Z(k) - R. Cosine and sine stand for Re and -Im. */
function throughLowest(work: Collocation, currents: Float64Array, controls: Float64Array): void {
  const { model, impedanceRe, impedanceIm } = work;
  const { currents: Q, controls: C } = model;
  const K1 = model.harmonics + 1;
  controls.fill(0);
  for (let c = 0; c < C; c++)
    for (let p = 0; p < Q; p++) {
      const z = (c * Q + p) * K1;
      const R = impedanceRe[z + LOWEST + 1] as number;
      const to = c * FUNCTIONS;
      const from = p * FUNCTIONS;
      controls[to] = (controls[to] as number) + ((impedanceRe[z] as number) - R) * (currents[from] as number);
      for (let k = 1; k <= LOWEST; k++) {
        const re = (impedanceRe[z + k] as number) - R;
        const im = impedanceIm[z + k] as number;
        const x = currents[from + 2 * k - 1] as number;
        const y = currents[from + 2 * k] as number;
        controls[to + 2 * k - 1] = (controls[to + 2 * k - 1] as number) + re * x + im * y;
        controls[to + 2 * k] = (controls[to + 2 * k] as number) + re * y - im * x;
      }
    }
}

/** x = P^-1 v over the live rows; leaves the harmonics of x in the collocation, ready for `throughNetwork`. */
export function solveLocal(work: Collocation, local: Local, v: Float64Array, x: Float64Array): void {
  const { samples: N, model, live, liveCount } = work;
  const { currents: Q, controls: C } = model;
  const { functions, inverse, driven, matrix, pivots, currents, controls, row } = local;
  for (let q = 0; q < Q; q++) {
    x.fill(0, q * N, (q + 1) * N);
    for (let r = 0; r < liveCount; r++) {
      const p = live[r] as number;
      for (let t = 0, i = (q * Q + p) * N; t < N; t++, i++)
        x[q * N + t] = (x[q * N + t] as number) + (inverse[i] as number) * (v[p * N + t] as number);
    }
    for (let a = 0; a < FUNCTIONS; a++) currents[q * FUNCTIONS + a] = coefficient(functions, a, x, q * N, N);
  }
  throughLowest(work, currents, controls);
  luSolve(matrix, C * FUNCTIONS, pivots, controls);
  for (let c = 0; c < C; c++) {
    row.fill(controls[c * FUNCTIONS] as number);
    for (let b = 1; b < FUNCTIONS; b++) {
      const weight = controls[c * FUNCTIONS + b] as number;
      for (let t = 0; t < N; t++) row[t] = (row[t] as number) + weight * (functions[b * N + t] as number);
    }
    for (let r = 0; r < liveCount; r++) {
      const q = live[r] as number;
      for (let t = 0, i = (q * C + c) * N; t < N; t++, i++)
        x[q * N + t] = (x[q * N + t] as number) - (driven[i] as number) * (row[t] as number);
    }
  }
  for (let r = 0; r < liveCount; r++) analyseRow(work, x, live[r] as number);
}
