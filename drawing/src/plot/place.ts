import { type Box, boxAround, overlap, textBox } from "../bounds.ts";
import { type Anchor, type Point, SIZES } from "../scene.ts";
import { CAP_EMS, DESCENT_EMS, textWidth } from "../text/index.ts";
import { clipSegment, cross, stationsFromEnd } from "./geometry.ts";

const SIZE = SIZES.small;
const HALF = (CAP_EMS * SIZE) / 2;
const DESCENT = DESCENT_EMS * SIZE;
/** Kept between two texts, and between a text and the line it names, in millimetres. */
const APART = 0.6;
const BESIDE = 1.5;
/** From one row of names over the plot to the next. */
export const ROW = 4.6;
/** Room of the rim around letters, which would nibble at a line. */
const RIM = 0.4;
/** What covering a line or a hatch, or crossing a line with a leader, counts against a millimetre of distance. */
const LINE_COST = 12;
const HATCH_COST = 16;
const LEADER_COST = 5;
/** Of a leader, the piece at its point that is hidden by the mark. */
const MARK_CLEAR = 1.3;

/** What a text inside a plot must keep off: other texts always, lines and hatches where it can. */
export interface Obstacles {
  readonly texts: Box[];
  readonly segments: readonly (readonly [Point, Point])[];
  readonly hatches: readonly Box[];
}

export interface Words {
  readonly text: string;
  readonly bold: boolean;
}

/** Where the words could stand, and how far from the best place that is. */
interface Candidate {
  readonly at: Point;
  readonly anchor: Anchor;
  readonly cost: number;
  /** The point to which a leader would join words that stand so far off. */
  readonly leaderFrom?: Point;
}

export interface Place {
  readonly at: Point;
  readonly anchor: Anchor;
  readonly box: Box;
  /** From the point to the nearest edge of its words. */
  readonly leader?: readonly [Point, Point];
}

/** The cheapest candidate that stays inside and covers no other text; undefined when there is none. */
export function choose(
  words: Words,
  candidates: Iterable<Candidate>,
  area: Box,
  obstacles: Obstacles,
): Place | undefined {
  let best: Place | undefined;
  let least = Infinity;
  for (const candidate of candidates) {
    if (candidate.cost >= least) continue;
    const box = textBox({ ...candidate, ...words, size: SIZE });
    if (!contains(area, box) || obstacles.texts.some((other) => overlap(box, other, APART))) continue;
    const leader = leaderOf(candidate, box);
    const cost = candidate.cost + hatchCost(box, obstacles) + lineCost(box, leader, obstacles);
    if (cost >= least) continue;
    least = cost;
    best = { at: candidate.at, anchor: candidate.anchor, box, ...(leader === undefined ? {} : { leader }) };
  }
  return best;
}

/** Around a point: at first close by, then farther out, where a leader will join them. */
export function* around([x, y]: Point): Generator<Candidate> {
  const directions = [
    [1, 0],
    [1, -0.3],
    [-1, -0.3],
    [1, -0.6],
    [-1, -0.6],
    [0, -1],
    [0, 1],
    [1, 0.3],
    [-1, 0.3],
    [1, 0.6],
    [-1, 0.6],
    [-1, 0],
  ] as const;
  for (const distance of [2.2, 5, 8, 12, 17, 24])
    for (const [dx, dy] of directions) {
      const anchor: Anchor = dx > 0 ? "start" : dx < 0 ? "end" : "middle";
      const clear = dx === 0 ? HALF + DESCENT : 0;
      const at: Point = [x + dx * distance, y + dy * (distance + clear) + HALF];
      yield { at, anchor, cost: distance, ...(distance > 4 ? { leaderFrom: [x, y] } : {}) };
    }
}

/** Beside a line, from its end backward: above, below, to the left and to the right of it. */
export function* along(run: readonly Point[]): Generator<Candidate> {
  for (const [step, [x, y]] of stationsFromEnd(run, 24).entries()) {
    yield { at: [x, y - BESIDE - DESCENT], anchor: "middle", cost: step };
    yield { at: [x, y + BESIDE + 2 * HALF], anchor: "middle", cost: step };
    yield { at: [x - BESIDE, y + HALF], anchor: "end", cost: step };
    yield { at: [x + BESIDE, y + HALF], anchor: "start", cost: step };
  }
}

/** On one baseline over a box: from its left end, in its middle, to its right end. */
export function* over(box: Box): Generator<Candidate> {
  const y = box.top - BESIDE - DESCENT;
  yield { at: [box.left, y], anchor: "start", cost: 0 };
  yield { at: [(box.left + box.right) / 2, y], anchor: "middle", cost: 1 };
  yield { at: [box.right, y], anchor: "end", cost: 2 };
}

/** Baseline of a row of names over an upper edge. */
export const topRow = (edge: number, row: number): number => edge - BESIDE - DESCENT - row * ROW;

/** Over a point of the upper edge, in the row asked for or the one above it. */
export function* atTop([x, y]: Point, row: number): Generator<Candidate> {
  const base = topRow(y, row);
  yield { at: [x, base], anchor: "middle", cost: 0 };
  yield { at: [x + 0.8, base], anchor: "start", cost: 3 };
  yield { at: [x - 0.8, base], anchor: "end", cost: 3 };
  // A mark may stand on the edge.
  yield { at: [x, base - 0.7], anchor: "middle", cost: 4 };
}

/** Inside a box, from the top left corner. */
export function* within(box: Box, words: Words): Generator<Candidate> {
  const first = box.top + BESIDE + 2 * HALF;
  const last = box.bottom - BESIDE;
  const middle = (box.left + box.right) / 2;
  const narrow = textWidth(words.text, SIZE, words.bold) > box.right - box.left - 2 * BESIDE;
  for (let row = 0; row <= 12; row++) {
    const y = first + ((last - first) * row) / 12;
    if (!narrow) yield { at: [box.left + BESIDE, y], anchor: "start", cost: row };
    yield { at: [middle, y], anchor: "middle", cost: row + (narrow ? 3 : 1) };
    if (!narrow) yield { at: [box.right - BESIDE, y], anchor: "end", cost: row + 2 };
  }
}

export const contains = (outer: Box, inner: Box) =>
  inner.left >= outer.left && inner.right <= outer.right && inner.top >= outer.top && inner.bottom <= outer.bottom;

function leaderOf({ leaderFrom }: Candidate, box: Box): readonly [Point, Point] | undefined {
  if (leaderFrom === undefined) return undefined;
  const [x, y] = leaderFrom;
  return [leaderFrom, [Math.min(Math.max(x, box.left), box.right), Math.min(Math.max(y, box.top), box.bottom)]];
}

const hatchCost = (box: Box, { hatches }: Obstacles) => (hatches.some((hatch) => overlap(box, hatch)) ? HATCH_COST : 0);

function lineCost(box: Box, leader: readonly [Point, Point] | undefined, { segments }: Obstacles): number {
  const covered = crossings(grown(box, RIM), segments);
  // The line on which the point stands is left at once; only what the rest of the leader crosses counts.
  const rest = leader === undefined ? undefined : shortened(leader);
  const reach = rest === undefined ? undefined : boxAround(rest);
  const crossed =
    rest === undefined || reach === undefined
      ? 0
      : segments.filter((segment) => near(reach, segment) && cross(rest, segment)).length;
  return LINE_COST * covered + LEADER_COST * crossed;
}

function shortened([[x0, y0], [x1, y1]]: readonly [Point, Point]): readonly [Point, Point] {
  const length = Math.hypot(x1 - x0, y1 - y0);
  const t = length === 0 ? 0 : Math.min(1, MARK_CLEAR / length);
  return [
    [x0 + t * (x1 - x0), y0 + t * (y1 - y0)],
    [x1, y1],
  ];
}

const grown = (box: Box, by: number): Box => ({
  left: box.left - by,
  right: box.right + by,
  top: box.top - by,
  bottom: box.bottom + by,
});

/** Lines that pass through a box, counted up to 6; a heavy line stands in the list twice. */
function crossings(box: Box, segments: Obstacles["segments"]): number {
  let count = 0;
  for (const segment of segments)
    if (near(box, segment) && clipSegment(...segment, box) !== undefined && ++count === 6) break;
  return count;
}

/** Whether a segment could touch a box: decides most cases at little cost. */
const near = (box: Box, [[x0, y0], [x1, y1]]: readonly [Point, Point]) =>
  !((x0 < box.left && x1 < box.left) || (x0 > box.right && x1 > box.right)) &&
  !((y0 < box.top && y1 < box.top) || (y0 > box.bottom && y1 > box.bottom));
