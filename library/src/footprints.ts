/**
 * Footprints of what is mounted on a chassis, in millimetres. All from memory or shop practice: they say where to begin, and
 * the part in hand is measured before anything is cut.
 */
import type { Footprint, Footprints } from "@platewright/engine";
import footprintRows from "../data/footprints.json" with { type: "json" };
import type { DataProvenance } from "./data-format.ts";
import { provenanceOf } from "./read-row.ts";

/** One row of `data/footprints.json`. */
export interface DataFootprint extends Omit<Footprint, "provenance">, DataProvenance {
  /** The row of `mechanical.json` that its largest hole is of. */
  readonly hole?: string;
}

export const DATA_FOOTPRINTS = footprintRows as readonly unknown[] as readonly DataFootprint[];

const readFootprint = ({ hole: _, source, status, confidence, note, ...shape }: DataFootprint): Footprint => ({
  ...shape,
  provenance: provenanceOf({
    source,
    status,
    ...(confidence === undefined ? {} : { confidence }),
    ...(note === undefined ? {} : { note }),
  }),
});

const all: readonly Footprint[] = DATA_FOOTPRINTS.map(readFootprint);
const byId = new Map(all.map((one) => [one.id, one]));

/** The library's footprints. */
export const footprints: Footprints = { all, footprint: (id) => byId.get(id) };
