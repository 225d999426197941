/** What stands under a place of the plate, and in which order things are read. Millimetres of the plate. */
import { type Bounds, boundsOf, type Face, solidOf } from "@platewright/design";
import type { Outline, Place } from "@platewright/engine";
import type { HoleRow } from "./hole-rows.ts";
import type { ItemFacts } from "./item-facts.ts";

/** An item that is as small as its place can still be met. */
const LEAST = 4;

/** Everything of an item that is seen on a face, its holes with it. */
export function boundsOn(
  face: Face,
  { x, y, outlines, holes }: Pick<ItemFacts, "x" | "y" | "outlines" | "holes">,
): Bounds {
  let bounds: Bounds = { left: x - LEAST, right: x + LEAST, front: y - LEAST, rear: y + LEAST };
  // A hole that is there stays where it is when its part is moved away.
  const near = (one: Outline) => {
    const { left, right, front, rear } = boundsOf(solidOf(one));
    return left <= x + 80 && right >= x - 80 && front <= y + 80 && rear >= y - 80;
  };
  for (const outline of [...outlines[face], ...holes.filter(near)]) {
    const one = boundsOf(solidOf(outline));
    bounds = {
      left: Math.min(bounds.left, one.left),
      right: Math.max(bounds.right, one.right),
      front: Math.min(bounds.front, one.front),
      rear: Math.max(bounds.rear, one.rear),
    };
  }
  return bounds;
}

const areaOf = ({ left, right, front, rear }: Bounds): number => (right - left) * (rear - front);
const holds = ({ left, right, front, rear }: Bounds, { x, y }: Place, slack: number): boolean =>
  x >= left - slack && x <= right + slack && y >= front - slack && y <= rear + slack;

export interface Pointable {
  readonly facts: ItemFacts;
  readonly bounds: Bounds;
}

/** The smallest item under a place: what stands over others does not hide them. */
export function itemAt(all: readonly Pointable[], at: Place, slack = 1): ItemFacts | undefined {
  let best: Pointable | undefined;
  for (const one of all)
    if (holds(one.bounds, at, slack) && (best === undefined || areaOf(one.bounds) < areaOf(best.bounds))) best = one;
  return best?.facts;
}

export function holeAt(rows: readonly HoleRow[], at: Place, slack = 1): HoleRow | undefined {
  const sizeOf = ({ shape }: HoleRow) =>
    shape.kind === "circle" ? shape.diameterMillimetres : Math.max(shape.widthMillimetres, shape.heightMillimetres);
  return rows
    .filter((row) => {
      const half = sizeOf(row) / 2 + slack;
      return row.shape.kind === "circle"
        ? Math.hypot(row.x - at.x, row.y - at.y) <= half
        : Math.abs(row.x - at.x) <= half && Math.abs(row.y - at.y) <= half;
    })
    .toSorted((a, b) => sizeOf(a) - sizeOf(b))[0];
}

/** Rows of a sheet are read as lines of a text: what lies this near from front to rear is one line. */
const LINE_MILLIMETRES = 12;

/** From the rear left to the front right, as it is seen. */
export function inReadingOrder<T extends Place>(items: readonly T[], face: Face): readonly T[] {
  const across = ({ x }: T) => (face === "top" ? x : -x);
  const fromRear = items.toSorted((a, b) => b.y - a.y || across(a) - across(b));
  const lines: T[][] = [];
  for (const item of fromRear) {
    const line = lines.at(-1);
    if (line?.[0] !== undefined && line[0].y - item.y <= LINE_MILLIMETRES) line.push(item);
    else lines.push([item]);
  }
  return lines.flatMap((line) => line.toSorted((a, b) => across(a) - across(b)));
}
