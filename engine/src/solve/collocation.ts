/**
 * Collocation of device currents on one period: the exact residual, and the Jacobian as something to multiply with.
 *
 * Law     v_c = v0_c - sum_q Z_cq I_q (harmonic by harmonic), R(i) = i - f(v). The unknowns are the samples of the
 *         device currents and nothing else; N = 2K + 1.
 * Method  Currents to harmonics, times Z, back to samples of the control volts (transform.ts); laws sample by sample. The
 *         Jacobian 1 + diag(df/dv) z is never formed here: J x costs the same transforms and no law. What it costs to
 *         solve with it is another file's business (harmonics-step.ts), and so is the map of time (one tone or two).
 * Limits  Grid rows in which no sample passes 1e-17 A (1e-11 V across a megohm) are left out of the products: `live`
 *         says which rows count.
 */
import type { Device } from "../circuit/compile.ts";
import type { PortModel } from "./ports.ts";
import { type Transform, toHarmonics, toSamples, toSamplesOfTwo } from "./transform.ts";

/** No grid current of this size moves any voltage that is looked at. */
const SILENT_AMPS = 1e-17;

export interface Collocation {
  readonly model: PortModel;
  readonly transform: Transform;
  readonly samples: number;
  /** [(c * Q + q) (K + 1) + k]: Z, harmonics running last. */
  readonly impedanceRe: Float64Array;
  readonly impedanceIm: Float64Array;
  /** Per current: its device's first control, how many controls, whether it is a grid, whether it can ever flow. */
  readonly firstControl: Int32Array;
  readonly controlCount: Int32Array;
  readonly isGrid: Uint8Array;
  readonly flows: Uint8Array;
  /** All rows in the order in which the signal passes their devices. */
  readonly order: Int32Array;
  /** Rows that count now, in that order; `liveCount` of them. */
  readonly live: Int32Array;
  liveCount: number;
  /** Samples of every current, row after row, where the iteration stands. */
  current: Float64Array;
  trial: Float64Array;
  /** Control volts: with no device current, and at the last evaluation. */
  readonly open: Float64Array;
  readonly control: Float64Array;
  /** Control volts from which a step is tried. */
  readonly base: Float64Array;
  /** Per current q three rows from 3 q N on: f(v), its slopes to the first and to the second control; last evaluation. */
  readonly law: Float64Array;
  /** Harmonics of the currents last evaluated or multiplied, and of control volts. */
  readonly currentRe: Float64Array;
  readonly currentIm: Float64Array;
  readonly controlRe: Float64Array;
  readonly controlIm: Float64Array;
  readonly moved: Float64Array;
  readonly out: Float64Array;
  /** Sum of squares of the last residual (A^2). */
  squares: number;
  lawCalls: number;
}

/** `order` names every current once, in the order in which steps are to take them. */
export function openCollocation(model: PortModel, order: readonly number[], transform: Transform): Collocation {
  const K = model.harmonics;
  const N = 2 * K + 1;
  const { controls: C, currents: Q } = model;
  const impedanceRe = new Float64Array(C * Q * (K + 1));
  const impedanceIm = new Float64Array(C * Q * (K + 1));
  for (let k = 0; k <= K; k++) {
    for (let pair = 0; pair < C * Q; pair++) {
      impedanceRe[pair * (K + 1) + k] = model.impedanceReal[k * C * Q + pair] as number;
      impedanceIm[pair * (K + 1) + k] = model.impedanceImaginary[k * C * Q + pair] as number;
    }
  }
  const firstControl = new Int32Array(Q);
  const controlCount = new Int32Array(Q);
  const isGrid = new Uint8Array(Q);
  const flows = new Uint8Array(Q).fill(1);
  let q = 0;
  for (const device of model.devices) {
    const count = device.kind === "triode" ? 2 : 1;
    for (let i = 0; i < count; i++) {
      firstControl[q + i] = q;
      controlCount[q + i] = count;
      isGrid[q + i] = i;
    }
    if (device.kind === "triode" && !device.conductsGrid) flows[q + 1] = 0;
    q += count;
  }
  return {
    model,
    transform,
    samples: N,
    impedanceRe,
    impedanceIm,
    firstControl,
    controlCount,
    isGrid,
    flows,
    order: Int32Array.from(order),
    live: new Int32Array(Q),
    liveCount: 0,
    current: new Float64Array(Q * N),
    trial: new Float64Array(Q * N),
    open: new Float64Array(C * N),
    control: new Float64Array(C * N),
    base: new Float64Array(C * N),
    law: new Float64Array(3 * Q * N),
    currentRe: new Float64Array(Q * (K + 1)),
    currentIm: new Float64Array(Q * (K + 1)),
    controlRe: new Float64Array(C * (K + 1)),
    controlIm: new Float64Array(C * (K + 1)),
    moved: new Float64Array(C * N),
    out: new Float64Array(6),
    squares: 0,
    lawCalls: 0,
  };
}

/** Control volts with no device current, for a source of `peakVolts` as cosine. */
export function setDrive(work: Collocation, peakVolts: number): void {
  const { model, samples: N, open, controlRe, controlIm, transform } = work;
  const K1 = model.harmonics + 1;
  const C = model.controls;
  controlRe.fill(0);
  controlIm.fill(0);
  for (let c = 0; c < C; c++) {
    controlRe[c * K1] = model.dcControl[c] as number;
    controlRe[c * K1 + 1] = peakVolts * (model.sourceReal[C + c] as number);
    controlIm[c * K1 + 1] = peakVolts * (model.sourceImaginary[C + c] as number);
    toSamples(transform, controlRe, controlIm, c * K1, open, c * N);
  }
}

/** Harmonics of row q of x into currentRe and currentIm. */
export function analyseRow(work: Collocation, x: Float64Array, q: number): void {
  toHarmonics(work.transform, x, q * work.samples, work.currentRe, work.currentIm, q * (work.model.harmonics + 1));
}

/** moved = z * x for controls from `firstControl` on, from the harmonics of the first `rows` entries of `live`. */
export function throughNetwork(
  work: Collocation,
  firstControl: number,
  lastControl: number,
  rows: number,
  moved: Float64Array,
): void {
  const { model, impedanceRe, impedanceIm, currentRe, currentIm, controlRe, controlIm, live, transform } = work;
  const { harmonics: K, currents: Q } = model;
  const N = work.samples;
  const K1 = K + 1;
  for (let c = firstControl; c < lastControl; c++) {
    const to = c * K1;
    for (let r = 0; r < rows; r++) {
      const q = live[r] as number;
      let z = (c * Q + q) * K1;
      let from = q * K1;
      for (let k = to; k < to + K1; k++, z++, from++) {
        const zr = impedanceRe[z] as number;
        const zi = impedanceIm[z] as number;
        const ir = currentRe[from] as number;
        const ii = currentIm[from] as number;
        const re = zr * ir - zi * ii;
        const im = zr * ii + zi * ir;
        controlRe[k] = r === 0 ? re : (controlRe[k] as number) + re;
        controlIm[k] = r === 0 ? im : (controlIm[k] as number) + im;
      }
    }
    if (rows === 0) {
      controlRe.fill(0, to, to + K1);
      controlIm.fill(0, to, to + K1);
    }
    controlIm[to] = 0;
  }
  let c = firstControl;
  for (; c < lastControl - 1; c += 2)
    toSamplesOfTwo(transform, controlRe, controlIm, c * K1, c * K1 + K1, moved, c * N, c * N + N);
  if (c < lastControl) toSamples(transform, controlRe, controlIm, c * K1, moved, c * N);
}

/** Laws at current samples; answers max |i - f(v)| (NaN or Infinity where a law is not finite). Sets `live`, `squares`. */
export function evaluate(work: Collocation, current: Float64Array): number {
  const { model, samples: N, control, open, moved, isGrid, flows, live, order } = work;
  const { controls: C, currents: Q } = model;
  let rows = 0;
  for (let o = 0; o < Q; o++) {
    const q = order[o] as number;
    if (flows[q] === 0 || (isGrid[q] === 1 && silent(current, q * N, N))) continue;
    live[rows++] = q;
    analyseRow(work, current, q);
  }
  throughNetwork(work, 0, C, rows, moved);
  for (let m = 0; m < C * N; m++) control[m] = (open[m] as number) - (moved[m] as number);
  return evaluateLaws(work, current);
}

/** The same where `work.control` already holds the control volts of `current`. */
export function evaluateLaws(work: Collocation, current: Float64Array): number {
  const { model, samples: N, isGrid, flows, live, order } = work;
  const { currents: Q, devices } = model;
  work.squares = 0;
  let worst = 0;
  let q = 0;
  for (const device of devices) {
    const here = device.kind === "triode" ? triodeLaw(work, device, q, current) : diodeLaw(work, device, q, current);
    if (!(here <= worst)) worst = here;
    q += device.kind === "triode" ? 2 : 1;
  }
  work.lawCalls += N * devices.length;
  // A grid that wakes up here counts in the step to come.
  let rows = 0;
  for (let o = 0; o < Q; o++) {
    const p = order[o] as number;
    if (flows[p] === 0) continue;
    if (isGrid[p] === 1 && silent(current, p * N, N) && silent(work.law, 3 * p * N, N)) continue;
    live[rows++] = p;
  }
  work.liveCount = rows;
  return worst;
}

function triodeLaw(
  work: Collocation,
  device: Extract<Device, { kind: "triode" }>,
  q: number,
  current: Float64Array,
): number {
  const { samples: N, control, law } = work;
  const plate = q * N;
  device.evaluate.samples(control, plate, plate + N, N, law, 3 * plate, N);
  const worst = residualOf(work, current, q);
  if (!device.conductsGrid) return worst;
  const grid = residualOf(work, current, q + 1);
  return grid <= worst ? worst : grid;
}

/** Largest residual of row q (NaN where there is one); its squares are added to the sum. */
function residualOf(work: Collocation, current: Float64Array, q: number): number {
  const { samples: N, law } = work;
  let worst = 0;
  let squares = 0;
  for (let m = q * N, l = 3 * q * N; m < (q + 1) * N; m++, l++) {
    const r = (current[m] as number) - (law[l] as number);
    squares += r * r;
    const size = Math.abs(r);
    if (!(size <= worst)) worst = size;
  }
  work.squares += squares;
  // A NaN that a later sample overwrote still stands in the squares.
  return squares < Infinity ? worst : Number.NaN;
}

function diodeLaw(
  work: Collocation,
  device: Extract<Device, { kind: "diode" }>,
  q: number,
  current: Float64Array,
): number {
  const { samples: N, control, law, out } = work;
  for (let m = 0; m < N; m++) {
    device.evaluate(control[q * N + m] as number, out);
    law[3 * q * N + m] = out[0] as number;
    law[3 * q * N + N + m] = out[1] as number;
  }
  return residualOf(work, current, q);
}

/** y = J x at the slopes of the last evaluation, live rows only; the harmonics of x are already in currentRe, currentIm. */
export function multiply(work: Collocation, x: Float64Array, y: Float64Array): void {
  throughNetwork(work, 0, work.model.controls, work.liveCount, work.moved);
  imageOf(work, x, work.moved, y);
}

/** y = J x where what the network makes of x, `moved`, is known. */
export function imageOf(work: Collocation, x: Float64Array, moved: Float64Array, y: Float64Array): void {
  const { samples: N, live, liveCount, law, firstControl, controlCount } = work;
  for (let r = 0; r < liveCount; r++) {
    const q = live[r] as number;
    const a = (firstControl[q] as number) * N;
    const row = q * N;
    const slope = (3 * q + 1) * N;
    if (controlCount[q] === 2) {
      for (let m = 0; m < N; m++)
        y[row + m] =
          (x[row + m] as number) +
          (law[slope + m] as number) * (moved[a + m] as number) +
          (law[slope + N + m] as number) * (moved[a + N + m] as number);
    } else {
      for (let m = 0; m < N; m++)
        y[row + m] = (x[row + m] as number) + (law[slope + m] as number) * (moved[a + m] as number);
    }
  }
}

/** The network's answer z_cq(n) to one sample of current, laid out so that z(m - n) stands at [N - 1 - m + n]. */
export function kernelOf(work: Collocation, c: number, q: number): Float64Array {
  const { model, samples: N, impedanceRe, impedanceIm, transform } = work;
  const K1 = model.harmonics + 1;
  const from = (c * model.currents + q) * K1;
  const re = Float64Array.from(impedanceRe.subarray(from, from + K1), (z, k) => ((k === 0 ? 1 : 2) * z) / N);
  const im = Float64Array.from(impedanceIm.subarray(from, from + K1), (z, k) => (k === 0 ? 0 : (2 * z) / N));
  const z = new Float64Array(N);
  toSamples(transform, re, im, 0, z, 0);
  const kernel = new Float64Array(2 * N - 1);
  for (let d = 1 - N; d < N; d++) kernel[N - 1 - d] = z[(d + N) % N] as number;
  return kernel;
}

export function silent(x: Float64Array, at: number, count: number): boolean {
  for (let m = at; m < at + count; m++) if (Math.abs(x[m] as number) > SILENT_AMPS) return false;
  return true;
}
