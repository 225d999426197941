export * from "./mains-cycle.ts";
export * from "./start-up.ts";
export type { TimeBand, TimeFigure, Trace, TraceLimit, TraceMark } from "./time-figure.ts";
export * from "./plate-curves.ts";
export * from "./transfer.ts";
export * from "./voicing.ts";
export * from "./voicing-difference.ts";
