/** What was not recognised: each part in a cell of its own, its leads named with their nets. Nothing is ever missing. */
import type { Box } from "../bounds.ts";
import type { Item, TextItem } from "../scene.ts";
import {
  AIR,
  around,
  block,
  flagAt,
  leadEnds,
  type Placed,
  placeWords,
  type Seat,
  solidBoxes,
  wordsRoom,
} from "./boxes.ts";
import { type Element, elementOf, groundAt, type Look, type NetLines } from "./element.ts";
import { GROUND_NET, type Piece } from "./pieces.ts";
import { netSlot, partSlot, type Slot } from "./slots.ts";
import { PITCH } from "./symbol.ts";
import { TWO_PINS } from "./symbols-two.ts";
import { nameOf } from "./words.ts";

export interface Cell {
  readonly elements: readonly Element[];
  readonly slots: readonly Slot[];
  readonly box: Box;
}

function cellOf(piece: Piece, look: Look, say: (net: string) => NetLines, dx = 0, dy = 0): Cell {
  const lies = TWO_PINS[piece.written.kind] !== undefined;
  const upright = piece.written.kind === "potentiometer" ? "left" : piece.written.kind === "jack" ? "above" : "right";
  const at = { x: dx, y: dy };
  const element = elementOf(piece, at, lies ? "right" : "down", look, lies ? ["above", "below"] : [upright, "above"]);
  const elements = [element];
  const words: TextItem[] = [];
  const slots: Slot[] = [];
  const size = look.textSize;
  for (const end of leadEnds(element)) {
    if (end.net === GROUND_NET && end.side === "down")
      elements.push(groundAt({ x: Math.round(end.at[0] / PITCH), y: Math.round(end.at[1] / PITCH) }, piece));
    else {
      const room = say(end.net);
      const seat = flagAt(end, size);
      const flag = block(room.lines, seat, [end.net], size);
      words.push(...flag);
      slots.push({ ...netSlot(end.net, room), ...seat, rows: flag.length });
    }
  }
  const solids = elements.flatMap(solidBoxes);
  const taken = [...solids, ...wordsRoom(words, 0)];
  const own = placeWords(element, taken, size) ?? aboveAll(element, around(taken), size);
  slots.push({ ...partSlot(nameOf(piece)), ...own.seat, rows: own.words.length });
  return { elements, slots, box: around([...solids, ...wordsRoom([...words, ...own.words])]) };
}

/** Where the names of the leads leave no place beside the symbol: over all of it. */
function aboveAll({ lines, ids }: Element, all: Box, size: number): Placed {
  const seat: Seat = { at: [(all.left + all.right) / 2, all.top - AIR - size / 2], anchor: "middle", hold: "bottom" };
  return { seat, words: block(lines, seat, ids, size) };
}

/** Cells in rows no wider than `width` (one cell at least), from (left, top) down; millimetres. */
export function tableOf(
  pieces: readonly Piece[],
  look: Look,
  say: (net: string) => NetLines,
  [left, top]: readonly [number, number],
  width: number,
): readonly Cell[] {
  const cells: Cell[] = [];
  const up = (millimetres: number) => Math.ceil(millimetres / PITCH - 1e-9);
  let [x, y, bottom] = [left, top, top];
  for (const piece of pieces) {
    const loose = cellOf(piece, look, say);
    const wide = loose.box.right - loose.box.left;
    if (x > left && x + wide > left + width) [x, y] = [left, bottom + PITCH];
    const cell = cellOf(piece, look, say, up(x - loose.box.left), up(y - loose.box.top));
    cells.push(cell);
    x = cell.box.right + 2 * PITCH;
    bottom = Math.max(bottom, cell.box.bottom);
  }
  return cells;
}

export const itemsOf = (element: Element): Item => ({
  kind: "group",
  ids: element.ids,
  at: [element.at.x * PITCH, element.at.y * PITCH],
  items: element.symbol.items,
});
