export * from "./document/index.ts";
export * from "./findings.ts";
export * from "./limits/index.ts";
export * from "./rework/index.ts";
export * from "./solved/index.ts";
export * from "./supply/index.ts";
export * from "./voicing/index.ts";
export * from "./judge-design.ts";
