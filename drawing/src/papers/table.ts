/**
 * Tables on paper: columns as wide as they need, rows as high as their text, parted by rules; the head stands again on every
 * page that a table runs on to, and no row stands alone.
 *
 * Method  A column takes what its widest cell needs, up to its most; columns that may grow share what is left, or give up
 *         what is missing down to their widest word. When even that is too wide all shrink alike and words break.
 */
import { type Item, WEIGHTS } from "../scene.ts";
import { type Content, PAPER_SIZES, type Run, runsOf, runsWidth, widestWord, wordWidths, wrapRuns } from "./letters.ts";
import { baseline, figuresOf, lineHeight, lineOfRuns, type Passage, type Piece } from "./piece.ts";

export interface Column {
  readonly head: string;
  readonly align?: "start" | "end";
  /** Takes what is left, and gives up what is missing, by this share. */
  readonly grow?: number;
  /** Least and most width, millimetres. */
  readonly least?: number;
  readonly most?: number;
  readonly bold?: boolean;
  /** Left out where no row has anything in it. */
  readonly optional?: boolean;
  /** A rule on its left: cells to write in, cells to tick. */
  readonly ruled?: boolean;
}

export type Cell =
  | Content
  | { readonly tick: number; readonly over?: number }
  | { readonly write: true; readonly over?: number };

export interface Row {
  readonly cells: readonly Cell[];
  readonly bold?: boolean;
  /** A line of text over the whole width, as a heading among the rows. */
  readonly title?: boolean;
  /** Ids of what the row shows. */
  readonly ids?: readonly string[];
}

export interface TableHow {
  /** Least height of a row; more where readings are written by hand. */
  readonly rowHeight?: number;
  readonly size?: number;
}

const PADDING = 1.5;
const ROW_HEIGHT = 5.5;
/** Lines of one row that stay together; a row of more is parted between lines. */
const MOST_LINES = 30;
const TICK = 2.9;

const isTick = (cell: Cell): cell is { readonly tick: number; readonly over?: number } =>
  typeof cell === "object" && "tick" in cell;
const isWrite = (cell: Cell): cell is { readonly write: true; readonly over?: number } =>
  typeof cell === "object" && "write" in cell;

const contentOf = (cell: Cell): Content => (isTick(cell) || isWrite(cell) ? "" : cell);

interface LaidRow {
  readonly row: Row;
  /** Lines of each cell. */
  readonly lines: readonly (readonly (readonly Run[])[])[];
}

export const table =
  (asked: readonly Column[], given: readonly Row[], how: TableHow = {}): Passage =>
  (width) => {
    const { columns, rows } = withoutEmpty(asked, given);
    const size = how.size ?? PAPER_SIZES.text;
    const widths = columnWidths(columns, rows, width, size);
    const head = headPiece(columns, widths, size);
    const pieces = rows.flatMap((row) => {
      const laid = layRow(columns, row, widths, width, size);
      return rowPieces(columns, laid, widths, width, how.rowHeight ?? ROW_HEIGHT, size);
    });
    const body = pieces.map((piece, n): Piece => {
      const early = n === 0 || n === pieces.length - 2;
      const last = n === pieces.length - 1;
      return {
        ...piece,
        ...((early && !last) || piece.keep === true ? { keep: !last } : {}),
        ...(last ? { repeat: [] } : {}),
      };
    });
    if (body.length === 0) return [];
    return columns.every((column) => column.head === "")
      ? [{ ...topRule(width), keep: true }, ...body]
      : [{ ...head, keep: true, repeat: [head] }, ...body];
  };

function withoutEmpty(asked: readonly Column[], given: readonly Row[]) {
  const kept = asked.map(
    (column, n) => column.optional !== true || given.some((row) => row.title !== true && row.cells[n] !== ""),
  );
  if (kept.every((one) => one)) return { columns: asked, rows: given };
  return {
    columns: asked.filter((_, n) => kept[n]),
    rows: given.map((row) =>
      row.title === true ? row : { ...row, cells: row.cells.filter((_, n) => kept[n] !== false) },
    ),
  };
}

const topRule = (width: number): Piece => ({
  height: 0.2,
  items: [{ kind: "line", from: [0, 0], to: [width, 0], weight: WEIGHTS.light }],
  figures: [],
});

/** Widths of columns that together are the width of the table. */
export function columnWidths(
  columns: readonly Column[],
  rows: readonly Row[],
  width: number,
  size: number = PAPER_SIZES.text,
): readonly number[] {
  const plain = rows.filter((row) => row.title !== true);
  const needs = columns.map((column, n) => {
    const contents = [
      { runs: runsOf(column.head, true), cell: undefined },
      ...plain.map((row) => {
        const cell = row.cells[n] ?? "";
        return { runs: runsOf(contentOf(cell), row.bold === true || column.bold === true), cell };
      }),
    ];
    const ticks = Math.max(0, ...contents.map(({ cell }) => (cell !== undefined && isTick(cell) ? cell.tick : 0)));
    const natural = Math.max(
      2 * PADDING + Math.max(...contents.map(({ runs }) => runsWidth(runs, size))) + 0.02,
      ticks * (TICK + 3),
      column.least ?? 0,
    );
    const least = Math.max(
      2 * PADDING + Math.max(...contents.map(({ runs }) => widestWord(runs, size))) + 0.02,
      ticks * (TICK + 3),
      column.least ?? 0,
    );
    const wanted = Math.min(natural, column.most ?? Infinity);
    return { wanted, least: Math.min(least, wanted), grow: column.grow ?? 0 };
  });
  const sum = (of: (one: (typeof needs)[number]) => number) => needs.reduce((total, one) => total + of(one), 0);
  const spare = width - sum((one) => one.wanted);
  const shares = sum((one) => one.grow);
  if (spare >= 0) {
    if (shares === 0) return needs.map((one) => (one.wanted * width) / sum((other) => other.wanted));
    return needs.map((one) => one.wanted + (spare * one.grow) / shares);
  }
  // Columns that may grow give up first, then all.
  const giving = (may: (one: (typeof needs)[number]) => number): readonly number[] | undefined => {
    const slack = sum((one) => (one.wanted - one.least) * may(one));
    if (slack < -spare || slack === 0) return undefined;
    return needs.map((one) => one.wanted + (spare * (one.wanted - one.least) * may(one)) / slack);
  };
  const ofGrowing = giving((one) => (one.grow > 0 ? 1 : 0));
  const given = ofGrowing ?? giving(() => 1);
  if (given !== undefined) {
    const movable = needs.flatMap((one, n) =>
      (ofGrowing === undefined || one.grow > 0) && one.wanted > one.least ? [n] : [],
    );
    return fewestLines(
      plain.map((row) => columns.map((column, n) => measured(row, column, n, size))),
      given,
      needs,
      movable,
    );
  }
  const least = sum((one) => one.least);
  return needs.map((one) => (one.least * width) / least);
}

/** Widths of the words of a cell. */
const measured = (row: Row, column: Column, n: number, size: number): readonly number[] =>
  wordWidths(runsOf(contentOf(row.cells[n] ?? ""), row.bold === true || column.bold === true), size);

const MOVE = 2;
const MOST_MOVES = 60;

/** Room moved between columns as long as it saves lines. */
function fewestLines(
  rows: readonly (readonly (readonly number[])[])[],
  start: readonly number[],
  needs: readonly { readonly least: number; readonly wanted: number }[],
  movable: readonly number[],
): readonly number[] {
  const space = 0.9;
  const count = (words: readonly number[], width: number): number => {
    let lines = 1;
    let used = 0;
    for (const word of words) {
      const next = used === 0 ? word : used + space + word;
      if (next <= width || used === 0) used = next;
      else {
        lines++;
        used = word;
      }
    }
    return lines;
  };
  const height = (widths: readonly number[]): number =>
    rows.reduce(
      (sum, row) => sum + Math.max(1, ...row.map((words, n) => count(words, (widths[n] ?? 0) - 2 * PADDING))),
      0,
    );
  let widths = start;
  let best = height(widths);
  for (let n = 0; n < MOST_MOVES; n++) {
    let found: readonly number[] | undefined;
    // A longer move may save a line where a short one does not.
    for (const from of movable)
      for (const to of movable)
        for (const by of [MOVE, 3 * MOVE, 8 * MOVE]) {
          const room = (widths[from] ?? 0) - by;
          if (from === to || room < (needs[from]?.least ?? 0)) continue;
          const tried = widths.map((one, k) => (k === from ? room : k === to ? one + by : one));
          const lines = height(tried);
          if (lines < best) [best, found] = [lines, tried];
        }
    if (found === undefined) break;
    widths = found;
  }
  return widths;
}

function layRow(columns: readonly Column[], row: Row, widths: readonly number[], width: number, size: number): LaidRow {
  if (row.title === true) {
    const runs = runsOf(contentOf(row.cells[0] ?? ""), true);
    return { row, lines: [wrapRuns(runs, width - 2 * PADDING, size)] };
  }
  return {
    row,
    lines: columns.map((column, n) => {
      const runs = runsOf(contentOf(row.cells[n] ?? ""), row.bold === true || column.bold === true);
      const named =
        row.ids === undefined ? runs : runs.map((run) => ({ ...run, ids: [...(run.ids ?? []), ...(row.ids ?? [])] }));
      return wrapRuns(named, (widths[n] ?? 0) - 2 * PADDING, size);
    }),
  };
}

function rowPieces(
  columns: readonly Column[],
  { row, lines }: LaidRow,
  widths: readonly number[],
  width: number,
  rowHeight: number,
  size: number,
): readonly Piece[] {
  const most = Math.max(1, ...lines.map((cell) => cell.length));
  const pieces: Piece[] = [];
  for (let from = 0; from < most; from += MOST_LINES) {
    const part = lines.map((cell) => cell.slice(from, from + MOST_LINES));
    const last = from + MOST_LINES >= most;
    pieces.push(rowPiece(columns, row, part, widths, width, rowHeight, size, from === 0, last));
  }
  return pieces;
}

function rowPiece(
  columns: readonly Column[],
  row: Row,
  lines: LaidRow["lines"],
  widths: readonly number[],
  width: number,
  rowHeight: number,
  size: number,
  first: boolean,
  last: boolean,
): Piece {
  const step = lineHeight(size);
  const count = Math.max(1, ...lines.map((cell) => cell.length));
  const height = Math.max(rowHeight, count * step + 1.5);
  const items: Item[] = [];
  if (row.title === true) {
    const [cell = []] = lines;
    for (const [n, line] of cell.entries())
      items.push(...lineOfRuns(line, [PADDING, height - (cell.length - n) * step - 0.4 + baseline(size)], size));
    items.push({ kind: "line", from: [0, height], to: [width, height], weight: WEIGHTS.light });
    return { height, items, figures: lines.flat().flatMap(figuresOf), keep: true };
  }
  let x = 0;
  for (const [n, column] of columns.entries()) {
    const own = widths[n] ?? 0;
    const cell = row.cells[n] ?? "";
    const reach = widths.slice(n, n + overOf(cell)).reduce((sum, one) => sum + one, 0);
    const joined = n > 0 && spans(row, n);
    if (column.ruled === true && !joined)
      items.push({ kind: "line", from: [x, 0], to: [x, height], weight: WEIGHTS.hair });
    if (isTick(cell) && first) items.push(...ticks(cell.tick, x, reach, height));
    const text = lines[n] ?? [];
    const top = (height - text.length * step) / 2;
    for (const [k, line] of text.entries())
      items.push(
        ...lineOfRuns(
          line,
          [column.align === "end" ? x + own - PADDING : x + PADDING, top + k * step + baseline(size) - 0.1],
          size,
          column.align === "end" ? "end" : "start",
        ),
      );
    x += own;
  }
  if (last) items.push({ kind: "line", from: [0, height], to: [width, height], weight: WEIGHTS.hair });
  return {
    height,
    items,
    figures: lines.flat().flatMap(figuresOf),
    ...(last ? {} : { keep: true }),
  };
}

/** Columns that a cell reaches over. */
const overOf = (cell: Cell): number => (isWrite(cell) || isTick(cell) ? (cell.over ?? 1) : 1);

/** Does a cell reach over column `n` from its left? */
function spans(row: Row, n: number): boolean {
  for (let at = n - 1; at >= 0; at--) {
    const cell = row.cells[at];
    if (cell !== undefined && overOf(cell) > n - at) return true;
  }
  return false;
}

function ticks(count: number, x: number, width: number, height: number): readonly Item[] {
  return Array.from(
    { length: count },
    (_, n): Item => ({
      kind: "rect",
      at: [x + (width * (n + 0.5)) / count - TICK / 2, (height - TICK) / 2],
      width: TICK,
      height: TICK,
      weight: WEIGHTS.light,
    }),
  );
}

function headPiece(columns: readonly Column[], widths: readonly number[], size: number): Piece {
  const step = lineHeight(size);
  const cells = columns.map((column, n) => wrapRuns(runsOf(column.head, true), (widths[n] ?? 0) - 2 * PADDING, size));
  const count = Math.max(1, ...cells.map((cell) => cell.length));
  const height = count * step + 1.3;
  const width = widths.reduce((sum, one) => sum + one, 0);
  const items: Item[] = [
    { kind: "line", from: [0, 0], to: [width, 0], weight: WEIGHTS.wire },
    { kind: "line", from: [0, height], to: [width, height], weight: WEIGHTS.light },
  ];
  let x = 0;
  for (const [n, column] of columns.entries()) {
    const own = widths[n] ?? 0;
    const cell = cells[n] ?? [];
    if (column.ruled === true) items.push({ kind: "line", from: [x, 0], to: [x, height], weight: WEIGHTS.hair });
    for (const [k, line] of cell.entries())
      items.push(
        ...lineOfRuns(
          line,
          [
            column.align === "end" ? x + own - PADDING : x + PADDING,
            height - (cell.length - k) * step - 0.35 + baseline(size),
          ],
          size,
          column.align === "end" ? "end" : "start",
        ),
      );
    x += own;
  }
  return { height, items, figures: [] };
}
