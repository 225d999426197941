export * from "./heaters.ts";
export * from "./join.ts";
export * from "./rectifier-fit.ts";
