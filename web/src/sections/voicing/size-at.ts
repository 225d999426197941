import { type CalibratedLevel, type LevelCurve, signedAt } from "@platewright/design";

/** Size of harmonic k + 2 at a level at the grid; undefined outside the curve. */
export function sizeAt(curve: LevelCurve, k: number, gridVolts: number): number | undefined {
  const signed = signedAt(curve, k, gridVolts);
  return signed === undefined ? undefined : Math.abs(signed);
}

/** What was predicted and what readings make of it at any level at the jack: corrections and bands of the nearest solved one. */
export function calibratedAt(levels: readonly CalibratedLevel[], inputVolts: number): CalibratedLevel | undefined {
  const apart = (one: CalibratedLevel) => Math.abs(Math.log(one.inputVolts / inputVolts));
  const near = levels.reduce<CalibratedLevel | undefined>(
    (best, one) => (best === undefined || apart(one) < apart(best) ? one : best),
    undefined,
  );
  if (near === undefined) return undefined;
  // H2 itself between its two neighbours, straight on logarithmic axes.
  const next = levels.findIndex((one) => one.inputVolts >= inputVolts);
  const [low, high] = [levels[next - 1], levels[next]];
  const share =
    low === undefined || high === undefined
      ? 0
      : Math.log(inputVolts / low.inputVolts) / Math.log(high.inputVolts / low.inputVolts);
  const predictedRatio =
    low === undefined || high === undefined
      ? near.predictedRatio
      : low.predictedRatio * (high.predictedRatio / low.predictedRatio) ** share;
  const times = predictedRatio / near.predictedRatio;
  return {
    ...near,
    inputVolts,
    predictedRatio,
    ratio: near.ratio * times,
    lowRatio: near.lowRatio * times,
    highRatio: near.highRatio * times,
  };
}
