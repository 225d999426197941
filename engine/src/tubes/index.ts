export * from "./catalogue.ts";
export * from "./law.ts";
