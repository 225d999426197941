export { dataFolder, shopFileIn } from "./folder.ts";
export { openStore } from "./open-store.ts";
export type { Store, Stored } from "./store.ts";
