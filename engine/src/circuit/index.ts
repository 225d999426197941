export * from "./compile.ts";
export * from "./edit.ts";
export * from "./parts.ts";
