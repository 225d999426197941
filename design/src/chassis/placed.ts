/** Items of a chassis as they stand on the plate: footprints turned and moved, bodies on each face. */
import type { Footprint, Footprints, Outline, Place } from "@platewright/engine";
import type { Chassis, ChassisItem, OwnFootprint } from "../document/chassis-schema.ts";
import {
  type Bounds,
  boundsGap,
  boundsOf,
  gapBetween,
  placed,
  placedOutline,
  type Pose,
  type Solid,
  solidOf,
} from "./geometry.ts";

export type Face = "top" | "under";

export interface PlacedBody {
  readonly item: string;
  readonly what: string;
  readonly face: Face;
  readonly outline: Outline;
  readonly solid: Solid;
  readonly bounds: Bounds;
  /** Away from its face of the plate. */
  readonly heightMillimetres: number;
}

export interface PlacedItem {
  readonly item: ChassisItem;
  readonly footprint: Footprint;
  readonly pose: Pose;
  /** The face that it is mounted on. */
  readonly face: Face;
  readonly bodies: readonly PlacedBody[];
}

/** The measured part as a footprint. */
const footprintOf = ({ note, ...own }: OwnFootprint): Footprint => ({
  ...own,
  provenance: { status: "measured", source: "document", ...(note === undefined ? {} : { note }) },
});

/** Footprints of the document before those of the library. */
export function footprintsOf(chassis: Chassis, library: Footprints): Footprints {
  const own = (chassis.footprints ?? []).map(footprintOf);
  if (own.length === 0) return library;
  const byId = new Map(own.map((one) => [one.id, one]));
  return {
    all: [...own, ...library.all.filter((one) => !byId.has(one.id))],
    footprint: (id) => byId.get(id) ?? library.footprint(id),
  };
}

export const otherFace = (face: Face): Face => (face === "top" ? "under" : "top");

export function placeItem(item: ChassisItem, footprint: Footprint): PlacedItem {
  const face = item.face ?? "top";
  const pose: Pose = { x: item.x, y: item.y, degrees: item.degrees, mirrored: face === "under" };
  const bodiesOn = (bodies: Footprint["above"], on: Face) =>
    bodies.map((body) => bodyOf(item.id, body.what, on, placedOutline(pose, body.outline), body.heightMillimetres));
  return {
    item,
    footprint,
    pose,
    face,
    bodies: [...bodiesOn(footprint.above, face), ...bodiesOn(footprint.below, otherFace(face))],
  };
}

export function bodyOf(
  item: string,
  what: string,
  face: Face,
  outline: Outline,
  heightMillimetres: number,
): PlacedBody {
  const solid = solidOf(outline);
  return { item, what, face, outline, solid, bounds: boundsOf(solid), heightMillimetres };
}

export interface PlacedItems {
  readonly placed: readonly PlacedItem[];
  /** Items whose footprint nobody knows. */
  readonly unknown: readonly ChassisItem[];
}

export function placeItems(chassis: Chassis, library: Footprints): PlacedItems {
  const footprints = footprintsOf(chassis, library);
  const placedOnes: PlacedItem[] = [];
  const unknown: ChassisItem[] = [];
  for (const item of chassis.items) {
    const footprint = footprints.footprint(item.footprint);
    if (footprint === undefined) unknown.push(item);
    else placedOnes.push(placeItem(item, footprint));
  }
  return { placed: placedOnes, unknown };
}

/** A pin of a socket on the plate, seen from above; undefined for a pin that it has not. */
export function pinPlace({ footprint, pose }: Pick<PlacedItem, "footprint" | "pose">, pin: number): Place | undefined {
  const { pins } = footprint;
  if (pins === undefined || pin < 1 || pin > pins.count) return undefined;
  // Clockwise from the key seen from below is counter-clockwise from above; the key is to the front.
  const angle = ((-90 + (360 * (pin - 1 + pins.first)) / pins.places) * Math.PI) / 180;
  const radius = pins.circleMillimetres / 2;
  return placed(pose, { x: radius * Math.cos(angle), y: radius * Math.sin(angle) });
}

/** Least gap of two lists of bodies; Infinity when none is nearer than `within`. */
export function leastGap(some: readonly PlacedBody[], others: readonly PlacedBody[], within = Infinity): number {
  let least = Infinity;
  for (const one of some)
    for (const other of others) {
      if (boundsGap(one.bounds, other.bounds) > Math.min(within, least)) continue;
      least = Math.min(least, gapBetween(one.solid, other.solid));
    }
  return least > within ? Infinity : least;
}

export const itemName = (item: ChassisItem): string => item.label ?? item.id;
