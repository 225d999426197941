export * from "./quantities.ts";
