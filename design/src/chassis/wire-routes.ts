/**
 * Ways of wires over the plate: straight, square, or along its edges; their lengths and their distances.
 *
 * Method  Along the edges: square to a line beside an edge, along it, and square from it, over one corner where that serves;
 *         square ways and bridges past the sockets beside them. The least length is taken, what does not lie along an edge
 *         counted twice, and what comes too near to something to be kept away from counted more.
 * Limits  Ways go through bodies: a wire is led round what stands in its way. Common practice, not the only way.
 */
import type { Place } from "@platewright/engine";
import type { ChassisPlate } from "../document/chassis-schema.ts";
import { distance, segmentsCross, toSegment } from "./geometry.ts";
import { bendsOf } from "./plate.ts";

export type Route = readonly Place[];

/** A wire pressed along an edge lies so far from it, or from the inside of its flange. */
const FROM_EDGE = 8;
/** A bridge from socket to socket passes so far from their middles. */
const PAST_SOCKET = 22;
/** What a millimetre too near costs. */
const FINE = 20;

/** Something that a way keeps off. */
export interface KeepOff {
  readonly place: Place;
  readonly millimetres: number;
}

export const routeLength = (route: Route): number =>
  route.reduce((sum, place, i) => sum + (i === 0 ? 0 : distance(route[i - 1] as Place, place)), 0);

export const straight = (from: Place, to: Place): Route => tidy([from, to]);

/** Square, over the corner that keeps off more. */
export function square(from: Place, to: Place, off: readonly KeepOff[]): Route {
  return least(squares(from, to), off, () => 0);
}

export function alongEdges(plate: ChassisPlate, from: Place, to: Place, off: readonly KeepOff[]): Route {
  const { left, right, front, rear } = linesBeside(plate);
  const over = (...corners: readonly Place[]): Route => tidy([from, ...corners, to]);
  const ways: Route[] = [
    ...[front, rear].map((y) => over({ x: from.x, y }, { x: to.x, y })),
    ...[left, right].map((x) => over({ x, y: from.y }, { x, y: to.y })),
    ...[front, rear].flatMap((y) =>
      [left, right].flatMap((x) => [
        over({ x: from.x, y }, { x, y }, { x, y: to.y }),
        over({ x, y: from.y }, { x, y }, { x: to.x, y }),
      ]),
    ),
    ...squares(from, to),
    ...[Math.max(from.y, to.y) + PAST_SOCKET, Math.min(from.y, to.y) - PAST_SOCKET]
      .filter((y) => y >= front && y <= rear)
      .map((y) => over({ x: from.x, y }, { x: to.x, y })),
    ...[Math.max(from.x, to.x) + PAST_SOCKET, Math.min(from.x, to.x) - PAST_SOCKET]
      .filter((x) => x >= left && x <= right)
      .map((x) => over({ x, y: from.y }, { x, y: to.y })),
  ];
  const beside = (a: Place, b: Place) =>
    (a.x === b.x && (a.x === left || a.x === right)) || (a.y === b.y && (a.y === front || a.y === rear));
  return least(ways, off, (route) => {
    const free = route.reduce((sum, b, i) => {
      const a = route[i - 1];
      return sum + (a === undefined || beside(a, b) ? 0 : distance(a, b));
    }, 0);
    return routeLength(route) + free;
  });
}

const squares = (from: Place, to: Place): readonly Route[] => [
  tidy([from, { x: to.x, y: from.y }, to]),
  tidy([from, { x: from.x, y: to.y }, to]),
];

function linesBeside(plate: ChassisPlate) {
  const inset = (edge: "left" | "right" | "front" | "rear"): number =>
    FROM_EDGE + (bendsOf(plate).find((bend) => bend.edge === edge)?.insideFace ?? 0);
  const { widthMillimetres: width, depthMillimetres: depth } = plate;
  return {
    left: Math.min(inset("left"), width / 2),
    right: Math.max(width - inset("right"), width / 2),
    front: Math.min(inset("front"), depth / 2),
    rear: Math.max(depth - inset("rear"), depth / 2),
  };
}

const fines = (route: Route, off: readonly KeepOff[]): number =>
  off.reduce((sum, { place, millimetres }) => sum + FINE * Math.max(0, millimetres - placeGap(place, route)), 0);

/** The cheapest; what is dear before its fines is not asked for them. */
function least(routes: readonly Route[], off: readonly KeepOff[], cost: (route: Route) => number): Route {
  let best: Route = [];
  let lowest = Infinity;
  for (const route of routes) {
    const bare = cost(route);
    // A hair's difference is none, so that what is alike stays alike.
    if (bare >= lowest - HAIR) continue;
    const whole = bare + fines(route, off);
    if (whole < lowest - HAIR) [best, lowest] = [route, whole];
  }
  return best;
}

const HAIR = 1e-6;

/** Without legs of no length and without corners that do not turn. */
function tidy(places: readonly Place[]): Route {
  const kept: Place[] = [];
  for (const place of places) {
    const last = kept[kept.length - 1];
    if (last !== undefined && distance(last, place) < 1e-9) continue;
    const before = kept[kept.length - 2];
    if (last !== undefined && before !== undefined && between(before, last, place)) kept.pop();
    kept.push(place);
  }
  return kept;
}

/** On the straight way from a to c. */
const between = (a: Place, b: Place, c: Place): boolean =>
  Math.abs(distance(a, b) + distance(b, c) - distance(a, c)) < 1e-9;

/** Least distance of two ways; a way of one place is that place. Nothing where they cross. */
export function routeGap(one: Route, other: Route): number {
  let gap = Infinity;
  for (const place of one) gap = Math.min(gap, placeGap(place, other));
  for (const place of other) gap = Math.min(gap, placeGap(place, one));
  for (let i = 1; i < one.length; i++)
    for (let n = 1; n < other.length; n++)
      if (segmentsCross(one[i - 1] as Place, one[i] as Place, other[n - 1] as Place, other[n] as Place)) return 0;
  return gap;
}

function placeGap(place: Place, route: Route): number {
  let gap = Infinity;
  let a = route[0];
  for (const b of route) {
    gap = Math.min(gap, toSegment(place, a as Place, b));
    a = b;
  }
  return gap;
}
