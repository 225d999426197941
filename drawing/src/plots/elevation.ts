/** Where the reference of a heater winding stands in the window that keeps every tube on it legal. */
import { printQuantity, ticksOf } from "../plot/axis.ts";
import { hatch } from "../plot/geometry.ts";
import { type Item, type Point, type Scene, SIZES, WEIGHTS } from "../scene.ts";
import { textWidth } from "../text/index.ts";

export interface ElevationFigure {
  readonly title: string;
  /** Volts of the reference now, and in the proven unit. */
  readonly volts: number;
  readonly proven?: number;
  readonly low: number;
  /** Left out: nothing bounds it. */
  readonly high?: number;
  /** Whose limits set the edges: "V1b, running". */
  readonly lowWords?: string;
  readonly highWords?: string;
  readonly live?: boolean;
  readonly width?: number;
}

const MARGIN = 4;
const BAR = { top: 8, bottom: 13 } as const;
const NUMBERS = 18;
const HEIGHT = 20;
const CAP = 2.5;

/** 120 mm wide unless told. */
export function elevationFigure(figure: ElevationFigure): Scene {
  const { volts, proven, low, high, width = 120 } = figure;
  const to = 1.2 * Math.max(high ?? 1.6 * Math.max(low, volts), volts, proven ?? 0, 10);
  const [left, right] = [MARGIN, width - MARGIN];
  const x = (value: number) => left + (Math.min(to, Math.max(0, value)) / to) * (right - left);
  const items: Item[] = [];
  const forbidden = (from: number, until: number) => {
    if (until - from < 0.2) return;
    const box = { left: from, right: until, top: BAR.top, bottom: BAR.bottom };
    for (const [a, b] of hatch(box, 1.6))
      items.push({ kind: "line", from: a, to: b, weight: WEIGHTS.hair, role: "hatch" });
  };
  forbidden(left, x(low));
  if (high !== undefined) forbidden(x(high), right);
  items.push({ kind: "line", from: [left, BAR.bottom], to: [right, BAR.bottom], weight: WEIGHTS.light, role: "rule" });
  for (const tick of ticksOf({ from: 0, to, unit: "V" }, right - left, 16)) {
    const at = x(tick.value);
    items.push({ kind: "line", from: [at, BAR.bottom], to: [at, BAR.bottom + 1], weight: WEIGHTS.light, role: "rule" });
    items.push({
      kind: "text",
      at: [at, NUMBERS],
      text: tick.text,
      size: SIZES.small,
      role: "faint",
      anchor: "middle",
    });
  }
  const inside = volts >= low && (high === undefined || volts <= high);
  const role = !inside ? "stop" : figure.live === true ? "live" : "now";
  const bar = (at: number, half: number, fill: "paper" | typeof role, weight: number): Item => ({
    kind: "rect",
    at: [at - half, BAR.top - 0.6],
    width: 2 * half,
    height: BAR.bottom - BAR.top + 0.6,
    weight,
    fill,
    role: weight > 0 ? "quiet" : role,
  });
  if (proven !== undefined) items.push(bar(x(proven), 0.65, "paper", WEIGHTS.light));
  for (const edge of [low, high])
    if (edge !== undefined && edge > 0)
      items.push({
        kind: "line",
        from: [x(edge), BAR.top - 1],
        to: [x(edge), BAR.bottom],
        weight: WEIGHTS.body,
        role: "limit",
      });
  items.push(bar(x(volts), 0.8, role, 0));
  items.push(...namesOf(figure, x, role, [left, right]));
  const bounds = `from ${printQuantity(low, "V")}${high === undefined ? " up" : ` to ${printQuantity(high, "V")}`}`;
  return {
    units: "mm",
    width,
    height: HEIGHT,
    title: figure.title,
    description: `The reference stands at ${printQuantity(volts, "V")}; allowed ${bounds}`,
    items,
  };
}

/** The volts of now over its mark, those of the edges beside theirs, pushed apart where they would touch. */
function namesOf(
  { volts, low, high, lowWords, highWords }: ElevationFigure,
  x: (value: number) => number,
  role: "stop" | "live" | "now",
  [left, right]: readonly [number, number],
): readonly Item[] {
  const y = BAR.top - CAP;
  const now = printQuantity(volts, "V");
  const half = textWidth(now, SIZES.small, true) / 2;
  const middle = Math.min(right - half, Math.max(left + half, x(volts)));
  const named = (value: number, words: string | undefined, room: number): string => {
    const long = [printQuantity(value, "V"), words].filter(Boolean).join(", ");
    return textWidth(long, SIZES.small) <= room ? long : printQuantity(value, "V");
  };
  const text = (at: Point, words: string, anchor: "start" | "middle" | "end", bold: boolean): Item => ({
    kind: "text",
    at,
    text: words,
    size: SIZES.small,
    anchor,
    ...(bold ? { bold: true, role } : { role: "quiet" as const }),
  });
  const items: Item[] = [text([middle, y], now, "middle", true)];
  if (low > 0) {
    const end = Math.min(x(low) + 1, middle - half - 2);
    const words = named(low, lowWords, end - left);
    if (textWidth(words, SIZES.small) <= end - left) items.push(text([end, y], words, "end", false));
  }
  if (high !== undefined) {
    const start = Math.max(x(high) - 1, middle + half + 2);
    const words = named(high, highWords, right - start);
    if (textWidth(words, SIZES.small) <= right - start) items.push(text([start, y], words, "start", false));
  }
  return items;
}
