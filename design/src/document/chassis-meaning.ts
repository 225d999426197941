/** What no schema sees of a chassis: holes that are on the plate, items that are of this unit, ids that lead somewhere. */
import type { HoleShape } from "@platewright/engine";
import { depthInside, isConvex, outlineOf, solidOf } from "../chassis/geometry.ts";
import { type Edge, plateSolid, plateWords, toEdges } from "../chassis/plate.ts";
import type { Chassis, OwnFootprint } from "./chassis-schema.ts";
import type { Document } from "./schema.ts";
import { duplicate, type Wrong, wrong } from "./wrong.ts";

/** A thousandth of a millimetre: a hole that is drawn to touch the edge is on the plate. */
const HAIR = 1e-3;

export function chassisMeaning(document: Document): Wrong | undefined {
  const { chassis } = document;
  if (chassis === undefined) return undefined;
  return (
    duplicate("chassis.items", chassis.items) ??
    duplicate("chassis.holes", chassis.holes) ??
    duplicate("chassis.tools", chassis.tools ?? []) ??
    duplicate("chassis.footprints", chassis.footprints ?? []) ??
    plateMeaning(chassis) ??
    holeMeaning(chassis) ??
    itemMeaning(document, chassis) ??
    toolMeaning(chassis) ??
    salvageMeaning(chassis) ??
    ownMeaning(chassis.footprints ?? [])
  );
}

function plateMeaning({ plate }: Chassis): Wrong | undefined {
  const radius = plate.cornerRadiusMillimetres ?? 0;
  const most = Math.min(plate.widthMillimetres, plate.depthMillimetres) / 2;
  if (radius > most)
    return wrong(
      "chassis.plate.cornerRadiusMillimetres",
      `${radius} mm is more than half of the plate; at most ${most} mm is accepted.`,
    );
  const bent = new Set<Edge>();
  for (const { edge } of plate.bends ?? []) {
    if (bent.has(edge)) return wrong("chassis.plate.bends", `the ${edge} edge is bent twice; name each edge once.`);
    bent.add(edge);
  }
  return undefined;
}

function shapeMeaning(place: string, shape: HoleShape): Wrong | undefined {
  if (shape.kind !== "rectangle" || shape.cornerMillimetres === undefined) return undefined;
  const most = Math.min(shape.widthMillimetres, shape.heightMillimetres) / 2;
  return shape.cornerMillimetres <= most
    ? undefined
    : wrong(
        `${place}.cornerMillimetres`,
        `${shape.cornerMillimetres} mm is more than half of the hole; at most ${most} mm is accepted.`,
      );
}

function holeMeaning(chassis: Chassis): Wrong | undefined {
  const plate = plateSolid(chassis.plate);
  for (const hole of chassis.holes) {
    const place = `chassis.holes[${hole.id}]`;
    const bad = shapeMeaning(`${place}.shape`, hole.shape);
    if (bad !== undefined) return bad;
    const solid = solidOf(outlineOf(hole.shape, hole));
    const depth = depthInside(plate, solid);
    if (depth < -HAIR) {
      const [edge, gap] = Object.entries(toEdges(chassis.plate, solid)).reduce((least, one) =>
        one[1] < least[1] ? one : least,
      );
      const past = gap < -HAIR ? `the ${edge} edge` : "a corner";
      return wrong(
        place,
        `the hole reaches ${round(-depth)} mm past ${past} of the plate (${plateWords(chassis)}); it must lie inside.`,
      );
    }
    if (hole.serves !== undefined && !chassis.items.some((item) => item.id === hole.serves))
      return wrong(`${place}.serves`, `there is no item ${hole.serves} on the chassis.`);
  }
  return undefined;
}

const round = (millimetres: number): number => Math.round(millimetres * 100) / 100;

function itemMeaning(document: Document, chassis: Chassis): Wrong | undefined {
  const seen = new Map<string, string>();
  const parts = new Set(
    document.instances.flatMap((instance) =>
      (Object.hasOwn(document.blocks, instance.block) ? (document.blocks[instance.block]?.parts ?? []) : []).map(
        (part) => `${instance.id}.${part.id}`,
      ),
    ),
  );
  for (const item of chassis.items) {
    const place = `chassis.items[${item.id}]`;
    const { what } = item;
    const named =
      "envelope" in what
        ? [what.envelope]
        : "part" in what
          ? [what.part, ...(what.also ?? [])]
          : "transformer" in what
            ? ["the transformer"]
            : [];
    if ("envelope" in what && !document.envelopes.some((one) => one.id === what.envelope))
      return wrong(
        `${place}.what.envelope`,
        `there is no envelope ${what.envelope}; one of ${document.envelopes.map((one) => one.id).join(", ") || "none"} is.`,
      );
    if ("part" in what)
      for (const part of named)
        if (!parts.has(part))
          return wrong(`${place}.what.part`, `there is no part ${part}; name it as instance.part ("L.P1").`);
    if ("transformer" in what && document.supply === undefined)
      return wrong(`${place}.what.transformer`, "the unit has no supply, so no transformer.");
    if ("fitting" in what && what.fitting !== item.footprint)
      return wrong(`${place}.what.fitting`, `${what.fitting} is not the item's footprint, ${item.footprint}.`);
    for (const one of named) {
      const before = seen.get(one);
      if (before !== undefined)
        return wrong(`${place}.what`, `${one} stands on the chassis as ${before} already; each part stands once.`);
      seen.set(one, item.id);
    }
  }
  return undefined;
}

function toolMeaning(chassis: Chassis): Wrong | undefined {
  for (const tool of chassis.tools ?? []) {
    const cuts = tool.cutsMillimetres;
    if ("from" in cuts && cuts.from > cuts.to)
      return wrong(
        `chassis.tools[${tool.id}].cutsMillimetres`,
        `from ${cuts.from} is more than to ${cuts.to}; a range runs from less to more.`,
      );
  }
  return undefined;
}

/** Ways that need no item: the hole is closed, or serves something else. */
const WITHOUT_ITEM: ReadonlySet<string> = new Set(["blank-plug", "other-use", "keep"]);

function salvageMeaning(chassis: Chassis): Wrong | undefined {
  const decided = new Set<string>();
  for (const { hole, item, by } of chassis.salvage ?? []) {
    const place = `chassis.salvage[${hole}]`;
    if (!chassis.holes.some((one) => one.id === hole)) return wrong(place, `there is no hole ${hole} in the plate.`);
    if (decided.has(hole)) return wrong(place, "two decisions stand for this hole; each hole has one.");
    decided.add(hole);
    if (item === undefined && !WITHOUT_ITEM.has(by))
      return wrong(place, `${by} needs an item; name the one that is to stand there.`);
    if (item !== undefined && !chassis.items.some((one) => one.id === item))
      return wrong(place, `there is no item ${item} on the chassis.`);
  }
  return undefined;
}

function ownMeaning(footprints: readonly OwnFootprint[]): Wrong | undefined {
  for (const footprint of footprints) {
    const place = `chassis.footprints[${footprint.id}]`;
    const twice = duplicate(`${place}.holes`, footprint.holes);
    if (twice !== undefined) return twice;
    for (const hole of footprint.holes) {
      const bad = shapeMeaning(`${place}.holes[${hole.id}].shape`, hole.shape);
      if (bad !== undefined) return bad;
    }
    for (const { outline, what } of [...footprint.above, ...footprint.below])
      if (outline.kind === "polygon" && !isConvex(outline.points))
        return wrong(
          place,
          `the outline of ${what} is not convex; draw it as several bodies that are, corners in order.`,
        );
  }
  return undefined;
}
