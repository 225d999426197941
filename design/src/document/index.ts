export * from "./change.ts";
export * from "./expand.ts";
export * from "./expanded.ts";
export * from "./migrations.ts";
export * from "./parts.ts";
export * from "./read.ts";
export * from "./schema.ts";
export * from "./set-part.ts";
