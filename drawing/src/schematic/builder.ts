/** Puts pieces down column by column: chains hang from a net, branches stand beside them. */
import {
  blockWidth,
  type Element,
  elementOf,
  groundAt,
  linesOf,
  type Look,
  pitchesFor,
  portAt,
  type Line,
} from "./element.ts";
import { across, GROUND_NET, type Piece, tiesOf, type Wiring } from "./pieces.ts";
import type { Knot } from "./route.ts";
import type { Turn } from "./symbol.ts";
import { TWO_PINS } from "./symbols-two.ts";

export interface Builder {
  readonly wiring: Wiring;
  readonly look: Look;
  /** Pieces left to the table of what was not recognised. */
  readonly leave: ReadonlySet<string>;
  /** Words at the end of a net. */
  readonly say: (net: string) => readonly Line[];
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
  /** Everything up to here is taken, in pitches. */
  cursor: number;
}

export function builderOf(
  wiring: Wiring,
  look: Look,
  leave: ReadonlySet<string>,
  say: Builder["say"],
  tight: boolean,
): Builder {
  const carriers = new Map<string, Piece>();
  return {
    wiring,
    look,
    leave,
    say,
    elements: [],
    placed: new Set(),
    anchored: new Set(),
    carriers,
    trunks: new Map(),
    tight,
    cursor: 0,
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

/** Room to the right of an upright symbol's middle for its words. */
export const roomRight = (b: Builder, piece: Piece, half = 3): number =>
  pitchesFor(half + 1.2 + blockWidth(linesOf(piece, b.look)) + 1);

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
  b.cursor = Math.max(b.cursor, x + roomRight(b, piece));
}

/** A piece laid along the path, `net` to the left; the level's row. Returns where its right lead ends. */
export function putSeries(b: Builder, piece: Piece, level: number, net: string): number {
  const spare = Math.max(0, pitchesFor(blockWidth(linesOf(piece, b.look)) + 1.5) - 5);
  const x = b.cursor + 2 + Math.ceil(spare / 2);
  put(b, piece, { x, y: level }, firstPin(piece) === net ? "right" : "left", ["above", "below"]);
  b.cursor = x + 5 + Math.floor(spare / 2);
  return x + 5;
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
    const x = straight ?? b.cursor + 2;
    straight = undefined;
    putUpright(b, piece, x, level + 2, net, "above");
    const bottom = level + 7;
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
  let bottom = level - 2;
  for (const piece of pieces) {
    if (!isFree(b, piece)) break;
    putUpright(b, piece, x, bottom - 5, at, "below");
    at = across(piece, at) ?? GROUND_NET;
    b.anchored.add(at);
    bottom -= 6;
  }
  return bottom + 1;
}
