export * from "./answers.ts";
export * from "./bias.ts";
export * from "./ports.ts";
export * from "./response.ts";
export * from "./harmonics.ts";
export * from "./failures.ts";
export * from "./levels.ts";
export * from "./spectrum.ts";
