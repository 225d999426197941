export * from "./bands.ts";
export * from "./mains-scale.ts";
export * from "./meter.ts";
export * from "./panel.ts";
export * from "./probe-points.ts";
export * from "./tube-verdicts.ts";
export * from "./unplugged-ohms.ts";
export * from "./wiring.ts";
