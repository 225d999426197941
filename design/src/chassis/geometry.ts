/**
 * Outlines on the plate: gaps between them, depth inside another, corners that bound them. Pure; millimetres.
 *
 * Law     Every outline is a convex core thickened by a radius: a circle is a point, a rounded rectangle a smaller rectangle,
 *         a polygon itself. The gap of two is that of their cores less both radii. The depth of one inside another is the
 *         least, over the corners of its core, of the depth of that corner, less its radius: depth inside a convex outline
 *         is a concave function, so its least is at a corner.
 * Limits  Where cores overlap, the gap is minus the shortest way to part them, exact for convex outlines. A polygon that
 *         is not convex is taken as its corners go round; the reader refuses it.
 */
import type { HoleShape, Outline, Place } from "@platewright/engine";

export interface Solid {
  /** Counter-clockwise; one point for a circle. */
  readonly core: readonly Place[];
  readonly radius: number;
}

const RADIANS = Math.PI / 180;

/** Turned about the origin, counter-clockwise. Quarter turns are exact. */
export function turned({ x, y }: Place, degrees: number): Place {
  const quarters = (((degrees / 90) % 4) + 4) % 4;
  if (quarters === 0) return { x, y };
  if (quarters === 1) return { x: -y, y: x };
  if (quarters === 2) return { x: -x, y: -y };
  if (quarters === 3) return { x: y, y: -x };
  const [c, s] = [Math.cos(degrees * RADIANS), Math.sin(degrees * RADIANS)];
  return { x: x * c - y * s, y: x * s + y * c };
}

/** Plate sizes neither overflow nor vanish when squared; `Math.hypot` is several times slower. */
const length = (x: number, y: number): number => Math.sqrt(x * x + y * y);

export const distance = (a: Place, b: Place): number => length(a.x - b.x, a.y - b.y);

export const outlineOf = (shape: HoleShape, { x, y }: Place): Outline => ({ ...shape, x, y });

/** Places of a part on the plate: turned, then moved; on the underside mirrored first, as it is seen from above. */
export interface Pose extends Place {
  readonly degrees: number;
  readonly mirrored: boolean;
}

export function placed(pose: Pose, point: Place): Place {
  const { x, y } = turned({ x: pose.mirrored ? -point.x : point.x, y: point.y }, pose.degrees);
  return { x: x + pose.x, y: y + pose.y };
}

export function placedOutline(pose: Pose, outline: Outline): Outline {
  switch (outline.kind) {
    case "circle":
      return { ...outline, ...placed(pose, outline) };
    case "rectangle": {
      const degrees = pose.degrees + (pose.mirrored ? -1 : 1) * (outline.degrees ?? 0);
      return { ...outline, ...placed(pose, outline), degrees };
    }
    case "polygon":
      return { kind: "polygon", points: outline.points.map((point) => placed(pose, point)) };
  }
}

/** The outline grown on every side; shrunk where `by` is negative, to nothing at most. */
export function grown(outline: Outline, by: number): Outline {
  switch (outline.kind) {
    case "circle":
      return { ...outline, diameterMillimetres: Math.max(0, outline.diameterMillimetres + 2 * by) };
    case "rectangle":
      return {
        ...outline,
        widthMillimetres: Math.max(0, outline.widthMillimetres + 2 * by),
        heightMillimetres: Math.max(0, outline.heightMillimetres + 2 * by),
        cornerMillimetres: Math.max(0, (outline.cornerMillimetres ?? 0) + by),
      };
    case "polygon":
      return outline;
  }
}

export function solidOf(outline: Outline): Solid {
  switch (outline.kind) {
    case "circle":
      return { core: [{ x: outline.x, y: outline.y }], radius: outline.diameterMillimetres / 2 };
    case "rectangle": {
      const { widthMillimetres: w, heightMillimetres: h } = outline;
      const radius = Math.min(outline.cornerMillimetres ?? 0, w / 2, h / 2);
      const [a, b] = [w / 2 - radius, h / 2 - radius];
      const pose = { x: outline.x, y: outline.y, degrees: outline.degrees ?? 0, mirrored: false };
      const corners = [
        { x: -a, y: -b },
        { x: a, y: -b },
        { x: a, y: b },
        { x: -a, y: b },
      ];
      return { core: corners.map((corner) => placed(pose, corner)), radius };
    }
    case "polygon": {
      const points = outline.points;
      return { core: areaOf(points) < 0 ? [...points].reverse() : points, radius: 0 };
    }
  }
}

const cross = (o: Place, a: Place, b: Place): number => (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);

/** Positive when the corners go counter-clockwise. */
function areaOf(points: readonly Place[]): number {
  let twice = 0;
  let a = points[points.length - 1] as Place;
  for (const b of points) {
    twice += a.x * b.y - a.y * b.x;
    a = b;
  }
  return twice / 2;
}

export const isConvex = (points: readonly Place[]): boolean => {
  const sign = Math.sign(areaOf(points));
  if (sign === 0) return false;
  let turns = 0;
  for (let i = 0; i < points.length; i++) {
    const [a, b, c] = [points[i], points[(i + 1) % points.length], points[(i + 2) % points.length]] as [
      Place,
      Place,
      Place,
    ];
    if (sign * cross(a, b, c) < 0) return false;
    turns += Math.atan2(cross(a, b, c), (b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y));
  }
  // A star turns twice round.
  return Math.abs(Math.abs(turns) - 2 * Math.PI) < 1e-6;
};

/** From a place to the nearest of a segment; of a segment of no length, to its end. */
export function toSegment(p: Place, a: Place, b: Place): number {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const square = dx * dx + dy * dy;
  const t = square === 0 ? 0 : Math.max(0, Math.min(1, ((p.x - a.x) * dx + (p.y - a.y) * dy) / square));
  return length(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

/** Of a point inside a core: distance to its nearest edge; outside: minus the distance to it. */
function depthInCore(core: readonly Place[], p: Place): number {
  let inside = Infinity;
  let outside = Infinity;
  let a = core[core.length - 1] as Place;
  for (const b of core) {
    const side = distance(a, b);
    outside = Math.min(outside, toSegment(p, a, b));
    if (side > 0) inside = Math.min(inside, cross(a, b, p) / side);
    a = b;
  }
  return inside === Infinity || inside <= 0 ? -outside : inside;
}

/** Least shift along an edge's normal that parts two cores; negative when they are apart along one. */
function overlapAlong(one: readonly Place[], other: readonly Place[]): number {
  let least = Infinity;
  let a = one[one.length - 1] as Place;
  for (const b of one) {
    const side = distance(a, b);
    if (side > 0) {
      let deepest = -Infinity;
      for (const p of other) deepest = Math.max(deepest, cross(a, b, p) / side);
      least = Math.min(least, deepest);
    }
    a = b;
  }
  return least;
}

/** Metal between two outlines; negative when they overlap. */
export function gapBetween(one: Solid, other: Solid): number {
  const radii = one.radius + other.radius;
  const [a, b] = [one.core, other.core];
  if (a.length === 1 && b.length === 1) return distance(a[0] as Place, b[0] as Place) - radii;
  const overlap = Math.min(overlapAlong(a, b), overlapAlong(b, a));
  // Segments overlap only where they cross.
  if (overlap > 0 && (!(isThin(a) && isThin(b)) || crossing(a, b))) return -overlap - radii;
  let least = Infinity;
  for (const p of a) least = Math.min(least, -depthInCore(b, p));
  for (const p of b) least = Math.min(least, -depthInCore(a, p));
  return least - radii;
}

const isThin = (core: readonly Place[]): boolean => Math.abs(areaOf(core)) < 1e-9;

function crossing(one: readonly Place[], other: readonly Place[]): boolean {
  let a = one[one.length - 1] as Place;
  for (const b of one) {
    let c = other[other.length - 1] as Place;
    for (const d of other) {
      if (segmentsCross(a, b, c, d)) return true;
      c = d;
    }
    a = b;
  }
  return false;
}

/** Two segments cross in a point inside both. */
export const segmentsCross = (a: Place, b: Place, c: Place, d: Place): boolean =>
  cross(a, b, c) * cross(a, b, d) < 0 && cross(c, d, a) * cross(c, d, b) < 0;

/** How far an outline stays inside another; negative by as much as it reaches out. */
export function depthInside(outer: Solid, inner: Solid): number {
  let least = Infinity;
  for (const p of inner.core) least = Math.min(least, depthInCore(outer.core, p));
  return least + outer.radius - inner.radius;
}

export interface Bounds {
  readonly left: number;
  readonly right: number;
  readonly front: number;
  readonly rear: number;
}

export function boundsOf({ core, radius }: Solid): Bounds {
  let [left, right, front, rear] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const { x, y } of core) {
    left = Math.min(left, x - radius);
    right = Math.max(right, x + radius);
    front = Math.min(front, y - radius);
    rear = Math.max(rear, y + radius);
  }
  return { left, right, front, rear };
}

/** Never more than the gap: tells cheaply that two are far apart. */
export const boundsGap = (one: Bounds, other: Bounds): number =>
  Math.max(other.left - one.right, one.left - other.right, other.front - one.rear, one.front - other.rear);
