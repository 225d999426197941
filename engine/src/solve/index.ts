export * from "./answers.ts";
export * from "./bias.ts";
