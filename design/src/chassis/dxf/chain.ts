/**
 * Loose lines and arcs as closed rings.
 *
 * Method  Ends that are nearer than the tolerance are one place, found by a grid of that width; a ring is followed from piece to
 *         piece while exactly one other goes on. Pieces that are shorter than the tolerance are left out.
 */
import type { Place } from "@platewright/engine";
import type { Corner } from "../contour.ts";
import type { Piece } from "./pieces.ts";

export interface Chained {
  readonly rings: readonly (readonly Corner[])[];
  /** Where something is open or branches. */
  readonly open: readonly Place[];
}

/** So many ends in one place are no outline. */
const MOST_ENDS = 100;

interface End {
  readonly piece: number;
  readonly at: Place;
  readonly first: boolean;
}

export function chain(all: readonly Piece[], tolerance: number): Chained {
  const pieces = all.filter(({ from, to }) => Math.hypot(to.x - from.x, to.y - from.y) > tolerance);
  const grid = new Map<string, End[]>();
  const cell = (value: number): number => Math.floor(value / (2 * tolerance));
  for (const [piece, { from, to }] of pieces.entries())
    for (const first of [true, false]) {
      const at = first ? from : to;
      const key = `${cell(at.x)},${cell(at.y)}`;
      const there = grid.get(key);
      if (there === undefined) grid.set(key, [{ piece, at, first }]);
      else there.push({ piece, at, first });
    }
  const used = new Set<number>();
  /** The other end of another piece at a place; undefined where there is none or more than one. */
  const goesOn = (at: Place, from: number): End | undefined => {
    const found: End[] = [];
    let crowd = 0;
    for (let i = -1; i <= 1; i++)
      for (let j = -1; j <= 1; j++) {
        const there = grid.get(`${cell(at.x) + i},${cell(at.y) + j}`) ?? [];
        crowd += there.length;
        if (crowd > MOST_ENDS) return undefined;
        for (const end of there)
          if (end.piece !== from && Math.hypot(end.at.x - at.x, end.at.y - at.y) <= tolerance) {
            found.push(end);
            if (found.length > 1) return undefined;
          }
      }
    return found[0];
  };
  const rings: Corner[][] = [];
  const open: Place[] = [];
  for (const [start, piece] of pieces.entries()) {
    if (used.has(start)) continue;
    used.add(start);
    const ring: Corner[] = [{ ...piece.from, bulge: piece.bulge }];
    let [at, last] = [piece.to, start];
    for (;;) {
      const next = goesOn(at, last);
      if (next?.piece === start && next.first) {
        rings.push(ring);
        break;
      }
      if (next === undefined || used.has(next.piece)) {
        open.push(at, backwards(piece.from, start));
        break;
      }
      const found = pieces[next.piece] as Piece;
      used.add(next.piece);
      ring.push({ ...at, bulge: next.first ? found.bulge : -found.bulge });
      [at, last] = [next.first ? found.to : found.from, next.piece];
    }
  }
  return { rings, open };

  /** The other end of what is open, its pieces used up. */
  function backwards(from: Place, start: number): Place {
    let [at, last] = [from, start];
    for (;;) {
      const next = goesOn(at, last);
      if (next === undefined || used.has(next.piece)) return at;
      const found = pieces[next.piece] as Piece;
      used.add(next.piece);
      [at, last] = [next.first ? found.to : found.from, next.piece];
    }
  }
}
