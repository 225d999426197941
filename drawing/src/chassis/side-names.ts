/** Bodies as they are seen from a side, and their names where nothing nearer covers them. */
import { type ChassisJudged, itemName, type PlacedBody, pulledMillimetres } from "@platewright/design";
import { type Box, itemBox } from "../bounds.ts";
import type { Item, Point, Role } from "../scene.ts";
import { type FreePlaces, freePlaces } from "./free-places.ts";
import { type Label, labelItems } from "./labels.ts";
import { boxInside, type Shape } from "./shapes.ts";
import type { SideLook } from "./side-look.ts";

export interface Seen {
  readonly body: PlacedBody;
  /** Millimetres of the sheet, from the left end of the plate. */
  readonly left: number;
  readonly right: number;
  /** The nearer, the smaller. */
  readonly depth: number;
}

export const shapeFor = ({ body, left, right }: Seen, scale: number, thick: number): Shape => {
  const height = body.heightMillimetres * scale;
  const [near, far] = body.face === "top" ? [0, -height] : [thick, thick + height];
  if (body.what !== "bulb")
    return {
      kind: "polygon",
      points: [
        [left, near],
        [right, near],
        [right, far],
        [left, far],
      ],
    };
  // Glass ends in a dome.
  const half = (right - left) / 2;
  const dome = Math.min(half, height * 0.35) * Math.sign(far - near);
  const arc = Array.from({ length: 13 }, (_, n): Point => {
    const angle = (Math.PI * n) / 12;
    return [left + half - half * Math.cos(angle), far - dome + dome * Math.sin(angle)];
  });
  return { kind: "polygon", points: [[left, near], ...arc, [right, near]] };
};

interface NameGround {
  readonly long: number;
  readonly thick: number;
  readonly roleOf: (id: string) => Role | undefined;
  readonly cover: readonly Item[];
}

/** Names from the nearest to the farthest, on what nothing nearer covers. */
export function nameItems(
  judged: ChassisJudged,
  seen: readonly Seen[],
  { scale, from }: SideLook,
  { long, thick, roleOf, cover }: NameGround,
): { readonly items: readonly Item[]; readonly unplaced: readonly string[] } {
  const texts = freePlaces();
  const nearer = freePlaces();
  const soft = freePlaces();
  nearer.take({ left: 0, right: long, top: -0.3, bottom: thick + 0.3 });
  const boxOf = (one: Seen): Box => {
    const height = one.body.heightMillimetres * scale;
    return one.body.face === "top"
      ? { left: one.left, right: one.right, top: -height, bottom: 0 }
      : { left: one.left, right: one.right, top: thick, bottom: thick + height };
  };
  for (const one of seen) soft.take(boxOf(one), one.body.item);
  for (const item of cover) if (item.kind === "text") texts.take(itemBox(item));
  if (judged.chassis.plate.coverMillimetres !== undefined)
    for (const tube of judged.tubes) {
      const { x, y } = tube.item.item;
      const at = (from === "front" ? x : judged.chassis.plate.depthMillimetres - y) * scale;
      texts.take({
        left: at - 1,
        right: at + 1,
        top: -pulledMillimetres(tube) * scale,
        bottom: -tube.topMillimetres * scale,
      });
    }
  const area = { left: -1, right: long + 1, top: -1e3, bottom: 1e3 };
  const items: Item[] = [];
  const unplaced: string[] = [];
  const ids = [...new Set([...seen].reverse().map((one) => one.body.item))];
  for (const id of ids) {
    const own = seen.filter((one) => one.body.item === id && one.body.what !== "plug");
    const above = own.filter((one) => one.body.face === "top" && one.body.heightMillimetres >= NAMED_ABOVE);
    const main = (above.length > 0 ? above : own).sort(
      (one, other) => other.body.heightMillimetres - one.body.heightMillimetres,
    );
    const [tallest] = main;
    const item = judged.items.find((one) => one.item.id === id);
    const point =
      tallest === undefined ? undefined : visiblePoint(shapeFor(tallest, scale, thick), boxOf(tallest), nearer);
    // What nothing shows is in the list under the drawing alone.
    if (tallest !== undefined && item !== undefined && point !== undefined) {
      const role = roleOf(id);
      const label: Label = {
        ids: [id],
        owner: id,
        words: [{ text: itemName(item.item), bold: true, ...(role === undefined ? {} : { role }) }],
        inside: main.map((one) => ({ box: boxOf(one), shape: () => shapeFor(one, scale, thick) })),
        beside: [boxOf(tallest)],
        target: { kind: "circle", at: point, radius: 0.1 },
      };
      const written = labelItems([label], { area, texts, holes: nearer, soft, halo: "paper" });
      items.push(...written.items);
      unplaced.push(...written.unplaced);
    }
    for (const one of own) nearer.take(boxOf(one));
  }
  return { items, unplaced };
}

/** A body lower than this over the plate is named by what hangs under it. */
const NAMED_ABOVE = 8;
/** Points across and up that are looked at; so many must show. */
const LOOKS = 6;
const SHOWN = 4;

/** The point of a shape nearest to its middle that nothing nearer covers. */
function visiblePoint(shape: Shape, box: Box, nearer: FreePlaces): Point | undefined {
  const points = Array.from({ length: LOOKS * LOOKS }, (_, n): Point => {
    const [i, j] = [n % LOOKS, Math.floor(n / LOOKS)];
    return [
      box.left + ((i + 0.5) / LOOKS) * (box.right - box.left),
      box.top + ((j + 0.5) / LOOKS) * (box.bottom - box.top),
    ];
  }).filter(([x, y]) => {
    const spot = { left: x, right: x, top: y, bottom: y };
    return boxInside(spot, shape, 0) && nearer.isFree(spot, 0.05);
  });
  const [x, y] = [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
  const away = (point: Point) => Math.hypot(point[0] - x, point[1] - y);
  return points.length < SHOWN ? undefined : points.reduce((best, one) => (away(one) < away(best) - 1e-9 ? one : best));
}
