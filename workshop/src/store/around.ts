/** What every part of the store works with. */
import type { Catalogue } from "@platewright/engine";
import type { Heads } from "./lines.ts";
import type { ShopFile } from "./rows.ts";

export interface Around {
  readonly file: ShopFile;
  readonly heads: Heads;
  readonly now: () => string;
  readonly catalogue: Catalogue;
}

/** Key of the shelf, which is kept as one line of the same name; no design has it. */
export const SHELF = "shelf";
