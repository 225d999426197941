export * from "./compile.ts";
export * from "./parts.ts";
