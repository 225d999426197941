/** What lies under everything: the plate, its grid, its bends, its datum and the words at its edges. */
import { bendsOf, type ChassisPlate } from "@platewright/design";
import type { Place } from "@platewright/engine";
import { type Item, type Point, SIZES, WEIGHTS } from "../scene.ts";
import { textWidth, wrap } from "../text/index.ts";
import { hatch } from "./shapes.ts";
import type { PlateMap } from "./plate-map.ts";

const GRID = 10;
/** Closer lines would be a tint. */
const GRID_LEAST = 1.8;

export function gridItems(plate: ChassisPlate, map: PlateMap): readonly Item[] {
  const step = GRID * map.scale < GRID_LEAST ? 5 * GRID : GRID;
  const line = (from: Place, to: Place): Item => ({
    kind: "line",
    from: map.toSheet(from),
    to: map.toSheet(to),
    weight: WEIGHTS.hair,
    role: "grid",
  });
  const { widthMillimetres: wide, depthMillimetres: deep } = plate;
  return [
    ...steps(step, wide).map((x) => line({ x, y: 0 }, { x, y: deep })),
    ...steps(step, deep).map((y) => line({ x: 0, y }, { x: wide, y })),
  ];
}

const steps = (step: number, length: number): readonly number[] =>
  Array.from({ length: Math.max(0, Math.ceil(length / step - 1e-9) - 1) }, (_, n) => (n + 1) * step);

/** The strip that is bent, hatched, and the line where the flat ends. */
export function bendItems(plate: ChassisPlate, map: PlateMap): readonly Item[] {
  const { widthMillimetres: wide, depthMillimetres: deep } = plate;
  return bendsOf(plate).flatMap(({ edge, flatFromEdge: flat }): readonly Item[] => {
    const [from, to]: readonly [Place, Place] =
      edge === "front"
        ? [
            { x: 0, y: 0 },
            { x: wide, y: flat },
          ]
        : edge === "rear"
          ? [
              { x: 0, y: deep - flat },
              { x: wide, y: deep },
            ]
          : edge === "left"
            ? [
                { x: 0, y: 0 },
                { x: flat, y: deep },
              ]
            : [
                { x: wide - flat, y: 0 },
                { x: wide, y: deep },
              ];
    const corners = [from, { x: to.x, y: from.y }, to, { x: from.x, y: to.y }].map(map.toSheet);
    const [a, b]: readonly [Place, Place] =
      edge === "front"
        ? [
            { x: 0, y: flat },
            { x: wide, y: flat },
          ]
        : edge === "rear"
          ? [
              { x: 0, y: deep - flat },
              { x: wide, y: deep - flat },
            ]
          : edge === "left"
            ? [
                { x: flat, y: 0 },
                { x: flat, y: deep },
              ]
            : [
                { x: wide - flat, y: 0 },
                { x: wide - flat, y: deep },
              ];
    return [
      ...hatch({ kind: "polygon", points: corners }, [], 2.4).map(
        ([start, end]): Item => ({ kind: "line", from: start, to: end, weight: WEIGHTS.hair, role: "rule" }),
      ),
      { kind: "line", from: map.toSheet(a), to: map.toSheet(b), weight: WEIGHTS.light, dash: "dash", role: "quiet" },
    ];
  });
}

/** "front 20 mm, rear 20 mm". */
export const bendWords = ({ bends = [] }: ChassisPlate): string =>
  bends.length === 0
    ? ""
    : `bent down: ${bends.map((bend) => `${bend.edge} ${bend.flangeMillimetres}\u202fmm`).join(", ")}`;

const DATUM = 2.1;

/** A circle in four quarters, two of them filled, on the front left corner. */
export function datumItems(map: PlateMap): readonly Item[] {
  const [x, y] = map.toSheet({ x: 0, y: 0 });
  const quarter = (start: number): Item => ({
    kind: "path",
    points: [
      [x, y],
      ...Array.from({ length: 7 }, (_, n): Point => {
        const angle = ((start + n * 15) * Math.PI) / 180;
        return [x + DATUM * Math.cos(angle), y + DATUM * Math.sin(angle)];
      }),
    ],
    weight: 0,
    fill: "ink",
  });
  return [
    { kind: "circle", at: [x, y], radius: DATUM, weight: WEIGHTS.light, fill: "paper" },
    quarter(0),
    quarter(180),
  ];
}

export const datumWords = (map: PlateMap, below: number): Item => ({
  kind: "text",
  at: map.face === "top" ? [-DATUM - 0.8, map.height + below] : [map.width + DATUM + 0.8, map.height + below],
  text: "0, 0",
  size: SIZES.small,
  bold: true,
  anchor: map.face === "top" ? "end" : "start",
});

/** Half of the datum's words' room beside the corner. */
export const datumReach = (): number => DATUM + 0.8 + textWidth("0, 0", SIZES.small, true);

export const SEEN: { readonly [F in PlateMap["face"]]: string } = {
  top: "seen from above; x and y in mm from the front left corner",
  under: "seen from below, mirrored: x still from the front left corner, now at the right",
};

const LINE = 4.4;

/** "rear edge" over the plate, "front edge" and from where it is seen under it. */
export function edgeItems(
  plate: ChassisPlate,
  map: PlateMap,
  room: { readonly above: number; readonly below: number },
) {
  const { width, height, face } = map;
  const bends = bendWords(plate);
  const words = [`front edge; ${SEEN[face]}`, ...(bends === "" ? [] : [bends])].join("; ");
  const bold = face === "under";
  // The ordinates reach past both ends of the edge; so may the words.
  const lines = wrap(words, Math.max(width + 16, 70), SIZES.small, bold);
  const items: readonly Item[] = [
    {
      kind: "text",
      at: face === "top" ? [width, -room.above - 1.6] : [0, -room.above - 1.6],
      text: "rear edge",
      size: SIZES.small,
      role: "quiet",
      anchor: face === "top" ? "end" : "start",
    },
    ...lines.map(
      (text, n): Item => ({
        kind: "text",
        at: [Math.max(width, 54) / 2, height + room.below + 4.6 + n * LINE],
        text,
        size: SIZES.small,
        role: bold ? "ink" : "quiet",
        anchor: "middle",
        ...(bold ? { bold } : {}),
      }),
    ),
  ];
  return items;
}
