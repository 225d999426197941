/** A design file or an export comes in: as it is, or beside one of its name; never over it. */
import { type DesignFile, readDesign } from "@platewright/design";
import { ok } from "@platewright/engine";
import { z } from "zod";
import { exportedSchema, type Imported } from "../client/contract.ts";
import { addDesign } from "./add-design.ts";
import { type Around, SHELF } from "./around.ts";
import { designRows, nameOf } from "./designs.ts";
import { designFileOf, sumOfDesign } from "./export.ts";
import { keyFor, nameFor } from "./names.ts";
import { refuse } from "./refuse.ts";
import type { ShopFile } from "./rows.ts";
import type { Stored } from "./store.ts";

/** What stands around the design; the design itself is read like any design file, migrations included. */
const outsideSchema = z.object({ format: exportedSchema.shape.format, sha256: exportedSchema.shape.sha256 });

/** An export, whose checksum must be right. */
export function importExport(around: Around, given: unknown): Stored<Imported> {
  const outside = outsideSchema.safeParse(given);
  const { design } = given as { readonly design?: unknown };
  if (!outside.success || design === undefined)
    return refuse("not-understood", "The export is not whole: it has a format, a sha256 and a design.");
  if (sumOfDesign(design) !== outside.data.sha256)
    return refuse(
      "checksum",
      "The export's checksum does not fit its design: it was altered or cut on the way. Export it again; nothing was taken in.",
    );
  return importDesignText(around, JSON.stringify(design));
}

export function importDesignText(around: Around, text: string): Stored<Imported> {
  const read = readDesign(text);
  return read.ok ? importDesign(around, read.value) : refuse("not-a-design", read.failure.sentence);
}

function importDesign(around: Around, design: DesignFile): Stored<Imported> {
  const { file } = around;
  const content = contentOf(design);
  for (const { key } of designRows(file)) {
    const here = designFileOf(around, key);
    if (here.ok && contentOf(here.value) === content)
      return ok({ outcome: "already-here", design: key, name: nameOf(file, key) });
  }
  const { name } = design.now;
  const names = takenNames(file);
  const key = keyFor(name, takenKeys(file));
  const free = nameFor(name, names);
  addDesign(around, { key, name: free, why: "imported", file: design });
  return ok({ outcome: names.has(name) ? "added-beside" : "added", design: key, name: free });
}

export const takenNames = (file: ShopFile): ReadonlySet<string> =>
  new Set(designRows(file).map((row) => nameOf(file, row.key)));

export const takenKeys = (file: ShopFile): ReadonlySet<string> =>
  new Set([SHELF, ...designRows(file).map((row) => row.key)]);

/** What a design file says, whatever version wrote it. */
const contentOf = ({ now, revisions, proven }: DesignFile): string => sumOfDesign({ now, revisions, proven });
