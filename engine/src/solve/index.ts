export * from "./answers.ts";
