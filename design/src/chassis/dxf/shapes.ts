/**
 * What a closed ring is: a circle, a rectangle (turned, with round corners, or round at both ends), or neither.
 *
 * Method  A circle: every piece is an arc about one centre, once round. A rectangle: turned so that its longest straight piece
 *         lies along x, its box and the radius of its arcs make a rounded rectangle; the ring is that one when its corners and
 *         the middles of its pieces lie on its rim and both areas agree, all within the tolerance.
 */
import type { Outline } from "@platewright/engine";
import { arcOf, type Corner, contourArea } from "../contour.ts";
import { turned } from "../geometry.ts";

export type Shape = Exclude<Outline, { readonly kind: "polygon" }>;

export interface Read {
  /** undefined: neither. */
  readonly shape: Shape | undefined;
  readonly area: number;
  readonly x: number;
  readonly y: number;
}

export function shapeOf(given: readonly Corner[], tolerance: number): Read {
  const corners = given.filter((corner, n) => {
    const next = given[(n + 1) % given.length];
    return next !== undefined && Math.hypot(next.x - corner.x, next.y - corner.y) > tolerance / 10;
  });
  const box = boxOf(corners);
  const centre = { x: (box.left + box.right) / 2, y: (box.front + box.rear) / 2 };
  const area = Math.abs(contourArea(corners));
  const none: Read = { shape: undefined, area, ...centre };
  if (corners.length < 2) return none;
  const shape = circleOf(corners, tolerance) ?? rectangleOf(corners, area, tolerance);
  return shape === undefined ? none : { shape, area, x: shape.x, y: shape.y };
}

const pairs = (corners: readonly Corner[]): readonly (readonly [Corner, Corner])[] =>
  corners.map((corner, n) => [corner, corners[(n + 1) % corners.length] ?? corner]);

function circleOf(corners: readonly Corner[], tolerance: number): Shape | undefined {
  if (corners.some((one) => one.bulge === 0)) return undefined;
  const arcs = pairs(corners).map(([a, b]) => arcOf(a, b, a.bulge));
  const [first] = arcs;
  if (first === undefined) return undefined;
  const alike = arcs.every(
    (arc) =>
      Math.hypot(arc.x - first.x, arc.y - first.y) <= tolerance && Math.abs(arc.radius - first.radius) <= tolerance,
  );
  const turn = arcs.reduce((sum, arc) => sum + arc.turn, 0);
  if (!alike || Math.abs(Math.abs(turn) - 2 * Math.PI) > 0.01) return undefined;
  const mean = (of: (arc: (typeof arcs)[number]) => number) =>
    arcs.reduce((sum, arc) => sum + of(arc), 0) / arcs.length;
  return {
    kind: "circle",
    x: mean((arc) => arc.x),
    y: mean((arc) => arc.y),
    diameterMillimetres: 2 * mean((arc) => arc.radius),
  };
}

function rectangleOf(corners: readonly Corner[], area: number, tolerance: number): Shape | undefined {
  let longest: { readonly length: number; readonly angle: number } | undefined;
  for (const [a, b] of pairs(corners)) {
    const length = Math.hypot(b.x - a.x, b.y - a.y);
    if (a.bulge === 0 && length > (longest?.length ?? 0))
      longest = { length, angle: (Math.atan2(b.y - a.y, b.x - a.x) * 180) / Math.PI };
  }
  if (longest === undefined) return undefined;
  const degrees = foldedTurn(longest.angle);
  const upright = corners.map((corner): Corner => ({ ...turned(corner, -degrees), bulge: corner.bulge }));
  const box = boxOf(upright);
  const [w, h] = [box.right - box.left, box.rear - box.front];
  const [cx, cy] = [(box.left + box.right) / 2, (box.front + box.rear) / 2];
  const radii = pairs(upright).flatMap(([a, b]) => (a.bulge === 0 ? [] : [arcOf(a, b, a.bulge).radius]));
  const r = radii.length === 0 ? 0 : radii.reduce((sum, one) => sum + one, 0) / radii.length;
  if (Math.min(w, h) <= tolerance || r > Math.min(w, h) / 2 + tolerance) return undefined;
  const corner = Math.min(r, w / 2, h / 2);
  /** From a place to the rim, inside and outside alike. */
  const off = (x: number, y: number): number => {
    const [dx, dy] = [Math.abs(x - cx) - (w / 2 - corner), Math.abs(y - cy) - (h / 2 - corner)];
    return Math.abs(Math.hypot(Math.max(dx, 0), Math.max(dy, 0)) + Math.min(Math.max(dx, dy), 0) - corner);
  };
  const onRim = pairs(upright).every(([a, b]) => {
    const middle = middleOf(a, b);
    return off(a.x, a.y) <= tolerance && off(middle.x, middle.y) <= tolerance;
  });
  const wanted = w * h - (4 - Math.PI) * corner * corner;
  if (!onRim || Math.abs(area - wanted) > tolerance * 2 * (w + h)) return undefined;
  const centre = turned({ x: cx, y: cy }, degrees);
  return {
    kind: "rectangle",
    ...centre,
    widthMillimetres: w,
    heightMillimetres: h,
    ...(corner > tolerance / 10 ? { cornerMillimetres: corner } : {}),
    ...(degrees === 0 ? {} : { degrees }),
  };
}

/** Between −45° and 45°: a quarter turn is no turn. Within a ten-thousandth of nought it is nought. */
function foldedTurn(angle: number): number {
  const folded = angle - 90 * Math.round(angle / 90);
  return Math.abs(folded) < 1e-4 ? 0 : folded;
}

function middleOf(a: Corner, b: Corner): { readonly x: number; readonly y: number } {
  if (a.bulge === 0) return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
  const { x, y, radius, from, turn } = arcOf(a, b, a.bulge);
  return { x: x + radius * Math.cos(from + turn / 2), y: y + radius * Math.sin(from + turn / 2) };
}

/** Box of a ring, its arcs where they reach farthest. */
function boxOf(corners: readonly Corner[]) {
  let [left, right, front, rear] = [Infinity, -Infinity, Infinity, -Infinity];
  const take = (x: number, y: number) => {
    left = Math.min(left, x);
    right = Math.max(right, x);
    front = Math.min(front, y);
    rear = Math.max(rear, y);
  };
  for (const [a, b] of pairs(corners)) {
    take(a.x, a.y);
    if (a.bulge === 0) continue;
    const { x, y, radius, from, turn } = arcOf(a, b, a.bulge);
    const [low, high] = turn > 0 ? [from, from + turn] : [from + turn, from];
    for (let quarter = Math.ceil(low / (Math.PI / 2)); quarter * (Math.PI / 2) <= high; quarter++)
      take(x + radius * Math.cos((quarter * Math.PI) / 2), y + radius * Math.sin((quarter * Math.PI) / 2));
  }
  return { left, right, front, rear };
}
