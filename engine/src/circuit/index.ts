export * from "./parts.ts";
