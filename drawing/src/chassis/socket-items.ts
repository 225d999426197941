/** Sockets on the plate: the key as a triangle at the rim of the hole, pins where they are with their numbers outward of them. */
import { pinPlace, type PlacedItem, placed } from "@platewright/design";
import type { Outline } from "@platewright/engine";
import { type Box, boxAround, overlap } from "../bounds.ts";
import { type Item, type Point, type Role, SIZES, WEIGHTS } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";
import type { PlateMap } from "./plate-map.ts";
import { type Shape, shapeBox, shapeOf } from "./shapes.ts";

const SIZE = SIZES.small;
const CAP = CAP_EMS * SIZE;

/** Where the key lies, as a unit vector on the sheet. */
function keyWay(item: PlacedItem, map: PlateMap): Point {
  const [x0, y0] = map.toSheet(item.pose);
  const [x1, y1] = map.toSheet(placed(item.pose, { x: 0, y: -1 }));
  const length = Math.hypot(x1 - x0, y1 - y0);
  return [(x1 - x0) / length, (y1 - y0) / length];
}

/** A filled triangle inside the rim, its point outward. */
export function keyItem(item: PlacedItem, hole: Outline, map: PlateMap, role: Role): Item {
  const [ux, uy] = keyWay(item, map);
  const [x, y] = map.toSheet(item.pose);
  const shape = shapeOf(hole, map);
  const radius = shape.kind === "circle" ? shape.radius : Math.min(...sidesOf(shapeBox(shape))) / 2;
  const long = Math.min(3, Math.max(1.4, radius * 0.34));
  const out = radius - 0.4;
  const tip: Point = [x + ux * out, y + uy * out];
  const back: Point = [x + ux * (out - long), y + uy * (out - long)];
  const half = long * 0.58;
  return {
    kind: "path",
    points: [tip, [back[0] - uy * half, back[1] + ux * half], [back[0] + uy * half, back[1] - ux * half]],
    weight: 0,
    fill: role,
    ids: [item.item.id],
  };
}

const sidesOf = (box: Box): readonly [number, number] => [box.right - box.left, box.bottom - box.top];

export interface Pins {
  readonly dots: readonly Item[];
  readonly numbers: readonly { readonly text: string; readonly at: Point; readonly box: Box }[];
}

/** Pins with the places of their numbers, on a circle wide enough that none touches the next; no numbers where none is free. */
export function pinsOf(
  item: PlacedItem,
  hole: Outline,
  map: PlateMap,
  role: Role,
  isFree: (box: Box) => boolean,
): Pins | undefined {
  const { pins } = item.footprint;
  if (pins === undefined) return undefined;
  const [x, y] = map.toSheet(item.pose);
  const shape: Shape = shapeOf(hole, map);
  const rim = shape.kind === "circle" ? shape.radius : Math.min(...sidesOf(shapeBox(shape))) / 2;
  const places = Array.from({ length: pins.count }, (_, n) => {
    const place = pinPlace(item, n + 1);
    return place === undefined ? undefined : { number: n + 1, at: map.toSheet(place) };
  }).filter((one) => one !== undefined);
  const own = (pins.circleMillimetres / 2) * map.scale;
  const numbersAt = (radius: number) =>
    places.map(({ number, at }) => {
      const length = Math.hypot(at[0] - x, at[1] - y) || 1;
      const middle: Point = [x + ((at[0] - x) / length) * radius, y + ((at[1] - y) / length) * radius];
      const text = String(number);
      const half = textWidth(text, SIZE) / 2;
      return {
        text,
        at: [middle[0], middle[1] + CAP / 2] as const,
        box: {
          left: middle[0] - half,
          right: middle[0] + half,
          top: middle[1] - CAP / 2,
          bottom: middle[1] + CAP / 2,
        },
      };
    });
  const apart = (boxes: readonly Box[]) =>
    boxes.every((one, n) => boxes.every((other, k) => k <= n || !overlap(one, other, 0.2)));
  const far = (numbers: Pins["numbers"]) =>
    Math.max(
      ...numbers.map(({ box }) =>
        Math.hypot(Math.max(x - box.left, box.right - x), Math.max(y - box.top, box.bottom - y)),
      ),
    );
  const from = (least: number, may: (boxes: readonly Box[]) => boolean = () => true) => {
    for (let radius = least; ; radius += 0.1) {
      const numbers = numbersAt(radius);
      const boxes = numbers.map((one) => one.box);
      if (radius > least + 30 || (apart(boxes) && may(boxes))) return numbers;
    }
  };
  const dot = dotRadius(map);
  const clearOfDots = (boxes: readonly Box[]) =>
    boxes.every((box) => places.every(({ at }) => !overlap(box, boxAround([at], dot), 0.15)));
  const outward = from(own + CAP / 2 + 0.7, clearOfDots);
  if (far(outward) <= rim - 0.1) return { dots: dotsAt(places, map, role, item.item.id), numbers: outward };
  // Numbers in the place of the pins, where they have no room inside the rim beside them.
  const instead = from(own);
  if (far(instead) <= rim - 0.1) return { dots: [], numbers: instead };
  // Else round the hole, past the screws that stand there.
  for (let radius = rim + CAP / 2 + 1; radius < rim + 9; radius += 0.4) {
    const numbers = numbersAt(radius);
    if (apart(numbers.map((one) => one.box)) && numbers.every((one) => isFree(one.box)))
      return { dots: dotsAt(places, map, role, item.item.id), numbers };
  }
  return { dots: dotsAt(places, map, role, item.item.id), numbers: [] };
}

const dotRadius = ({ scale }: PlateMap): number => Math.min(0.6, 0.5 * scale + 0.15);

const dotsAt = (places: readonly { readonly at: Point }[], map: PlateMap, role: Role, id: string): readonly Item[] =>
  places.map(({ at }) => ({
    kind: "circle",
    at,
    radius: dotRadius(map),
    weight: WEIGHTS.hair,
    fill: role,
    role,
    ids: [id],
  }));
