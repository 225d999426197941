export * from "./calibrate.ts";
export { type Control, findControls } from "./controls.ts";
export * from "./curves.ts";
export * from "./equal-loudness.ts";
export {
  explainedDecibels,
  type LawSlopes,
  lawSlopes,
  type Readable,
  type Readings,
  specimenDecibels,
} from "./law-slopes.ts";
export { type Follow, followCurrent, followLoad } from "./follow.ts";
export * from "./measured-harmonic.ts";
export {
  dissipationLine,
  gridCurrentRegion,
  type GridRegion,
  type PlaneLine,
  type PlateCurve,
  plateCurves,
  type PlateCurvesAsk,
  type PublishedPoint,
  publishedPoints,
  slopesAgainstCurrent,
  type SlopesAgainstCurrent,
} from "./plate-curves.ts";
export {
  rankBySlopes,
  rankMeasurements,
  type RankAsk,
  type RankedMeasurement,
  type Ranking,
  USUAL_METERS,
} from "./rank-measurements.ts";
export { type Between, type SlopeBands, slopesWithBands, type SlopesWithBands } from "./slopes-band.ts";
