/**
 * Holes read off a photo of the plate: where a pixel lies on the plate, and how well that is known.
 *
 * Law     The plate is flat and was photographed from straight above, so x and y of the plate are the photo's two directions
 *         along and across the front edge, each with its own scale. With c and s the pixels between two marks along and
 *         across, a known distance L says (a c)² + (b s)² = L²; a² and b² are found by least squares over all of them.
 * Method  Every mark is good to its own pixels and every distance to 0.2 mm; each is shifted by that much and the shifts of
 *         the result added as squares. What the two scales differ by is a slant: it counts as an error of the same share.
 * Limits  No bend of the lens, no perspective. Scales that differ by more than 4 % are refused.
 */
import { fail, ok, type Place, type Result } from "@platewright/engine";

/** A mark on the photo: pixels of the picture, u to the right, v down; `pixels` is how well it was set. */
export interface Mark {
  readonly u: number;
  readonly v: number;
  readonly pixels: number;
}

export interface KnownDistance {
  readonly from: Mark;
  readonly to: Mark;
  readonly millimetres: number;
}

export interface Frame {
  /** One mostly along the front edge, one mostly across; more make it surer. */
  readonly distances: readonly KnownDistance[];
  /** The front left corner of the plate, as seen from above. */
  readonly corner: Mark;
  /** Another point of the front edge. */
  readonly edge: Mark;
  /** The photo shows the underside. */
  readonly fromBelow: boolean;
}

export interface TraceMap {
  readonly toPlate: (mark: Pick<Mark, "u" | "v">) => Place;
  readonly toPhoto: (place: Place) => { readonly u: number; readonly v: number };
  /** Millimetres to a pixel. */
  readonly along: number;
  readonly across: number;
  readonly differencePercent: number;
  /** The known distance that is read worst, where there are more than two. */
  readonly worstMillimetres: number;
}

export interface TracedHole extends Place {
  readonly diameterMillimetres: number;
  /** How well each is known. */
  readonly placeMillimetres: number;
  readonly sizeMillimetres: number;
}

/** A centre and a point of the rim, or three points of the rim. */
export type HoleMarks = readonly [Mark, Mark] | readonly [Mark, Mark, Mark];

export const DIFFERENCE_WARNED = 1;
export const DIFFERENCE_REFUSED = 4;
/** How well a ruler or caliper was read, millimetres. */
export const RULER_MILLIMETRES = 0.2;
/** Pixels under which two marks say nothing about a direction. */
const LEAST_PIXELS = 20;
/** Least determinant of the two scales' equations: directions that differ by 30° or more. */
const LEAST_APART = 0.05;

interface Axes {
  readonly along: readonly [number, number];
  readonly across: readonly [number, number];
}

const between = (from: Pick<Mark, "u" | "v">, to: Pick<Mark, "u" | "v">): readonly [number, number] => [
  to.u - from.u,
  from.v - to.v,
];
const dot = (one: readonly [number, number], other: readonly [number, number]): number =>
  one[0] * other[0] + one[1] * other[1];

/** Directions of the plate's x and y on the photo, y of the photo taken upward. */
function axesOf({ corner, edge, fromBelow }: Frame): Axes | undefined {
  const [x, y] = between(corner, edge);
  const length = Math.hypot(x, y);
  if (length < LEAST_PIXELS) return undefined;
  const along = [x / length, y / length] as const;
  return { along, across: fromBelow ? [along[1], -along[0]] : [-along[1], along[0]] };
}

/** The sentence says what is wrong with the marks, and what would do. */
export function traceMap(frame: Frame): Result<TraceMap, string> {
  const axes = axesOf(frame);
  if (axes === undefined)
    return fail("Corner and edge point are too near to each other; set the edge point far along the front edge.");
  let [aa, ab, bb, ra, rb] = [0, 0, 0, 0, 0];
  for (const { from, to, millimetres } of frame.distances) {
    const way = between(from, to);
    if (Math.hypot(...way) < LEAST_PIXELS)
      return fail("The two marks of a known distance are too near to each other; take a longer one.");
    if (!(millimetres > 0)) return fail("Write both known distances in millimetres or inches.");
    const [c, s] = [(dot(way, axes.along) / millimetres) ** 2, (dot(way, axes.across) / millimetres) ** 2];
    aa += c * c;
    ab += c * s;
    bb += s * s;
    ra += c;
    rb += s;
  }
  const determinant = aa * bb - ab * ab;
  if (frame.distances.length < 2 || determinant < LEAST_APART * aa * bb || aa === 0 || bb === 0)
    return fail("The known distances run the same way; take one along the front edge and one across the plate.");
  const [a, b] = [(ra * bb - rb * ab) / determinant, (rb * aa - ra * ab) / determinant];
  if (!(a > 0 && b > 0))
    return fail("No scale fits the known distances; check what was written, and that each mark is on its place.");
  const [along, across] = [Math.sqrt(a), Math.sqrt(b)];
  const differencePercent = (200 * Math.abs(along - across)) / (along + across);
  if (differencePercent > DIFFERENCE_REFUSED)
    return fail(
      `The scales along and across differ by ${differencePercent.toFixed(1)} %: the photo was taken at a slant, or a distance is not what was written. Up to ${DIFFERENCE_REFUSED} % is accepted; take it from straight above.`,
    );
  const toPlate: TraceMap["toPlate"] = (mark) => {
    const way = between(frame.corner, mark);
    return { x: dot(way, axes.along) * along, y: dot(way, axes.across) * across };
  };
  const worstMillimetres = Math.max(
    ...frame.distances.map(({ from, to, millimetres }) => {
      const [one, other] = [toPlate(from), toPlate(to)];
      return Math.abs(Math.hypot(other.x - one.x, other.y - one.y) - millimetres);
    }),
  );
  return ok({
    along,
    across,
    differencePercent,
    worstMillimetres,
    toPlate,
    toPhoto: ({ x, y }) => {
      const [p, q] = [x / along, y / across];
      return {
        u: frame.corner.u + p * axes.along[0] + q * axes.across[0],
        v: frame.corner.v - p * axes.along[1] - q * axes.across[1],
      };
    },
  });
}

/** Millimetres; undefined where three rim points stand in a line. */
function circleOf(map: TraceMap, marks: HoleMarks): (Place & { readonly diameterMillimetres: number }) | undefined {
  const [first, second, third] = marks.map((mark) => map.toPlate(mark));
  if (first === undefined || second === undefined) return undefined;
  if (third === undefined)
    return { ...first, diameterMillimetres: 2 * Math.hypot(second.x - first.x, second.y - first.y) };
  const [bx, by, cx, cy] = [second.x - first.x, second.y - first.y, third.x - first.x, third.y - first.y];
  const d = 2 * (bx * cy - by * cx);
  const [bb, cc] = [bx * bx + by * by, cx * cx + cy * cy];
  if (Math.abs(d) < 1e-6 * (bb + cc)) return undefined;
  const [x, y] = [(cy * bb - by * cc) / d, (bx * cc - cx * bb) / d];
  return { x: first.x + x, y: first.y + y, diameterMillimetres: 2 * Math.hypot(x, y) };
}

/** A hole with place and diameter, and how well both are known. */
export function tracedHole(frame: Frame, marks: HoleMarks): Result<TracedHole, string> {
  const map = traceMap(frame);
  if (!map.ok) return map;
  const at = circleOf(map.value, marks);
  if (at === undefined) return fail("The three rim points stand in a line; spread them round the hole.");
  if (at.diameterMillimetres < 0.5) return fail("Centre and rim are the same point; set the second one on the rim.");
  let [place, size] = [0, 0];
  for (const shifted of shifts(frame, marks)) {
    const other = traceMap(shifted.frame);
    const moved = other.ok ? circleOf(other.value, shifted.marks) : undefined;
    if (moved === undefined) continue;
    place += (moved.x - at.x) ** 2 + (moved.y - at.y) ** 2;
    size += (moved.diameterMillimetres - at.diameterMillimetres) ** 2;
  }
  const slant = map.value.differencePercent / 100;
  // A distance too many that does not agree is an error of the scale as well.
  const longest = Math.max(...frame.distances.map((one) => one.millimetres));
  const scale = frame.distances.length > 2 ? map.value.worstMillimetres / longest : 0;
  const share = Math.hypot(slant, scale);
  return ok({
    ...at,
    placeMillimetres: Math.hypot(Math.sqrt(place), share * Math.hypot(at.x, at.y)),
    sizeMillimetres: Math.hypot(Math.sqrt(size), share * at.diameterMillimetres),
  });
}

interface Shifted {
  readonly frame: Frame;
  readonly marks: HoleMarks;
}

/** Every mark moved by what it is good to, right and down, and every distance by what a ruler is good to. */
function shifts(frame: Frame, marks: HoleMarks): readonly Shifted[] {
  const moved = (mark: Mark): readonly Mark[] => [
    { ...mark, u: mark.u + mark.pixels },
    { ...mark, v: mark.v + mark.pixels },
  ];
  const withDistance = (at: number, one: KnownDistance): Frame => ({
    ...frame,
    distances: frame.distances.map((each, n) => (n === at ? one : each)),
  });
  const frames = [
    ...moved(frame.corner).map((corner) => ({ ...frame, corner })),
    ...moved(frame.edge).map((edge) => ({ ...frame, edge })),
    ...frame.distances.flatMap((one, at) => [
      ...moved(one.from).map((from) => withDistance(at, { ...one, from })),
      ...moved(one.to).map((to) => withDistance(at, { ...one, to })),
      withDistance(at, { ...one, millimetres: one.millimetres + RULER_MILLIMETRES }),
    ]),
  ];
  const holes = marks.flatMap((mark, at) =>
    moved(mark).map((other) => marks.map((each, n) => (n === at ? other : each)) as unknown as HoleMarks),
  );
  return [...frames.map((one) => ({ frame: one, marks })), ...holes.map((one) => ({ frame, marks: one }))];
}
