/** H2 at one level before and after the builder's readings: what is predicted, its band, and what was read. */
import { printPercent } from "@platewright/engine";
import { fraction, THIN, ticksOf } from "../plot/axis.ts";
import { drawShape } from "../plot/curves.ts";
import { type Item, type Scene, SIZES, WEIGHTS } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";

export interface ReadingRow {
  readonly name: string;
  readonly ratio: number;
  readonly low: number;
  readonly high: number;
  /** Before the readings: light. */
  readonly before?: boolean;
}

export interface ReadingsFigure {
  readonly title: string;
  readonly rows: readonly ReadingRow[];
  /** Read at this level, as ratios. */
  readonly read: readonly number[];
  /** Millimetres; the height follows from the rows. */
  readonly width: number;
}

const ROW = 6.2;
const GAP = 2;
/** Above the first row. */
const TOP = 0.6;

export function readingsFigure({ title, rows, read, width }: ReadingsFigure): Scene {
  const cap = CAP_EMS * SIZES.small;
  const names = GAP + Math.max(...rows.map(({ name }) => textWidth(name, SIZES.small)));
  const said = (ratio: number) => printPercent(ratio).replace(/\s/u, THIN);
  const values = GAP + Math.max(...rows.map(({ ratio }) => textWidth(said(ratio), SIZES.small, true)));
  const [left, right] = [names, width - values];
  const all = [...rows.flatMap(({ low, high }) => [low, high]), ...read];
  const axis = {
    from: (100 * Math.min(...all)) / 1.15,
    to: 100 * Math.max(...all) * 1.15,
    unit: "%",
    scale: "log",
  } as const;
  const x = (ratio: number) => left + fraction(axis, 100 * ratio) * (right - left);
  const bottom = TOP + rows.length * ROW;
  const items: Item[] = ticksOf(axis, right - left, 12).flatMap(({ value, text }): readonly Item[] => {
    const at = left + fraction(axis, value) * (right - left);
    const line: Item = { kind: "line", from: [at, TOP], to: [at, bottom], weight: WEIGHTS.hair, role: "grid" };
    const room = textWidth(text, SIZES.small) / 2;
    return text === "" || at - room < left - GAP || at + room > width
      ? [line]
      : [
          line,
          {
            kind: "text",
            at: [at, bottom + 2 + cap],
            text,
            size: SIZES.small,
            anchor: "middle",
            role: "faint",
          },
        ];
  });
  for (const [n, { name, ratio, low, high, before = false }] of rows.entries()) {
    const middle = TOP + (n + 0.5) * ROW;
    const words = (at: number, text: string, anchor: "start" | "end", bold: boolean): Item => ({
      kind: "text",
      at: [at, middle + cap / 2],
      text,
      size: SIZES.small,
      anchor,
      bold,
      ...(before ? { role: "faint" as const } : {}),
    });
    items.push(
      words(0, name, "start", false),
      {
        kind: "rect",
        at: [x(low), middle - 1.5],
        width: x(high) - x(low),
        height: 3,
        weight: WEIGHTS.hair,
        role: before ? "hatch" : "ink",
        fill: "band",
      },
      {
        kind: "line",
        from: [x(ratio), middle - 2.1],
        to: [x(ratio), middle + 2.1],
        weight: before ? WEIGHTS.light : WEIGHTS.heavy,
        role: before ? "proven" : "now",
      },
      words(width, said(ratio), "end", !before),
    );
  }
  for (const ratio of read) {
    items.push({
      kind: "line",
      from: [x(ratio), TOP],
      to: [x(ratio), bottom],
      weight: WEIGHTS.hair,
      dash: "dot",
      role: "ink",
    });
    items.push(...drawShape("diamond", [x(ratio), TOP + 0.5 * ROW], "ink", true));
  }
  return {
    units: "mm",
    width,
    height: bottom + SIZES.small + 2.6,
    title,
    description: [
      ...rows.map(({ name, ratio, low, high }) => `${name} ${said(ratio)}, ${said(low)} to ${said(high)}`),
      ...read.map((ratio) => `read ${said(ratio)}`),
    ].join("; "),
    items,
  };
}
