export * from "./expanded.ts";
export * from "./schema.ts";
export * from "./expand.ts";
export * from "./parts.ts";
