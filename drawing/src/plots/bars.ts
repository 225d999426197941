/** Harmonics or products of tones as bars in decibels: hollow proven, solid now. */
import { type Item, type Point, type Scene, SIZES, WEIGHTS } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";

const MINUS = "−";

export interface Bar {
  readonly name: string;
  /** dB; what lies below the floor is not drawn, and its number is left out. */
  readonly now: number;
  readonly proven?: number;
  /** Its number over it; false where it is known anyway. */
  readonly said?: boolean;
}

export interface BarsFigure {
  readonly title: string;
  /** Of all bars, for those who cannot see them: "dBc". */
  readonly unit: string;
  readonly bars: readonly Bar[];
  /** Lowest and highest dB of the axis. */
  readonly floor: number;
  readonly top: number;
  /** From one line of the grid to the next, dB. */
  readonly step: number;
  /** Below the names, at the right: what they are. */
  readonly along?: string;
  /** Millimetres. */
  readonly width: number;
  readonly height: number;
}

const GAP = 1.8;
/** Widest bar, millimetres. */
const WIDEST = 5.6;

export function barsFigure(figure: BarsFigure): Scene {
  const { bars, floor, top, step, width, height } = figure;
  const label = (value: number) => `${value < 0 ? MINUS : ""}${Math.abs(value)}`;
  const count = Math.floor((top - floor) / step + 1e-9);
  const marks = Array.from({ length: count + 1 }, (_, n) => floor + n * step);
  const left = GAP + Math.max(...marks.map((value) => textWidth(label(value), SIZES.small)));
  const cap = CAP_EMS * SIZES.small;
  const named = cap + 2.6;
  const area = {
    left,
    right: width - 0.3,
    top: SIZES.small + 2,
    bottom: height - named - (figure.along === undefined ? 0.6 : SIZES.small + 1.6),
  };
  const y = (decibels: number) =>
    area.bottom - ((Math.max(floor, Math.min(top, decibels)) - floor) / (top - floor)) * (area.bottom - area.top);
  const slot = (area.right - area.left) / Math.max(1, bars.length);
  const wide = Math.min(WIDEST, slot * 0.36);
  const items: Item[] = marks.flatMap((value): readonly Item[] => [
    {
      kind: "line",
      from: [area.left, y(value)],
      to: [area.right, y(value)],
      weight: value === floor ? WEIGHTS.wire : WEIGHTS.hair,
      role: value === floor ? "ink" : "grid",
    },
    {
      kind: "text",
      at: [area.left - GAP, y(value) + cap / 2],
      text: label(value),
      size: SIZES.small,
      anchor: "end",
      role: "faint",
    },
  ]);
  for (const [n, { name, now, proven, said = true }] of bars.entries()) {
    const middle = area.left + (n + 0.5) * slot;
    const from = proven === undefined ? middle - wide / 2 : middle + 0.3;
    const column = (at: number, decibels: number, is: "now" | "proven"): void => {
      if (!(decibels > floor)) return;
      items.push({
        kind: "rect",
        at: [at, y(decibels)],
        width: wide,
        height: area.bottom - y(decibels),
        weight: is === "proven" ? WEIGHTS.light : 0,
        role: is === "proven" ? "quiet" : "now",
        fill: is === "proven" ? "paper" : "now",
      });
    };
    if (proven !== undefined) column(middle - wide - 0.3, proven, "proven");
    column(from, now, "now");
    const text = (at: Point, words: string, bold: boolean): Item => ({
      kind: "text",
      at,
      text: words,
      size: SIZES.small,
      anchor: "middle",
      bold,
      ...(bold ? { halo: "paper" as const } : { role: "faint" as const }),
    });
    if (said && now > floor)
      items.push(text([middle, y(Math.max(now, proven ?? floor)) - 1.4], number(now, slot), true));
    items.push(text([middle, area.bottom + 1.8 + cap], name, false));
  }
  if (figure.along !== undefined)
    items.push({
      kind: "text",
      at: [area.right, height - 1.2],
      text: figure.along,
      size: SIZES.small,
      anchor: "end",
      role: "faint",
    });
  return {
    units: "mm",
    width,
    height,
    title: figure.title,
    description: bars
      .map(
        ({ name, now, proven }) =>
          `${name} ${now > floor ? `${number(now, 99)} ${figure.unit}` : `below ${label(floor)} ${figure.unit}`}${proven === undefined || !(proven > floor) ? "" : `, was ${number(proven, 99)}`}`,
      )
      .join("; "),
    items,
  };
}

/** One place after the point where the slot has room for it. */
function number(decibels: number, slot: number): string {
  const fine = decibels.toFixed(1).replace("-", MINUS);
  return textWidth(fine, SIZES.small, true) < slot - 0.8 ? fine : decibels.toFixed(0).replace("-", MINUS);
}
