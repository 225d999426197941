/**
 * Room on a sheet that words may still take: texts never over each other nor over a hole.
 *
 * Method  Boxes in cells of the sheet, so that a question looks at neighbours alone.
 */
import { type Box, overlap } from "../bounds.ts";

const CELL = 12;
/** A cell's key: sheets are far smaller than this many cells wide. */
const WIDE = 100_003;

interface Round {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

interface Taken {
  readonly box: Box;
  /** Where it is round: the corners of its box are free. */
  readonly round?: Round;
  /** What it belongs to: words may lie inside a hole or a body of their own. */
  readonly owner?: string;
}

export interface FreePlaces {
  readonly take: (box: Box, owner?: string, round?: Round) => void;
  /** What is nearer than `apart` to the box, but for what belongs to `owner`. */
  readonly isFree: (box: Box, apart?: number, owner?: string) => boolean;
  /** How many overlap the box, but for those of `owner`. */
  readonly count: (box: Box, owner?: string) => number;
}

export function freePlaces(): FreePlaces {
  const cells = new Map<number, Taken[]>();
  return {
    take: (box, owner, round) => {
      const taken: Taken = {
        box,
        ...(owner === undefined ? {} : { owner }),
        ...(round === undefined ? {} : { round }),
      };
      const right = Math.floor(box.right / CELL);
      const bottom = Math.floor(box.bottom / CELL);
      for (let x = Math.floor(box.left / CELL); x <= right; x++)
        for (let y = Math.floor(box.top / CELL); y <= bottom; y++) {
          const there = cells.get(x * WIDE + y);
          if (there === undefined) cells.set(x * WIDE + y, [taken]);
          else there.push(taken);
        }
    },
    isFree: ({ left, right, top, bottom }, apart = 0, owner) => {
      const box = { left: left - apart, right: right + apart, top: top - apart, bottom: bottom + apart };
      const [lastX, lastY] = [Math.floor(box.right / CELL), Math.floor(box.bottom / CELL)];
      for (let x = Math.floor(box.left / CELL); x <= lastX; x++)
        for (let y = Math.floor(box.top / CELL); y <= lastY; y++)
          for (const one of cells.get(x * WIDE + y) ?? NONE)
            if ((owner === undefined || one.owner !== owner) && covers(one, box)) return false;
      return true;
    },
    count: (box, owner) => {
      const [lastX, lastY] = [Math.floor(box.right / CELL), Math.floor(box.bottom / CELL)];
      const seen: Taken[] = [];
      for (let x = Math.floor(box.left / CELL); x <= lastX; x++)
        for (let y = Math.floor(box.top / CELL); y <= lastY; y++)
          for (const one of cells.get(x * WIDE + y) ?? NONE)
            if ((owner === undefined || one.owner !== owner) && overlap(one.box, box) && !seen.includes(one))
              seen.push(one);
      return seen.length;
    },
  };
}

function covers({ box: own, round }: Taken, box: Box): boolean {
  if (!overlap(own, box)) return false;
  if (round === undefined) return true;
  const dx = round.x - Math.max(box.left, Math.min(round.x, box.right));
  const dy = round.y - Math.max(box.top, Math.min(round.y, box.bottom));
  return dx * dx + dy * dy < round.radius * round.radius;
}

const NONE: readonly Taken[] = [];
