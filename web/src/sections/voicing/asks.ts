/** What the Voicing screen asks: harmonics against level, one level in full, controls, pairs, two tones, calibration. */
import {
  bandsOf,
  channelProblem,
  cycleOf,
  equalLoudness,
  findControls,
  harmonicShares,
  type LevelCurve,
  levelAt,
  levelCurve,
  levelCurveSteps,
  rankMeasurements,
  sameStage,
  signedOf,
  type SolvedDesign,
  type ToneFigure,
  turnForFraction,
  twoTones,
} from "@platewright/design";
import { fail, ok, type Result } from "@platewright/engine";
import { type Answer, ask, type Progress } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { goalValues } from "../rework/asks.ts";
import { bottlesAlike, calibrated } from "./calibrated.ts";
import { type At, channelAt, channelsOf, liveLevels, plotLevels } from "./channels.ts";
import { pairWords } from "./words.ts";

/** Points of the curves while a value is dragged, and behind it. */
const LIVE_POINTS = 12;
const SETTLED_POINTS = 56;
/** Coarse enough to follow a drag; the tail is said where it is not reached. */
const LIVE_LIMITS = { tailDecibels: -70, mostHarmonics: 16 } as const;
/** H2 to H7 as bars; H2 to H5 in the table and on the plot. */
const BARS = 6;
/** Lines kept of two tones: at first, and where the stage clips. */
const TONE_ORDERS = [8, 12] as const;

const shareOf = (solved: SolvedDesign, instance: string): number => {
  const opened = channelProblem(solved, instance);
  return opened.ok ? opened.value.gridShare : 0;
};

function curvesOf(bench: Bench, { channel }: At) {
  const at = channelAt(bench, channel);
  if (!at.ok) return at;
  const { solved, instance } = at.value;
  const levels = liveLevels(solved, LIVE_POINTS);
  const opened = channelProblem(solved, instance);
  if (!opened.ok) return opened;
  const { gridShare, firstGrid } = opened.value;
  const now = levelCurve(solved, instance, levels, LIVE_LIMITS);
  if (!now.ok) return now;
  const proven = bench.ofProven(`voicing ${instance} ${levels.join(" ")}`, () => {
    const was = bench.proven();
    if (!was.ok) return null;
    const curve = levelCurve(was.value, instance, levels, LIVE_LIMITS);
    const share = shareOf(was.value, instance);
    return curve.ok ? { curve: curve.value, gridShare: share } : null;
  });
  const bands = bandsOf(solved, instance);
  const { drive } = findControls(solved, instance);
  return ok({
    channels: channelsOf(solved),
    instance,
    now: now.value,
    proven: proven?.curve ?? null,
    gridShare,
    provenGridShare: proven?.gridShare ?? null,
    grid: firstGrid === undefined ? null : firstGrid.slice(firstGrid.indexOf(".") + 1),
    drive: drive === undefined ? null : { ...drive, part: drive.id.slice(drive.id.indexOf(".") + 1) },
    bandDecibels: [bands.h2 ?? null, bands.h3 ?? null],
    voicingVolts: solved.document.targets.voicingVolts,
  });
}

interface Refined {
  readonly now: LevelCurve;
  readonly proven: LevelCurve | null;
}

/** The curves by the engine's own rule of the tail, and finely enough that a cancelling is seen where it is. */
function* refined(bench: Bench, { channel }: At): Generator<Progress<Refined>, Answer<Refined>> {
  const at = channelAt(bench, channel);
  if (!at.ok) return at;
  const { solved, instance } = at.value;
  const levels = plotLevels(solved, SETTLED_POINTS);
  const steps = levelCurveSteps(solved, instance, levels);
  for (;;) {
    const step = steps.next();
    if (step.done === true) {
      if (!step.value.ok) return step.value;
      const proven = bench.ofProven(`voicing refined ${instance} ${levels.join(" ")}`, () => {
        const was = bench.proven();
        const curve = was.ok ? levelCurve(was.value, instance, levels) : was;
        return curve.ok ? curve.value : null;
      });
      return ok({ now: step.value.value, proven });
    }
    yield { done: step.value, total: levels.length };
  }
}

function levelOf(solved: SolvedDesign, instance: string, inputVolts: number) {
  const point = levelAt(solved, instance, inputVolts);
  if (!point.ok) return point;
  return ok({
    outputVolts: point.value.outputVolts as number,
    /** H2 first, signed. */
    signed: Array.from({ length: BARS }, (_, k) => signedOf(point.value, k)),
    total: Math.hypot(...point.value.ratios),
    cycle: cycleOf(point.value.answer.output),
    outcome: point.value.answer.outcome,
    tailDecibels: point.value.answer.tailDecibels,
  });
}

function atLevel(bench: Bench, { channel, inputVolts }: At & { readonly inputVolts: number }) {
  const at = channelAt(bench, channel);
  if (!at.ok) return at;
  const { solved, instance } = at.value;
  const opened = channelProblem(solved, instance);
  if (!opened.ok) return opened;
  const { gridShare } = opened.value;
  if (!(gridShare > 1e-4)) return fail("Nothing reaches the grid: the drive is fully down.");
  const now = levelOf(solved, instance, inputVolts);
  if (!now.ok) return now;
  const was = bench.ofProven(`level ${instance} ${inputVolts}`, () => {
    const proven = bench.proven();
    if (!proven.ok) return null;
    const level = levelOf(proven.value, instance, inputVolts);
    return level.ok && Number.isFinite(level.value.total)
      ? { ...level.value, gridVolts: inputVolts * shareOf(proven.value, instance) }
      : null;
  });
  const bands = bandsOf(solved, instance);
  return ok({
    inputVolts,
    gridVolts: inputVolts * gridShare,
    ...now.value,
    bandDecibels: [bands.h2 ?? null, bands.h3 ?? null],
    was,
  });
}

function controlsOf(bench: Bench, { channel }: At) {
  const at = channelAt(bench, channel);
  if (!at.ok) return at;
  const { solved, instance } = at.value;
  const { drive, level } = findControls(solved, instance);
  const gain = solved.channels.find((one) => one.instance === instance)?.gain ?? 0;
  const shown = (control: typeof drive) => {
    if (control === undefined) return null;
    const turn = turnForFraction(control.taper, control.fraction);
    return { ...control, turn, part: control.id.slice(control.id.indexOf(".") + 1) };
  };
  // Where the whole channel has a gain of one: gain goes with the level's share of the resistance.
  const unity = level === undefined || !(gain > 0) ? undefined : level.fraction / gain;
  return ok({
    instance,
    drive: shown(drive),
    level: shown(level),
    unityTurn: level === undefined || unity === undefined || unity > 1 ? null : turnForFraction(level.taper, unity),
    gain,
    gridShare: shareOf(solved, instance),
  });
}

interface Tones {
  readonly modulation: ToneFigure;
  readonly difference: ToneFigure;
}

function tonesAt(solved: SolvedDesign, instance: string, inputVolts: number, order: number): Result<Tones, string> {
  const modulation = twoTones(solved, instance, inputVolts, "modulation", order);
  if (!modulation.ok) return modulation;
  const difference = twoTones(solved, instance, inputVolts, "difference", order);
  return difference.ok ? ok({ modulation: modulation.value, difference: difference.value }) : difference;
}

interface TonesAnswer {
  readonly inputVolts: number;
  readonly now: Tones;
  readonly was: Tones | null;
}

/** A low order first, shown at once; a higher one behind it where the stage clips. */
function* tones(
  bench: Bench,
  { channel, inputVolts }: At & { readonly inputVolts: number },
): Generator<Progress<TonesAnswer>, Answer<TonesAnswer>> {
  const at = channelAt(bench, channel);
  if (!at.ok) return at;
  const { solved, instance } = at.value;
  let last: TonesAnswer | undefined;
  for (const [n, order] of TONE_ORDERS.entries()) {
    yield { done: n, total: TONE_ORDERS.length, ...(last === undefined ? {} : { soFar: last }) };
    const now = tonesAt(solved, instance, inputVolts, order);
    if (!now.ok) return last === undefined ? now : ok(last);
    const was = bench.ofProven(`tones ${instance} ${inputVolts} ${order}`, () => {
      const proven = bench.proven();
      const there = proven.ok ? tonesAt(proven.value, instance, inputVolts, order) : proven;
      return there.ok ? there.value : null;
    });
    last = { inputVolts, now: now.value, was };
    if (now.value.modulation.settled && now.value.difference.settled) break;
  }
  return last === undefined ? fail("The two tones were not solved.") : ok(last);
}

export const voicingAsks = {
  /** Few levels and few harmonics: it follows a drag. */
  voicingCurves: ask("live", curvesOf),
  voicingRefined: ask("settled", refined),
  /** One level at the jack in full: harmonics, output, one cycle. */
  voicingAt: ask("live", atLevel),
  voicingControls: ask("live", controlsOf),
  /** Two settings of drive and level that play equally loud, one with `factor` times the other's H2. */
  voicingPair: ask(
    "settled",
    (bench, { channel, inputVolts, factor }: At & { readonly inputVolts: number; readonly factor: number }) => {
      const at = channelAt(bench, channel);
      if (!at.ok) return at;
      const pair = equalLoudness(at.value.solved, { instance: at.value.instance, inputVolts, factor });
      return pair.ok ? ok({ ...pair.value, inputVolts }) : fail(pairWords(pair.failure));
    },
  ),
  /** Intermodulation of 60 Hz with 7 kHz, 4 to 1, and of 19 with 20 kHz; both peak as high as one sine of that level. */
  voicingTones: ask("settled", tones),
  /** Which section makes H2 and H3, and which takes it away. */
  voicingShares: ask("settled", (bench, { channel, inputVolts }: At & { readonly inputVolts: number }) => {
    const at = channelAt(bench, channel);
    return at.ok ? harmonicShares(at.value.solved, at.value.instance, inputVolts) : at;
  }),
  /** What the builder measured on the proven unit, and what it makes of the prediction. */
  voicingCalibrated: ask("settled", calibrated),
  /** What to measure on the proven unit first: each reading by how much it would narrow the band. */
  voicingRank: ask("settled", (bench, { channel, inputVolts }: At & { readonly inputVolts: number }) => {
    const at = channelAt(bench, channel);
    if (!at.ok) return at;
    const { solved, instance } = at.value;
    const was = bench.proven();
    if (!was.ok) return was;
    const ranking = rankMeasurements({
      proven: was.value,
      now: solved,
      instance,
      inputVolts,
      sameBottle: bottlesAlike(bench, solved, instance),
      sameStage: sameStage(was.value, solved, instance),
    });
    return ranking.ok ? ok({ ...ranking.value, inputVolts }) : ranking;
  }),
  /** Values that bring H2 to a wish, tubes as they stand; quick enough to follow a drag of the wish. */
  voicingReach: ask(
    "settled",
    (bench, { inputVolts, ratio }: { readonly inputVolts: number; readonly ratio: number }) => {
      const found = goalValues(bench, { kind: "move-voicing", inputVolts, ratio });
      return found.ok ? ok({ ...found.value, inputVolts, ratio }) : found;
    },
  ),
};
