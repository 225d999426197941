/** The builder's readings of the proven unit, and what they make of the prediction. */
import {
  calibrate,
  inputAtDrive,
  lawSlopes,
  levelCurve,
  readHarmonic,
  sameStage,
  type SolvedDesign,
  unitPrediction,
  type UnitPrediction,
} from "@platewright/design";
import { fail, ok } from "@platewright/engine";
import type { Bench } from "../../worker/bench.ts";
import { type At, channelAt, plotLevels } from "./channels.ts";

/** Half-width of a usual analyser's own 90 % band, dB; common practice. */
const METER_DECIBELS = 0.5;
/** Beyond these levels at the jack nothing is predicted, and no reading is taken. */
const LEVELS = 24;
const LIMITS = { tailDecibels: -100, mostHarmonics: 32 } as const;

/** The same type in every bottle of the channel's tubes: the very bottles may have stayed. */
export function bottlesAlike(bench: Bench, solved: SolvedDesign, instance: string): boolean {
  return solved.expanded.triodes
    .filter((one) => one.instance === instance)
    .every(({ envelope, type }) => bench.provenDocument.envelopes.find((one) => one.id === envelope)?.type === type);
}

/** H2 over the level at the jack, with the bands of law and specimens as they come to in this very circuit. */
function predictionOf(solved: SolvedDesign, instance: string): UnitPrediction | undefined {
  const slopes = lawSlopes(solved, instance, solved.document.targets.voicingVolts.at(-1) ?? 1);
  const base = unitPrediction(solved, instance, slopes.ok ? slopes.value : undefined);
  if (base === undefined) return undefined;
  const curve = levelCurve(solved, instance, plotLevels(solved, LEVELS), LIMITS);
  if (!curve.ok) return base;
  return {
    ...base,
    levels: curve.value.inputVolts.flatMap((inputVolts, n) => {
      const ratio = Math.abs(curve.value.signed[0]?.[n] ?? 0);
      return ratio > 0 ? [{ inputVolts, ratio }] : [];
    }),
  };
}

export function calibrated(bench: Bench, { channel }: At) {
  const at = channelAt(bench, channel);
  if (!at.ok) return at;
  const { solved, instance } = at.value;
  const was = bench.proven();
  if (!was.ok) return was;
  const now = predictionOf(solved, instance);
  const proven = bench.ofProven(`prediction ${instance}`, () => predictionOf(was.value, instance));
  if (proven === undefined || now === undefined) return fail("No gain stage of this channel has a law to calibrate.");
  const readings = (bench.kept.targets.measuredH2 ?? []).map((one, index) => {
    const ratio = readHarmonic(one.reading);
    const inputVolts =
      one.drivePosition === undefined
        ? one.inputVolts
        : inputAtDrive(was.value, instance, one.inputVolts, one.drivePosition);
    const [first, last] = [proven.levels[0]?.inputVolts ?? Infinity, proven.levels.at(-1)?.inputVolts ?? 0];
    const used = ratio.ok && inputVolts >= first && inputVolts <= last;
    return { index, inputVolts, ratio: ratio.ok ? ratio.value : Number.NaN, used };
  });
  const used = readings.filter((one) => one.used);
  const same = { sameBottle: bottlesAlike(bench, solved, instance), sameStage: sameStage(was.value, solved, instance) };
  const answer = calibrate({
    proven,
    now,
    ...same,
    measured: used.map(({ inputVolts, ratio }) => ({ inputVolts, ratio, meterDecibels: METER_DECIBELS })),
  });
  if (!answer.ok) return fail("A reading lies outside the levels that are predicted.");
  const { deviations, ...rest } = answer.value;
  return ok({
    ...rest,
    ...same,
    readings: readings.map((one) => ({
      ...one,
      /** How far it lay from what was expected with those before it; null when it is not used. */
      deviations: one.used ? (deviations[used.indexOf(one)] ?? 0) : null,
    })),
  });
}
