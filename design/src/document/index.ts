export * from "./change.ts";
export * from "./expand.ts";
export * from "./expanded.ts";
export * from "./parts.ts";
export * from "./schema.ts";
export * from "./set-part.ts";
