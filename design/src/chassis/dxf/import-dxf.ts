/**
 * A plate's outline and holes from a DXF. Pure: page and command line share it; any text gives an answer, none throws.
 *
 * Law     The largest closed ring is the plate, everything else inside it a hole, placed from the plate's front left corner.
 *         Circles and rectangles (turned, rounded) are holes; what is neither is refused with its place. When the drawing has a
 *         layer CUT only that is read. Units are those of $INSUNITS; where it says none, they are asked for.
 * Limits  The plate is a rectangle with equal corners that lies along the axes. A blank with flanges is read as the blank: bends
 *         are not seen. 8 million characters, 50,000 corners, 500 holes.
 */
import { fail, ok, type Place, type Result } from "@platewright/engine";
import type { Chassis, ChassisPlate, DocumentHole } from "../../document/chassis-schema.ts";
import type { Change } from "../../findings.ts";
import type { Corner } from "../contour.ts";
import { chain } from "./chain.ts";
import { type Circle, type Piece, piecesOf, place } from "./pieces.ts";
import { type Read, type Shape, shapeOf } from "./shapes.ts";
import { sectionsOf } from "./tags.ts";

export type DxfUnits = "mm" | "cm" | "inch" | "m";

export interface DxfRefusal {
  /** units: the drawing states none, ask for them. */
  readonly kind: "not-dxf" | "units" | "outline" | "size";
  /** Goes on after the name of the file: "is not a DXF: ...". */
  readonly sentence: string;
}

export interface DxfHow {
  /** Of the drawing, when it states none; they go before what it states. */
  readonly units?: DxfUnits | undefined;
  /** Are the holes there already? */
  readonly state: DocumentHole["state"];
  /** Ends that are nearer are one. */
  readonly toleranceMillimetres?: number;
}

export interface DxfPlate {
  readonly widthMillimetres: number;
  readonly depthMillimetres: number;
  readonly cornerRadiusMillimetres?: number;
  readonly holes: readonly DocumentHole[];
  readonly units: DxfUnits;
  readonly notes: readonly string[];
  /** What could not be read, and where. */
  readonly refused: readonly string[];
}

const MILLIMETRES: { readonly [U in DxfUnits]: number } = { mm: 1, cm: 10, inch: 25.4, m: 1000 };
/** Of $INSUNITS. */
const STATED: Readonly<Record<string, DxfUnits>> = { "1": "inch", "4": "mm", "5": "cm", "6": "m" };
const TOLERANCE = 0.02;
const MOST_HOLES = 500;
const LARGEST_PLATE = 2000;

export function importDxf(text: string, how: DxfHow): Result<DxfPlate, DxfRefusal> {
  const sections = sectionsOf(text);
  if (!sections.ok) return fail({ kind: "not-dxf", sentence: sections.failure });
  const pieces = piecesOf(sections.value.entities);
  if (!pieces.ok) return fail({ kind: "not-dxf", sentence: pieces.failure });
  const { circles, loose, passedOver, layer } = pieces.value;
  const stated = STATED[sections.value.header.get("$INSUNITS") ?? ""];
  const units = how.units ?? stated;
  if (units === undefined)
    return fail({
      kind: "units",
      sentence: `states no unit that is known${extentWords(circles, [...pieces.value.rings.flat(), ...loose.map((one) => one.from)])}; say which: mm, cm, inch or m.`,
    });
  const by = MILLIMETRES[units];
  const tolerance = how.toleranceMillimetres ?? TOLERANCE;
  const scaled = (corners: readonly Corner[]) =>
    corners.map(({ x, y, bulge }): Corner => ({ x: x * by, y: y * by, bulge }));
  const chained = chain(
    loose.map(({ from, to, bulge }): Piece => ({ from: scale(from, by), to: scale(to, by), bulge })),
    tolerance,
  );
  const shapes: Read[] = [
    ...pieces.value.rings.map((ring) => shapeOf(scaled(ring), tolerance)),
    ...chained.rings.map((ring) => shapeOf(ring, tolerance)),
    ...circles.map(({ x, y, radius }): Read => {
      const at = { x: x * by, y: y * by };
      const diameterMillimetres = 2 * radius * by;
      return {
        shape: { kind: "circle", ...at, diameterMillimetres },
        area: (Math.PI / 4) * diameterMillimetres ** 2,
        ...at,
      };
    }),
  ];
  const largest = shapes.reduce<Read | undefined>(
    (most, one) => (most === undefined || one.area > most.area ? one : most),
    undefined,
  );
  const unread = [
    ...pieces.value.refused,
    ...chained.open.slice(0, 20).map((at) => `open at ${place(at)} mm: a line ends there, or more than two meet.`),
    ...(chained.open.length > 20 ? [`${chained.open.length - 20} more open ends.`] : []),
  ];
  const plate = plateOf(largest, unread);
  if (!plate.ok) return plate;
  return ok(withHoles(plate.value, largest, shapes, unread, { how, units, tolerance, stated, passedOver, layer }));
}

const scale = ({ x, y }: Place, by: number): Place => ({ x: x * by, y: y * by });

function extentWords(circles: readonly Circle[], points: readonly Place[]): string {
  const xs: number[] = [];
  const ys: number[] = [];
  for (const { x, y, radius } of circles) {
    xs.push(x - radius, x + radius);
    ys.push(y - radius, y + radius);
  }
  for (const { x, y } of points) {
    xs.push(x);
    ys.push(y);
  }
  if (xs.length === 0) return "";
  const reach = (all: readonly number[]) => {
    let [least, most] = [Infinity, -Infinity];
    for (const one of all) [least, most] = [Math.min(least, one), Math.max(most, one)];
    return Math.round((most - least) * 100) / 100;
  };
  return ` (it measures ${reach(xs)} × ${reach(ys)})`;
}

type Rectangle = Extract<Shape, { readonly kind: "rectangle" }>;

function plateOf(largest: Read | undefined, unread: readonly string[]): Result<Rectangle, DxfRefusal> {
  const first = unread[0] === undefined ? "" : ` First of what was not read: ${unread[0]}`;
  if (largest === undefined)
    return fail({ kind: "outline", sentence: `has no closed outline; the plate is one closed rectangle.${first}` });
  const { shape } = largest;
  const wanted = "the plate is a rectangle along the axes, corners square or of one radius.";
  if (shape === undefined)
    return fail({
      kind: "outline",
      sentence: `has an outline of ${Math.round(largest.area)} mm² about ${place(largest)} mm that is no rectangle; ${wanted}${first}`,
    });
  if (shape.kind === "circle")
    return fail({
      kind: "outline",
      sentence: `has a circle of ${mm(shape.diameterMillimetres)} mm as its largest outline; ${wanted}${first}`,
    });
  if (shape.degrees !== undefined)
    return fail({ kind: "outline", sentence: `has an outline that is turned by ${mm(shape.degrees)}°; ${wanted}` });
  const most = Math.max(shape.widthMillimetres, shape.heightMillimetres);
  if (most > LARGEST_PLATE)
    return fail({
      kind: "size",
      sentence: `has a plate of ${mm(shape.widthMillimetres)} × ${mm(shape.heightMillimetres)} mm; ${LARGEST_PLATE} mm is the most. Are its units right?`,
    });
  return ok(shape);
}

const mm = (millimetres: number): string => String(Math.round(millimetres * 1000) / 1000);

interface Known {
  readonly how: DxfHow;
  readonly units: DxfUnits;
  readonly tolerance: number;
  readonly stated: DxfUnits | undefined;
  readonly passedOver: ReadonlyMap<string, number>;
  readonly layer: string | undefined;
}

function withHoles(
  plate: Rectangle,
  largest: Read | undefined,
  shapes: readonly Read[],
  unread: readonly string[],
  { how, units, tolerance, stated, passedOver, layer }: Known,
): DxfPlate {
  const refused = [...unread];
  const holes: DocumentHole[] = [];
  const { widthMillimetres, heightMillimetres } = plate;
  const [left, front] = [plate.x - widthMillimetres / 2, plate.y - heightMillimetres / 2];
  let doubled = 0;
  const seen = new Map<string, Shape[]>();
  for (const one of shapes) {
    if (one === largest) continue;
    const at = { x: one.x - left, y: one.y - front };
    if (one.shape === undefined) {
      if (one.area <= tolerance * tolerance) continue;
      refused.push(`an outline about ${place(at)} mm is neither a circle nor a rectangle; it was left out.`);
      continue;
    }
    const { x: _, y: __, ...shape } = one.shape;
    if (!liesIn(plate, one.shape)) {
      refused.push(`a ${shape.kind} at ${place(at)} mm does not lie inside the plate; it was left out.`);
      continue;
    }
    const key = `${Math.round(at.x)},${Math.round(at.y)}`;
    const there = seen.get(key) ?? [];
    if (there.some((other) => isSame(other, one.shape as Shape, tolerance / 4))) {
      doubled++;
      continue;
    }
    seen.set(key, [...there, one.shape]);
    if (holes.length === MOST_HOLES) {
      refused.push(`more than ${MOST_HOLES} holes; the rest was left out.`);
      break;
    }
    holes.push({ id: `H${holes.length + 1}`, ...at, shape, state: how.state });
  }
  const passed = [...passedOver].map(([kind, count]) => `${count} × ${kind}`);
  return {
    widthMillimetres,
    depthMillimetres: heightMillimetres,
    ...(plate.cornerMillimetres === undefined ? {} : { cornerRadiusMillimetres: plate.cornerMillimetres }),
    holes,
    units,
    notes: [
      how.units === undefined
        ? `The drawing states ${units}.`
        : `Read as ${units}${stated === undefined || stated === units ? "" : `; the drawing itself states ${stated}`}.`,
      ...(layer === undefined ? [] : [`Only the layer ${layer} was read.`]),
      ...(doubled === 0 ? [] : [`${doubled} doubled outline${doubled === 1 ? " was" : "s were"} taken once.`]),
      ...(passed.length === 0 ? [] : [`Passed over: ${passed.join(", ")}.`]),
    ],
    refused,
  };
}

const HAIR = 1e-3;

/** By its box: what reaches past the plate's sides is no hole. Round corners are the reader's to judge. */
function liesIn(plate: Rectangle, shape: Shape): boolean {
  const turn = shape.kind === "rectangle" ? ((shape.degrees ?? 0) * Math.PI) / 180 : 0;
  const [w, h] =
    shape.kind === "circle"
      ? [shape.diameterMillimetres, shape.diameterMillimetres]
      : [shape.widthMillimetres, shape.heightMillimetres];
  const r = shape.kind === "circle" ? w / 2 : (shape.cornerMillimetres ?? 0);
  const [a, b] = [w / 2 - r, h / 2 - r];
  const reachX = a * Math.abs(Math.cos(turn)) + b * Math.abs(Math.sin(turn)) + r;
  const reachY = a * Math.abs(Math.sin(turn)) + b * Math.abs(Math.cos(turn)) + r;
  return (
    Math.abs(shape.x - plate.x) + reachX <= plate.widthMillimetres / 2 + HAIR &&
    Math.abs(shape.y - plate.y) + reachY <= plate.heightMillimetres / 2 + HAIR
  );
}

function isSame(one: Shape, other: Shape, tolerance: number): boolean {
  const numbers = (shape: Shape) =>
    shape.kind === "circle"
      ? [shape.x, shape.y, shape.diameterMillimetres]
      : [shape.x, shape.y, shape.widthMillimetres, shape.heightMillimetres, shape.degrees ?? 0];
  const [a, b] = [numbers(one), numbers(other)];
  return a.length === b.length && a.every((value, n) => Math.abs(value - (b[n] ?? Infinity)) <= tolerance);
}

/** Of a plate that has none: what is usual, to be put right. */
export const USUAL_PLATE = { thicknessMillimetres: 2, material: "aluminium" } as const;

/** What the document becomes: sizes and holes as drawn; thickness, material, bends and parts as they were. */
export function dxfChanges(chassis: Chassis | undefined, read: DxfPlate): readonly Change[] {
  const { widthMillimetres, depthMillimetres, cornerRadiusMillimetres, holes } = read;
  const sizes = {
    widthMillimetres,
    depthMillimetres,
    ...(cornerRadiusMillimetres === undefined ? {} : { cornerRadiusMillimetres }),
  };
  if (chassis === undefined)
    return [{ target: "chassis", after: { plate: { ...sizes, ...USUAL_PLATE }, items: [], holes } }];
  const { cornerRadiusMillimetres: _, ...kept } = chassis.plate;
  const plate: ChassisPlate = { ...kept, ...sizes };
  return [
    { target: "chassis.plate", before: chassis.plate, after: plate },
    { target: "chassis.holes", before: chassis.holes, after: holes },
    ...(chassis.salvage === undefined ? [] : [{ target: "chassis.salvage", before: chassis.salvage }]),
  ];
}
