/**
 * Holes, cutouts and fixings of sockets, jacks and controls, in metres. All from memory or shop practice: measure the
 * part in hand before cutting.
 */
import { metres, type Metres, type Provenance } from "@platewright/engine";
import mechanical from "../data/mechanical.json" with { type: "json" };
import type { DataProvenance } from "./data-format.ts";
import { milli, provenanceOf } from "./read-row.ts";

/** One row of `data/mechanical.json`, in millimetres. */
export interface DataHole extends DataProvenance {
  readonly id: string;
  readonly label: string;
  readonly socket?: string;
  readonly holeMillimetres?: readonly [number, number];
  readonly cutoutMillimetres?: readonly [number, number];
  readonly fixingMillimetres?: number;
  readonly fixingAcrossMillimetres?: readonly [number, number];
  readonly pairMillimetres?: number;
  readonly screwMillimetres?: readonly [number, number];
  readonly lugMillimetres?: number;
  readonly lugOffsetMillimetres?: readonly [number, number];
}

type Range = readonly [Metres, Metres];

export interface HoleRecord {
  readonly id: string;
  readonly label: string;
  /** The tube socket it serves, as in a Base. */
  readonly socket?: string;
  /** Diameter of a round hole, from the smallest to the largest in use. */
  readonly hole?: Range;
  /** Width and height of a rectangular cutout. */
  readonly cutout?: readonly [Metres, Metres];
  /** Between the two fixing screws. */
  readonly fixing?: Metres;
  /** Across and up between two screws on a diagonal. */
  readonly fixingAcross?: readonly [Metres, Metres];
  /** Between the two holes of a pair. */
  readonly pair?: Metres;
  /** Clearance hole of the screws. */
  readonly screw?: Range;
  /** Hole of the lug that keeps a control from turning, and its distance from the centre. */
  readonly lug?: Metres;
  readonly lugOffset?: Range;
  readonly provenance: Provenance;
}

const length = (millimetres: number): Metres => metres(milli(millimetres));
const two = ([first, second]: readonly [number, number]): readonly [Metres, Metres] => [length(first), length(second)];

const readHole = (row: DataHole): HoleRecord => ({
  id: row.id,
  label: row.label,
  ...(row.socket === undefined ? {} : { socket: row.socket }),
  ...(row.holeMillimetres === undefined ? {} : { hole: two(row.holeMillimetres) }),
  ...(row.cutoutMillimetres === undefined ? {} : { cutout: two(row.cutoutMillimetres) }),
  ...(row.fixingMillimetres === undefined ? {} : { fixing: length(row.fixingMillimetres) }),
  ...(row.fixingAcrossMillimetres === undefined ? {} : { fixingAcross: two(row.fixingAcrossMillimetres) }),
  ...(row.pairMillimetres === undefined ? {} : { pair: length(row.pairMillimetres) }),
  ...(row.screwMillimetres === undefined ? {} : { screw: two(row.screwMillimetres) }),
  ...(row.lugMillimetres === undefined ? {} : { lug: length(row.lugMillimetres) }),
  ...(row.lugOffsetMillimetres === undefined ? {} : { lugOffset: two(row.lugOffsetMillimetres) }),
  provenance: provenanceOf(row),
});

export const DATA_HOLES = mechanical as readonly unknown[] as readonly DataHole[];

export const holes: readonly HoleRecord[] = DATA_HOLES.map(readHole);

/** Holes that take a socket of this name ("noval" has two: moulded from below, ceramic from above). */
export const holesFor = (socket: string): readonly HoleRecord[] => holes.filter((hole) => hole.socket === socket);
