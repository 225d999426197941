/** The drawing of the plate in groups that the page can tell apart: what is kept is drawn once, what is in hand over it. */
import type { ChassisJudged, Face, WireRun } from "@platewright/design";
import { type Item, plateDrawing, plateWires } from "@platewright/drawing";
import type { Bench } from "../../worker/bench.ts";
import { keptChassis } from "./kept-chassis.ts";
import { paperRound, scaleFor } from "./plate-scale.ts";
import { runsOn } from "./wire-runs-on.ts";

/** Neighbours in the drawing that belong to one item, as text: the page reads and draws only those that are not as before. */
export interface PlateGroup {
  /** Stays the same from one drawing to the next. */
  readonly key: string;
  /** The item; "" for what belongs to none. */
  readonly owner: string;
  readonly text: string;
}

export function groupsOf(items: readonly Item[], { holes, items: placed }: ChassisJudged): readonly PlateGroup[] {
  const ownerOf = new Map<string, string>(placed.map(({ item }) => [item.id, item.id]));
  for (const hole of holes.holes) if (hole.item !== undefined) ownerOf.set(hole.id, hole.item);
  const owner = (item: Item): string => (item.ids ?? []).flatMap((id) => ownerOf.get(id) ?? [])[0] ?? "";
  const groups: { owner: string; items: Item[] }[] = [];
  for (const item of items) {
    const last = groups.at(-1);
    if (last?.owner === owner(item)) last.items.push(item);
    else groups.push({ owner: owner(item), items: [item] });
  }
  const count = new Map<string, number>();
  return groups.map((group) => {
    const n = count.get(group.owner) ?? 0;
    count.set(group.owner, n + 1);
    return { key: `${group.owner} ${n}`, owner: group.owner, text: JSON.stringify(group.items) };
  });
}

export interface PlateParams {
  readonly face: Face;
  /** Of the sheet, millimetres. */
  readonly width: number;
  /** With the ways of the wires. */
  readonly wires: boolean;
}

/** The plate as it is kept at the width it gets, and how it was drawn. */
export function keptPlate(bench: Bench, { face, width, wires }: PlateParams) {
  return bench.ofKept(`plate ${face} ${width} ${wires}`, () => {
    const judged = keptChassis(bench);
    if (judged === undefined) return undefined;
    const { plate } = judged.chassis;
    // Ordinates that are pushed apart want more paper: drawn once more where they do.
    const wanted = scaleFor(plate.widthMillimetres, width);
    const ways = wires ? runsOn(bench, judged)?.runs : undefined;
    const first = drawn(judged, face, wanted, ways);
    const scale = scaleFor(plate.widthMillimetres, width, paperRound(first.box, first.map.width, first.map.height));
    const drawing = scale === wanted ? first : drawn(judged, face, scale, ways);
    return { judged, drawing, groups: groupsOf(drawing.items, judged) };
  });
}

export const drawn = (
  judged: ChassisJudged,
  face: Face,
  scale: number,
  runs?: readonly WireRun[],
  chosen?: ReadonlySet<string>,
) =>
  plateDrawing(judged, {
    face,
    scale,
    bodies: true,
    names: true,
    dimensions: "items",
    grid: true,
    keys: true,
    pins: face === "under",
    bends: true,
    datum: true,
    edges: true,
    tinted: true,
    ...(runs === undefined ? {} : { wires: plateWires(runs) }),
    ...(chosen === undefined ? {} : { chosen }),
  });
