/**
 * Sheets that together cover a drawing at true size: windows that overlap, and register marks that stand on every sheet they fall on.
 *
 * Law     Windows of one size, at even steps, with at least `OVERLAP` in common; the seam lies near the middle of what two share. On
 *         each seam, two marks to a sheet at whole millimetres of the drawing, clear of lines where there is room. The marks of
 *         a seam have one letter.
 */
import { type Box } from "../bounds.ts";

export const OVERLAP_MILLIMETRES = 12;
/** Half of a mark's cross. */
export const MARK_REACH = 4;
/** A mark stays this far inside of the sheets' edges. */
const INSIDE = MARK_REACH + 1;

export interface Tile {
  /** Counted from the left and from the top. */
  readonly column: number;
  readonly row: number;
  readonly window: Box;
}

export interface Mark {
  /** "A1". */
  readonly name: string;
  readonly x: number;
  readonly y: number;
}

export interface Tiling {
  readonly columns: number;
  readonly rows: number;
  readonly tiles: readonly Tile[];
  /** Where sheets are joined: x of upright seams, y of level ones. */
  readonly upright: readonly number[];
  readonly level: readonly number[];
  readonly marks: readonly Mark[];
  /** Least that two neighbours share; Infinity for one sheet. */
  readonly overlap: number;
}

/** Begins of windows of `size` over `from` to `to`; a single one has the drawing in its middle. */
function begins(from: number, to: number, size: number): readonly number[] {
  const length = to - from;
  if (length <= size) return [from - (size - length) / 2];
  const count = Math.ceil((length - OVERLAP_MILLIMETRES) / (size - OVERLAP_MILLIMETRES) - 1e-9);
  return Array.from({ length: count }, (_, n) => from + ((length - size) * n) / (count - 1));
}

export const tileCount = (drawing: Box, width: number, height: number): number =>
  begins(drawing.left, drawing.right, width).length * begins(drawing.top, drawing.bottom, height).length;

/** Room that a mark and its words would like, what its cross needs, and none. */
const ROOMS = [11, MARK_REACH + 1, 0] as const;
/** How far a mark gives way along its seam. */
const FARTHEST = 30;

/** Room beside a mark for its name and place. */
const WORDS = { width: 18, height: 8 } as const;

/** What the drawing asks of seams and marks. */
export interface TileGround {
  /** Where upright and level lines of the drawing run: a seam keeps off them. */
  readonly xs: readonly number[];
  readonly ys: readonly number[];
  /** Is there no line of the drawing within so many millimetres of this place? */
  readonly isClear: (x: number, y: number, room: number) => boolean;
}

/** A seam stands this far from a line that runs along it, where it can. */
const SEAM_OFF = 2;

/** Of the whole millimetres that two sheets share, the one nearest to the middle that keeps off the lines; else the farthest off. */
function seamAt(from: number, to: number, lines: readonly number[]): number {
  const off = (at: number): number => Math.min(Infinity, ...lines.map((line) => Math.abs(line - at)));
  const middle = (from + to) / 2;
  const all = Array.from(
    { length: Math.floor(to - INSIDE) - Math.ceil(from + INSIDE) + 1 },
    (_, n) => Math.ceil(from + INSIDE) + n,
  );
  const good = all.filter((at) => off(at) >= SEAM_OFF);
  const nearest = (some: readonly number[], cost: (at: number) => number) =>
    some.reduce((best, at) => (cost(at) < cost(best) ? at : best), some[0] ?? Math.round(middle));
  return good.length > 0 ? nearest(good, (at) => Math.abs(at - middle)) : nearest(all, (at) => -off(at));
}

export function tilesOf(
  drawing: Box,
  width: number,
  height: number,
  { xs: linesX, ys: linesY, isClear }: TileGround,
): Tiling {
  const xs = begins(drawing.left, drawing.right, width);
  const ys = begins(drawing.top, drawing.bottom, height);
  const tiles = ys.flatMap((top, row) =>
    xs.map((left, column): Tile => ({ row, column, window: { left, top, right: left + width, bottom: top + height } })),
  );
  // Whole millimetres: a mark's place is read off without a fraction.
  const seams = (all: readonly number[], size: number, lines: readonly number[]) =>
    all.slice(1).map((next, n) => seamAt(next, (all[n] ?? next) + size, lines));
  const [upright, level] = [seams(xs, width, linesX), seams(ys, height, linesY)];
  const marks: Mark[] = [];
  // A to Z, then AA.
  const letter = () => {
    const nth = seen++;
    return `${nth < 26 ? "" : String.fromCharCode(64 + Math.floor(nth / 26))}${String.fromCharCode(65 + (nth % 26))}`;
  };
  let seen = 0;
  const along = (all: readonly number[], size: number, least: number, most: number): readonly number[] =>
    all.flatMap((begin) => {
      const [from, to] = [Math.max(begin, least), Math.min(begin + size, most)];
      return [from + (to - from) / 6, to - (to - from) / 6];
    });
  const clearest = (wanted: number, isFree: (at: number, room: number) => boolean): number => {
    const whole = Math.round(wanted);
    for (const room of ROOMS)
      for (let off = 0; off <= FARTHEST; off++)
        for (const at of [whole + off, whole - off]) if (isFree(at, room)) return at;
    return whole;
  };
  /** Words of marks lie neither over another mark nor over a seam that runs across. */
  const isApart = (x: number, y: number, isUpright: boolean): boolean =>
    marks.every((mark) => Math.abs(mark.x - x) > WORDS.width || Math.abs(mark.y - y) > WORDS.height) &&
    (isUpright
      ? level.every((seam) => Math.abs(seam - y) > WORDS.height)
      : upright.every((seam) => Math.abs(seam - x) > WORDS.width));
  const place = (wanted: readonly number[], isUpright: boolean, seam: number) => {
    const name = letter();
    const at = (along: number) => (isUpright ? ([seam, along] as const) : ([along, seam] as const));
    let count = 0;
    for (const one of [...wanted].sort((a, b) => a - b)) {
      const found = clearest(one, (along, room) => {
        const [x, y] = at(along);
        return (room === 0 || isApart(x, y, isUpright)) && isClear(x, y, room);
      });
      const [x, y] = at(found);
      // Overlapping rows would have two marks nearly in one place.
      if (!marks.some((mark) => Math.hypot(mark.x - x, mark.y - y) < 3 * MARK_REACH))
        marks.push({ name: `${name}${++count}`, x, y });
    }
  };
  for (const x of upright) place(along(ys, height, drawing.top + INSIDE, drawing.bottom - INSIDE), true, x);
  for (const y of level) place(along(xs, width, drawing.left + INSIDE, drawing.right - INSIDE), false, y);
  const shared = [
    ...xs.slice(1).map((next, n) => (xs[n] ?? 0) + width - next),
    ...ys.slice(1).map((next, n) => (ys[n] ?? 0) + height - next),
  ];
  return { columns: xs.length, rows: ys.length, tiles, upright, level, marks, overlap: Math.min(Infinity, ...shared) };
}

/** Is the whole mark on the sheet? */
export const isOn = ({ window }: Tile, { x, y }: Pick<Mark, "x" | "y">): boolean =>
  x - MARK_REACH >= window.left &&
  x + MARK_REACH <= window.right &&
  y - MARK_REACH >= window.top &&
  y + MARK_REACH <= window.bottom;
