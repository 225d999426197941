import { type Item, type Point, type Role, SIZES, type TextItem, WEIGHTS } from "../scene.ts";
import { CAP_EMS, shorten, textWidth, wrap } from "../text/index.ts";
import { drawShape } from "./curves.ts";
import { hatch } from "./geometry.ts";
import type { FigureSpec, LegendEntry } from "./spec.ts";

/** Distance of the numbers from their axis, and pitch of lines of text, in millimetres. */
const LINE = 5;
const SAMPLE = 8;
const GAP = 6;

/** A part of a figure above or below the panels, `height` millimetres high, drawn from the top of its own group. */
export interface Strip {
  readonly height: number;
  readonly items: readonly Item[];
}

const text = (words: string, at: Point, role: Role, more: Partial<TextItem> = {}): TextItem => ({
  kind: "text",
  at,
  text: words,
  size: SIZES.small,
  role,
  ...more,
});

/** Title in bold, the legend beside it where it fits and else below, and the rule that opens the figure. */
export function header(spec: FigureSpec): Strip {
  if (spec.heading === false) return { height: 0, items: [] };
  const titles = wrap(spec.title, spec.width, SIZES.head, true);
  const legend = spec.legend ?? "";
  const last = titles.at(-1) ?? "";
  const indent = textWidth(last, SIZES.head, true) + 1.5;
  const beside = indent + textWidth(legend, SIZES.small) <= spec.width;
  const notes = beside ? [] : wrap(legend, spec.width, SIZES.small);
  const first = CAP_EMS * SIZES.head + 1;
  const base = (line: number) => first + line * LINE;
  const height = base(titles.length + notes.length - 1) + 2.4;
  return {
    height,
    items: [
      ...titles.map((line, n) => text(line, [0, base(n)], "ink", { size: SIZES.head, bold: true })),
      ...(beside && legend !== "" ? [text(legend, [indent, base(titles.length - 1)], "faint")] : []),
      ...notes.map((line, n) => text(line, [0, base(titles.length + n)], "faint")),
      {
        kind: "line",
        from: [0, height - WEIGHTS.body / 2],
        to: [spec.width, height - WEIGHTS.body / 2],
        weight: WEIGHTS.body,
      },
    ],
  };
}

/** Names that found no room in the plot, each after a sample of what it names, in as many rows as they need. */
export function legendRows(entries: readonly LegendEntry[], left: number, right: number): Strip {
  const items: Item[] = [];
  let x = left;
  let y = LINE;
  for (const entry of entries) {
    const words = shorten(entry.text, right - left - SAMPLE - 1, SIZES.small);
    const width = SAMPLE + 1 + textWidth(words, SIZES.small);
    if (x > left && x + width > right) {
      x = left;
      y += LINE;
    }
    items.push(
      ...sample(entry, [x, y - (CAP_EMS * SIZES.small) / 2]),
      text(words, [x + SAMPLE + 1, y], entry.role ?? "quiet"),
    );
    x += width + GAP;
  }
  return { height: entries.length === 0 ? 0 : y + 1, items };
}

function sample(entry: LegendEntry, [x, y]: Point): readonly Item[] {
  const role = entry.role ?? "ink";
  switch (entry.sample) {
    case "mark":
      return drawShape(entry.shape ?? "disc", [x + SAMPLE / 2, y], role, entry.hollow === true);
    case "band":
      return [{ kind: "rect", at: [x, y - 1.5], width: SAMPLE, height: 3, weight: 0, fill: "band" }];
    case "hatch": {
      const box = { left: x, right: x + SAMPLE, top: y - 1.5, bottom: y + 1.5 };
      return hatch(box, 1.6).map(([from, to]) => ({ kind: "line", from, to, weight: WEIGHTS.hair, role: "hatch" }));
    }
    default: {
      const heavy = entry.sample === "limit" || entry.role === "now" || entry.role === "live";
      const weight = heavy ? WEIGHTS.body : WEIGHTS.light;
      const dash = entry.dash === undefined ? {} : { dash: entry.dash };
      return [{ kind: "line", from: [x, y], to: [x + SAMPLE, y], weight, role, ...dash }];
    }
  }
}
