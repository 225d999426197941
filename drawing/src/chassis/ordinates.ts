/**
 * Ordinates at the edges of a plate: x along the front edge, y along the edge of the datum; each from the datum, none from
 * another hole. Where they are crowded they stand in two rows and are spread apart, each joined to its place by a leader;
 * what still has no room along the front stands along the rear edge.
 *
 * Method  Rows alternate along the edge, so that the leader of an outer row passes between two words of the inner one. Places
 *         by least squares in order (plot/spread.ts).
 */
import { spread } from "../plot/spread.ts";
import { type Item, type Point, type Role, SIZES, WEIGHTS } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";

/** One number at an edge. */
export interface Ordinate {
  /** Millimetres of the plate: what is written. */
  readonly value: number;
  /** Along the edge, millimetres of the sheet. */
  readonly at: number;
  readonly ids: readonly string[];
  readonly role?: Role;
  readonly bold?: boolean;
  /** Given up last. */
  readonly keep?: boolean;
}

export interface EdgeRow {
  readonly items: readonly Item[];
  /** How far the words reach from the edge. */
  readonly depth: number;
  readonly left: readonly Ordinate[];
}

const SIZE = SIZES.small;
const CAP = CAP_EMS * SIZE;
/** From the edge: the tick, then the bend of the leader, then the words. */
const TICK = 1.2;
const BEND = 2.8;
const FIRST = 3.4;
const ROW = CAP + 1.9;
/** Between the words of two neighbours. */
const APART = 1.6;
/** Between a leader and the words that it passes. */
const BESIDE = 0.7;

/** Tenths of a millimetre. */
export const ordinateWords = (millimetres: number): string =>
  String(Math.round(millimetres * 10) / 10).replace("-", "−");

/** Equal numbers once; ids of all. */
export function merged(all: readonly Ordinate[]): readonly Ordinate[] {
  const byWords = new Map<string, Ordinate>();
  for (const one of all) {
    const words = ordinateWords(one.value);
    const there = byWords.get(words);
    byWords.set(
      words,
      there === undefined
        ? one
        : {
            ...there,
            ids: [...there.ids, ...one.ids],
            ...(there.role === undefined && one.role !== undefined ? { role: one.role } : {}),
            ...(one.bold === true || there.bold === true ? { bold: true } : {}),
            ...(one.keep === true || there.keep === true ? { keep: true } : {}),
          },
    );
  }
  return [...byWords.values()].sort((one, other) => one.at - other.at);
}

/** Along the front or the rear edge, y of the sheet; words between `from` and `to`. */
export function alongEdge(
  all: readonly Ordinate[],
  edge: { readonly at: number; readonly way: 1 | -1; readonly from: number; readonly to: number },
): EdgeRow {
  const widths = all.map((one) => textWidth(ordinateWords(one.value), SIZE, true));
  const widest = Math.max(0, ...widths);
  const wanted = all.map((one) => one.at);
  const [from, to] = [edge.from + widest / 2, edge.to - widest / 2];
  const one = spread(wanted, widest + APART, from, to);
  const two = one ?? spread(wanted, Math.max(widest / 2 + BESIDE, (widest + APART) / 2), from, to);
  if (two === undefined) {
    const { kept, gone } = fewer(all, roomFor(to - from, Math.max(widest / 2 + BESIDE, (widest + APART) / 2)));
    return { ...alongEdge(kept, edge), left: gone };
  }
  const rows = one === undefined ? 2 : 1;
  const items = all.flatMap((ordinate, n): readonly Item[] => {
    const x = two[n] ?? ordinate.at;
    const row = rows === 1 ? 0 : n % 2;
    const out = (distance: number) => edge.at + edge.way * distance;
    const inner = edge.way === 1 ? FIRST + CAP + row * ROW : FIRST + row * ROW;
    const end: Point = [x, out(row === 0 ? BEND : FIRST + row * ROW - 0.6)];
    return [
      ...leaderOf([ordinate.at, edge.at], [ordinate.at, out(TICK)], [x, out(BEND)], end, ordinate),
      wordsOf(ordinate, [x, out(inner)], "middle"),
    ];
  });
  return { items, depth: FIRST + CAP + (rows - 1) * ROW, left: [] };
}

const roomFor = (length: number, pitch: number): number => Math.max(1, 1 + Math.floor(length / pitch - 1e-6));

/** As many as there is room for: what may go goes first, and of it what stands closest to its neighbours. */
function fewer(
  all: readonly Ordinate[],
  most: number,
): { readonly kept: readonly Ordinate[]; readonly gone: readonly Ordinate[] } {
  const room = all.map((_, n) => (all[n + 1]?.at ?? Infinity) - (all[n - 1]?.at ?? -Infinity));
  const order = all
    .map((_, n) => n)
    .sort(
      (a, b) =>
        Number(all[a]?.keep === true) - Number(all[b]?.keep === true) || (room[a] ?? 0) - (room[b] ?? 0) || a - b,
    );
  const going = new Set(order.slice(0, Math.max(0, all.length - most)));
  return { kept: all.filter((_, n) => !going.has(n)), gone: all.filter((_, n) => going.has(n)) };
}

/** Along the edge of the datum: x of the sheet, words outward; between `from` and `to`. */
export function upEdge(
  all: readonly Ordinate[],
  edge: { readonly at: number; readonly way: 1 | -1; readonly from: number; readonly to: number },
): EdgeRow {
  const widest = Math.max(0, ...all.map((one) => textWidth(ordinateWords(one.value), SIZE, true)));
  const wanted = all.map((one) => one.at);
  const [from, to] = [edge.from + CAP / 2, edge.to - CAP / 2];
  const one = spread(wanted, CAP + 1.3, from, to);
  const two = one ?? spread(wanted, CAP / 2 + BESIDE, from, to);
  if (two === undefined) {
    const { kept, gone } = fewer(all, roomFor(to - from, CAP / 2 + BESIDE));
    return { ...upEdge(kept, edge), left: gone };
  }
  const columns = one === undefined ? 2 : 1;
  const items = all.flatMap((ordinate, n): readonly Item[] => {
    const y = two[n] ?? ordinate.at;
    const column = columns === 1 ? 0 : n % 2;
    const out = (distance: number) => edge.at + edge.way * distance;
    const start = FIRST + column * (widest + 1.4);
    const end: Point = [out(column === 0 ? BEND : start - 0.5), y];
    return [
      ...leaderOf([edge.at, ordinate.at], [out(TICK), ordinate.at], [out(BEND), y], end, ordinate),
      wordsOf(ordinate, [out(start), y + CAP / 2], edge.way === 1 ? "start" : "end"),
    ];
  });
  return { items, depth: FIRST + widest + (columns - 1) * (widest + 1.4), left: [] };
}

function leaderOf(edge: Point, tick: Point, bend: Point, end: Point, { ids, role }: Ordinate): readonly Item[] {
  const points = [edge, tick, bend, end].filter((point, n, all) => {
    const before = all[n - 1];
    return before === undefined || Math.hypot(point[0] - before[0], point[1] - before[1]) > 1e-6;
  });
  return [{ kind: "polyline", points, weight: WEIGHTS.hair, role: role ?? "quiet", ids }];
}

const wordsOf = ({ value, ids, role, bold }: Ordinate, at: Point, anchor: "start" | "middle" | "end"): Item => ({
  kind: "text",
  at,
  text: ordinateWords(value),
  size: SIZE,
  anchor,
  ids,
  ...(role === undefined ? {} : { role }),
  ...(bold === true ? { bold } : {}),
});
