export * from "./channel.ts";
export * from "./circuit.ts";
export * from "./conditions.ts";
export * from "./roles.ts";
export * from "./solve.ts";
export * from "./types.ts";
export * from "./sensitivity.ts";
