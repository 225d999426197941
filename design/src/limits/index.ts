export * from "./all-findings.ts";
export * from "./caution.ts";
export * from "./judge.ts";
export { type Judged } from "./judged.ts";
export { findingsOfPart } from "./parts.ts";
export * from "./pins.ts";
export * from "./supply.ts";
