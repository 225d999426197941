export * from "./lu.ts";
export * from "./lu-complex.ts";
export * from "./sparse-lu.ts";
