export * from "./heaters.ts";
export * from "./join.ts";
