/** The shelf: one line, kept as the lines of designs are. */
import type { ShelfFile } from "@platewright/design";
import { ok } from "@platewright/engine";
import type { ShelfState } from "../client/contract.ts";
import { type Around, SHELF } from "./around.ts";
import { headOf, heldAt, lastSteps, lineOf } from "./lines.ts";
import { refuse } from "./refuse.ts";
import { insert } from "./rows.ts";
import type { Stored } from "./store.ts";

export function shelfOf({ file, heads }: Around): Stored<ShelfState> {
  const line = lineOf(file, SHELF, SHELF);
  if (line === undefined) return refuse("no-shelf", "The shop has no shelf.");
  const { seq } = headOf(file, line);
  return ok({
    shelf: heldAt(file, heads, line, seq) as unknown as ShelfFile,
    seq,
    steps: [...lastSteps(file, line)],
  });
}

export function addShelf({ file, now }: Around, shelf: ShelfFile): void {
  const at = now();
  insert(file, "designs", { key: SHELF, kind: "shelf", at });
  insert(file, "lines", {
    design: SHELF,
    key: SHELF,
    name: "Shelf",
    why: "first",
    fromLine: null,
    fromRevision: null,
    fromSeq: null,
    base: JSON.stringify(shelf),
    at,
  });
}

export const EMPTY_SHELF: ShelfFile = {
  format: "platewright/shelf@1",
  name: "Shelf",
  tubes: [],
  transformers: [],
  resistors: [],
  capacitors: [],
};
