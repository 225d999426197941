/** What a drawing of the plate shows. Everything but face and scale may be left out. */
import type { Place } from "@platewright/engine";
import type { PlateFace } from "./plate-map.ts";

/** A run of wire as it lies on the plate. */
export interface PlateWire {
  readonly kind: "heater" | "signal" | "high-tension" | "ground" | "mains" | "earth" | "plain";
  /** Millimetres of the plate, seen from above, corner by corner. */
  readonly points: readonly Place[];
  readonly ids?: readonly string[];
}

/** A dimension between two places of the plate: an arrow at both ends and words in its middle. */
export interface PlateGap {
  readonly from: Place;
  readonly to: Place;
  /** "17 mm". */
  readonly words: string;
  /** Said by its role and by a bar at each end. */
  readonly level?: "ok" | "watch" | "stop";
  readonly ids?: readonly string[];
}

export interface PlateLook {
  readonly face: PlateFace;
  /** Millimetres of the sheet to one of the plate; 1 is true size. */
  readonly scale: number;
  /** Bodies over this face, dashed. */
  readonly bodies?: boolean;
  /** Names of items, with the type of a tube where there is room. */
  readonly names?: boolean;
  /** Ordinates: x along the front edge, y along the edge of the datum. "items": of items and of holes that belong to none. */
  readonly dimensions?: boolean | "items" | "holes";
  /** Every 10 mm, faint. */
  readonly grid?: boolean;
  /** Numbers of pins round each socket, seen from below. On the underside alone. */
  readonly pins?: boolean;
  /** A triangle where each socket has its key. */
  readonly keys?: boolean;
  readonly wires?: readonly PlateWire[];
  /** Where the flat ends at flanges that are bent down. */
  readonly bends?: boolean;
  /** The quartered circle at 0, 0. */
  readonly datum?: boolean;
  /** Front and rear edge, and from which side it is seen. */
  readonly edges?: boolean;
  /** Ids of items and of holes that are in hand. */
  readonly chosen?: ReadonlySet<string>;
  readonly gaps?: readonly PlateGap[];
  /** Short marks beside holes, by the hole's id: "12". */
  readonly marks?: ReadonlyMap<string, string>;
  /** The plate darker than what lies around it. */
  readonly tinted?: boolean;
}
