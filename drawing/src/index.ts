export * from "./bounds.ts";
export * from "./scene.ts";
export * from "./svg.ts";
export * from "./text/index.ts";
export * from "./theme.ts";
export * from "./plot.ts";
export * from "./plot/index.ts";
export * from "./plots/index.ts";
