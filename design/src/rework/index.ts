export * from "./differences.ts";
export * from "./goal.ts";
export * from "./place.ts";
export * from "./rework.ts";
export * from "./search.ts";
export * from "./shelf.ts";
export * from "./strain.ts";
