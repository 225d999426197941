/**
 * Periodic steady state of triodes in a network that is resistive at the signal's frequency and its harmonics: one
 * impedance for the mean, another for everything that swings. For searches; harmonics.ts has the exact solve.
 *
 * Law     i_m = f(v + drive U cos(pi m / M) - Zdc (mean i - i0) - Zac (i_m - mean i)), m = 0..M over half a period; the
 *         other half mirrors it, so that both extremes are among the samples.
 * Method  Newton on all samples at once: each sample's own small block, and the mean as the one thing that joins them.
 *         Steps that let the residual grow are halved; what does not settle from its start is reached by raising the drive.
 * Limits  Triodes only. Settled at 1e-6 of the largest swing. Reactances do not turn phases, and what is cut off or
 *         clipped aliases from harmonic 2M - 2 on down.
 */
import { luFactor, luSolve } from "../numerics/lu.ts";
import type { TriodeEvaluator } from "../tubes/law.ts";

/** M: steps of half a period. */
const HALF = 12;
const SAMPLES = HALF + 1;
const COSINES = Float64Array.from({ length: SAMPLES }, (_, m) => Math.cos((Math.PI * m) / HALF));
const WEIGHTS = Float64Array.from({ length: SAMPLES }, (_, m) => (m === 0 || m === HALF ? 0.5 : 1) / HALF);
const SECOND = COSINES.map((cosine) => 2 * cosine * cosine - 1);
const SETTLED = 1e-6;
/** No grid current of this size moves any voltage that is looked at. */
const SILENT_AMPS = 1e-15;
const STEPS = 40;
/** A step may let the sum of squares grow by this: the laws bend one way, and Newton comes back from beyond. */
const LEAP = 30;
const RAMPS = 8;

/** Currents: [2d] plate, [2d + 1] grid of device d. Controls: [2d] grid to cathode, [2d + 1] plate to cathode. */
export interface Memoryless {
  readonly devices: readonly { readonly evaluate: TriodeEvaluator; readonly conductsGrid: boolean }[];
  /** Standing control volts and currents. */
  readonly volts: Float64Array;
  readonly amps: Float64Array;
  /** [c * 2D + q]: volts that control c loses per ampere of current q: of its mean, of its swing. */
  readonly direct: Float64Array;
  readonly alternating: Float64Array;
  /** Control volts per volt of the source. */
  readonly drive: Float64Array;
  readonly outputDrive: number;
  readonly outputOhms: Float64Array;
}

export interface MemorylessAnswer {
  /** Second harmonic over the fundamental at the output, with the sign that a static curve gives it. */
  readonly second: number;
  readonly triodes: readonly { readonly meanGridAmps: number; readonly minimumPlateAmps: number }[];
  /** [m * 2D + q], for a start near by. */
  readonly samples: Float64Array;
}

interface Work {
  readonly problem: Memoryless;
  readonly currents: number;
  current: Float64Array;
  trial: Float64Array;
  readonly law: Float64Array;
  /** Per sample and current: slopes to its device's grid and plate volts. */
  readonly slopes: Float64Array;
  /** The currents that flow at all; `rows` of them. */
  readonly live: Int32Array;
  rows: number;
  readonly control: Float64Array;
  readonly mean: Float64Array;
  readonly out: Float64Array;
  squares: number;
}

/** Solves one level; `start` holds samples of an answer near by. Undefined: it does not settle. */
export function solveMemoryless(
  problem: Memoryless,
  peakVolts: number,
  start?: Float64Array,
): MemorylessAnswer | undefined {
  const Q = 2 * problem.devices.length;
  const work: Work = {
    problem,
    currents: Q,
    current: new Float64Array(SAMPLES * Q),
    trial: new Float64Array(SAMPLES * Q),
    law: new Float64Array(SAMPLES * Q),
    slopes: new Float64Array(2 * SAMPLES * Q),
    live: new Int32Array(Q),
    rows: 0,
    control: new Float64Array(Q),
    mean: new Float64Array(Q),
    out: new Float64Array(6),
    squares: 0,
  };
  if (start !== undefined && start.length === SAMPLES * Q) {
    work.current.set(start);
    if (newton(work, peakVolts, LEAP)) return describe(work, peakVolts);
  }
  standStill(work);
  if (newton(work, peakVolts, LEAP)) return describe(work, peakVolts);
  standStill(work);
  for (let ramp = 1; ramp <= RAMPS; ramp++) if (!newton(work, (peakVolts * ramp) / RAMPS, 1)) return undefined;
  return describe(work, peakVolts);
}

function standStill({ current, currents, problem }: Work): void {
  for (let m = 0; m < SAMPLES; m++) current.set(problem.amps, m * currents);
}

function newton(work: Work, peakVolts: number, leap: number): boolean {
  let residual = evaluate(work, work.current, peakVolts);
  for (let step = 0; step <= STEPS; step++) {
    if (!(residual < 1e3)) return false;
    if (residual <= tolerance(work)) return true;
    if (step === STEPS) return false;
    const move = direction(work);
    if (move === undefined) return false;
    const before = work.squares;
    for (let fraction = 1; ; fraction /= 2) {
      if (fraction < 1e-3) return false;
      const { current, trial } = work;
      for (let i = 0; i < trial.length; i++) trial[i] = (current[i] as number) + fraction * (move[i] as number);
      residual = evaluate(work, trial, peakVolts);
      if (work.squares < leap * before) break;
      if (residual < 1e3 && residual <= tolerance(work)) break;
    }
    const { current } = work;
    work.current = work.trial;
    work.trial = current;
  }
  return false;
}

/** 1e-6 of the largest swing, and no less than rounding. */
function tolerance({ law, currents }: Work): number {
  let swing = 0;
  for (let q = 0; q < currents; q++) {
    let low = Infinity;
    let high = -Infinity;
    for (let i = q; i < law.length; i += currents) {
      const x = law[i] as number;
      if (x < low) low = x;
      if (x > high) high = x;
    }
    if (high - low > swing) swing = high - low;
  }
  return Math.max(SETTLED * swing, 1e-15);
}

/** Laws at the control volts that `current` leaves; answers the largest residual. Sets `live` and `squares`. */
function evaluate(work: Work, current: Float64Array, peakVolts: number): number {
  const { problem, currents: Q, law, slopes, mean, control, out, live } = work;
  const { devices, direct, alternating, volts, amps, drive } = problem;
  mean.fill(0);
  for (let m = 0; m < SAMPLES; m++)
    for (let q = 0; q < Q; q++) mean[q] = (mean[q] as number) + (WEIGHTS[m] as number) * (current[m * Q + q] as number);
  for (let c = 0; c < Q; c++) {
    let v = volts[c] as number;
    for (let q = 0; q < Q; q++)
      v -=
        (direct[c * Q + q] as number) * ((mean[q] as number) - (amps[q] as number)) -
        (alternating[c * Q + q] as number) * (mean[q] as number);
    control[c] = v;
  }
  let worst = 0;
  let squares = 0;
  for (let m = 0; m < SAMPLES; m++) {
    const signal = peakVolts * (COSINES[m] as number);
    const at = m * Q;
    for (let d = 0; d < devices.length; d++) {
      const c = 2 * d;
      let vg = (control[c] as number) + (drive[c] as number) * signal;
      let va = (control[c + 1] as number) + (drive[c + 1] as number) * signal;
      for (let q = 0; q < Q; q++) {
        const i = current[at + q] as number;
        vg -= (alternating[c * Q + q] as number) * i;
        va -= (alternating[(c + 1) * Q + q] as number) * i;
      }
      (devices[d] as Memoryless["devices"][number]).evaluate(vg, va, out);
      for (let k = 0; k < 2; k++) {
        const i = at + c + k;
        law[i] = out[3 * k] as number;
        slopes[2 * i] = out[3 * k + 1] as number;
        slopes[2 * i + 1] = out[3 * k + 2] as number;
        const r = (current[i] as number) - (out[3 * k] as number);
        squares += r * r;
        if (!(Math.abs(r) <= worst)) worst = Math.abs(r);
      }
    }
  }
  work.squares = squares;
  work.rows = 0;
  for (let q = 0; q < Q; q++) if (flows(current, q, Q) || flows(law, q, Q)) live[work.rows++] = q;
  return Number.isFinite(squares) ? worst : Infinity;
}

function flows(x: Float64Array, q: number, Q: number): boolean {
  for (let i = q; i < x.length; i += Q) if (Math.abs(x[i] as number) > SILENT_AMPS) return true;
  return false;
}

/**
 * The Newton step: (1 + F Zac) step_m + F (Zdc - Zac) step_mean = law - current in every sample, eliminated for the
 * mean. Undefined where a block is singular.
 */
function direction(work: Work): Float64Array | undefined {
  const { problem, currents: Q, current, law, slopes, live, rows } = work;
  const { direct, alternating } = problem;
  const move = new Float64Array(SAMPLES * Q);
  for (let i = 0; i < move.length; i++) move[i] = (law[i] as number) - (current[i] as number);
  if (rows === 0) return move;
  const width = 2 * rows + 1;
  const block = new Float64Array(rows * width);
  const solved = new Float64Array(SAMPLES * rows * (rows + 1));
  const whole = new Float64Array(rows * rows);
  const ofMean = new Float64Array(rows);
  for (let a = 0; a < rows; a++) whole[a * rows + a] = 1;
  for (let m = 0; m < SAMPLES; m++) {
    for (let a = 0; a < rows; a++) {
      const p = live[a] as number;
      const i = m * Q + p;
      const c = p & ~1;
      const s0 = slopes[2 * i] as number;
      const s1 = slopes[2 * i + 1] as number;
      for (let b = 0; b < rows; b++) {
        const q = live[b] as number;
        const swing = s0 * (alternating[c * Q + q] as number) + s1 * (alternating[(c + 1) * Q + q] as number);
        block[a * width + b] = swing + (a === b ? 1 : 0);
        block[a * width + rows + 1 + b] =
          s0 * (direct[c * Q + q] as number) + s1 * (direct[(c + 1) * Q + q] as number) - swing;
      }
      block[a * width + rows] = move[i] as number;
    }
    if (!eliminate(block, rows, width)) return undefined;
    const weight = WEIGHTS[m] as number;
    for (let a = 0; a < rows; a++) {
      const to = (m * rows + a) * (rows + 1);
      for (let b = 0; b <= rows; b++) solved[to + b] = block[a * width + rows + b] as number;
      ofMean[a] = (ofMean[a] as number) + weight * (solved[to] as number);
      for (let b = 0; b < rows; b++)
        whole[a * rows + b] = (whole[a * rows + b] as number) + weight * (solved[to + 1 + b] as number);
    }
  }
  const pivots = new Int32Array(rows);
  if (!luFactor(whole, rows, pivots)) return undefined;
  luSolve(whole, rows, pivots, ofMean);
  for (let m = 0; m < SAMPLES; m++)
    for (let a = 0; a < rows; a++) {
      const from = (m * rows + a) * (rows + 1);
      let step = solved[from] as number;
      for (let b = 0; b < rows; b++) step -= (solved[from + 1 + b] as number) * (ofMean[b] as number);
      move[m * Q + (live[a] as number)] = step;
    }
  return move;
}

/** Gauss and Jordan with row pivots on the first `n` columns of an n x width block: the columns behind become answers. */
function eliminate(block: Float64Array, n: number, width: number): boolean {
  for (let k = 0; k < n; k++) {
    let row = k;
    for (let i = k + 1; i < n; i++)
      if (Math.abs(block[i * width + k] as number) > Math.abs(block[row * width + k] as number)) row = i;
    const pivot = block[row * width + k] as number;
    if (!(Math.abs(pivot) > 0 && Math.abs(pivot) < Infinity)) return false;
    for (let j = k; j < width; j++) {
      const x = (block[row * width + j] as number) / pivot;
      block[row * width + j] = block[k * width + j] as number;
      block[k * width + j] = x;
    }
    for (let i = 0; i < n; i++) {
      const factor = block[i * width + k] as number;
      if (i === k || factor === 0) continue;
      for (let j = k; j < width; j++)
        block[i * width + j] = (block[i * width + j] as number) - factor * (block[k * width + j] as number);
    }
  }
  return true;
}

function describe(work: Work, peakVolts: number): MemorylessAnswer {
  const { problem, currents: Q, current, mean } = work;
  let first = peakVolts * problem.outputDrive;
  let second = 0;
  for (let m = 0; m < SAMPLES; m++) {
    let swing = 0;
    for (let q = 0; q < Q; q++) swing -= (problem.outputOhms[q] as number) * (current[m * Q + q] as number);
    first += 2 * (WEIGHTS[m] as number) * (COSINES[m] as number) * swing;
    second += 2 * (WEIGHTS[m] as number) * (SECOND[m] as number) * swing;
  }
  return {
    // cos(2x) keeps its sign when the fundamental is inverted.
    second: second / Math.abs(first),
    triodes: problem.devices.map((_, d) => {
      let minimumPlateAmps = Infinity;
      for (let i = 2 * d; i < current.length; i += Q)
        if ((current[i] as number) < minimumPlateAmps) minimumPlateAmps = current[i] as number;
      return { meanGridAmps: mean[2 * d + 1] as number, minimumPlateAmps };
    }),
    samples: current,
  };
}
