/** A builder's own prices, from a file: `platewright/prices@1`. */
import { type PriceBook, readPriceBook } from "@platewright/design";
import type { Io } from "../io.ts";
import { badInput } from "../outcome.ts";

/** Throws BadInput with one sentence that names the file and the place. */
export function readPrices(io: Io, path: string): PriceBook {
  const read = readPriceBook(io.read(path));
  return read.ok ? read.value : badInput(`${path}: ${read.failure}`);
}
