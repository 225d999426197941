/**
 * The plate with its holes and what stands on it, from above or from below: the one drawing that screen and papers share.
 * Places on the underside are mirrored, words never are.
 *
 * Method  Ground, guides, holes, carriers, what stands over them; then words in the places that are left (labels.ts), the
 *         ordinates at the edges (ordinates.ts).
 */
import { type ChassisHole, type ChassisJudged, plateOutline } from "@platewright/design";
import type { Outline } from "@platewright/engine";
import { type Box, boxAround, itemBox } from "../bounds.ts";
import { type Item, type Point, SIZES, WEIGHTS } from "../scene.ts";
import { carrierItems } from "./carrier-items.ts";
import { type FreePlaces, freePlaces } from "./free-places.ts";
import { gapItems } from "./gap-items.ts";
import { holeItems, idsOfHole } from "./hole-items.ts";
import { labelItems } from "./labels.ts";
import { outlineItem } from "./outline-items.ts";
import { bendItems, datumItems, edgeItems, gridItems } from "./plate-ground.ts";
import { plateLabels } from "./plate-labels.ts";
import type { PlateLook } from "./plate-look.ts";
import { type PlateMap, plateMap } from "./plate-map.ts";
import { ordinateItems } from "./plate-ordinates.ts";
import { mainHole, type PlateParts, platePartsOf } from "./plate-parts.ts";
import { boundsBox, outlineBox, unionOf } from "./shapes.ts";
import { keyItem, pinsOf } from "./socket-items.ts";
import { wireItems } from "./wire-items.ts";

export interface PlateDrawing {
  /** From the left upper corner of the plate; dimensions reach outside of it. */
  readonly items: readonly Item[];
  readonly map: PlateMap;
  /** Room that all of it takes, from the same corner: left and top are below nought where words stand outside the plate. */
  readonly box: Box;
  /** Words for which no free place was found: they are not drawn. */
  readonly unplaced: readonly string[];
}

export function plateDrawing(judged: ChassisJudged, look: PlateLook): PlateDrawing {
  const { chassis } = judged;
  const map = plateMap(chassis.plate, look.face, look.scale);
  const parts = platePartsOf(judged, look, map);
  const ground = look.tinted === true ? "band" : "paper";
  const texts = freePlaces();
  const holes = freePlaces();
  const soft = freePlaces();
  const metal: Box[] = [];
  for (const hole of judged.holes.holes) {
    const old = hole.work === "unresolved" ? parts.thereOf(hole) : undefined;
    for (const outline of old === undefined ? [hole.outline] : [hole.outline, old]) {
      const box = outlineBox(outline, map);
      metal.push(box);
      holes.take(box, hole.id, roundOf(outline, map));
    }
  }
  if (look.bodies === true)
    for (const all of parts.bodiesOfItem.values())
      for (const body of all) soft.take(boundsBox(body.bounds, map), body.item);
  const lines = [
    ...(look.wires ?? []).map((wire) => wire.points),
    ...(look.gaps ?? []).map((gap) => [gap.from, gap.to]),
  ];
  for (const line of lines) for (const at of along(line.map(map.toSheet), 3)) soft.take(boxAround([at], 0.8));

  const sockets = socketItems(parts, { texts, holes });
  const gaps = gapItems(look.gaps ?? [], map, { texts, holes, halo: ground });
  const area: Box = { left: 0.6, top: 0.6, right: map.width - 0.6, bottom: map.height - 0.6 };
  const labels = labelItems(plateLabels(parts), { area, texts, holes, soft, halo: ground });
  const ordinates = ordinateItems(parts);
  const unknown = unknownItems(parts);
  const datum = look.datum === true ? datumItems(map) : [];
  const wires = (look.wires ?? []).flatMap((wire) => wireItems(wire, map, parts.roleOf(wire.ids ?? [])));
  const edges = look.edges === true ? edgeItems(chassis.plate, map, ordinates.room) : [];
  const items: readonly Item[] = [
    outlineItem(plateOutline(chassis.plate), map, { weight: WEIGHTS.body, fill: ground }),
    ...(look.grid === true ? gridItems(chassis.plate, map) : []),
    ...(look.bends === true ? bendItems(chassis.plate, map) : []),
    ...ordinates.guides,
    ...metalItems(parts),
    ...bodyItems(parts),
    ...unknown,
    ...wires,
    ...sockets.items,
    ...gaps.items,
    ...bracketItems(parts),
    ...labels.items,
    ...ordinates.items,
    ...datum,
    ...edges,
  ];
  return {
    map,
    items,
    box: roomOf(parts, metal, [...ordinates.items, ...edges, ...unknown, ...datum, ...wires]),
    unplaced: [...sockets.unplaced, ...gaps.unplaced, ...labels.unplaced, ...ordinates.unplaced],
  };
}

/** What stands on the plate is inside of it; what may reach past it is looked at. */
function roomOf({ map, bodiesOfItem, judged }: PlateParts, metal: readonly Box[], others: readonly Item[]): Box {
  const rim = 4;
  const around = (box: Box): Box => ({
    left: box.left - rim / 2,
    right: box.right + rim / 2,
    top: box.top - rim / 2,
    bottom: box.bottom + rim / 2,
  });
  const past = (box: Box) =>
    box.left < rim || box.top < rim || box.right > map.width - rim || box.bottom > map.height - rim;
  return unionOf([
    boxAround(
      [
        [0, 0],
        [map.width, map.height],
      ],
      WEIGHTS.body / 2,
    ),
    itemBox({ kind: "group", at: [0, 0], items: others }),
    ...[
      ...metal,
      ...[...bodiesOfItem.values()].flat().map((body) => boundsBox(body.bounds, map)),
      ...judged.holes.carriers.map((one) => outlineBox(one.outline, map)),
    ]
      .filter(past)
      .map(around),
  ]);
}

const roundOf = (outline: Outline, map: PlateMap) => {
  if (outline.kind !== "circle") return undefined;
  const [x, y] = map.toSheet(outline);
  return { x, y, radius: (outline.diameterMillimetres / 2) * map.scale };
};

/** Holes of the plate, then carriers, then the holes in and through them. */
function metalItems({ judged, look, map, roleOf, thereOf, documentHoles }: PlateParts): readonly Item[] {
  const { holes: found } = judged;
  const carried = new Map(found.carriers.map((carrier) => [carrier.item, carrier]));
  const wrong = new Set<string>();
  const drawn = (hole: ChassisHole): readonly Item[] => {
    const there = thereOf(hole);
    const role = roleOf(idsOfHole(hole));
    const items = holeItems(hole, {
      map,
      centre: true,
      again: hole.work === "unresolved" && hole.existing !== undefined && wrong.has(hole.existing),
      ...(there === undefined ? {} : { there }),
      ...(role === undefined ? {} : { role }),
    });
    if (hole.work === "unresolved" && hole.existing !== undefined) wrong.add(hole.existing);
    return items;
  };
  const isCovered = (hole: ChassisHole) =>
    hole.purpose === "opening" && carried.get(hole.item ?? "")?.face === look.face;
  const over = (hole: ChassisHole) => hole.item !== undefined && carried.has(hole.item) && hole.purpose !== "opening";
  return [
    ...found.holes.filter((hole) => !over(hole) && !isCovered(hole)).flatMap(drawn),
    ...found.carriers.flatMap((carrier) => {
      const role = roleOf([carrier.item, carrier.hole]);
      const under: Outline | undefined = carrier.opening ?? documentHoles.get(carrier.hole);
      return carrierItems(carrier, under, { map, face: look.face, ...(role === undefined ? {} : { role }) });
    }),
    ...found.holes.filter(over).flatMap(drawn),
  ];
}

function bodyItems({ look, bodiesOfItem, map, roleOf }: PlateParts): readonly Item[] {
  if (look.bodies !== true) return [];
  return [...bodiesOfItem.values()].flat().map((body) => {
    const role = roleOf([body.item]);
    return outlineItem(body.outline, map, {
      weight: WEIGHTS.hair,
      dash: "dash",
      role: role ?? "quiet",
      ids: [body.item],
    });
  });
}

/** A part whose footprint nobody knows: a square with a question mark. */
function unknownItems({ judged, map, roleOf }: PlateParts): readonly Item[] {
  const { unknown } = judged.holes;
  const half = 3;
  return judged.chassis.items
    .filter((item) => unknown.includes(item.id))
    .flatMap((item): readonly Item[] => {
      const [x, y] = map.toSheet(item);
      const role = roleOf([item.id]) ?? "stop";
      return [
        {
          kind: "rect",
          at: [x - half, y - half],
          width: 2 * half,
          height: 2 * half,
          weight: WEIGHTS.light,
          dash: "dash",
          role,
          fill: "paper",
          ids: [item.id],
        },
        {
          kind: "text",
          at: [x, y + 1.3],
          text: "?",
          size: SIZES.small,
          anchor: "middle",
          bold: true,
          role,
          ids: [item.id],
        },
      ];
    });
}

function socketItems(
  parts: PlateParts,
  { texts, holes }: { readonly texts: FreePlaces; readonly holes: FreePlaces },
): { readonly items: readonly Item[]; readonly unplaced: readonly string[] } {
  const { judged, look, map, roleOf } = parts;
  const unplaced: string[] = [];
  const onPlate = (box: Box) => box.left >= 0 && box.top >= 0 && box.right <= map.width && box.bottom <= map.height;
  const items = judged.items.flatMap((item): readonly Item[] => {
    const hole = mainHole(parts, item);
    if (item.footprint.pins === undefined || hole === undefined) return [];
    const role = roleOf([item.item.id]) ?? "ink";
    const drawn: Item[] = [];
    if (look.keys === true) {
      const key = keyItem(item, hole.outline, map, role);
      drawn.push(key);
      texts.take(itemBox(key));
    }
    const pins =
      look.pins === true && look.face === "under"
        ? pinsOf(item, hole.outline, map, role, (box) => onPlate(box) && texts.isFree(box) && holes.isFree(box, 0.2))
        : undefined;
    if (pins === undefined) return drawn;
    drawn.push(...pins.dots);
    const written = pins.numbers.length > 0 && pins.numbers.every(({ box }) => onPlate(box) && texts.isFree(box));
    for (const dot of pins.dots) texts.take(itemBox(dot));
    if (!written) unplaced.push(`pins of ${item.item.id}`);
    else
      for (const { text, at, box } of pins.numbers) {
        texts.take(box);
        drawn.push({
          kind: "text",
          at,
          text,
          size: SIZES.small,
          anchor: "middle",
          role,
          halo: "paper",
          ids: [item.item.id],
        });
      }
    return drawn;
  });
  return { items, unplaced };
}

/** Points on a run, `step` apart at most. */
function along(run: readonly Point[], step: number): readonly Point[] {
  return run.flatMap(([x, y], n): readonly Point[] => {
    const before = run[n - 1];
    if (before === undefined) return [[x, y]];
    const pieces = Math.max(1, Math.ceil(Math.hypot(x - before[0], y - before[1]) / step));
    return Array.from({ length: pieces }, (_, k): Point => {
      const t = (k + 1) / pieces;
      return [before[0] + t * (x - before[0]), before[1] + t * (y - before[1])];
    });
  });
}

const BRACKET = 2.4;

/** Corners round each item in hand, so that it is not told by colour alone. */
function bracketItems({ judged, look, map, holesOfItem, bodiesOfItem }: PlateParts): readonly Item[] {
  const { chosen } = look;
  if (chosen === undefined || chosen.size === 0) return [];
  const boxes = [
    ...judged.items
      .filter(({ item }) => chosen.has(item.id))
      .map(({ item }) => ({
        id: item.id,
        outlines: [
          ...(holesOfItem.get(item.id) ?? []).map((hole) => hole.outline),
          ...(look.bodies === true ? (bodiesOfItem.get(item.id) ?? []).map((body) => body.outline) : []),
        ],
      })),
    ...judged.holes.holes
      .filter((hole) => chosen.has(hole.id))
      .map((hole) => ({ id: hole.id, outlines: [hole.outline] })),
  ];
  return boxes.flatMap(({ id, outlines }): readonly Item[] => {
    if (outlines.length === 0) return [];
    const all = unionOf(outlines.map((outline) => outlineBox(outline, map)));
    const box = { left: all.left - 1.6, right: all.right + 1.6, top: all.top - 1.6, bottom: all.bottom + 1.6 };
    return (
      [
        [box.left, box.top, 1, 1],
        [box.right, box.top, -1, 1],
        [box.right, box.bottom, -1, -1],
        [box.left, box.bottom, 1, -1],
      ] as const
    ).map(([x, y, dx, dy]) => ({
      kind: "polyline",
      points: [
        [x + dx * BRACKET, y],
        [x, y],
        [x, y + dy * BRACKET],
      ],
      weight: WEIGHTS.light,
      role: "live",
      ids: [id],
    }));
  });
}
