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
import { assert } from "../result.ts";
import type { TriodeEvaluator } from "../tubes/law.ts";

/** M: steps of half a period. */
const HALF = 12;
const SAMPLES = HALF + 1;
const COSINES = Float64Array.from({ length: SAMPLES }, (_, m) => Math.cos((Math.PI * m) / HALF));
const WEIGHTS = Float64Array.from({ length: SAMPLES }, (_, m) => (m === 0 || m === HALF ? 0.5 : 1) / HALF);
const SECOND = COSINES.map((cosine) => 2 * cosine * cosine - 1);
const SETTLED = 1e-6;
/** Grid currents below this join no step: they move by substitution, which the next steps see. */
const SILENT_AMPS = 1e-10;
/** A sample's block with a pivot below this is given up. */
const LEAST_PIVOT = 1e-6;
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
  /** [q * (M + 1) + m], for a start near by. */
  readonly samples: Float64Array;
}

/** Work memory of one caller: solves with as many triodes may share it. */
export interface MemorylessWork {
  readonly devices: number;
  readonly currents: number;
  /** Samples, row after row: currents, and control volts. */
  current: Float64Array;
  trial: Float64Array;
  readonly control: Float64Array;
  /** Per current three rows: the law, its slopes to its device's grid and plate volts. */
  readonly law: Float64Array;
  /** The currents that join a step; `rows` of them. */
  readonly live: Int32Array;
  rows: number;
  readonly mean: Float64Array;
  readonly move: Float64Array;
  /** Blocks of all samples side by side, and the equation for the mean. */
  readonly block: Float64Array;
  readonly whole: Float64Array;
  readonly pivots: Int32Array;
  readonly ofMean: Float64Array;
  squares: number;
}

/** The memory with the problem that it works on. */
interface Work extends MemorylessWork {
  readonly problem: Memoryless;
}

export function memorylessWork(devices: number): MemorylessWork {
  const Q = 2 * devices;
  return {
    devices,
    currents: Q,
    current: new Float64Array(Q * SAMPLES),
    trial: new Float64Array(Q * SAMPLES),
    control: new Float64Array(Q * SAMPLES),
    law: new Float64Array(3 * Q * SAMPLES),
    live: new Int32Array(Q),
    rows: 0,
    mean: new Float64Array(Q),
    move: new Float64Array(Q * SAMPLES),
    block: new Float64Array(Q * (2 * Q + 1) * SAMPLES),
    whole: new Float64Array(Q * Q),
    pivots: new Int32Array(Q),
    ofMean: new Float64Array(Q),
    squares: 0,
  };
}

/** Solves one level; `start` holds samples of an answer near by. Undefined: it does not settle. */
export function solveMemoryless(
  problem: Memoryless,
  peakVolts: number,
  start?: Float64Array,
  memory: MemorylessWork = memorylessWork(problem.devices.length),
): MemorylessAnswer | undefined {
  assert(memory.devices === problem.devices.length, "solveMemoryless: work memory of another size");
  const work: Work = { problem, ...memory };
  if (start !== undefined && start.length === work.current.length) {
    work.current.set(start);
    if (newton(work, peakVolts, LEAP)) return describe(work, peakVolts);
  }
  standStill(work);
  if (newton(work, peakVolts, LEAP)) return describe(work, peakVolts);
  standStill(work);
  for (let ramp = 1; ramp <= RAMPS; ramp++) if (!newton(work, (peakVolts * ramp) / RAMPS, 1)) return undefined;
  return describe(work, peakVolts);
}

function standStill({ current, problem }: Work): void {
  for (const [q, amps] of problem.amps.entries()) current.fill(amps, q * SAMPLES, (q + 1) * SAMPLES);
}

function newton(work: Work, peakVolts: number, leap: number): boolean {
  let residual = evaluate(work, work.current, peakVolts);
  for (let step = 0; step <= STEPS; step++) {
    if (!(residual < 1e3)) return false;
    if (residual <= tolerance(work)) return true;
    if (step === STEPS || !findMove(work)) return false;
    const before = work.squares;
    for (let fraction = 1; ; fraction /= 2) {
      if (fraction < 1e-3) return false;
      const { current, trial, move } = work;
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

/** 1e-6 of the largest swing of a plate, and no less than rounding. */
function tolerance({ law, currents }: Work): number {
  let swing = 0;
  for (let q = 0; q < currents; q += 2) {
    let low = Infinity;
    let high = -Infinity;
    for (let i = 3 * q * SAMPLES; i < (3 * q + 1) * SAMPLES; i++) {
      const x = law[i] as number;
      if (x < low) low = x;
      if (x > high) high = x;
    }
    if (high - low > swing) swing = high - low;
  }
  return Math.max(SETTLED * swing, 1e-15);
}

/** Laws at the control volts that `current` leaves; answers the largest residual. Sets `live`, `mean` and `squares`. */
function evaluate(work: Work, current: Float64Array, peakVolts: number): number {
  const { problem, currents: Q, law, mean, control, live } = work;
  const { devices, direct, alternating, volts, amps, drive } = problem;
  for (let q = 0; q < Q; q++) {
    let sum = 0;
    for (let m = 0; m < SAMPLES; m++) sum += (WEIGHTS[m] as number) * (current[q * SAMPLES + m] as number);
    mean[q] = sum;
  }
  for (let c = 0; c < Q; c++) {
    const at = c * SAMPLES;
    let v = volts[c] as number;
    for (let q = 0; q < Q; q++)
      v -=
        (direct[c * Q + q] as number) * ((mean[q] as number) - (amps[q] as number)) -
        (alternating[c * Q + q] as number) * (mean[q] as number);
    const peak = (drive[c] as number) * peakVolts;
    for (let m = 0; m < SAMPLES; m++) control[at + m] = v + peak * (COSINES[m] as number);
    for (let q = 0; q < Q; q++) {
      const z = alternating[c * Q + q] as number;
      const from = q * SAMPLES;
      for (let m = 0; m < SAMPLES; m++)
        control[at + m] = (control[at + m] as number) - z * (current[from + m] as number);
    }
  }
  for (let d = 0; d < devices.length; d++) {
    const grid = 2 * d * SAMPLES;
    (devices[d] as Memoryless["devices"][number]).evaluate.samples(
      control,
      grid,
      grid + SAMPLES,
      SAMPLES,
      law,
      3 * grid,
      SAMPLES,
    );
  }
  let worst = 0;
  let squares = 0;
  let rows = 0;
  for (let q = 0; q < Q; q++) {
    let largest = 0;
    for (let m = 0, i = q * SAMPLES, l = 3 * q * SAMPLES; m < SAMPLES; m++, i++, l++) {
      const f = law[l] as number;
      const x = current[i] as number;
      const r = Math.abs(x - f);
      squares += r * r;
      if (r > worst) worst = r;
      const size = Math.max(Math.abs(f), Math.abs(x));
      if (size > largest) largest = size;
    }
    if (q % 2 === 0 || largest > SILENT_AMPS) live[rows++] = q;
  }
  work.rows = rows;
  work.squares = squares;
  return Number.isFinite(squares) ? worst : Infinity;
}

/**
 * The Newton step into `move`: (1 + F Zac) step_m + F (Zdc - Zac) step_mean = law - current in every sample, eliminated
 * for the mean. False where a block is singular.
 */
function findMove(work: Work): boolean {
  const { problem, currents: Q, current, law, live, rows, move, block, whole, pivots, ofMean } = work;
  const { direct, alternating } = problem;
  for (let q = 0; q < Q; q++)
    for (let m = 0, i = q * SAMPLES, l = 3 * q * SAMPLES; m < SAMPLES; m++, i++, l++)
      move[i] = (law[l] as number) - (current[i] as number);
  // Columns of a row of a block: the swing, the right-hand side, the mean.
  const width = 2 * rows + 1;
  for (let a = 0; a < rows; a++) {
    const p = live[a] as number;
    const c = p & ~1;
    const slopes = (3 * p + 1) * SAMPLES;
    for (let b = 0; b < rows; b++) {
      const q = live[b] as number;
      const grid = alternating[c * Q + q] as number;
      const plate = alternating[(c + 1) * Q + q] as number;
      const gridMean = (direct[c * Q + q] as number) - grid;
      const plateMean = (direct[(c + 1) * Q + q] as number) - plate;
      const to = (a * width + b) * SAMPLES;
      const toMean = (a * width + rows + 1 + b) * SAMPLES;
      const one = a === b ? 1 : 0;
      for (let m = 0; m < SAMPLES; m++) {
        const s0 = law[slopes + m] as number;
        const s1 = law[slopes + SAMPLES + m] as number;
        block[to + m] = s0 * grid + s1 * plate + one;
        block[toMean + m] = s0 * gridMean + s1 * plateMean;
      }
    }
    const right = (a * width + rows) * SAMPLES;
    for (let m = 0; m < SAMPLES; m++) block[right + m] = move[p * SAMPLES + m] as number;
  }
  if (!eliminate(block, rows, width)) return false;
  for (let a = 0; a < rows; a++)
    for (let b = 0; b <= rows; b++) {
      const from = (a * width + rows + b) * SAMPLES;
      let sum = 0;
      for (let m = 0; m < SAMPLES; m++) sum += (WEIGHTS[m] as number) * (block[from + m] as number);
      if (b === 0) ofMean[a] = sum;
      else whole[a * rows + b - 1] = sum + (a === b - 1 ? 1 : 0);
    }
  if (!luFactor(whole, rows, pivots)) return false;
  luSolve(whole, rows, pivots, ofMean);
  for (let a = 0; a < rows; a++) {
    const to = (live[a] as number) * SAMPLES;
    const from = (a * width + rows) * SAMPLES;
    for (let m = 0; m < SAMPLES; m++) move[to + m] = block[from + m] as number;
    for (let b = 0; b < rows; b++) {
      const mean = ofMean[b] as number;
      const column = from + (b + 1) * SAMPLES;
      for (let m = 0; m < SAMPLES; m++) move[to + m] = (move[to + m] as number) - mean * (block[column + m] as number);
    }
  }
  return true;
}

/** Gauss and Jordan on the first `n` columns of every sample's block at once: the columns behind become answers. */
function eliminate(block: Float64Array, n: number, width: number): boolean {
  for (let k = 0; k < n; k++) {
    const pivot = (k * width + k) * SAMPLES;
    for (let m = 0; m < SAMPLES; m++) if (!(Math.abs(block[pivot + m] as number) > LEAST_PIVOT)) return false;
    for (let j = k + 1; j < width; j++) {
      const to = (k * width + j) * SAMPLES;
      for (let m = 0; m < SAMPLES; m++) block[to + m] = (block[to + m] as number) / (block[pivot + m] as number);
    }
    for (let i = 0; i < n; i++) {
      if (i === k) continue;
      const factor = (i * width + k) * SAMPLES;
      for (let j = k + 1; j < width; j++) {
        const to = (i * width + j) * SAMPLES;
        const from = (k * width + j) * SAMPLES;
        for (let m = 0; m < SAMPLES; m++)
          block[to + m] = (block[to + m] as number) - (block[factor + m] as number) * (block[from + m] as number);
      }
    }
  }
  return true;
}

function describe(work: Work, peakVolts: number): MemorylessAnswer {
  const { problem, currents: Q, current, mean } = work;
  let first = peakVolts * problem.outputDrive;
  let second = 0;
  for (let q = 0; q < Q; q++) {
    const z = 2 * (problem.outputOhms[q] as number);
    for (let m = 0; m < SAMPLES; m++) {
      const swing = z * (WEIGHTS[m] as number) * (current[q * SAMPLES + m] as number);
      first -= (COSINES[m] as number) * swing;
      second -= (SECOND[m] as number) * swing;
    }
  }
  return {
    // cos(2x) keeps its sign when the fundamental is inverted.
    second: second / Math.abs(first),
    triodes: problem.devices.map((_, d) => {
      let minimumPlateAmps = Infinity;
      for (let i = 2 * d * SAMPLES; i < (2 * d + 1) * SAMPLES; i++)
        if ((current[i] as number) < minimumPlateAmps) minimumPlateAmps = current[i] as number;
      return { meanGridAmps: mean[2 * d + 1] as number, minimumPlateAmps };
    }),
    samples: Float64Array.from(current),
  };
}
