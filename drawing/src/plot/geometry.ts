import type { Box } from "../bounds.ts";
import type { Point } from "../scene.ts";

/** The part of a segment inside a box, by Liang and Barsky's parameters; undefined when it misses the box. */
export function clipSegment([x0, y0]: Point, [x1, y1]: Point, box: Box): readonly [Point, Point] | undefined {
  const dx = x1 - x0;
  const dy = y1 - y0;
  let enter = 0;
  let leave = 1;
  const sides = [
    [-dx, x0 - box.left],
    [dx, box.right - x0],
    [-dy, y0 - box.top],
    [dy, box.bottom - y0],
  ] as const;
  for (const [toward, room] of sides) {
    if (toward === 0) {
      if (!(room >= 0)) return undefined;
      continue;
    }
    if (toward < 0) enter = Math.max(enter, room / toward);
    else leave = Math.min(leave, room / toward);
  }
  if (!(enter <= leave)) return undefined;
  const at = (t: number): Point => [x0 + t * dx, y0 + t * dy];
  return [enter === 0 ? [x0, y0] : at(enter), leave === 1 ? [x1, y1] : at(leave)];
}

/** The runs of a polyline inside a box. A point that is no number parts two runs. */
export function clipLine(points: readonly Point[], box: Box): readonly (readonly Point[])[] {
  const runs: Point[][] = [];
  let last: Point | undefined;
  for (let n = 1; n < points.length; n++) {
    const kept = clipSegment(points[n - 1] as Point, points[n] as Point, box);
    if (kept === undefined || !kept.flat().every(Number.isFinite)) {
      last = undefined;
      continue;
    }
    const run = runs.at(-1);
    if (run !== undefined && last !== undefined && last[0] === kept[0][0] && last[1] === kept[0][1]) run.push(kept[1]);
    else runs.push([kept[0], kept[1]]);
    last = kept[1];
  }
  return runs;
}

/** Whether two segments cross. */
export function cross([a, b]: readonly [Point, Point], [c, d]: readonly [Point, Point]): boolean {
  const side = (p: Point, q: Point, r: Point) => (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
  return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
}

/** Distance of a point from a segment. */
export function fromSegment([x, y]: Point, [x0, y0]: Point, [x1, y1]: Point): number {
  const dx = x1 - x0;
  const dy = y1 - y0;
  const square = dx * dx + dy * dy;
  const t = square === 0 ? 0 : Math.min(1, Math.max(0, ((x - x0) * dx + (y - y0) * dy) / square));
  return Math.hypot(x - x0 - t * dx, y - y0 - t * dy);
}

/** Points at even steps along a line, from its end backward. */
export function stationsFromEnd(points: readonly Point[], count: number): readonly Point[] {
  const lengths = [0];
  for (let n = 1; n < points.length; n++) {
    const [x, y] = points[n] as Point;
    const [px, py] = points[n - 1] as Point;
    lengths.push((lengths[n - 1] as number) + Math.hypot(x - px, y - py));
  }
  const total = lengths.at(-1) as number;
  let n = points.length - 1;
  return Array.from({ length: points.length < 2 ? 0 : count }, (_, step) => {
    const along = total * (1 - step / count);
    while (n > 1 && (lengths[n - 1] as number) > along) n--;
    const [x0, y0] = points[n - 1] as Point;
    const [x1, y1] = points[n] as Point;
    const span = (lengths[n] as number) - (lengths[n - 1] as number);
    const t = span === 0 ? 0 : (along - (lengths[n - 1] as number)) / span;
    return [x0 + t * (x1 - x0), y0 + t * (y1 - y0)] as const;
  });
}

/** Lines at 45 degrees that fill an outline of any shape, those parts of it that are inside a box; even-odd. */
export function hatchOutline(
  outline: readonly Point[],
  box: Box,
  spacing: number,
): readonly (readonly [Point, Point])[] {
  const sums = outline.map(([x, y]) => x + y);
  const first = Math.max(Math.min(...sums), box.left + box.top);
  const last = Math.min(Math.max(...sums), box.right + box.bottom);
  const lines: (readonly [Point, Point])[] = [];
  // Of one family over the whole sheet, so that neighbouring regions join.
  for (let n = Math.ceil(first / spacing); n * spacing < last; n++) {
    const sum = n * spacing;
    const at: number[] = [];
    outline.forEach(([x, y], i) => {
      const [px, py] = outline[(i + outline.length - 1) % outline.length] as Point;
      const [here, before] = [x + y - sum, px + py - sum];
      if (here < 0 !== before < 0) at.push(px + ((x - px) * before) / (before - here));
    });
    at.sort((a, b) => a - b);
    for (let i = 0; i + 1 < at.length; i += 2) {
      const [from, to] = [at[i] as number, at[i + 1] as number];
      const kept = clipSegment([from, sum - from], [to, sum - to], box);
      if (kept !== undefined) lines.push(kept);
    }
  }
  return lines;
}

/** The same for a box. Of the same family, so that regions over each other are no denser than one. */
export const hatch = (box: Box, spacing: number): readonly (readonly [Point, Point])[] =>
  hatchOutline(
    [
      [box.left, box.top],
      [box.right, box.top],
      [box.right, box.bottom],
      [box.left, box.bottom],
    ],
    box,
    spacing,
  );
