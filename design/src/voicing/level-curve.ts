/**
 * Harmonics of a channel against the level at its first grid: where a stage stands on this curve is what its drive sets, and
 * the curve stays where it is while the drive is turned.
 *
 * Answer  Harmonics over the fundamental, signed: + adds to the positive peak at the output, - to the negative one. Levels
 *         that cannot be solved end the curve. `tailDecibels` is the largest tail among the levels, so that a curve of few
 *         harmonics says how coarse it is.
 */
import {
  fail,
  type HarmonicAnswer,
  type HarmonicLimits,
  ok,
  ONSET_AMPS,
  type Result,
  sentence,
  solveLevels,
} from "@platewright/engine";
import { levelPoint } from "../solved/channel.ts";
import type { LevelPoint, SolvedDesign } from "../solved/types.ts";
import { type ChannelProblem, channelProblem } from "./channel-problem.ts";

export interface LevelCurve {
  /** V rms at the first grid, ascending, and at the jack. */
  readonly gridVolts: readonly number[];
  readonly inputVolts: readonly number[];
  readonly outputVolts: readonly number[];
  /** H2, H3 ... by harmonic, then level. */
  readonly signed: readonly (readonly number[])[];
  readonly tailDecibels: number;
  /**
   * Level at the grid from which some grid of the channel conducts (mean current at the onset's, docs/laws.md), straight
   * between levels on logarithmic axes; null when none does within the levels.
   */
  readonly onsetGridVolts: number | null;
}

/** H2 to H5. */
const HARMONICS = 4;
/** Less of the jack's level at the grid than this is silence: 80 dB down. */
const LEAST_SHARE = 1e-4;
/** Power by which gaps shrink towards the top. */
const TOWARD_TOP = 1.5;
/** Levels solved between two steps of `levelCurveSteps`. */
const CHUNK = 6;

/** Evenly spread on a logarithmic axis. */
export function logarithmicLevels(from: number, to: number, count: number): readonly number[] {
  return Array.from({ length: count }, (_, n) => Number((from * (to / from) ** (n / (count - 1))).toPrecision(4)));
}

/** The same, closer together towards the top, where stages give out: few levels are enough to draw by. */
export function levelsTowardTheTop(from: number, to: number, count: number): readonly number[] {
  return Array.from({ length: count }, (_, n) =>
    Number((from * (to / from) ** (1 - (1 - n / (count - 1)) ** TOWARD_TOP)).toPrecision(4)),
  );
}

/** Everything in one go. */
export function levelCurve(
  solved: SolvedDesign,
  instance: string,
  gridVolts: readonly number[],
  limits?: Partial<HarmonicLimits>,
): Result<LevelCurve, string> {
  const steps = levelCurveSteps(solved, instance, gridVolts, limits);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}

/** The same in steps: yields how many levels are solved. */
export function* levelCurveSteps(
  solved: SolvedDesign,
  instance: string,
  gridVolts: readonly number[],
  limits?: Partial<HarmonicLimits>,
): Generator<number, Result<LevelCurve, string>> {
  const opened = channelProblem(solved, instance, limits === undefined ? {} : { limits });
  if (!opened.ok) return opened;
  const { gridShare } = opened.value;
  if (!(gridShare > LEAST_SHARE)) return fail("Nothing reaches the grid: the drive is fully down.");
  const answers: HarmonicAnswer[] = [];
  while (answers.length < gridVolts.length) {
    const part = gridVolts.slice(answers.length, answers.length + CHUNK);
    const more = solvedUpTo(
      opened.value,
      part.map((volts) => volts / gridShare),
    );
    if (!more.ok && answers.length === 0) return more;
    if (more.ok) answers.push(...more.value);
    if (!more.ok || more.value.length < part.length) break;
    if (answers.length < gridVolts.length) yield answers.length;
  }
  const points = answers.map((answer, n) => levelPoint((gridVolts[n] as number) / gridShare, answer));
  return ok({
    gridVolts: gridVolts.slice(0, points.length),
    inputVolts: points.map((one) => one.inputVolts),
    outputVolts: points.map((one) => one.outputVolts),
    signed: Array.from({ length: HARMONICS }, (_, k) => points.map((one) => signedOf(one, k))),
    tailDecibels: Math.max(...answers.map((one) => one.tailDecibels)),
    onsetGridVolts: onsetOf(gridVolts, answers),
  });
}

function onsetOf(gridVolts: readonly number[], answers: readonly HarmonicAnswer[]): number | null {
  const meanAmps = answers.map(({ triodes }) => Math.max(0, ...[...triodes.values()].map((one) => one.meanGridAmps)));
  const next = meanAmps.findIndex((amps) => amps >= ONSET_AMPS);
  const [x0, x1, y0, y1] = [gridVolts[next - 1], gridVolts[next], meanAmps[next - 1], meanAmps[next]];
  if (next < 0 || x1 === undefined || y1 === undefined) return null;
  if (x0 === undefined || y0 === undefined || !(y0 > 0)) return x1;
  return x0 * (x1 / x0) ** (Math.log(ONSET_AMPS / y0) / Math.log(y1 / y0));
}

/** Levels from the first up to the last that can be solved; the failure of the first when none can. */
function solvedUpTo(
  { problem, emf }: Pick<ChannelProblem, "problem" | "emf">,
  inputs: readonly number[],
): Result<readonly HarmonicAnswer[], string> {
  const all = solveLevels(problem, inputs.map(emf));
  if (all.ok) return all;
  if (inputs.length === 1) return fail(sentence(all.failure));
  return solvedUpTo({ problem, emf }, inputs.slice(0, -1));
}

/** Signed ratio of harmonic k + 2. */
export const signedOf = ({ ratios, signs }: LevelPoint, k: number): number => (ratios[k] ?? 0) * (signs[k] ?? 1);

/**
 * The level at which the size of H2 is `ratio`, nearest to `near`; straight between levels on logarithmic axes. Undefined
 * where the curve does not come by.
 */
export function gridVoltsWhere({ gridVolts, signed }: LevelCurve, ratio: number, near: number): number | undefined {
  const h2 = (signed[0] ?? []).map(Math.abs);
  const found: number[] = [];
  for (let n = 1; n < gridVolts.length; n++) {
    const [x0, x1] = [gridVolts[n - 1] as number, gridVolts[n] as number];
    const [y0, y1] = [h2[n - 1] as number, h2[n] as number];
    if (!(y0 > 0 && y1 > 0) || (ratio - y0) * (ratio - y1) > 0 || y0 === y1) continue;
    found.push(x0 * (x1 / x0) ** (Math.log(ratio / y0) / Math.log(y1 / y0)));
  }
  const apart = (volts: number) => Math.abs(Math.log(volts / near));
  return found.toSorted((a, b) => apart(a) - apart(b))[0];
}

/** A signed harmonic at a level, straight between levels; undefined outside them. */
export function signedAt({ gridVolts, signed }: LevelCurve, k: number, at: number): number | undefined {
  const values = signed[k] ?? [];
  const next = gridVolts.findIndex((volts) => volts >= at * (1 - 1e-9));
  const n = Math.max(1, next);
  const [x0, x1, y0, y1] = [gridVolts[n - 1], gridVolts[n], values[n - 1], values[n]];
  if (next < 0 || x0 === undefined || x1 === undefined || y0 === undefined || y1 === undefined) return undefined;
  if (at < x0 * (1 - 1e-9)) return undefined;
  const share = Math.log(at / x0) / Math.log(x1 / x0);
  return y0 * y1 > 0 ? y0 * (y1 / y0) ** share : y0 + share * (y1 - y0);
}
