/** The small parts that papers are made of: headings, text, boxes, fields to fill in, steps to tick. */
import { CAUTION_LINES, CAUTION_TITLE } from "@platewright/design";
import { type Item, type Point, WEIGHTS } from "../scene.ts";
import { type Content, letterWidth, PAPER_SIZES, plainText, runsOf, wrapRuns } from "./letters.ts";
import { baseline, figuresOf, group, lineHeight, lineOfRuns, type Passage, type Piece } from "./piece.ts";

/** "1  Before power   unplugged, no tubes fitted". */
export const section =
  (title: string, words = "", number?: number): Passage =>
  (width) => {
    const head = number === undefined ? title : `${number}\u2002${title}`;
    const size = PAPER_SIZES.head;
    const left = letterWidth(head, size, true) + 3;
    const first = wrapRuns(runsOf(words), width - left, PAPER_SIZES.text);
    const rest = first.slice(1);
    const height = 5.4 + rest.length * lineHeight();
    const items: Item[] = [
      { kind: "text", at: [0, 4], text: head, size, bold: true },
      ...lineOfRuns(first[0] ?? [], [left, 4], PAPER_SIZES.text),
      ...rest.flatMap((line, n) => lineOfRuns(line, [left, 4 + (n + 1) * lineHeight()], PAPER_SIZES.text)),
    ];
    return [{ height, items, figures: [], keep: true, above: 3.6 }];
  };

/** Lines of text; the first two and the last two stay together. */
export const paragraph =
  (content: Content, how: { readonly size?: number; readonly indent?: number } = {}): Passage =>
  (width) => {
    const size = how.size ?? PAPER_SIZES.text;
    const indent = how.indent ?? 0;
    const lines = wrapRuns(runsOf(content), width - indent, size);
    return lines.map((line, n): Piece => {
      const keep = n < lines.length - 1 && (n === 0 || n === lines.length - 2);
      return {
        height: lineHeight(size),
        items: lineOfRuns(line, [indent, baseline(size)], size),
        figures: figuresOf(line),
        ...(keep ? { keep } : {}),
        ...(n === 0 ? { above: 1 } : {}),
      };
    });
  };

const PAD = 3;

/** A box that stays whole: heavy for a trap, with a sign for danger. */
export const box =
  (
    title: string,
    contents: readonly Content[],
    how: { readonly sign?: boolean; readonly weight?: number; readonly above?: number } = {},
  ): Passage =>
  (width) => {
    const left = how.sign === true ? 17 : PAD;
    const room = width - left - PAD;
    const items: Item[] = [];
    const figures = [];
    let y = PAD - 0.6;
    for (const line of wrapRuns(runsOf(title, true), room, PAPER_SIZES.value)) {
      if (line.length === 0) continue;
      items.push(...lineOfRuns(line, [left, y + baseline(PAPER_SIZES.value)], PAPER_SIZES.value));
      y += lineHeight(PAPER_SIZES.value);
    }
    for (const content of contents)
      for (const line of wrapRuns(runsOf(content), room, PAPER_SIZES.text)) {
        items.push(...lineOfRuns(line, [left, y + baseline()], PAPER_SIZES.text));
        figures.push(...figuresOf(line));
        y += lineHeight();
      }
    const height = Math.max(y + PAD - 0.8, how.sign === true ? 14 : 0);
    const weight = how.weight ?? WEIGHTS.body;
    return [
      {
        height,
        items: [
          { kind: "rect", at: [0, 0], width, height, weight },
          ...(how.sign === true ? dangerSign([8.5, height / 2 + 0.8], 4.6) : []),
          ...items,
        ],
        figures,
        above: how.above ?? 3,
      },
    ];
  };

/** The one caution, before the first thing that could hurt. `more` follows it in the same box. */
export const cautionBox = (...more: readonly Content[]): Passage =>
  box(CAUTION_TITLE, [CAUTION_LINES.join(" "), ...more], { sign: true });

/** A triangle with a bolt. */
function dangerSign([x, y]: Point, radius: number): readonly Item[] {
  const corner = (angle: number, r: number): Point => [
    x + r * Math.cos((angle * Math.PI) / 180),
    y + r * Math.sin((angle * Math.PI) / 180),
  ];
  const bolt: readonly Point[] = [
    [0.14, -0.52],
    [-0.2, 0.06],
    [0.0, 0.06],
    [-0.12, 0.46],
    [0.24, -0.14],
    [0.03, -0.14],
  ];
  return [
    { kind: "path", points: [corner(-90, radius), corner(30, radius), corner(150, radius)], weight: WEIGHTS.body },
    {
      kind: "path",
      points: bolt.map(([dx, dy]): Point => [x + dx * radius * 0.95, y + dy * radius * 0.95 + 0.15]),
      weight: 0,
      fill: "ink",
    },
  ];
}

/** "Serial ______  Date ______": names with room to write, shared over the width. */
export const fields =
  (names: readonly (string | { readonly name: string; readonly share: number; readonly after?: string })[]): Passage =>
  (width) => {
    const all = names.map((one) => (typeof one === "string" ? { name: one, share: 1 } : one));
    const gap = 4;
    const words = all.map((one) => ({
      ...one,
      left: letterWidth(one.name, PAPER_SIZES.text) + 1.5,
      right: "after" in one && one.after !== undefined ? letterWidth(one.after, PAPER_SIZES.text) + 1.2 : 0,
    }));
    const room = width - gap * (all.length - 1) - words.reduce((sum, one) => sum + one.left + one.right, 0);
    const shares = all.reduce((sum, one) => sum + one.share, 0);
    let x = 0;
    const items: Item[] = [];
    for (const one of words) {
      const line = Math.max(4, (room * one.share) / shares);
      items.push({ kind: "text", at: [x, 4.2], text: one.name, size: PAPER_SIZES.text });
      items.push({ kind: "line", from: [x + one.left, 4.7], to: [x + one.left + line, 4.7], weight: WEIGHTS.hair });
      if ("after" in one && one.after !== undefined)
        items.push({ kind: "text", at: [x + one.left + line + 1.2, 4.2], text: one.after, size: PAPER_SIZES.text });
      x += one.left + line + one.right + gap;
    }
    return [{ height: 6.4, items, figures: [], above: 1 }];
  };

/** Things to tick in a line, each with its words. */
export const tickLine =
  (words: readonly string[]): Passage =>
  () => {
    const items: Item[] = [];
    let x = 0;
    for (const one of words) {
      items.push({ kind: "rect", at: [x, 1.5], width: 2.9, height: 2.9, weight: WEIGHTS.light });
      items.push({ kind: "text", at: [x + 4.4, 4.1], text: one, size: PAPER_SIZES.text });
      x += 4.4 + letterWidth(one, PAPER_SIZES.text) + 7;
    }
    return [{ height: 6, items, figures: [], above: 1 }];
  };

/** A drawing of its own as a piece, in the middle of the width or at its left. */
export const drawingPart =
  (items: readonly Item[], own: { readonly width: number; readonly height: number }, middle = true): Passage =>
  (width) => [
    {
      height: own.height,
      items: [group([middle ? Math.max(0, (width - own.width) / 2) : 0, 0], items)],
      figures: [],
      above: 2,
    },
  ];

/** Numbered steps, each with a rule under it. */
export const steps =
  (contents: readonly Content[]): Passage =>
  (width) =>
    contents.map((content, n): Piece => {
      const lines = wrapRuns(runsOf(content), width - 7, PAPER_SIZES.text);
      const height = lines.length * lineHeight() + 1.8;
      return {
        height,
        items: [
          {
            kind: "text",
            at: [0, baseline(PAPER_SIZES.value) + 0.8],
            text: String(n + 1),
            size: PAPER_SIZES.value,
            bold: true,
          },
          ...lines.flatMap((line, k) => lineOfRuns(line, [7, 0.9 + k * lineHeight() + baseline()], PAPER_SIZES.text)),
          { kind: "line", from: [0, height], to: [width, height], weight: WEIGHTS.hair },
        ],
        figures: lines.flatMap(figuresOf),
        ...(n === 0 && contents.length > 1 ? { keep: true } : {}),
      };
    });

/** Text as long as it is: for tests. */
export const wordsOf = (content: Content): string => plainText(runsOf(content));

/** How long a check bar is, whatever the scale of the drawing beside it. */
export const CHECK_BAR_MILLIMETRES = 100;

/** A ruler of 100 mm with a field for every ten; across, or up. Its origin is its left upper corner. */
export function checkBar(way: "across" | "up"): {
  readonly items: readonly Item[];
  readonly width: number;
  readonly height: number;
} {
  const breadth = 2.4;
  const items: Item[] = [];
  for (let n = 0; n < 10; n++) {
    const from = n * 10;
    const place: Point = way === "across" ? [from, 0] : [0, from];
    const [width, height] = way === "across" ? [10, breadth] : [breadth, 10];
    // Filled to its edges, without a stroke: the bar is exactly as long as it says.
    items.push({ kind: "rect", at: place, width, height, weight: 0, fill: n % 2 === 0 ? "ink" : "paper" });
  }
  const thin = WEIGHTS.hair;
  const long = CHECK_BAR_MILLIMETRES;
  items.push(
    way === "across"
      ? { kind: "rect", at: [thin / 2, thin / 2], width: long - thin, height: breadth - thin, weight: thin }
      : { kind: "rect", at: [thin / 2, thin / 2], width: breadth - thin, height: long - thin, weight: thin },
  );
  return way === "across" ? { items, width: long, height: breadth } : { items, width: breadth, height: long };
}
