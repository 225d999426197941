/** Sensitivities of any figure to every part, by transposed solves: docs/sensitivity.md. */
export {
  type BiasFigure,
  biasSensitivity,
  openingEffort,
  type OpenSensitivity,
  openSensitivity,
  solveBiasSensitivity,
} from "./sensitivity-bias.ts";
export {
  type HarmonicFigure,
  type HarmonicSensitivity,
  harmonicSensitivity,
  solveHarmonicSensitivity,
} from "./sensitivity-harmonics.ts";
export { type ResponseFigure, responseSensitivity, solveResponseSensitivity } from "./sensitivity-response.ts";
export { harmonicOpeningEffort, type OpenHarmonicSensitivity, openHarmonicSensitivity } from "./sensitivity-steady.ts";
export type { PartSensitivity, Sensitivity, ValueName } from "./sensitivity-values.ts";
