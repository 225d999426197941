/**
 * Where something that is moved comes to rest: on a centre line nearby, or else on the grid. Each axis by itself.
 *
 * Law  A line within reach goes before the grid, the nearest of them before the others; nothing is moved by more than the
 *      reach or half a step. What rests on a line stays there.
 */
import type { Place } from "@platewright/engine";

export type SnapAxis = "x" | "y";

export interface SnapLine {
  /** The coordinate that it fixes. */
  readonly axis: SnapAxis;
  readonly at: number;
  /** What it runs through: "centre of V1", "middle of the plate". */
  readonly what: string;
}

export interface SnapAsk {
  /** 0: no grid. */
  readonly stepMillimetres: number;
  readonly reachMillimetres: number;
  readonly lines: readonly SnapLine[];
}

export interface Snapped extends Place {
  /** Those that it came to rest on. */
  readonly lines: readonly SnapLine[];
}

/** Thousandths: an inch's sixteenth is not cut short, sums do not creep. */
export const rounded = (millimetres: number): number => Math.round(millimetres * 1000) / 1000 + 0;

export const onGrid = (value: number, step: number): number =>
  step > 0 ? rounded(Math.round(value / step) * step) : rounded(value);

export function snapped(place: Place, ask: SnapAsk): Snapped {
  const [x, y] = [along("x", place.x, ask), along("y", place.y, ask)];
  return { x: x.at, y: y.at, lines: [...x.lines, ...y.lines] };
}

function along(
  axis: SnapAxis,
  value: number,
  { stepMillimetres, reachMillimetres, lines }: SnapAsk,
): { readonly at: number; readonly lines: readonly SnapLine[] } {
  let nearest: number | undefined;
  for (const line of lines) {
    const apart = Math.abs(line.at - value);
    if (line.axis !== axis || apart > reachMillimetres) continue;
    if (nearest === undefined || apart < Math.abs(nearest - value)) nearest = line.at;
  }
  const at = nearest ?? onGrid(value, stepMillimetres);
  return { at, lines: lines.filter((line) => line.axis === axis && Math.abs(line.at - at) < 1e-6) };
}

/** Steps that a builder works in. */
export const STEPS = [
  { value: "0.5", words: "0.5 mm", millimetres: 0.5 },
  { value: "1", words: "1 mm", millimetres: 1 },
  { value: "2", words: "2 mm", millimetres: 2 },
  { value: "5", words: "5 mm", millimetres: 5 },
  { value: "1/16", words: "1/16 in", millimetres: 25.4 / 16 },
] as const;

/** The middle of the plate, and the centres of everything but what is moved. */
export function snapLines(
  plate: { readonly widthMillimetres: number; readonly depthMillimetres: number },
  items: readonly (Place & { readonly id: string; readonly name: string })[],
  moved: ReadonlySet<string>,
): readonly SnapLine[] {
  return [
    { axis: "x", at: plate.widthMillimetres / 2, what: "middle of the plate" },
    { axis: "y", at: plate.depthMillimetres / 2, what: "middle of the plate" },
    ...items
      .filter(({ id }) => !moved.has(id))
      .flatMap(({ name, x, y }): readonly SnapLine[] => [
        { axis: "x", at: x, what: `centre of ${name}` },
        { axis: "y", at: y, what: `centre of ${name}` },
      ]),
  ];
}
