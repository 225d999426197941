export * from "./answers.ts";
export * from "./bias.ts";
export * from "./ports.ts";
export * from "./response.ts";
export * from "./harmonics.ts";
