/** Holes of what is cut, marked by size, as tables: place from the datum, size, range, what for. */
import type { CutDrawing } from "../cut/index.ts";
import { GENERAL_TOLERANCE } from "../cut/words.ts";
import type { Marked } from "./fabricator-questions.ts";
import { lengthFigure, millimetres, sizeFigures } from "./hole-figures.ts";
import { contentsOf } from "./letters.ts";
import type { Passage } from "./piece.ts";
import { type Cell, type Column, type Row, table } from "./table.ts";

/** Letters by size, the largest first; a number to each hole of one size. */
export function marksOf({ holes }: CutDrawing): readonly Marked[] {
  const sizeOf = (hole: CutDrawing["holes"][number]): number =>
    hole.shape.kind === "circle"
      ? hole.shape.diameterMillimetres
      : 10_000 + hole.shape.widthMillimetres * hole.shape.heightMillimetres;
  const keyOf = (hole: CutDrawing["holes"][number]): string =>
    JSON.stringify([sizeFigures("x", hole.shape).text, hole.thread ?? "", hole.underMillimetres, hole.overMillimetres]);
  const sorted = [...holes].sort(
    (one, other) => sizeOf(other) - sizeOf(one) || (keyOf(one) < keyOf(other) ? -1 : keyOf(one) > keyOf(other) ? 1 : 0),
  );
  let [letter, count, last] = [-1, 0, ""];
  return sorted.map((hole): Marked => {
    const key = keyOf(hole);
    if (key !== last) [letter, count, last] = [letter + 1, 0, key];
    return { hole, mark: `${letterOf(letter)}${++count}` };
  });
}

/** A … Z without I and O, then AA. */
const LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ";
const letterOf = (n: number): string =>
  n < LETTERS.length
    ? (LETTERS[n] ?? "")
    : letterOf(Math.floor(n / LETTERS.length) - 1) + (LETTERS[n % LETTERS.length] ?? "");

export const inOrder = ({ holes }: CutDrawing, marked: readonly Marked[]): readonly string[] =>
  holes.map((hole) => marked.find((one) => one.hole === hole)?.mark ?? "");

const COLUMNS: readonly Column[] = [
  { head: "Mark", bold: true },
  { head: "x", align: "end" },
  { head: "y", align: "end" },
  { head: "Size", align: "end" },
  { head: "Range", align: "end" },
  { head: "For", grow: 1 },
];

/** Two holes to a row, as a table of one column would be a long one. */
export function holeTable(marked: readonly Marked[]): Passage {
  const half = Math.ceil(marked.length / 2);
  return table(
    [...COLUMNS, ...COLUMNS.map((column, n): Column => (n === 0 ? { ...column, ruled: true } : column))],
    Array.from({ length: half }, (_, n): Row => {
      const [one, other] = [marked[n], marked[n + half]];
      return { cells: [...cellsOf(one, IN_PLATE), ...cellsOf(other, IN_PLATE)] };
    }),
  );
}

/** How the figures of a place are called. */
const IN_PLATE = { of: "new-hole", x: "x", y: "y" } as const;
const CARRIED = { of: "carrier", x: "from-left", y: "from-front" } as const;

function cellsOf(marked: Marked | undefined, named: typeof IN_PLATE | typeof CARRIED): readonly Cell[] {
  if (marked === undefined) return ["", "", "", "", "", ""];
  const { hole, mark } = marked;
  const id = hole.ids[0] ?? "";
  const size = sizeFigures(`${named.of}/${id}`, hole.shape);
  const [first, second] = size.figures;
  return [
    mark,
    lengthFigure(`${named.of}/${named.x}/${id}`, hole.x),
    lengthFigure(`${named.of}/${named.y}/${id}`, hole.y),
    contentsOf(
      second === undefined ? ["Ø\u202f", first ?? ""] : [first ?? "", "\u202f×\u202f", second, cornerWords(hole.shape)],
    ),
    hole.underMillimetres === 0 && hole.overMillimetres === 0
      ? `±${GENERAL_TOLERANCE}`
      : `${signed("−", hole.underMillimetres)} ${signed("+", hole.overMillimetres)}`,
    [
      hole.label,
      ...(hole.thread === undefined ? [] : [`, tap ${hole.thread}`]),
      ...(hole.countersunk === true ? [", countersunk"] : []),
    ].join(""),
  ];
}

const signed = (sign: string, value: number): string => (value === 0 ? "0" : `${sign}${millimetres(value)}`);

function cornerWords(shape: CutDrawing["holes"][number]["shape"]): string {
  if (shape.kind === "circle") return "";
  const { cornerMillimetres: corner = 0, degrees = 0 } = shape;
  return [
    corner === 0 ? "" : ` R\u202f${millimetres(corner)}`,
    degrees % 90 === 0 && degrees % 180 === 0 ? "" : ` at ${millimetres(degrees)}°`,
  ].join("");
}

/** The holes of one ring or plate. */
export const holeList = (marked: readonly Marked[]): Passage =>
  table(
    COLUMNS,
    marked.map((one): Row => ({ cells: cellsOf(one, CARRIED) })),
  );
