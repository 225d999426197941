export * from "./io.ts";
export * from "./outcome.ts";
export * from "./run.ts";
export * from "./answers/schemas.ts";
