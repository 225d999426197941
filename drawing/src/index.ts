export * from "./bounds.ts";
export * from "./scene.ts";
export * from "./svg.ts";
export * from "./text/index.ts";
export * from "./theme.ts";
