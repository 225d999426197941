export * from "./open-store.ts";
export type * from "./store.ts";
