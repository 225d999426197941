export * from "./text-width.ts";
