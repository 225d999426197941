/**
 * Free metal round what is moved: to the nearest bodies on each side and to the edges, with the two places that it lies between.
 *
 * Law  Outlines are convex cores thickened by a radius, so the nearest two places lie on the straight way between the nearest
 *      two places of their cores, each its radius along it.
 */
import { type Bounds, boundsOf, gapBetween, type Solid, solidOf } from "@platewright/design";
import type { Outline, Place } from "@platewright/engine";

export interface Gap {
  readonly from: Place;
  readonly to: Place;
  /** Negative: they overlap. */
  readonly millimetres: number;
  /** Name of the neighbour, or of the edge. */
  readonly what: string;
}

/** Something that stands there, made once for all places of what is moved. */
export interface Neighbour {
  readonly name: string;
  readonly solids: readonly Solid[];
  readonly bounds: Bounds;
}

export function neighbourOf(name: string, outlines: readonly Outline[]): Neighbour | undefined {
  const solids = outlines.map(solidOf);
  const bounds = bounded(solids);
  return bounds === undefined ? undefined : { name, solids, bounds };
}

const toSegment = (p: Place, a: Place, b: Place): Place => {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const square = dx * dx + dy * dy;
  const t = square === 0 ? 0 : Math.max(0, Math.min(1, ((p.x - a.x) * dx + (p.y - a.y) * dy) / square));
  return { x: a.x + t * dx, y: a.y + t * dy };
};

/** The nearest two places of two outlines that do not overlap. */
export function nearestPlaces(one: Solid, other: Solid): readonly [Place, Place] {
  let best: readonly [Place, Place] = [one.core[0] as Place, other.core[0] as Place];
  let least = Infinity;
  const tried = (a: Place, b: Place) => {
    const apart = Math.hypot(a.x - b.x, a.y - b.y);
    if (apart < least) [least, best] = [apart, [a, b]];
  };
  const sides = ({ core }: Solid) => core.map((p, n) => [p, core[(n + 1) % core.length] as Place] as const);
  for (const p of one.core) for (const [a, b] of sides(other)) tried(p, toSegment(p, a, b));
  for (const p of other.core) for (const [a, b] of sides(one)) tried(toSegment(p, a, b), p);
  const [a, b] = best;
  const apart = Math.hypot(b.x - a.x, b.y - a.y) || 1;
  const along = (p: Place, by: number): Place => ({
    x: p.x + ((b.x - a.x) / apart) * by,
    y: p.y + ((b.y - a.y) / apart) * by,
  });
  return [along(a, one.radius), along(b, -other.radius)];
}

/** The sides on which a neighbour is looked for: four quarters of the compass. */
const sideOf = (from: Bounds, to: Bounds): "left" | "right" | "front" | "rear" => {
  const [dx, dy] = [to.left + to.right - from.left - from.right, to.front + to.rear - from.front - from.rear];
  return Math.abs(dx) > Math.abs(dy) ? (dx < 0 ? "left" : "right") : dy < 0 ? "front" : "rear";
};

/** One gap for each side: to the nearest neighbour there, or to the edge where that is nearer; what overlaps always. */
export function gapsAround(
  own: readonly Outline[],
  others: readonly Neighbour[],
  plate: { readonly widthMillimetres: number; readonly depthMillimetres: number },
): readonly Gap[] {
  const solids = own.map(solidOf);
  const all = bounded(solids);
  if (all === undefined) return [];
  const best = new Map<string, Gap>();
  const offer = (side: string, gap: Gap) => {
    const there = best.get(side);
    if (there === undefined || gap.millimetres < there.millimetres) best.set(side, gap);
  };
  const [middleX, middleY] = [(all.left + all.right) / 2, (all.front + all.rear) / 2];
  const { widthMillimetres: wide, depthMillimetres: deep } = plate;
  const edge = (side: string, from: Place, to: Place, millimetres: number) =>
    offer(side, { from, to, millimetres, what: `${side} edge` });
  edge("left", { x: all.left, y: middleY }, { x: 0, y: middleY }, all.left);
  edge("right", { x: all.right, y: middleY }, { x: wide, y: middleY }, wide - all.right);
  edge("front", { x: middleX, y: all.front }, { x: middleX, y: 0 }, all.front);
  edge("rear", { x: middleX, y: all.rear }, { x: middleX, y: deep }, deep - all.rear);
  for (const { name, solids: theirs, bounds } of others) {
    const side = sideOf(all, bounds);
    const there = best.get(side);
    if (there !== undefined && apart(all, bounds) >= Math.max(0, there.millimetres)) continue;
    let least: { readonly one: Solid; readonly other: Solid; readonly gap: number } | undefined;
    for (const one of solids)
      for (const other of theirs) {
        const gap = gapBetween(one, other);
        if (least === undefined || gap < least.gap) least = { one, other, gap };
      }
    if (least === undefined) continue;
    if (there !== undefined && least.gap >= there.millimetres && least.gap >= 0) continue;
    const [from, to] = nearestPlaces(least.one, least.other);
    offer(least.gap < 0 ? `${side} ${name}` : side, { from, to, millimetres: least.gap, what: name });
  }
  return [...best.values()];
}

/** Never more than the gap of what they bound. */
const apart = (one: Bounds, other: Bounds): number =>
  Math.max(other.left - one.right, one.left - other.right, other.front - one.rear, one.front - other.rear);

function bounded(solids: readonly Solid[]): Bounds | undefined {
  return solids.map(boundsOf).reduce<Bounds | undefined>(
    (sum, one) =>
      sum === undefined
        ? one
        : {
            left: Math.min(sum.left, one.left),
            right: Math.max(sum.right, one.right),
            front: Math.min(sum.front, one.front),
            rear: Math.max(sum.rear, one.rear),
          },
    undefined,
  );
}
