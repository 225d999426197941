/** What the parts of a plate's drawing share: holes and bodies by item, what is in hand. */
import { type ChassisHole, type ChassisJudged, outlineOf, type PlacedBody, type PlacedItem } from "@platewright/design";
import type { Outline } from "@platewright/engine";
import type { Role } from "../scene.ts";
import type { PlateLook } from "./plate-look.ts";
import type { PlateMap } from "./plate-map.ts";

export interface PlateParts {
  readonly judged: ChassisJudged;
  readonly look: PlateLook;
  readonly map: PlateMap;
  /** Holes of each item, in its order. */
  readonly holesOfItem: ReadonlyMap<string, readonly ChassisHole[]>;
  /** Over this face, outermost of each item. */
  readonly bodiesOfItem: ReadonlyMap<string, readonly PlacedBody[]>;
  /** Holes of the document as outlines. */
  readonly documentHoles: ReadonlyMap<string, Outline>;
  /** What is there for a hole. */
  readonly thereOf: (hole: ChassisHole) => Outline | undefined;
  /** "live" for what is in hand. */
  readonly roleOf: (ids: readonly string[]) => Role | undefined;
}

export function platePartsOf(judged: ChassisJudged, look: PlateLook, map: PlateMap): PlateParts {
  const documentHoles = new Map(judged.chassis.holes.map((hole) => [hole.id, outlineOf(hole.shape, hole)]));
  return {
    documentHoles,
    thereOf: (hole) => (hole.existing === undefined ? undefined : documentHoles.get(hole.existing)),
    judged,
    look,
    map,
    holesOfItem: grouped(judged.holes.holes, (hole) => hole.item),
    bodiesOfItem: grouped(outermost(judged.bodies.filter((body) => body.face === look.face)), (body) => body.item),
    roleOf: (ids) => (look.chosen !== undefined && ids.some((id) => look.chosen?.has(id)) ? "live" : undefined),
  };
}

/** The hole that an item stands in: its body or bush, else its first. */
export const mainHole = (parts: Pick<PlateParts, "holesOfItem">, item: PlacedItem): ChassisHole | undefined => {
  const own = parts.holesOfItem.get(item.item.id) ?? [];
  return own.find((hole) => hole.purpose === "body" || hole.purpose === "bush") ?? own[0];
};

function grouped<T>(all: readonly T[], keyOf: (one: T) => string | undefined): ReadonlyMap<string, readonly T[]> {
  const groups = new Map<string, T[]>();
  for (const one of all) {
    const key = keyOf(one);
    if (key === undefined) continue;
    const there = groups.get(key);
    if (there === undefined) groups.set(key, [one]);
    else there.push(one);
  }
  return groups;
}

const CARRIER_BODIES: ReadonlySet<string> = new Set(["adapter-ring", "cover-plate", "sub-plate"]);

/** Bodies that no other body of the same item hides; carriers are drawn for themselves. */
function outermost(bodies: readonly PlacedBody[]): readonly PlacedBody[] {
  const own = bodies.filter((body) => !CARRIER_BODIES.has(body.what));
  const byItem = grouped(own, (body) => body.item);
  const hides = (one: PlacedBody, other: PlacedBody) =>
    one.bounds.left <= other.bounds.left + 0.1 &&
    one.bounds.right >= other.bounds.right - 0.1 &&
    one.bounds.front <= other.bounds.front + 0.1 &&
    one.bounds.rear >= other.bounds.rear - 0.1;
  return own.filter((body) => {
    const others = byItem.get(body.item) ?? [];
    const n = others.indexOf(body);
    return !others.some((one, k) => k !== n && hides(one, body) && (!hides(body, one) || k < n));
  });
}
