export * from "./calibrate.ts";
export { type Control, findControls } from "./controls.ts";
export * from "./curves.ts";
export * from "./equal-loudness.ts";
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
