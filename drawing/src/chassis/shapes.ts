/**
 * Outlines as they lie on the sheet: boxes round them, and hatches cut to them.
 *
 * Law     Outlines are convex, so a line meets each in one chord; a hatch is the chords of one outline less those of others.
 */
import { type Bounds, boundsOf, solidOf } from "@platewright/design";
import type { Outline } from "@platewright/engine";
import { type Box, boxAround } from "../bounds.ts";
import type { Point } from "../scene.ts";
import { sheetCorners } from "./outline-items.ts";
import type { PlateMap } from "./plate-map.ts";

/** A convex shape on the sheet. */
export type Shape =
  | { readonly kind: "circle"; readonly at: Point; readonly radius: number }
  | { readonly kind: "polygon"; readonly points: readonly Point[] };

export const shapeOf = (outline: Outline, map: PlateMap): Shape =>
  outline.kind === "circle"
    ? { kind: "circle", at: map.toSheet(outline), radius: (outline.diameterMillimetres / 2) * map.scale }
    : { kind: "polygon", points: sheetCorners(outline, map) };

/** The box round what has those bounds on the plate. */
export function boundsBox({ left, right, front, rear }: Bounds, map: PlateMap): Box {
  const [x0, y0] = map.toSheet({ x: left, y: rear });
  const [x1, y1] = map.toSheet({ x: right, y: front });
  return { left: Math.min(x0, x1), right: Math.max(x0, x1), top: y0, bottom: y1 };
}

/** The box round an outline, without its corners. */
export const outlineBox = (outline: Outline, map: PlateMap): Box => boundsBox(boundsOf(solidOf(outline)), map);

export const shapeBox = (shape: Shape): Box =>
  shape.kind === "circle" ? boxAround([shape.at], shape.radius) : boxAround(shape.points);

export const middleOf = (box: Box): Point => [(box.left + box.right) / 2, (box.top + box.bottom) / 2];

export const unionOf = (boxes: readonly Box[]): Box => ({
  left: Math.min(...boxes.map((one) => one.left)),
  right: Math.max(...boxes.map((one) => one.right)),
  top: Math.min(...boxes.map((one) => one.top)),
  bottom: Math.max(...boxes.map((one) => one.bottom)),
});

/** Does the whole box lie inside the shape, `rim` away from its line? */
export function boxInside(box: Box, shape: Shape, rim: number): boolean {
  const corners: readonly Point[] = [
    [box.left, box.top],
    [box.right, box.top],
    [box.right, box.bottom],
    [box.left, box.bottom],
  ];
  if (shape.kind === "circle")
    return corners.every(([x, y]) => Math.hypot(x - shape.at[0], y - shape.at[1]) <= shape.radius - rim);
  return corners.every((corner) => depthIn(shape.points, corner) >= rim);
}

/** Least distance to an edge from inside; negative outside. */
function depthIn(points: readonly Point[], [x, y]: Point): number {
  let area = 0;
  for (const [n, [ax, ay]] of points.entries()) {
    const [bx, by] = points[(n + 1) % points.length] as Point;
    area += ax * by - bx * ay;
  }
  const turn = Math.sign(area);
  let least = Infinity;
  for (const [n, [ax, ay]] of points.entries()) {
    const [bx, by] = points[(n + 1) % points.length] as Point;
    const length = Math.hypot(bx - ax, by - ay);
    if (length > 0) least = Math.min(least, (turn * ((bx - ax) * (y - ay) - (by - ay) * (x - ax))) / length);
  }
  return least;
}

type Span = readonly [number, number];

/** Where the line p = along·t + normal·offset runs inside the shape. */
function chord(shape: Shape, [ux, uy]: Point, offset: number): Span | undefined {
  const [nx, ny] = [-uy, ux];
  if (shape.kind === "circle") {
    const [cx, cy] = shape.at;
    const away = offset - (cx * nx + cy * ny);
    const half = shape.radius * shape.radius - away * away;
    if (half <= 0) return undefined;
    const middle = cx * ux + cy * uy;
    return [middle - Math.sqrt(half), middle + Math.sqrt(half)];
  }
  let [from, to] = [Infinity, -Infinity];
  const { points } = shape;
  for (const [n, [ax, ay]] of points.entries()) {
    const [bx, by] = points[(n + 1) % points.length] as Point;
    const [a, b] = [ax * nx + ay * ny - offset, bx * nx + by * ny - offset];
    if (a * b > 0 || a === b) continue;
    const t = a / (a - b);
    const along = (ax + t * (bx - ax)) * ux + (ay + t * (by - ay)) * uy;
    from = Math.min(from, along);
    to = Math.max(to, along);
  }
  return to > from ? [from, to] : undefined;
}

/** Slanted lines inside `shape` and outside of every one of `without`. */
export function hatch(
  shape: Shape,
  without: readonly Shape[],
  pitch: number,
  degrees = 45,
): readonly (readonly [Point, Point])[] {
  const angle = (degrees * Math.PI) / 180;
  const along: Point = [Math.cos(angle), -Math.sin(angle)];
  const [nx, ny] = [-along[1], along[0]];
  const box = shapeBox(shape);
  const reach = [box.left, box.right].flatMap((x) => [box.top, box.bottom].map((y) => x * nx + y * ny));
  const lines: (readonly [Point, Point])[] = [];
  const first = Math.ceil(Math.min(...reach) / pitch);
  const last = Math.floor(Math.max(...reach) / pitch);
  for (let k = first; k <= last; k++) {
    const offset = k * pitch;
    const own = chord(shape, along, offset);
    if (own === undefined) continue;
    let left: readonly Span[] = [own];
    for (const other of without) {
      const cut = chord(other, along, offset);
      if (cut !== undefined) left = left.flatMap((span) => less(span, cut));
    }
    for (const [from, to] of left)
      if (to - from > 0.05)
        lines.push([
          [along[0] * from + nx * offset, along[1] * from + ny * offset],
          [along[0] * to + nx * offset, along[1] * to + ny * offset],
        ]);
  }
  return lines;
}

/** The line through the middle of a shape, from rim to rim. */
export function throughMiddle(shape: Shape, degrees: number): readonly [Point, Point] | undefined {
  const angle = (degrees * Math.PI) / 180;
  const along: Point = [Math.cos(angle), -Math.sin(angle)];
  const [nx, ny] = [-along[1], along[0]];
  const [x, y] = middleOf(shapeBox(shape));
  const offset = x * nx + y * ny;
  const own = chord(shape, along, offset);
  if (own === undefined) return undefined;
  const at = (t: number): Point => [along[0] * t + nx * offset, along[1] * t + ny * offset];
  return [at(own[0]), at(own[1])];
}

const less = ([from, to]: Span, [cutFrom, cutTo]: Span): readonly Span[] =>
  cutTo <= from || cutFrom >= to
    ? [[from, to]]
    : [...(cutFrom > from ? ([[from, cutFrom]] as const) : []), ...(cutTo < to ? ([[cutTo, to]] as const) : [])];
