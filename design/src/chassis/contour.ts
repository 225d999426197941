/**
 * Closed contours of straight pieces and arcs, as a cutting machine takes them. Pure; millimetres.
 *
 * Law     A corner's bulge is the tangent of a quarter of the angle that the arc to the next corner turns, positive when it turns
 *         counter-clockwise; 0 is straight. Radius = chord (1 + b²) / 4b; the centre lies on the left of the chord by
 *         chord (1 − b²) / 4b. Area = that of the corners and r² (θ − sin θ) / 2 of each arc.
 */
import type { Outline, Place } from "@platewright/engine";
import { turned } from "./geometry.ts";

export interface Corner extends Place {
  readonly bulge: number;
}

export interface Arc extends Place {
  readonly radius: number;
  /** Angle at its begin, and what it turns; radians, counter-clockwise positive. */
  readonly from: number;
  readonly turn: number;
}

/** Bulge of a quarter circle. */
export const QUARTER = Math.SQRT2 - 1;

/** Pieces shorter than this are none. */
const NONE = 1e-9;

export function arcOf(a: Place, b: Place, bulge: number): Arc {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const chord = Math.hypot(dx, dy);
  const away = (1 - bulge * bulge) / (4 * bulge);
  const x = (a.x + b.x) / 2 - dy * away;
  const y = (a.y + b.y) / 2 + dx * away;
  return {
    x,
    y,
    radius: Math.abs((chord * (1 + bulge * bulge)) / (4 * bulge)),
    from: Math.atan2(a.y - y, a.x - x),
    turn: 4 * Math.atan(bulge),
  };
}

/** Corners counter-clockwise, without pieces of no length; of a rectangle or a polygon. */
export function contourOf(outline: Exclude<Outline, { readonly kind: "circle" }>): readonly Corner[] {
  if (outline.kind === "polygon") return withoutNothing(outline.points.map((point) => ({ ...point, bulge: 0 })));
  const { x, y, widthMillimetres: w, heightMillimetres: h, degrees = 0 } = outline;
  const r = Math.min(outline.cornerMillimetres ?? 0, w / 2, h / 2);
  const [a, b] = [w / 2, h / 2];
  const own: readonly (readonly [number, number, number])[] =
    r > 0
      ? [
          [a - r, -b, QUARTER],
          [a, r - b, 0],
          [a, b - r, QUARTER],
          [a - r, b, 0],
          [r - a, b, QUARTER],
          [-a, b - r, 0],
          [-a, r - b, QUARTER],
          [r - a, -b, 0],
        ]
      : [
          [a, -b, 0],
          [a, b, 0],
          [-a, b, 0],
          [-a, -b, 0],
        ];
  return withoutNothing(
    own.map(([dx, dy, bulge]) => {
      const at = turned({ x: dx, y: dy }, degrees);
      return { x: x + at.x, y: y + at.y, bulge };
    }),
  );
}

/** Leaves out every corner that the next one stands on. */
export const withoutNothing = (corners: readonly Corner[]): readonly Corner[] =>
  corners.filter((corner, n) => {
    const next = corners[(n + 1) % corners.length];
    return next === undefined || Math.hypot(next.x - corner.x, next.y - corner.y) > NONE;
  });

/** Positive when it goes counter-clockwise. */
export function contourArea(corners: readonly Corner[]): number {
  let area = 0;
  for (const [n, a] of corners.entries()) {
    const b = corners[(n + 1) % corners.length];
    if (b === undefined) continue;
    area += (a.x * b.y - b.x * a.y) / 2;
    if (a.bulge === 0) continue;
    const { radius, turn } = arcOf(a, b, a.bulge);
    area += (radius * radius * (turn - Math.sin(turn))) / 2;
  }
  return area;
}

/** Corners and, along each arc, points with no more than `sagitta` between chord and arc. */
export function contourPoints(corners: readonly Corner[], sagitta = 0.002): readonly Place[] {
  return corners.flatMap((a, n): readonly Place[] => {
    const b = corners[(n + 1) % corners.length];
    if (b === undefined || a.bulge === 0) return [{ x: a.x, y: a.y }];
    const arc = arcOf(a, b, a.bulge);
    const step = 2 * Math.acos(Math.max(0, 1 - sagitta / arc.radius));
    const pieces = Math.max(1, Math.ceil(Math.abs(arc.turn) / step));
    return Array.from({ length: pieces }, (_, k): Place => {
      if (k === 0) return { x: a.x, y: a.y };
      const angle = arc.from + (arc.turn * k) / pieces;
      return { x: arc.x + arc.radius * Math.cos(angle), y: arc.y + arc.radius * Math.sin(angle) };
    });
  });
}

/** Mirrored left to right about x = width / 2: the order of the corners stays, arcs turn the other way. */
export const mirrored = (corners: readonly Corner[], width: number): readonly Corner[] =>
  corners.map(({ x, y, bulge }) => ({ x: width - x, y, bulge: bulge === 0 ? 0 : -bulge }));
