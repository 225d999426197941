/** A symbol in its place on the grid, with the nets of its leads and the words beside it. */
import { printValue } from "@platewright/engine";
import type { Role } from "../scene.ts";
import { SIZES } from "../scene.ts";
import { textWidth } from "../text/index.ts";
import type { Knot } from "./route.ts";
import type { Piece } from "./pieces.ts";
import { mirrored, PITCH, type Symbol, type Turn, turned } from "./symbol.ts";
import { follower, ground, jack, port, potentiometer, triode } from "./symbols-more.ts";
import * as two from "./symbols-two.ts";

export interface Line {
  readonly text: string;
  readonly bold?: boolean;
  readonly role?: Role;
}

export type Place = "right" | "left" | "above" | "below";

export interface Element {
  readonly ids: readonly string[];
  readonly symbol: Symbol;
  /** Origin of the symbol, in pitches. */
  readonly at: Knot;
  /** Net of each lead by pin. */
  readonly nets: Readonly<Record<string, string>>;
  readonly lines: readonly Line[];
  /** Where the words may stand, best first. */
  readonly places: readonly Place[];
  /** The part it draws; ground, ports and the supply's front have none. */
  readonly piece?: Piece;
  /** The part that is left out when this finds no room: itself, or the one that it is tied to. */
  readonly owner?: Piece;
}

export interface Look {
  readonly resistors: two.ResistorStyle;
  /** Standing plate currents, amperes, by triode or follower id. */
  readonly plateAmps?: ReadonlyMap<string, number>;
}

export function symbolOf(piece: Piece, look: Look): Symbol {
  const { written } = piece;
  switch (written.kind) {
    case "resistor":
      return two.resistor(look.resistors);
    case "capacitor":
      return two.capacitor(written.polarised === true);
    case "inductor":
      return two.inductor();
    case "switch":
      return two.toggle(written.closed);
    case "diode":
      return two.diode();
    case "regulator":
      return written.technology === "zener" ? two.zener() : two.gasTube();
    case "dc-source":
      return two.directSource();
    case "current-sink":
      return two.currentSink();
    case "potentiometer":
      return potentiometer();
    case "triode":
      return triode(piece.shared ? piece.triode?.section : undefined);
    case "follower":
      return follower();
    case "jack":
      return jack(written.role);
  }
}

const micro = (value: string): string => value.replace("u", "µ");

/** As written, with the unit that nobody would know otherwise: "10 H", "5mA". */
export function withUnit(value: string, unit: string): string {
  if (value.toUpperCase().endsWith(unit)) return micro(value);
  return `${micro(value)}${/\d$/.test(value) ? "\u202f" : ""}${unit}`;
}

/** Designator and value, and what else a reader of the sheet wants beside the symbol. */
export function linesOf(piece: Piece, look: Look): readonly Line[] {
  const { written } = piece;
  const name: Line = { text: written.id, bold: true };
  const amps = look.plateAmps?.get(piece.id);
  const current: readonly Line[] = amps === undefined ? [] : [{ text: printValue(amps, "A", 3), role: "quiet" }];
  switch (written.kind) {
    case "triode":
      return [name, { text: `${piece.triode?.type ?? ""}${piece.shared ? " ½" : ""}` }, ...current];
    case "potentiometer": {
      const taper = written.taper === "linear" ? "lin" : written.taper;
      const panel = written.label !== undefined && written.label.length <= 8 ? [written.label.toUpperCase()] : [];
      return [name, { text: `${written.value} ${taper}` }, ...panel.map((text): Line => ({ text, role: "quiet" }))];
    }
    case "diode":
      return [name, { text: written.type }];
    case "follower":
      return [name, ...(written.type === undefined ? [] : [{ text: written.type }]), ...current];
    case "regulator":
      return [name, { text: written.type ?? withUnit(written.value, "V") }];
    case "inductor":
      return [name, { text: withUnit(written.value, "H") }];
    case "dc-source":
      return [name, { text: withUnit(written.value, "V") }];
    case "current-sink":
      return [name, { text: withUnit(written.value, "A") }];
    case "jack":
      return [name, { text: written.role === "input" ? "in" : "out", role: "quiet" }];
    case "switch":
      return [name, { text: written.closed ? "closed" : "open", role: "quiet" }];
    default:
      return [name, { text: micro(written.value) }];
  }
}

export function elementOf(piece: Piece, at: Knot, turn: Turn, look: Look, places: readonly Place[]): Element {
  const upright = symbolOf(piece, look);
  return {
    ids: [piece.id],
    symbol: turn === "down" ? upright : turned(upright, turn),
    at,
    nets: piece.pins,
    lines: linesOf(piece, look),
    places,
    piece,
    owner: piece,
  };
}

export function groundAt(at: Knot, owner: Piece): Element {
  return { ids: [], symbol: ground(), at, nets: { "0": "0" }, lines: [], places: [], owner };
}

export function portAt(at: Knot, net: string, lines: readonly Line[], side: "right" | "left", owner: Piece): Element {
  const symbol = side === "right" ? port() : mirrored(port());
  return { ids: [net], symbol, at, nets: { net }, lines, places: [side, "above", "below"], owner };
}

/** Distance between the baselines of a block of words, millimetres. */
export const LEADING = 1.25 * SIZES.small;

export const blockWidth = (lines: readonly Line[]): number =>
  Math.max(0, ...lines.map((line) => textWidth(line.text, SIZES.small, line.bold === true)));

/** Pitches that words beside a symbol take, with the air around them. */
export const pitchesFor = (millimetres: number): number => Math.ceil(millimetres / PITCH);
