export * from "./switches.ts";
