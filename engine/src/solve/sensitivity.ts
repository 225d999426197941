/** Sensitivities of any figure to every part, by transposed solves: docs/sensitivity.md. */
export * from "./sensitivity-bias.ts";
export * from "./sensitivity-harmonics.ts";
export * from "./sensitivity-response.ts";
export type { PartSensitivity, Sensitivity, ValueName } from "./sensitivity-values.ts";
