/** What every reader of a data row needs. */
import type { Provenance } from "@platewright/engine";
import type { DataLimit, DataProvenance } from "./data-format.ts";

export function provenanceOf(row: DataProvenance, note: string | undefined = row.note): Provenance {
  return {
    status: row.status,
    source: row.source,
    ...(row.confidence === undefined ? {} : { confidence: row.confidence }),
    ...(note === undefined ? {} : { note }),
  };
}

/** Division by an exact power of ten adds one rounding, where a product with 1e-12 adds two. */
export const milli = (n: number): number => n / 1e3;
export const micro = (n: number): number => n / 1e6;
export const pico = (n: number): number => n / 1e12;

/** The values of a limit with their remarks; most have one. */
export const limitValues = (
  limit: DataLimit,
): readonly { readonly value: number; readonly note?: string; readonly upToRmsVoltsPerPlate?: number }[] =>
  typeof limit === "number" ? [{ value: limit }] : "value" in limit ? [limit] : limit;
