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

/** The printed decimal moved by powers of ten: 0.15 µF becomes the double nearest to 0.15e-6, as if written so. */
function moved(n: number, power: number): number {
  const text = String(n);
  return text.includes("e") ? n * 10 ** power : Number(`${text}e${power}`);
}
export const milli = (n: number): number => moved(n, -3);
export const micro = (n: number): number => moved(n, -6);
export const pico = (n: number): number => moved(n, -12);
export const kilo = (n: number): number => moved(n, 3);
export const mega = (n: number): number => moved(n, 6);

/** The values of a limit with their remarks; most have one. */
export const limitValues = (
  limit: DataLimit,
): readonly { readonly value: number; readonly note?: string; readonly upToRmsVoltsPerPlate?: number }[] =>
  typeof limit === "number" ? [{ value: limit }] : "value" in limit ? [limit] : limit;
