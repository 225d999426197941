import type { Item, Point } from "../scene.ts";
import { WEIGHTS } from "../scene.ts";

/** Millimetres between the lines of the grid on which all leads end and all wires run. */
export const PITCH = 2.5;

export type Side = "up" | "down" | "left" | "right";

/** Where a pin's lead ends, in millimetres on the grid, and the side of the symbol to which it points. */
export interface Lead {
  readonly pin: string;
  readonly at: Point;
  readonly side: Side;
}

/** A symbol about its own origin. Leads are drawn with the weight of a wire; everything heavier or lighter is the body. */
export interface Symbol {
  readonly items: readonly Item[];
  readonly leads: readonly Lead[];
}

/**
 * How a symbol lies. A symbol of two leads is drawn downwards from its first lead; tubes and pots as they stand in a
 * stage. `right` lays them on the side (first lead to the left), `up` and `left` turn first and last lead round.
 */
export type Turn = "down" | "up" | "right" | "left";

/** Distance between the leads of a symbol of two. */
export const SPAN = 5 * PITCH;

const MOVES: Readonly<Record<Turn, (point: Point) => Point>> = {
  down: (point) => point,
  up: ([x, y]) => [x, SPAN - y],
  right: ([x, y]) => [y, -x || 0],
  left: ([x, y]) => [SPAN - y, x],
};

const SIDES: Readonly<Record<Turn, Readonly<Record<Side, Side>>>> = {
  down: { up: "up", down: "down", left: "left", right: "right" },
  up: { up: "down", down: "up", left: "left", right: "right" },
  right: { up: "left", down: "right", left: "down", right: "up" },
  left: { up: "right", down: "left", left: "up", right: "down" },
};

/** The symbol turned. */
export function turned(symbol: Symbol, turn: Turn): Symbol {
  const move = MOVES[turn];
  return {
    items: symbol.items.map((item) => moveItem(item, move)),
    leads: symbol.leads.map(({ pin, at, side }) => ({ pin, at: move(at), side: SIDES[turn][side] })),
  };
}

/** Left and right exchanged. */
export function mirrored(symbol: Symbol): Symbol {
  const move = ([x, y]: Point): Point => [-x || 0, y];
  const swap: Readonly<Record<Side, Side>> = { up: "up", down: "down", left: "right", right: "left" };
  return {
    items: symbol.items.map((item) => moveItem(item, move)),
    leads: symbol.leads.map(({ pin, at, side }) => ({ pin, at: move(at), side: swap[side] })),
  };
}

function moveItem(item: Item, move: (point: Point) => Point): Item {
  switch (item.kind) {
    case "line":
      return { ...item, from: move(item.from), to: move(item.to) };
    case "polyline":
    case "path":
      return { ...item, points: item.points.map(move) };
    default:
      return { ...item, at: move(item.at) };
  }
}

export const lead = (x1: number, y1: number, x2: number, y2: number): Item => ({
  kind: "line",
  from: [x1, y1],
  to: [x2, y2],
  weight: WEIGHTS.wire,
});

export const stroke = (points: readonly Point[], weight: number = WEIGHTS.body, dash?: "dash" | "dot"): Item => ({
  kind: "polyline",
  points,
  weight,
  ...(dash === undefined ? {} : { dash }),
});

export const outline = (points: readonly Point[], filled = false): Item => ({
  kind: "path",
  points,
  weight: WEIGHTS.body,
  ...(filled ? { fill: "ink" } : {}),
});

export const circle = (x: number, y: number, radius: number, weight: number = WEIGHTS.body, filled = false): Item => ({
  kind: "circle",
  at: [x, y],
  radius,
  weight,
  ...(filled ? { fill: "ink" } : {}),
});

/** Points of an arc, angles in degrees from the right, clockwise as y runs down. */
export function arc(x: number, y: number, radius: number, from: number, to: number): readonly Point[] {
  const steps = Math.max(4, Math.ceil(Math.abs(to - from) / 7.5));
  return Array.from({ length: steps + 1 }, (_, n): Point => {
    const angle = ((from + ((to - from) * n) / steps) * Math.PI) / 180;
    return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)];
  });
}
