/**
 * The flat pattern of a plate with bent edges: the blank that is cut before it is bent.
 *
 * Law     A bend of 90° takes BA = (π / 2)(r + K t) of the blank, r inside radius, t thickness. Measured outside, bend and flange
 *         together are longer than the blank by BD = 2 (r + t) − BA each, so the blank reaches F − BD past the plate's
 *         outside, F the flange from the top face to its edge. The flat of the plate ends t + r from its outside, and
 *         everything inside of that keeps its place. The line to bend on is the middle of the bend.
 * Limits  Bends of 90°, downwards, one per edge. Where two bent edges meet the corner is cut out square to `RELIEF` past the
 *         begin of both bends, so that no bend tears into the other.
 * Sources K = 0.44 and the relief are common practice, for air bending of aluminium; the fabricator's own tools decide.
 */
import { type ChassisPlate, type Corner, contourOf, plateOutline, QUARTER, withoutNothing } from "@platewright/design";
import { fail, ok, type Place, type Result } from "@platewright/engine";
import type { CutFailure } from "./cut.ts";

export const K_FACTOR = 0.44;
export const K_WORDS = "common practice, 0.44 for aluminium; the fabricator's own tools decide";
/** Past the begin of a bend, where the corner between two is cut out. */
export const RELIEF_MILLIMETRES = 0.5;

export type Edge = NonNullable<ChassisPlate["bends"]>[number]["edge"];
const EDGES = ["left", "right", "front", "rear"] as const;

export interface FlatBend {
  readonly edge: Edge;
  readonly insideRadiusMillimetres: number;
  /** From the top face to the edge, outside. */
  readonly flangeMillimetres: number;
  readonly allowanceMillimetres: number;
  readonly deductionMillimetres: number;
  /** How far the blank reaches past the plate's outside. */
  readonly pastMillimetres: number;
  /** From the plate's outside inward to where the flat ends, and to the middle of the bend (negative: past the outside). */
  readonly flatFromEdge: number;
  readonly lineFromEdge: number;
  readonly from: Place;
  readonly to: Place;
}

export interface FlatPlate {
  readonly corners: readonly Corner[];
  readonly bends: readonly FlatBend[];
  readonly left: number;
  readonly right: number;
  readonly front: number;
  readonly rear: number;
  readonly notes: readonly string[];
}

type Numbers = Omit<FlatBend, "from" | "to">;

export function flatPlate(plate: ChassisPlate): Result<FlatPlate, CutFailure> {
  const { widthMillimetres: wide, depthMillimetres: deep, thicknessMillimetres: t } = plate;
  const bends = new Map<Edge, Numbers>();
  for (const { edge, insideRadiusMillimetres: r, flangeMillimetres } of plate.bends ?? []) {
    if (flangeMillimetres < t + r)
      return refuse(
        `the ${edge} flange of ${flangeMillimetres} mm is lower than thickness and inside radius together (${t + r} mm); a higher flange or a smaller radius is accepted.`,
      );
    const allowance = (Math.PI / 2) * (r + K_FACTOR * t);
    const deduction = 2 * (r + t) - allowance;
    bends.set(edge, {
      edge,
      insideRadiusMillimetres: r,
      flangeMillimetres,
      allowanceMillimetres: allowance,
      deductionMillimetres: deduction,
      pastMillimetres: flangeMillimetres - deduction,
      flatFromEdge: t + r,
      lineFromEdge: t + r - allowance / 2,
    });
  }
  const past = (edge: Edge): number => bends.get(edge)?.pastMillimetres ?? 0;
  /** Where a corner is cut out to, from the plate's outside. */
  const inset = (edge: Edge): number => (bends.get(edge)?.flatFromEdge ?? 0) + RELIEF_MILLIMETRES;
  if (
    (bends.has("left") ? inset("left") : 0) + (bends.has("right") ? inset("right") : 0) >= wide ||
    (bends.has("front") ? inset("front") : 0) + (bends.has("rear") ? inset("rear") : 0) >= deep
  )
    return refuse("the bends of two opposite edges meet; a wider plate or a smaller radius is accepted.");
  const [left, right] = [0 - past("left"), wide + past("right")];
  const [front, rear] = [0 - past("front"), deep + past("rear")];
  if (bends.size === 0) {
    const outline = plateOutline(plate);
    const corners = outline.kind === "circle" ? [] : contourOf(outline);
    return ok({ corners, bends: [], left, right, front, rear, notes: [] });
  }
  const radius = plate.cornerRadiusMillimetres ?? 0;
  const corner = (x: Edge, y: Edge): readonly Corner[] => {
    const [right_, rear_] = [x === "right", y === "rear"];
    const at = { x: right_ ? right : left, y: rear_ ? rear : front };
    // Counter-clockwise, front left first: whether the piece that comes in runs along x.
    const alongX = right_ !== rear_;
    const [sx, sy] = [right_ ? -1 : 1, rear_ ? -1 : 1];
    const straight = (points: readonly Place[]) => points.map((point): Corner => ({ ...point, bulge: 0 }));
    if (bends.has(x) && bends.has(y)) {
      const inner = { x: (right_ ? wide : 0) + sx * inset(x), y: (rear_ ? deep : 0) + sy * inset(y) };
      const [onX, onY] = [
        { x: inner.x, y: at.y },
        { x: at.x, y: inner.y },
      ];
      return straight(alongX ? [onX, inner, onY] : [onY, inner, onX]);
    }
    if (bends.has(x) || bends.has(y) || radius === 0) return straight([at]);
    const [onX, onY] = [
      { x: at.x + sx * radius, y: at.y },
      { x: at.x, y: at.y + sy * radius },
    ];
    const [first, second] = alongX ? [onX, onY] : [onY, onX];
    return [
      { ...first, bulge: QUARTER },
      { ...second, bulge: 0 },
    ];
  };
  const corners = withoutNothing([
    ...corner("left", "front"),
    ...corner("right", "front"),
    ...corner("right", "rear"),
    ...corner("left", "rear"),
  ]);
  const drawn = EDGES.flatMap((edge): readonly FlatBend[] => {
    const bend = bends.get(edge);
    if (bend === undefined) return [];
    const upright = edge === "left" || edge === "right";
    const [low, high] = upright ? (["front", "rear"] as const) : (["left", "right"] as const);
    const length = upright ? deep : wide;
    const from = bends.has(low) ? inset(low) : 0;
    const to = length - (bends.has(high) ? inset(high) : 0);
    const at = edge === "left" || edge === "front" ? bend.lineFromEdge : (upright ? wide : deep) - bend.lineFromEdge;
    const place = (along: number): Place => (upright ? { x: at, y: along } : { x: along, y: at });
    return [{ ...bend, from: place(from), to: place(to) }];
  });
  const square =
    radius > 0 && bends.size > 0
      ? ["Corners at a bent edge are square; the corner radius stands where none is bent."]
      : [];
  return ok({ corners, bends: drawn, left, right, front, rear, notes: square });
}

const refuse = (sentence: string): Result<never, CutFailure> =>
  fail({ kind: "bend", id: "plate", sentence: `The plate cannot be laid flat: ${sentence}` });
