/**
 * The builder's measured second harmonic of the proven unit, and what it says about the unit now in hand.
 *
 * Law     In dB, truth = prediction + law's error + miss at this working point + specimen's error, all Gaussian with
 *         mean 0. The variance of a unit is (band / 1.65)^2 of its law's record: POINT_DECIBELS^2 is what even a law fitted
 *         to distortion rows misses from one working point to another, the specimens' share is given, the law's is the
 *         rest. Law errors of two units correlate by `lawCorrelation` (1 for one type), specimens' by 1 for the same
 *         bottle and 0 for two, misses by 1 for the same stage and 0 for two; along a curve by exp(-|ln(v1 / v2)| / LEVEL_NEPERS). A reading is truth plus the meter's error, half of
 *         whose variance all readings share: reading twice does not make a meter better.
 * Answer  Centre and 90 % band of H2 at every level of both units. No reading leaves the prior as it is; every reading
 *         narrows or leaves each band, never widens it. The order of the readings does not matter.
 * Limits  A magnitude has no sign: the sign stays the prediction's. Where harmonics of two stages cancel, dB are no
 *         Gaussian; such a reading shows as a surprise. Figures of the correlations: docs/voicing.md.
 */
import { fail, ok, type Result } from "@platewright/engine";
import type { SolvedDesign } from "../solved/types.ts";
import { type GaussianState, NINETY, observe } from "./gaussian.ts";
import { explainedDecibels, governingSection, type LawSlopes, specimenDecibels } from "./law-slopes.ts";

/** Two types whose laws are of one form and fitted by one rule; an engineering choice (docs/voicing.md). */
export const SAME_FORM_CORRELATION = 0.5;
/** Nepers of level over which the law's error stays alike to 1/e (docs/voicing.md says how it was found). */
export const LEVEL_NEPERS = 70;
/**
 * rms miss of published distortion rows that no fit had seen (docs/laws.md): it changes from one working point and load to
 * another, so it does not carry over (docs/voicing.md).
 */
export const POINT_DECIBELS = 0.8;
/** Share of a meter's variance that all its readings have in common; an engineering choice. */
const METER_SHARED = 0.5;
/** Deviation of H2 between specimens of a type where nobody worked it out for the stage, dB (docs/voicing.md). */
export const SPECIMEN_DECIBELS = 0.6;
/** A reading farther from what was expected than this many deviations is called a surprise (1 in 100). */
export const SURPRISE_DEVIATIONS = 2.58;

export interface VoicingPoint {
  readonly inputVolts: number;
  /** H2 over the fundamental, not signed. */
  readonly ratio: number;
}

/** What is predicted of one unit. */
export interface UnitPrediction {
  readonly type: string;
  readonly form: string;
  /** Half-width of the 90 % band of H2, dB, fit and specimen together. */
  readonly bandDecibels: number;
  /** Standard deviation of H2 between specimens in this stage, dB. */
  readonly specimenDecibels: number;
  /** Ascending input. */
  readonly levels: readonly VoicingPoint[];
}

export interface Measurement extends VoicingPoint {
  /** Half-width of the meter's own 90 % band, dB. */
  readonly meterDecibels: number;
  /** Second harmonic of source and meter alone, over the fundamental: adds to the truth in unknown phase. */
  readonly residualRatio?: number;
}

export interface CalibrateAsk {
  readonly proven: UnitPrediction;
  readonly now: UnitPrediction;
  /** The bottle measured is the bottle that stands in the unit now. */
  readonly sameBottle: boolean;
  /** The gain stage stands at the same point with the same load in both: only what is around it changed. */
  readonly sameStage?: boolean;
  readonly measured: readonly Measurement[];
}

export interface CalibratedLevel {
  readonly inputVolts: number;
  readonly predictedRatio: number;
  readonly priorBandDecibels: number;
  readonly ratio: number;
  /** Half-width of the 90 % band, dB. */
  readonly bandDecibels: number;
  readonly lowRatio: number;
  readonly highRatio: number;
}

export interface Calibration {
  readonly proven: readonly CalibratedLevel[];
  readonly now: readonly CalibratedLevel[];
  readonly lawCorrelation: number;
  readonly specimenCorrelation: number;
  readonly assumed: string;
  /** In the order of the readings: how far each lay from what was expected with those before it, in deviations. */
  readonly deviations: readonly number[];
  readonly surprise: boolean;
}

export type CalibrationFailure =
  | { readonly kind: "outside-levels"; readonly inputVolts: number; readonly from: number; readonly to: number }
  | { readonly kind: "not-a-reading"; readonly field: string; readonly given: number };

const decibelsOf = (ratio: number): number => 20 * Math.log10(ratio);
const ratioOf = (decibels: number): number => 10 ** (decibels / 20);

/**
 * What a solved channel predicts: its levels with the widest band of its gain stages; undefined without one. With the
 * slopes of this very circuit the specimens' share is worked out, and the band is the record's (which is that of a typical
 * stage) or what posterior, specimens and miss come to here, whichever is wider.
 */
export function unitPrediction(solved: SolvedDesign, instance: string, slopes?: LawSlopes): UnitPrediction | undefined {
  const channel = solved.channels.find((one) => one.instance === instance);
  const record = governingSection(solved, instance)?.record;
  if (channel === undefined || record === undefined) return undefined;
  const levels = channel.levels.flatMap(({ inputVolts, ratios }): readonly VoicingPoint[] => {
    const ratio = ratios[0] ?? 0;
    return ratio > 0 ? [{ inputVolts, ratio }] : [];
  });
  return {
    type: record.type,
    form: record.law.space.form,
    bandDecibels: Math.max(
      record.h2BandDecibels,
      slopes === undefined ? 0 : NINETY * Math.hypot(explainedDecibels(slopes), POINT_DECIBELS),
    ),
    specimenDecibels: slopes === undefined ? SPECIMEN_DECIBELS : specimenDecibels(slopes),
    levels,
  };
}

/** How far the errors of two laws go together. */
export function lawCorrelation(
  proven: Pick<UnitPrediction, "type" | "form">,
  now: Pick<UnitPrediction, "type" | "form">,
): number {
  if (proven.type === now.type) return 1;
  return proven.form === now.form ? SAME_FORM_CORRELATION : 0;
}

interface Spot {
  readonly unit: "proven" | "now";
  readonly nepers: number;
}

export function calibrate(ask: CalibrateAsk): Result<Calibration, CalibrationFailure> {
  const { proven, now, measured } = ask;
  const spots: Spot[] = [];
  const expected: number[] = [];
  const place = (unit: Spot["unit"], inputVolts: number, ratio: number): number => {
    expected.push(decibelsOf(ratio));
    return spots.push({ unit, nepers: Math.log(inputVolts) }) - 1;
  };
  const provenAt = proven.levels.map((level) => place("proven", level.inputVolts, level.ratio));
  const nowAt = now.levels.map((level) => place("now", level.inputVolts, level.ratio));
  const readAt: number[] = [];
  for (const reading of measured) {
    const wrong = wrongField(reading);
    if (wrong !== undefined) return fail(wrong);
    const ratio = between(proven.levels, reading.inputVolts);
    if (ratio === undefined)
      return fail({
        kind: "outside-levels",
        inputVolts: reading.inputVolts,
        from: proven.levels[0]?.inputVolts ?? Number.NaN,
        to: proven.levels.at(-1)?.inputVolts ?? Number.NaN,
      });
    readAt.push(place("proven", reading.inputVolts, ratio));
  }

  const law = lawCorrelation(proven, now);
  const specimen = ask.sameBottle ? 1 : 0;
  const prior = priorState(ask, spots, expected, law, specimen);
  let state = prior;
  const deviations: number[] = [];
  // The last unknowns are the meter's shared error, in units of its deviation.
  const meter = spots.length;
  for (const [i, reading] of measured.entries()) {
    const residual = reading.residualRatio ?? 0;
    const stray = residual > 0 ? decibelsOf(1 + residual / reading.ratio) / Math.SQRT2 : 0;
    const sd = reading.meterDecibels / NINETY;
    const weights = new Float64Array(meter + 1);
    weights[readAt[i] as number] = 1;
    weights[meter] = sd * Math.sqrt(METER_SHARED);
    const noise = sd * sd * (1 - METER_SHARED) + stray * stray;
    const updated = observe(state, weights, decibelsOf(reading.ratio), noise);
    state = updated.state;
    deviations.push(updated.deviations);
  }

  const level = (at: number, inputVolts: number): CalibratedLevel => {
    const centre = state.mean[at] as number;
    const band = NINETY * deviationAt(state, at);
    return {
      inputVolts,
      predictedRatio: ratioOf(expected[at] as number),
      priorBandDecibels: NINETY * deviationAt(prior, at),
      ratio: ratioOf(centre),
      bandDecibels: band,
      lowRatio: ratioOf(centre - band),
      highRatio: ratioOf(centre + band),
    };
  };
  return ok({
    proven: provenAt.map((at, i) => level(at, proven.levels[i]?.inputVolts ?? Number.NaN)),
    now: nowAt.map((at, i) => level(at, now.levels[i]?.inputVolts ?? Number.NaN)),
    lawCorrelation: law,
    specimenCorrelation: specimen,
    assumed: assumption(ask, law),
    deviations,
    surprise: deviations.some((d) => Math.abs(d) > SURPRISE_DEVIATIONS),
  });
}

/** Deviations of the three errors of a unit, dB; together they are never more than the whole. */
export function errorsOf(unit: Pick<UnitPrediction, "bandDecibels" | "specimenDecibels">): {
  readonly law: number;
  readonly point: number;
  readonly specimen: number;
} {
  const whole = unit.bandDecibels / NINETY;
  const point = Math.min(POINT_DECIBELS, whole);
  const rest = Math.sqrt(whole * whole - point * point);
  const specimen = Math.min(unit.specimenDecibels, rest);
  return { specimen, point, law: Math.sqrt(rest * rest - specimen * specimen) };
}

function priorState(
  { proven, now, sameStage }: CalibrateAsk,
  spots: readonly Spot[],
  expected: readonly number[],
  law: number,
  specimen: number,
): GaussianState {
  const errors = { proven: errorsOf(proven), now: errorsOf(now) };
  const n = spots.length + 1;
  const covariance = new Float64Array(n * n);
  for (const [i, a] of spots.entries())
    for (const [j, b] of spots.entries()) {
      const [ea, eb] = [errors[a.unit], errors[b.unit]];
      const [lawShare, specimenShare, pointShare] =
        a.unit === b.unit ? [1, 1, 1] : [law, specimen, sameStage === true ? 1 : 0];
      const alike = Math.exp(-Math.abs(a.nepers - b.nepers) / LEVEL_NEPERS);
      covariance[i * n + j] =
        alike *
        (lawShare * ea.law * eb.law + specimenShare * ea.specimen * eb.specimen + pointShare * ea.point * eb.point);
    }
  covariance[n * n - 1] = 1;
  return { mean: Float64Array.of(...expected, 0), covariance };
}

const deviationAt = ({ mean, covariance }: GaussianState, at: number): number =>
  Math.sqrt(Math.max(0, covariance[at * mean.length + at] as number));

function wrongField(reading: Measurement): CalibrationFailure | undefined {
  for (const field of ["inputVolts", "ratio", "meterDecibels"] as const)
    if (!(reading[field] > 0 && Number.isFinite(reading[field])))
      return { kind: "not-a-reading", field, given: reading[field] };
  const residual = reading.residualRatio ?? 0;
  return residual >= 0 && Number.isFinite(residual)
    ? undefined
    : { kind: "not-a-reading", field: "residualRatio", given: residual };
}

/** Straight between levels in dB over the logarithm of input; undefined outside them. */
function between(levels: readonly VoicingPoint[], inputVolts: number): number | undefined {
  const next = levels.findIndex((level) => level.inputVolts >= inputVolts);
  const above = levels[next];
  if (above === undefined) return undefined;
  if (above.inputVolts === inputVolts) return above.ratio;
  const below = levels[next - 1];
  if (below === undefined) return undefined;
  const share = Math.log(inputVolts / below.inputVolts) / Math.log(above.inputVolts / below.inputVolts);
  return below.ratio * (above.ratio / below.ratio) ** share;
}

function assumption({ proven, now, sameBottle, sameStage }: CalibrateAsk, law: number): string {
  const laws =
    law === 1
      ? `the law of ${proven.type} errs alike in both units`
      : law > 0
        ? `laws of two types of one form err alike by half (correlation ${law}, an engineering choice)`
        : "laws of different forms err apart";
  return `${laws}; ${sameBottle ? "the bottle is the same" : `bottles of ${now.type} differ`}; ${sameStage === true ? "the stage is the same" : `${POINT_DECIBELS} dB of each working point does not carry over`}`;
}
