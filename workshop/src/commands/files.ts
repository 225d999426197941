/** Design and shelf files for the commands. */
import {
  type DesignFile,
  type Document,
  frozenCatalogue,
  type NewerData,
  newerData,
  provenRevision,
  readDesign,
  readShelf,
  type ShelfFile,
} from "@platewright/design";
import type { Catalogue } from "@platewright/engine";
import type { Io } from "../io.ts";
import { badInput } from "../outcome.ts";
import { isInShop, shopDesign, shopShelf } from "./shop.ts";

/** A design file, or `shop:NAME`. */
export function openDesign(io: Io, path: string): DesignFile {
  if (isInShop(path)) return shopDesign(io, path);
  const file = readDesign(io.read(path));
  return file.ok ? file.value : badInput(`${path}: ${file.failure.sentence}`);
}

/** A shelf file, or `shop:shelf`. */
export function openShelf(io: Io, path: string): ShelfFile {
  if (isInShop(path)) return shopShelf(io, path);
  const shelf = readShelf(io.read(path));
  return shelf.ok ? shelf.value : badInput(`${path}: ${shelf.failure.sentence}`);
}

export interface Proven {
  readonly document: Document;
  /** As it was when the revision was cut; the present one when nothing is pinned. */
  readonly catalogue: Catalogue;
  /** What the library says differently today; shown, never applied to the proven unit. */
  readonly newer: readonly NewerData[];
  readonly revision?: string;
}

/** The proven unit: the pinned revision with its own data, or the working document when none is pinned. */
export function provenOf(file: DesignFile, present: Catalogue): Proven {
  const revision = provenRevision(file);
  return revision === undefined
    ? { document: file.now, catalogue: present, newer: [] }
    : {
        document: revision.document,
        catalogue: frozenCatalogue(revision, present),
        newer: newerData(revision, present),
        revision: revision.id,
      };
}
