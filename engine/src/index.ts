export * from "./circuit/index.ts";
export * from "./numerics/index.ts";
export * from "./result.ts";
export * from "./solve/index.ts";
export * from "./tubes/index.ts";
export * from "./units/index.ts";
