import { type Box, overlap, textBox } from "../bounds.ts";
import type { Anchor, Point } from "../scene.ts";
import { CAP_EMS, DESCENT_EMS, textWidth } from "../text/index.ts";
import { clipSegment, stationsFromEnd } from "./geometry.ts";

/**
 * Heights for a column of labels: as near as can be to where each is wanted, in the same order, none closer than
 * `pitch` to the next, all between `top` and `bottom`. Undefined when they do not all fit.
 *
 * Method  Least squares under order constraints by pooling neighbours that are too close.
 */
export function spread(
  wanted: readonly number[],
  pitch: number,
  top: number,
  bottom: number,
): readonly number[] | undefined {
  if ((wanted.length - 1) * pitch > bottom - top + 1e-9) return undefined;
  const order = wanted.map((_, n) => n).sort((a, b) => (wanted[a] as number) - (wanted[b] as number) || a - b);
  // Shifted by the pitch, "not closer than the pitch" becomes "not falling".
  const pools: { sum: number; count: number }[] = [];
  order.forEach((n, rank) => {
    pools.push({ sum: (wanted[n] as number) - rank * pitch, count: 1 });
    for (;;) {
      const last = pools.at(-1);
      const before = pools.at(-2);
      if (last === undefined || before === undefined || before.sum / before.count <= last.sum / last.count) return;
      pools.pop();
      before.sum += last.sum;
      before.count += last.count;
    }
  });
  const highest = bottom - (wanted.length - 1) * pitch;
  const heights: number[] = [];
  let rank = 0;
  for (const { sum, count } of pools)
    for (let n = 0; n < count; n++, rank++)
      heights[order[rank] as number] = Math.min(highest, Math.max(top, sum / count)) + rank * pitch;
  return heights;
}

/** What a label inside a plot must keep off: texts always, lines where it can. */
export interface Obstacles {
  readonly texts: Box[];
  readonly segments: (readonly [Point, Point])[];
}

export interface Placed {
  readonly at: Point;
  readonly anchor: Anchor;
  readonly box: Box;
  /** How far the label is from its point, in millimetres; a leader is drawn when that is far. */
  readonly distance: number;
}

const DIRECTIONS: readonly Point[] = [
  [1, 0],
  [1, -0.6],
  [-1, -0.6],
  [0, -1],
  [0, 1],
  [1, 0.6],
  [-1, 0.6],
  [-1, 0],
];

/** The best place for a text near a point of a plot; undefined when every place would cover another text. */
export function placeNear(
  [x, y]: Point,
  text: string,
  size: number,
  bold: boolean,
  area: Box,
  obstacles: Obstacles,
): Placed | undefined {
  let best: Placed | undefined;
  let least = Infinity;
  const half = (CAP_EMS * size) / 2;
  for (const distance of [2.2, 5, 8, 12, 17, 24])
    for (const [dx, dy] of DIRECTIONS) {
      const anchor: Anchor = dx > 0 ? "start" : dx < 0 ? "end" : "middle";
      const at: Point = [x + dx * distance, y + dy * (distance + (dx === 0 ? half + DESCENT_EMS * size : 0)) + half];
      const box = textBox({ at, text, size, anchor, bold });
      if (!contains(area, box) || obstacles.texts.some((other) => overlap(box, other, 0.5))) continue;
      const cost = distance + 12 * crossings(box, obstacles.segments);
      if (cost < least - 1e-9) {
        least = cost;
        best = { at, anchor, box, distance };
      }
    }
  return best;
}

/** The best place for the name of a line beside it, from its end backward; undefined when every place is taken. */
export function placeAlong(
  points: readonly Point[],
  text: string,
  size: number,
  bold: boolean,
  area: Box,
  obstacles: Obstacles,
): Placed | undefined {
  const width = textWidth(text, size, bold);
  let best: Placed | undefined;
  let least = Infinity;
  for (const [step, point] of stationsFromEnd(points, 24).entries()) {
    for (const side of [-1, 1]) {
      const at: Point = [
        Math.min(point[0], area.right - width / 2 - 1),
        point[1] + side * 1.6 + (side > 0 ? CAP_EMS * size : 0),
      ];
      const box = textBox({ at, text, size, anchor: "middle", bold });
      if (!contains(area, box) || obstacles.texts.some((other) => overlap(box, other, 0.8))) continue;
      const cost = step + 20 * crossings(box, obstacles.segments);
      if (cost < least) {
        least = cost;
        best = { at, anchor: "middle", box, distance: 1.6 };
      }
    }
  }
  return best;
}

const contains = (outer: Box, inner: Box) =>
  inner.left >= outer.left && inner.right <= outer.right && inner.top >= outer.top && inner.bottom <= outer.bottom;

/** How much of the lines a box covers, as crossings counted up to 3. */
function crossings(box: Box, segments: Obstacles["segments"]): number {
  let count = 0;
  for (const [from, to] of segments) if (clipSegment(from, to, box) !== undefined && ++count === 3) break;
  return count;
}
