export * from "./least-squares.ts";
export * from "./lu.ts";
export * from "./lu-complex.ts";
export * from "./quantiles.ts";
export * from "./quasi-random.ts";
export * from "./random.ts";
export * from "./roots.ts";
export * from "./sparse-lu.ts";
