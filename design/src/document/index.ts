export * from "./expanded.ts";
export * from "./schema.ts";
