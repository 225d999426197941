export * from "./text-width.ts";
export * from "./wrap.ts";
