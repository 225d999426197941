/** A symbol in its place on the grid, with the nets of its leads and the room for the words beside it. */
import type { Role } from "../scene.ts";
import { textWidth } from "../text/index.ts";
import { twoLeaded } from "./part-symbol.ts";
import type { Knot } from "./route.ts";
import type { Piece } from "./pieces.ts";
import { mirrored, PITCH, type Symbol, type Turn, turned } from "./symbol.ts";
import { follower, ground, jack, port, potentiometer, triode } from "./symbols-more.ts";
import type { ResistorStyle } from "./symbols-two.ts";
import { reserved, reservedMore } from "./words.ts";

export interface Line {
  readonly text: string;
  readonly bold?: boolean;
  readonly role?: Role;
}

/** "foot": below the ground symbol that hangs from it; "under": to the left, under the wire that comes to its upper lead. */
export type Place = "right" | "left" | "above" | "below" | "foot" | "under";

export interface Element {
  readonly ids: readonly string[];
  readonly symbol: Symbol;
  /** Origin of the symbol, in pitches. */
  readonly at: Knot;
  /** Net of each lead by pin. */
  readonly nets: Readonly<Record<string, string>>;
  /** Of a part: the widest that it may ever have to say, whatever its value. */
  readonly lines: readonly Line[];
  /** Lines that may follow where there is room. */
  readonly more: readonly Line[];
  /** Where the words may stand, best first. */
  readonly places: readonly Place[];
  /** The part it draws; ground, ports and the supply's front have none. */
  readonly piece?: Piece;
  /** The part that is left out when this finds no room: itself, or the one that it is tied to. */
  readonly owner?: Piece;
  /** Of a port: what is said of its net. */
  readonly room?: NetLines;
}

export interface Look {
  readonly resistors: ResistorStyle;
  /** Size of text on the grid, millimetres: larger than on the sheet when the drawing is made smaller afterwards. */
  readonly textSize: number;
  /** Room for standing plate currents. */
  readonly currents: boolean;
  /** Room for what was, where it can be had. */
  readonly was: boolean;
}

export function symbolOf(piece: Piece, look: Look): Symbol {
  const { written } = piece;
  switch (written.kind) {
    case "potentiometer":
      return potentiometer();
    case "triode":
      return triode(piece.shared ? piece.triode?.section : undefined);
    case "follower":
      return follower();
    case "jack":
      return jack(written.role);
    default:
      return twoLeaded(written, look.resistors);
  }
}

export function elementOf(piece: Piece, at: Knot, turn: Turn, look: Look, places: readonly Place[]): Element {
  const upright = symbolOf(piece, look);
  return {
    ids: [piece.id],
    symbol: turn === "down" ? upright : turned(upright, turn),
    at,
    nets: piece.pins,
    lines: reserved(piece, look),
    more: look.was ? reservedMore(piece, look) : [],
    places,
    piece,
    owner: piece,
  };
}

export function groundAt(at: Knot, owner: Piece): Element {
  return { ids: [], symbol: ground(), at, nets: { "0": "0" }, lines: [], more: [], places: [], owner };
}

export function portAt(at: Knot, net: string, room: NetLines, side: "right" | "left", owner: Piece): Element {
  const symbol = side === "right" ? port() : mirrored(port());
  const { lines, more } = room;
  return { ids: [net], symbol, at, nets: { net }, lines, more, places: [side, "above", "below"], owner, room };
}

/** Room for what is said of a net. */
export interface NetLines {
  /** Its name, where that must stand. */
  readonly before: readonly Line[];
  readonly lines: readonly Line[];
  readonly more: readonly Line[];
  readonly volts: boolean;
}

/** Distance between the baselines of a block of words, in ems. */
export const LEADING = 1.25;

export const blockWidth = (lines: readonly Line[], size: number): number =>
  Math.max(0, ...lines.map((line) => textWidth(line.text, size, line.bold === true)));

/** Pitches that words beside a symbol take, with the air around them. */
export const pitchesFor = (millimetres: number): number => Math.ceil(millimetres / PITCH);
