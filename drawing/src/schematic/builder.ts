/** Puts pieces down column by column: chains hang from a net, branches stand beside them. */
import {
  blockWidth,
  type Element,
  elementOf,
  groundAt,
  type Look,
  type NetLines,
  pitchesFor,
  portAt,
} from "./element.ts";
import { across, GROUND_NET, type Piece, tiesOf, type Wiring } from "./pieces.ts";
import { AIR, blockHeight } from "./boxes.ts";
import type { Knot } from "./route.ts";
import type { Turn } from "./symbol.ts";
import { TWO_PINS } from "./symbols-two.ts";
import { reserved } from "./words.ts";

export interface Builder {
  readonly wiring: Wiring;
  readonly look: Look;
  /** Pieces left to the table of what was not recognised. */
  readonly leave: ReadonlySet<string>;
  /** Room for words at the end of a net. */
  readonly say: (net: string) => NetLines;
  /** Lines that its volts take, with what they were. */
  readonly voltsRows: (net: string) => number;
  readonly elements: Element[];
  readonly placed: Set<string>;
  /** Nets that have a place of their own; nothing is hung below them from elsewhere. */
  readonly anchored: Set<string>;
  /** Piece that carries a net's current downwards, and is hung first. */
  readonly carriers: Map<string, Piece>;
  /** Nets drawn as one straight row, and the row. */
  readonly trunks: Map<string, number>;
  /** Columns close together: tried first. */
  readonly tight: boolean;
  /** Everything up to here is taken, in pitches: on the path's row and above, and below it. */
  cursor: number;
  low: number;
}

export function builderOf(
  wiring: Wiring,
  look: Look,
  leave: ReadonlySet<string>,
  say: Pick<Builder, "say" | "voltsRows">,
  tight: boolean,
): Builder {
  const carriers = new Map<string, Piece>();
  return {
    wiring,
    look,
    leave,
    ...say,
    elements: [],
    placed: new Set(),
    anchored: new Set(),
    carriers,
    trunks: new Map(),
    tight,
    cursor: 0,
    low: 0,
  };
}

export const isFree = (b: Builder, piece: Piece): boolean => !b.placed.has(piece.id) && !b.leave.has(piece.id);

export function put(b: Builder, piece: Piece, at: Knot, turn: Turn, places: Element["places"]): void {
  b.placed.add(piece.id);
  b.elements.push(elementOf(piece, at, turn, b.look, places));
}

export const putGround = (b: Builder, x: number, y: number, owner: Piece): void => {
  b.elements.push(groundAt({ x, y }, owner));
};

/** An open ring at the end of a net that leads to the outside; it stands and falls with the last piece on that net. */
export function putPort(b: Builder, at: Knot, net: string, side: "right" | "left"): void {
  const owner = b.elements.findLast(
    ({ piece }) => piece !== undefined && Object.values(piece.pins).includes(net),
  )?.piece;
  if (owner !== undefined) b.elements.push(portAt(at, net, b.say(net), side, owner));
}

/** Width of the words of a piece, millimetres. */
export const wordsWidth = (b: Builder, piece: Piece): number => blockWidth(reserved(piece, b.look), b.look.textSize);

/** Room to the right of an upright symbol's middle for its words. */
export const roomRight = (b: Builder, piece: Piece, half = 3): number =>
  pitchesFor(half + 1.2 + wordsWidth(b, piece) + 1);

const firstPin = (piece: Piece): string | undefined => {
  const pin = TWO_PINS[piece.written.kind]?.[0];
  return pin === undefined ? undefined : piece.pins[pin];
};

/** An upright piece of two leads, `net` at the end named. */
export function putUpright(
  b: Builder,
  piece: Piece,
  x: number,
  top: number,
  net: string,
  end: "above" | "below",
): void {
  const first = firstPin(piece) === net ? end === "above" : end === "below";
  put(b, piece, { x, y: top }, first ? "down" : "up", ["right", "left"]);
  const right = x + roomRight(b, piece);
  if (end === "above") b.low = Math.max(b.low, right);
  // Close together, what lies on the row stands over the words of what hangs from it.
  b.cursor = Math.max(b.cursor, end === "above" && b.tight ? x : right);
}

/** A piece laid along the path, `net` to the left; the level's row. Returns where its right lead ends. */
export function putSeries(b: Builder, piece: Piece, level: number, net: string): number {
  const spare = Math.max(0, pitchesFor(wordsWidth(b, piece) + 1.5) - 5);
  const x = b.cursor + (b.tight && spare > 0 ? 1 : 2) + Math.ceil(spare / 2);
  put(b, piece, { x, y: level }, firstPin(piece) === net ? "right" : "left", ["above", "below"]);
  b.cursor = x + 5 + Math.floor(spare / 2);
  return x + 5;
}

/** Rows between a net and what hangs from it or stands on it: its volts are said there. */
export function spanOf(b: Builder, net: string): number {
  const lines = b.voltsRows(net);
  return lines === 0 ? 2 : Math.max(2, pitchesFor(blockHeight(lines, b.look.textSize) + 2 * AIR + 0.4));
}

/** What may hang from a net: pieces of two leads to ground, to a net that has its place, or to one that hangs with them. */
function hangers(b: Builder, net: string): readonly Piece[] {
  const first = b.carriers.get(net);
  const claimed = new Set(b.carriers.values());
  const free = tiesOf(b.wiring, net)
    .map(({ piece }) => piece)
    .filter((piece, n, all) => all.indexOf(piece) === n && isFree(b, piece) && !claimed.has(piece));
  const hanging = free.filter((piece) => {
    const other = across(piece, net);
    return other !== undefined && other !== net;
  });
  return first !== undefined && isFree(b, first) ? [first, ...hanging] : hanging;
}

/** Hangs from a net what belongs below it, in columns from `x`; the first straight below when `below` is given. */
export function hang(b: Builder, net: string, level: number, below?: number): void {
  let straight = below;
  for (const piece of hangers(b, net)) {
    if (!isFree(b, piece)) continue;
    const other = across(piece, net) ?? GROUND_NET;
    const x = straight ?? Math.max(b.cursor, b.low) + 2;
    straight = undefined;
    const top = level + spanOf(b, net);
    putUpright(b, piece, x, top, net, "above");
    const bottom = top + 5;
    if (other === GROUND_NET) putGround(b, x, bottom, piece);
    else if (!b.anchored.has(other) || b.carriers.get(net) === piece) {
      b.anchored.add(other);
      hang(b, other, bottom, x);
    }
  }
}

/** Stands a chain on a net, bottom first, straight up from (x, level). Returns the row of its upper end. */
export function stand(b: Builder, pieces: readonly Piece[], net: string, x: number, level: number): number {
  let at = net;
  let bottom = level - spanOf(b, net);
  for (const piece of pieces) {
    if (!isFree(b, piece)) break;
    putUpright(b, piece, x, bottom - 5, at, "below");
    at = across(piece, at) ?? GROUND_NET;
    b.anchored.add(at);
    bottom -= 6;
  }
  return bottom + 1;
}
