/** Outlines of the plate, of holes and of bodies as items of a drawing. */
import type { Outline, Place } from "@platewright/engine";
import { turned } from "@platewright/design";
import type { CircleItem, PathItem, Point } from "../scene.ts";
import type { PlateMap } from "./plate-map.ts";

type Look = Omit<CircleItem, "kind" | "at" | "radius">;

/** Pieces to a quarter of a rounded corner, at most: 0.01 mm of a 10 mm corner. */
const CORNER_PIECES = 16;
/** A drawing's corner may be off by this, millimetres of the sheet. */
const CORNER_OFF = 0.02;

/** Pieces that keep a rounded corner of `radius` millimetres of the sheet true to the eye. */
const piecesFor = (radius: number): number =>
  radius <= CORNER_OFF
    ? 1
    : Math.min(CORNER_PIECES, Math.ceil(Math.PI / 4 / Math.acos(1 - CORNER_OFF / radius) + 1e-9));

/** An outline as one closed item; circles stay circles. */
export function outlineItem(outline: Outline, map: PlateMap, look: Look): CircleItem | PathItem {
  if (outline.kind === "circle")
    return {
      kind: "circle",
      at: map.toSheet(outline),
      radius: (outline.diameterMillimetres / 2) * map.scale,
      ...look,
    };
  return { kind: "path", points: sheetCorners(outline, map), ...look };
}

/** Corners on the sheet, as many as the eye wants. */
export const sheetCorners = (
  outline: Exclude<Outline, { readonly kind: "circle" }>,
  map: PlateMap,
): readonly Point[] => {
  const corner = outline.kind === "rectangle" ? (outline.cornerMillimetres ?? 0) : 0;
  return cornersOf(outline, piecesFor(corner * map.scale)).map(map.toSheet);
};

/** Corners counter-clockwise seen from above, rounded ones as short pieces; of a rectangle or a polygon. */
export function cornersOf(
  outline: Exclude<Outline, { readonly kind: "circle" }>,
  cornerPieces = CORNER_PIECES,
): readonly Place[] {
  if (outline.kind === "polygon") return outline.points;
  const { x, y, widthMillimetres, heightMillimetres, cornerMillimetres = 0, degrees = 0 } = outline;
  const [halfWide, halfHigh] = [widthMillimetres / 2 - cornerMillimetres, heightMillimetres / 2 - cornerMillimetres];
  const corners = [
    [1, -1, -90],
    [1, 1, 0],
    [-1, 1, 90],
    [-1, -1, 180],
  ] as const;
  return corners.flatMap(([right, up, from]) => {
    const pieces = cornerMillimetres > 0 ? cornerPieces : 0;
    return Array.from({ length: pieces + 1 }, (_, n): Place => {
      const angle = ((from + (pieces === 0 ? 0 : (90 * n) / pieces)) * Math.PI) / 180;
      const own = {
        x: right * halfWide + cornerMillimetres * Math.cos(angle),
        y: up * halfHigh + cornerMillimetres * Math.sin(angle),
      };
      if (degrees === 0) return { x: x + own.x, y: y + own.y };
      const onPlate = turned(own, degrees);
      return { x: x + onPlate.x, y: y + onPlate.y };
    });
  });
}

/** A cross on a centre, `reach` millimetres of the sheet to each side. */
export const crossAt = ([x, y]: Point, reach: number): readonly [Point, Point, Point, Point] => [
  [x - reach, y],
  [x + reach, y],
  [x, y - reach],
  [x, y + reach],
];
