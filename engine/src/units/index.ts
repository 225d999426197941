export * from "./levels.ts";
export * from "./parse.ts";
export * from "./preferred.ts";
export * from "./print.ts";
export * from "./quantities.ts";
