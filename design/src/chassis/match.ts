/**
 * Holes that the items need against holes that are there.
 *
 * Law     A hole serves when the part at its smallest passes it and the part at its largest still covers it, each shifted by no
 *         more than the slack of the part. It can be opened up when all of it lies inside the largest. Any other hole that
 *         touches a needed one is wrong.
 * Limits  Each hole is given to one need: the item's own first, then the nearest.
 */
import type { FootprintHole, Outline } from "@platewright/engine";
import type { Chassis, DocumentHole } from "../document/chassis-schema.ts";
import {
  type Bounds,
  boundsGap,
  boundsOf,
  depthInside,
  distance,
  gapBetween,
  grown,
  outlineOf,
  placedOutline,
  type Solid,
  solidOf,
} from "./geometry.ts";
import type { PlacedItem } from "./placed.ts";

export interface Need {
  readonly item: PlacedItem;
  readonly hole: FootprintHole;
  readonly outline: Outline;
  readonly solid: Solid;
}

export type Fit = "serves" | "open-up" | "wrong" | "none";

export interface Match {
  readonly need: Need;
  readonly fit: Fit;
  /** The hole that is there: serving, to be opened, or in the way. */
  readonly existing?: DocumentHole;
}

export interface Matched {
  readonly matches: readonly Match[];
  /** Holes that serve nothing. */
  readonly spare: readonly DocumentHole[];
}

const HAIR = 1e-6;

export const existingOutline = (hole: DocumentHole): Outline => outlineOf(hole.shape, hole);

export function needsOf(item: PlacedItem): readonly Need[] {
  return item.footprint.holes.map((hole) => {
    const outline = placedOutline(item.pose, outlineOf(hole.shape, hole));
    return { item, hole, outline, solid: solidOf(outline) };
  });
}

/** How a hole that is there answers a need; pure geometry. */
export function fitOf(need: Need, there: Solid): Fit {
  const slack = (need.hole.slackMillimetres ?? 0) + HAIR;
  const covered = depthInside(solidOf(grown(need.outline, need.hole.overMillimetres / 2)), there) >= -slack;
  const passes = depthInside(there, solidOf(grown(need.outline, -need.hole.underMillimetres / 2))) >= -slack;
  if (covered && passes) return "serves";
  if (covered) return "open-up";
  return gapBetween(there, need.solid) < -HAIR ? "wrong" : "none";
}

const RANK: { readonly [F in Fit]: number } = { serves: 0, "open-up": 1, wrong: 2, none: 3 };

interface There {
  readonly hole: DocumentHole;
  readonly solid: Solid;
  readonly bounds: Bounds;
}

/** Every need with what is there for it, in the order of the items. Planned holes count as there: they are cut as drawn. */
export function matchHoles(chassis: Chassis, items: readonly PlacedItem[]): Matched {
  const there: readonly There[] = chassis.holes.map((hole) => {
    const solid = solidOf(existingOutline(hole));
    return { hole, solid, bounds: boundsOf(solid) };
  });
  const needs = items.flatMap(needsOf);
  const pairs: { need: Need; hole: DocumentHole; fit: Fit; order: number }[] = [];
  for (const need of needs) {
    const { id } = need.item.item;
    const bounds = boundsOf(need.solid);
    const reach = (need.hole.slackMillimetres ?? 0) + need.hole.overMillimetres;
    for (const { hole, solid, bounds: other } of there) {
      if (boundsGap(bounds, other) > reach) continue;
      const fit = fitOf(need, solid);
      if (fit === "none") continue;
      const away = need.outline.kind === "polygon" ? 0 : distance(need.outline, hole);
      pairs.push({ need, hole, fit, order: RANK[fit] * 1e4 + (hole.serves === id ? 0 : 1e3) + away });
    }
  }
  const given = new Map<Need, Match>();
  const used = new Set<string>();
  for (const { need, hole, fit } of pairs.sort((one, other) => one.order - other.order)) {
    if (given.has(need)) continue;
    // What is in the way may be in the way of several; it is still spare when nothing else is to stand there.
    if (fit === "wrong") {
      given.set(need, { need, fit, existing: hole });
      if (hole.serves === need.item.item.id) used.add(hole.id);
      continue;
    }
    if (used.has(hole.id) || (hole.serves !== undefined && hole.serves !== need.item.item.id)) continue;
    used.add(hole.id);
    given.set(need, { need, fit, existing: hole });
  }
  return {
    matches: needs.map((need) => given.get(need) ?? { need, fit: "none" }),
    spare: chassis.holes.filter((hole) => !used.has(hole.id)),
  };
}
