/**
 * Several input levels of one problem, the input for a wanted output, and the onset of grid current.
 *
 * Method  Levels run upward, each started from the last two through bias (quadratic in drive). The searches bracket and
 *         then take secant steps (false position kept inside the bracket), each solve warm from the last.
 */
import { fail, ok, type Result } from "../result.ts";
import { type Volts, volts } from "../units/quantities.ts";
import type { HarmonicAnswer, SolveFailure } from "./answers.ts";
import { type HarmonicProblem, solveHarmonics } from "./harmonics.ts";
import { rmsVolts } from "./spectrum.ts";

/** Mean grid current at which grid conduction is said to begin. */
export const ONSET_AMPS = 0.3e-6;

/** Solves levels (V rms of the source's e.m.f.) in the order given; ascending is fastest. */
export function solveLevels(
  problem: HarmonicProblem,
  rms: readonly Volts[],
  starts?: readonly (readonly Float64Array[] | undefined)[],
): Result<readonly HarmonicAnswer[], SolveFailure> {
  const answers: HarmonicAnswer[] = [];
  for (const [i, level] of rms.entries()) {
    const start = starts?.[i] ?? predict(problem, answers, level * Math.SQRT2);
    const answer = solveHarmonics(problem, {
      sourceVoltsPeak: volts(level * Math.SQRT2),
      ...(start === undefined ? {} : { start }),
    });
    if (!answer.ok) return answer;
    answers.push(answer.value);
  }
  return ok(answers);
}

/** Quadratic in drive through bias and the last two levels, when they share a sample count; else the last level. */
function predict(
  problem: HarmonicProblem,
  answers: readonly HarmonicAnswer[],
  peakVolts: number,
): readonly Float64Array[] | undefined {
  const last = answers[answers.length - 1];
  const before = answers[answers.length - 2];
  if (last === undefined) return undefined;
  if (before === undefined || before.harmonics !== last.harmonics || before.sourceVoltsPeak === last.sourceVoltsPeak)
    return last.samples;
  const a = last.sourceVoltsPeak;
  const b = before.sourceVoltsPeak;
  const wb = (peakVolts * (peakVolts - a)) / (b * (b - a));
  const wa = (peakVolts * (peakVolts - b)) / (a * (a - b));
  if (Math.abs(wa) > 8 || Math.abs(wb) > 8) return last.samples;
  let known = 0;
  let q = 0;
  const start: Float64Array[] = [];
  for (const device of problem.circuit.devices) {
    const count = device.kind === "triode" ? 2 : 1;
    if (!problem.linear.includes(device.id)) {
      for (let i = 0; i < count; i++, q++) {
        const rest = problem.bias.unknowns[known + i] as number;
        const high = last.samples[q] as Float64Array;
        const low = before.samples[q] as Float64Array;
        start.push(Float64Array.from(high, (x, m) => rest + wa * (x - rest) + wb * ((low[m] as number) - rest)));
      }
    }
    known += count;
  }
  return start;
}

export interface InputForOutput {
  readonly inputVolts: Volts;
  readonly answer: HarmonicAnswer;
}

/**
 * The source level (V rms) that gives a wanted total rms output. "not-settled" when the circuit cannot reach it below
 * `upToVolts`.
 */
export function inputForOutput(
  problem: HarmonicProblem,
  outputRms: Volts,
  smallSignalGain: number,
  upToVolts = 1000,
): Result<InputForOutput, SolveFailure> {
  const wanted = Math.log(outputRms);
  let low = 0;
  let high = Infinity;
  let level = outputRms / smallSignalGain;
  let start: readonly Float64Array[] | undefined;
  let previous: readonly [number, number] | undefined;
  for (let tries = 0; tries < 60; tries++) {
    const answer = solveHarmonics(problem, {
      sourceVoltsPeak: volts(level * Math.SQRT2),
      ...(start === undefined ? {} : { start }),
    });
    if (!answer.ok) return answer;
    start = answer.value.samples;
    const miss = Math.log(rmsVolts(answer.value.output)) - wanted;
    // The levels' own tolerance can leave 1e-9 out of reach; then the bracket has closed on the answer.
    const closed = high < Infinity && high - low < 1e-9 * high && Math.abs(miss) < 1e-6;
    if (Math.abs(miss) < 1e-9 || closed) return ok({ inputVolts: volts(level), answer: answer.value });
    if (miss < 0) low = Math.max(low, level);
    else high = Math.min(high, level);
    const slope = previous === undefined ? 1 : (miss - previous[1]) / (Math.log(level) - Math.log(previous[0]));
    previous = [level, miss];
    let next = level * Math.exp(-miss / Math.max(0.05, Math.min(3, slope)));
    if (!(next > low && next < high)) next = high < Infinity ? (low + high) / 2 : level * 1.5;
    if (next > upToVolts || (high < Infinity && high - low < 1e-12 * high))
      return fail({ kind: "not-settled", effort: answer.value.effort, what: `an output of ${outputRms} V` });
    level = next;
  }
  return fail({
    kind: "not-settled",
    effort: { steps: 60, factorings: 0, lawCalls: 0, residual: Infinity },
    what: `an output of ${outputRms} V`,
  });
}

export interface Onset {
  readonly triode: string;
  /** null: not reached below `searchedTo`. */
  readonly inputVolts: Volts | null;
  readonly searchedTo: Volts;
  /** The answer at onset, when reached. */
  readonly answer?: HarmonicAnswer;
}

/** Harmonics of the onset search. */
const ONSET_HARMONICS = 24;
/** Nepers of grid current per neper of level, less than at any onset met: a step by it lands beyond. */
const ONSET_SLOPE = 12;

/**
 * Onset of one triode: the rms source level at which its mean grid current reaches 0.3 uA, to 0.01 %. Levels solved
 * before (`known`) bracket it where they can; beyond, the level is raised by half until it is passed. A guess (`near`) is
 * tried first, and a little beyond it; one at or above `upToVolts` has that level tried first.
 */
export function gridCurrentOnset(
  problem: HarmonicProblem,
  triode: string,
  upToVolts: Volts,
  known: readonly HarmonicAnswer[] = [],
  near?: Volts,
): Result<Onset, SolveFailure> {
  let start: readonly Float64Array[] | undefined;
  let last: HarmonicAnswer | undefined;
  const missOf = (answer: HarmonicAnswer): number =>
    Math.log(Math.max(1e-30, answer.triodes.get(triode)?.meanGridAmps ?? Number.NaN) / ONSET_AMPS);
  const missAt = (level: number): Result<number, SolveFailure> => {
    const answer = solveHarmonics(problem, {
      sourceVoltsPeak: volts(level * Math.SQRT2),
      harmonics: ONSET_HARMONICS,
      ...(start === undefined ? {} : { start }),
    });
    if (!answer.ok) return answer;
    start = answer.value.samples;
    last = answer.value;
    if (!answer.value.triodes.has(triode)) return fail({ kind: "unknown-name", name: triode });
    return ok(missOf(answer.value));
  };
  // The bias already tells when the grid conducts at rest.
  const atRest = problem.bias.triodes.get(triode);
  if (atRest === undefined) return fail({ kind: "unknown-name", name: triode });
  if (atRest.gridAmps >= ONSET_AMPS) return ok({ triode, inputVolts: volts(0), searchedTo: upToVolts });
  let low = 0;
  let lowMiss = Math.log(Math.max(1e-30, atRest.gridAmps) / ONSET_AMPS);
  let high = 0;
  let highMiss = Number.NaN;
  for (const answer of [...known].sort((a, b) => a.sourceVoltsPeak - b.sourceVoltsPeak)) {
    const level = answer.sourceVoltsPeak / Math.SQRT2;
    const miss = missOf(answer);
    // Near the onset another number of harmonics could tell otherwise.
    if (!(level < upToVolts && Math.abs(miss) > 0.1)) continue;
    if (miss > 0) {
      high = level;
      highMiss = miss;
      break;
    }
    low = level;
    lowMiss = miss;
    start = answer.samples;
  }
  for (
    let level: number = near ?? upToVolts, tries = 0;
    tries < 2 && level > low && level < (high || upToVolts);
    tries++
  ) {
    const miss = missAt(level);
    if (!miss.ok) return miss;
    if (miss.value < 0) {
      low = level;
      lowMiss = miss.value;
    } else {
      high = level;
      highMiss = miss.value;
    }
    level *= Math.exp(-Math.max(-3, Math.min(3, miss.value)) / ONSET_SLOPE);
  }
  const first = near !== undefined && near >= upToVolts ? upToVolts : low > 0 ? 1.5 * low : 0.25;
  for (let level = Math.min(first, upToVolts); high === 0; level = Math.min(level * 1.5, upToVolts)) {
    const miss = missAt(level);
    if (!miss.ok) return miss;
    if (miss.value >= 0) {
      high = level;
      highMiss = miss.value;
      break;
    }
    low = level;
    lowMiss = miss.value;
    if (level >= upToVolts) return ok({ triode, inputVolts: null, searchedTo: upToVolts });
  }
  const found = (level: number): Result<Onset, SolveFailure> =>
    ok({
      triode,
      inputVolts: volts(level),
      searchedTo: upToVolts,
      ...(last === undefined ? {} : { answer: last }),
    });
  // False position whose stale end counts half each time it stays (Illinois).
  let side = 0;
  for (let tries = 0; tries < 60; tries++) {
    const share = tries % 6 === 5 ? 0.5 : Math.min(0.95, Math.max(0.05, -lowMiss / (highMiss - lowMiss)));
    const level = low + share * (high - low);
    const miss = missAt(level);
    if (!miss.ok) return miss;
    if (Math.abs(miss.value) < 1e-5 || high - low < 1e-5 * high) return found(level);
    if (miss.value < 0) {
      low = level;
      lowMiss = miss.value;
      if (side < 0) highMiss /= 2;
      side = -1;
    } else {
      high = level;
      highMiss = miss.value;
      if (side > 0) lowMiss /= 2;
      side = 1;
    }
  }
  return found((low + high) / 2);
}
