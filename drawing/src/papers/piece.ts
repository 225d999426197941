/** What a paper is laid out of: pieces that stay whole, one under the other. */
import type { Item, Point } from "../scene.ts";
import { type Figure, letterWidth, PAPER_SIZES, type Run } from "./letters.ts";

/** Items stand in the piece's own millimetres, from its top left corner. */
export interface Piece {
  readonly height: number;
  readonly items: readonly Item[];
  readonly figures: readonly Figure[];
  /** Not parted from the next one by the end of a page. */
  readonly keep?: boolean;
  /** Room above it, left out at the top of a page. */
  readonly above?: number;
  /** Stands again at the top of every page that this piece's followers run on to: the head of a table. */
  readonly repeat?: readonly Piece[];
  /** Begins a page. */
  readonly newPage?: boolean;
}

/** A passage of a paper, laid out for a width. */
export type Passage = (width: number) => readonly Piece[];

export const space = (millimetres: number): Passage => {
  return () => [{ height: millimetres, items: [], figures: [] }];
};

export const newPage: Passage = () => [{ height: 0, items: [], figures: [], newPage: true }];

export const group = (at: Point, items: readonly Item[]): Item => ({ kind: "group", at, items });

/** Ids that a run shows: of its figure, marked with "=", and of the things it names. */
const idsOf = (run: Run): readonly string[] => [
  ...(run.figure === undefined ? [] : [`=${run.figure.of}`]),
  ...(run.ids ?? []),
];

/** One line of runs on its baseline. */
export function lineOfRuns(
  runs: readonly Run[],
  [x, y]: Point,
  size: number,
  anchor: "start" | "middle" | "end" = "start",
): readonly Item[] {
  const width = runs.reduce((sum, run) => sum + letterWidth(run.text, size, run.bold), 0);
  let left = anchor === "start" ? x : anchor === "end" ? x - width : x - width / 2;
  return runs.flatMap((run): readonly Item[] => {
    const at: Point = [left, y];
    left += letterWidth(run.text, size, run.bold);
    if (run.text.trim() === "") return [];
    const ids = idsOf(run);
    return [
      {
        kind: "text",
        at,
        text: run.text,
        size,
        ...(run.bold === true ? { bold: true } : {}),
        ...(ids.length === 0 ? {} : { ids }),
      },
    ];
  });
}

export const figuresOf = (runs: readonly Run[]): readonly Figure[] =>
  runs.flatMap((run) => (run.figure === undefined ? [] : [run.figure]));

/** Distance of lines of text. */
export const lineHeight = (size: number = PAPER_SIZES.text): number => size * 1.32;

/** From the top of a line's room to its baseline. */
export const baseline = (size: number = PAPER_SIZES.text): number => size * 1.02;

/** Several pieces as one that stays whole. */
export function whole(pieces: readonly Piece[]): Piece {
  const items: Item[] = [];
  let height = 0;
  for (const piece of pieces) {
    height += height === 0 ? 0 : (piece.above ?? 0);
    if (piece.items.length > 0) items.push(group([0, height], piece.items));
    height += piece.height;
  }
  return { height, items, figures: pieces.flatMap((piece) => piece.figures) };
}

/** Passages side by side; shares of the width, with a gap between. The whole stays on one page. */
export const beside =
  (shares: readonly number[], gap: number, ...parts: readonly (readonly Passage[])[]): Passage =>
  (width) => {
    const sum = shares.reduce((a, b) => a + b, 0);
    const room = width - gap * (shares.length - 1);
    let left = 0;
    const columns = parts.map((list, n) => {
      const own = ((shares[n] ?? 1) / sum) * room;
      const piece = whole(list.flatMap((part) => part(own)));
      const at: Point = [left, 0];
      left += own + gap;
      return { piece, at };
    });
    return [
      {
        height: Math.max(...columns.map(({ piece }) => piece.height)),
        items: columns.map(({ piece, at }) => group(at, piece.items)),
        figures: columns.flatMap(({ piece }) => piece.figures),
        above: 4,
      },
    ];
  };

/** Room above the first piece of a part. */
export const after =
  (above: number, part: Passage): Passage =>
  (width) =>
    part(width).map((piece, n) => (n === 0 ? { ...piece, above } : piece));
