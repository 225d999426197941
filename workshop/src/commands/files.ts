/** Design and shelf files for the commands. */
import { type DesignFile, type Document, readDesign, readShelf, type ShelfFile } from "@platewright/design";
import type { Io } from "../io.ts";
import { badInput } from "../outcome.ts";

export function openDesign(io: Io, path: string): DesignFile {
  const file = readDesign(io.read(path));
  return file.ok ? file.value : badInput(`${path}: ${file.failure.sentence}`);
}

export function openShelf(io: Io, path: string): ShelfFile {
  const shelf = readShelf(io.read(path));
  return shelf.ok ? shelf.value : badInput(`${path}: ${shelf.failure.sentence}`);
}

/** The proven document: the pinned revision, or the working one when none is pinned. */
export function provenDocument(file: DesignFile): Document {
  return file.revisions.find((revision) => revision.id === file.proven)?.document ?? file.now;
}
