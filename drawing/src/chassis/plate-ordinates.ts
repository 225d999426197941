/** Which places of a plate get an ordinate, and the guides from them to the edges. */
import { type Item, WEIGHTS } from "../scene.ts";
import { alongEdge, type EdgeRow, merged, type Ordinate, ordinateWords, upEdge } from "./ordinates.ts";
import type { PlateParts } from "./plate-parts.ts";
import { datumReach, datumWords } from "./plate-ground.ts";

/** Words at an edge may stand this far past its end. */
const OVERHANG = 9;

export interface PlateOrdinates {
  readonly guides: readonly Item[];
  readonly items: readonly Item[];
  /** How far words reach over the rear and under the front edge. */
  readonly room: { readonly above: number; readonly below: number };
  readonly unplaced: readonly string[];
}

interface Spot {
  readonly x: number;
  readonly y: number;
  readonly ids: readonly string[];
  readonly guided: boolean;
}

export function ordinateItems(parts: PlateParts): PlateOrdinates {
  const { judged, look, map } = parts;
  const datum = look.datum === true ? [datumWords(map, 5.9)] : [];
  if (look.dimensions === undefined || look.dimensions === false)
    return { guides: [], items: datum, room: { above: 0, below: datum.length === 0 ? 0 : 3.4 }, unplaced: [] };
  const spots = spotsOf(parts);
  const { widthMillimetres: wide, depthMillimetres: deep } = judged.chassis.plate;
  const along = (spot: { readonly x: number }) => map.toSheet({ x: spot.x, y: 0 })[0];
  const up = (spot: { readonly y: number }) => map.toSheet({ x: 0, y: spot.y })[1];
  const size = { ids: [], role: "quiet", keep: true } as const;
  const ordinateX = (spot: Spot): Ordinate => ({ value: spot.x, at: along(spot), ...shownOf(parts, spot) });
  const ends: readonly Ordinate[] = [{ value: wide, at: along({ x: wide }), ...size }];
  // The datum's own words stand at its corner.
  const clear = look.datum === true ? datumReach() - 2 : -OVERHANG;
  const x =
    map.face === "top"
      ? { from: Math.min(0, -datumReach() + clear), to: map.width + OVERHANG }
      : { from: -OVERHANG, to: Math.max(map.width, map.width + datumReach() - clear) };
  const front = { at: map.height, way: 1, ...x } as const;
  // Beside the edge of the datum stand the words of y.
  const rear =
    map.face === "top"
      ? ({ at: 0, way: -1, from: 0, to: map.width + OVERHANG } as const)
      : ({ at: 0, way: -1, from: -OVERHANG, to: map.width } as const);
  const all = merged([...spots.map(ordinateX), ...ends]);
  const whole = alongEdge(all, front);
  // Too many for the front: what is nearer to the rear has its x there.
  const split = whole.left.length > 0;
  const isRear = (spot: Spot) => spot.y > deep / 2;
  const below = split
    ? alongEdge(merged([...spots.filter((spot) => !isRear(spot)).map(ordinateX), ...ends]), front)
    : whole;
  const above: EdgeRow = split
    ? alongEdge(merged(spots.filter(isRear).map(ordinateX)), rear)
    : { items: [], depth: 0, left: [] };
  const side = upEdge(
    merged([
      ...spots.map((spot): Ordinate => ({ value: spot.y, at: up(spot), ...shownOf(parts, spot) })),
      { value: deep, at: up({ y: deep }), ...size },
    ]),
    map.face === "top"
      ? { at: 0, way: -1, from: -3, to: map.height - 1.5 }
      : { at: map.width, way: 1, from: -3, to: map.height - 1.5 },
  );
  const edge = map.face === "top" ? 0 : map.width;
  const guides = spots
    .filter((spot) => spot.guided)
    .flatMap((spot): readonly Item[] => {
      const [px, py] = map.toSheet(spot);
      const role = parts.roleOf(spot.ids) ?? "rule";
      const line = { kind: "line", weight: WEIGHTS.hair, dash: "dot", role, ids: spot.ids, from: [px, py] } as const;
      return [
        { ...line, to: [px, split && isRear(spot) ? 0 : map.height] },
        { ...line, to: [edge, py] },
      ];
    });
  return {
    guides,
    items: [...below.items, ...above.items, ...side.items, ...datum],
    room: { above: above.depth, below: below.depth },
    unplaced: [...below.left, ...above.left, ...side.left].map((one) => `ordinate ${ordinateWords(one.value)}`),
  };
}

function shownOf({ roleOf }: PlateParts, { ids, guided }: Spot): Omit<Ordinate, "value" | "at"> {
  const role = roleOf(ids);
  return { ids, ...(role === undefined ? {} : { role, bold: true }), ...(guided ? { keep: true } : {}) };
}

/** Origins of items, holes that belong to none; every hole when all are asked for. */
function spotsOf({ judged, look }: PlateParts): readonly Spot[] {
  const items = judged.chassis.items.map(({ id, x, y }): Spot => ({ x, y, ids: [id], guided: true }));
  const holes = judged.holes.holes
    .filter((hole) => hole.purpose === "none" || look.dimensions === "holes")
    .map(({ id, x, y, purpose }): Spot => ({ x, y, ids: [id], guided: purpose === "none" }));
  const { widthMillimetres: wide, depthMillimetres: deep } = judged.chassis.plate;
  return [...items, ...holes].filter(({ x, y }) => x >= 0 && y >= 0 && x <= wide && y <= deep);
}
