export * from "./calibrate.ts";
export { channelProblem, type ChannelProblem } from "./channel-problem.ts";
export { type Control, findControls } from "./controls.ts";
export * from "./curves.ts";
export { DRIVE_TURNS, type DriveStep, type DriveSteps, driveSteps } from "./drive-steps.ts";
export * from "./equal-loudness.ts";
export {
  explainedDecibels,
  type LawSlopes,
  lawSlopes,
  type Readable,
  type Readings,
  specimenDecibels,
} from "./law-slopes.ts";
export { type Follow, followLoad, followPoint, type PointWish } from "./follow.ts";
export { type HarmonicShare, type HarmonicShares, harmonicShares } from "./harmonic-shares.ts";
export { type Cycle, cycleOf, levelAt } from "./level-at.ts";
export {
  gridVoltsWhere,
  type LevelCurve,
  levelCurve,
  levelCurveSteps,
  levelsTowardTheTop,
  logarithmicLevels,
  signedAt,
  signedOf,
} from "./level-curve.ts";
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
export { type Help, type OpenParameter, undetermined, type Undetermined } from "./undetermined.ts";
export { sameStage } from "./same-stage.ts";
export { inputAtDrive, readTurn } from "./turn.ts";
export { type ToneFigure, type ToneLine, type TonePair, twoTones } from "./two-tones.ts";
