/**
 * Entities of a DXF as pieces of outlines: circles, closed rings of corners, single lines and arcs; in the drawing's own units.
 *
 * Limits  LINE, ARC, CIRCLE, LWPOLYLINE and POLYLINE are read, as seen from above or from below (extrusion 0, 0, ±1). Words,
 *         dimensions, hatches and points are passed over and counted; everything else is refused by name, blocks too.
 */
import { fail, ok, type Place, type Result } from "@platewright/engine";
import type { Corner } from "../contour.ts";
import type { Tag } from "./tags.ts";

/** One straight piece or arc. */
export interface Piece {
  readonly from: Place;
  readonly to: Place;
  readonly bulge: number;
}

export interface Circle extends Place {
  readonly radius: number;
}

export interface Pieces {
  readonly circles: readonly Circle[];
  readonly rings: readonly (readonly Corner[])[];
  readonly loose: readonly Piece[];
  readonly refused: readonly string[];
  readonly passedOver: ReadonlyMap<string, number>;
  readonly layer: string | undefined;
}

export const MOST_CORNERS = 50_000;
/** Larger than any plate in any unit; a number past it is a slip. */
const LARGEST = 1e6;

const WITHOUT_METAL: ReadonlySet<string> = new Set([
  "TEXT",
  "MTEXT",
  "ATTDEF",
  "ATTRIB",
  "DIMENSION",
  "LEADER",
  "MULTILEADER",
  "MLEADER",
  "TOLERANCE",
  "HATCH",
  "POINT",
  "VIEWPORT",
  "IMAGE",
  "WIPEOUT",
  "TABLE",
  "ACAD_TABLE",
  "XLINE",
  "RAY",
  "SEQEND",
]);
const CURVES: Readonly<Record<string, string>> = {
  INSERT: "a block; explode it first",
  SPLINE: "a spline; draw it as lines and arcs",
  ELLIPSE: "an ellipse; draw it as lines and arcs",
};

/** The layer of what is to be cut, when a drawing has one by this name. */
const CUT = "CUT";

interface Walk {
  readonly circles: Circle[];
  readonly rings: (readonly Corner[])[];
  readonly loose: Piece[];
  readonly refused: string[];
  corners: number;
}

export function piecesOf(entities: readonly (readonly Tag[])[]): Result<Pieces, string> {
  const layer = entities.some((tags) => DRAWN.has(kindOf(tags)) && layerOf(tags).toUpperCase() === CUT)
    ? CUT
    : undefined;
  const walk: Walk = { circles: [], rings: [], loose: [], refused: [], corners: 0 };
  const passedOver = new Map<string, number>();
  const pass = (kind: string) => passedOver.set(kind, (passedOver.get(kind) ?? 0) + 1);
  for (let n = 0; n < entities.length; n++) {
    const tags = entities[n] ?? [];
    const kind = kindOf(tags);
    const vertices: (readonly Tag[])[] = [];
    if (kind === "POLYLINE") while (kindOf(entities[n + 1] ?? []) === "VERTEX") vertices.push(entities[++n] ?? []);
    if (layer !== undefined && layerOf(tags).toUpperCase() !== layer) {
      if (kind !== "SEQEND") pass("other layers");
      continue;
    }
    // 67 is the sheet of a layout, not the model.
    if (read(tags, 67) === "1") {
      pass("sheets");
      continue;
    }
    if (WITHOUT_METAL.has(kind)) {
      if (kind !== "SEQEND") pass(kind);
      continue;
    }
    const made = entity(kind, tags, vertices, walk);
    if (made !== undefined) return fail(made);
    if (walk.corners > MOST_CORNERS)
      return fail(`has more than ${MOST_CORNERS} corners; save only the plate's outline and holes.`);
  }
  return ok({ ...walk, passedOver, layer });
}

const DRAWN: ReadonlySet<string> = new Set(["LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE"]);

const kindOf = (tags: readonly Tag[]): string => tags[0]?.value ?? "";
const read = (tags: readonly Tag[], code: number): string | undefined =>
  tags.find((tag, n) => n > 0 && tag.code === code)?.value;
const layerOf = (tags: readonly Tag[]): string => read(tags, 8) ?? "0";

/** A number within reach; undefined is a slip. */
function numberOf(text: string | undefined): number | undefined {
  if (text === undefined || !/^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/.test(text)) return undefined;
  const value = Number(text);
  return Number.isFinite(value) && Math.abs(value) <= LARGEST ? value : undefined;
}

/** Adds what an entity is; a sentence where its numbers are none. */
function entity(
  kind: string,
  tags: readonly Tag[],
  vertices: readonly (readonly Tag[])[],
  walk: Walk,
): string | undefined {
  const value = (code: number, missing?: number): number => {
    const text = read(tags, code);
    return text === undefined && missing !== undefined ? missing : (numberOf(text) ?? Number.NaN);
  };
  const wrong = () =>
    `has a ${kind} with a number that is none or out of reach (at most ${LARGEST}); save the drawing again.`;
  if (!DRAWN.has(kind)) {
    const at = { x: value(10, 0), y: value(20, 0) };
    const name = kind === "INSERT" ? ` '${(read(tags, 2) ?? "").slice(0, 40)}'` : "";
    walk.refused.push(
      `${kind.slice(0, 30)}${name} at ${place(at)}: ${CURVES[kind] ?? "it is not read; draw it as lines, arcs or circles"}.`,
    );
    return undefined;
  }
  const [nx, ny, nz] = [value(210, 0), value(220, 0), value(230, 1)];
  const flat = Math.abs(nx) < 1e-6 && Math.abs(ny) < 1e-6 && Math.abs(Math.abs(nz) - 1) < 1e-6;
  if (!flat && kind !== "LINE") {
    if ([nx, ny, nz].some(Number.isNaN)) return wrong();
    walk.refused.push(`${kind} at ${place({ x: value(10, 0), y: value(20, 0) })}: it does not lie flat.`);
    return undefined;
  }
  // Seen from below: x runs leftward, and arcs turn the other way.
  const side = nz < 0 && kind !== "LINE" ? -1 : 1;
  if (kind === "LINE") {
    const [from, to] = [
      { x: value(10), y: value(20) },
      { x: value(11), y: value(21) },
    ];
    if (![from.x, from.y, to.x, to.y].every(Number.isFinite)) return wrong();
    walk.loose.push({ from, to, bulge: 0 });
    walk.corners++;
    return undefined;
  }
  if (kind === "CIRCLE" || kind === "ARC") {
    const [x, y, radius] = [side * value(10), value(20), value(40)];
    if (![x, y, radius].every(Number.isFinite)) return wrong();
    if (radius <= 0) return `has a ${kind} with the radius ${radius}; it must be above 0.`;
    walk.corners++;
    if (kind === "CIRCLE") {
      walk.circles.push({ x, y, radius });
      return undefined;
    }
    const [begin, end] = [value(50), value(51)];
    if (!Number.isFinite(begin) || !Number.isFinite(end)) return wrong();
    const turn = ((((end - begin) % 360) + 360) % 360 || 360) * (Math.PI / 180);
    const at = (degrees: number): Place => ({
      x: x + side * radius * Math.cos((degrees * Math.PI) / 180),
      y: y + radius * Math.sin((degrees * Math.PI) / 180),
    });
    // A whole turn has no chord.
    if (turn > 2 * Math.PI - 1e-6) walk.circles.push({ x, y, radius });
    else walk.loose.push({ from: at(begin), to: at(end), bulge: side * Math.tan(turn / 4) });
    return undefined;
  }
  const isClosed = (Number(read(tags, 70) ?? "0") & 1) === 1;
  const corners = kind === "LWPOLYLINE" ? lightCorners(tags, side) : vertexCorners(vertices, side);
  if (corners === undefined) return wrong();
  if (corners.length < 2) return undefined;
  walk.corners += corners.length;
  if (isClosed) walk.rings.push(corners);
  else
    for (const [n, corner] of corners.entries()) {
      const next = corners[n + 1];
      if (next !== undefined) walk.loose.push({ from: corner, to: next, bulge: corner.bulge });
    }
  return undefined;
}

/** A bulge; what bends less than a hair is straight. */
const bent = (bulge: number): number => (Math.abs(bulge) < 1e-9 ? 0 : bulge);

/** Corners of an LWPOLYLINE: each 10 begins one. */
function lightCorners(tags: readonly Tag[], side: number): readonly Corner[] | undefined {
  const corners: { x: number; y: number; bulge: number }[] = [];
  for (const { code, value } of tags) {
    if (code !== 10 && code !== 20 && code !== 42) continue;
    const number = numberOf(value);
    if (number === undefined) return undefined;
    if (code === 10) corners.push({ x: side * number, y: Number.NaN, bulge: 0 });
    const last = corners[corners.length - 1];
    if (last === undefined) continue;
    if (code === 20) last.y = number;
    if (code === 42) last.bulge = side * bent(number);
  }
  return corners.every((one) => Number.isFinite(one.y)) ? corners : undefined;
}

function vertexCorners(vertices: readonly (readonly Tag[])[], side: number): readonly Corner[] | undefined {
  const corners: Corner[] = [];
  for (const tags of vertices) {
    const [x, y, bulge] = [numberOf(read(tags, 10)), numberOf(read(tags, 20)), numberOf(read(tags, 42) ?? "0")];
    if (x === undefined || y === undefined || bulge === undefined) return undefined;
    corners.push({ x: side * x, y, bulge: side * bent(bulge) });
  }
  return corners;
}

const round = (value: number): string => String(Math.round(value * 100) / 100);
export const place = ({ x, y }: Place): string => `${round(x)}, ${round(y)}`;
