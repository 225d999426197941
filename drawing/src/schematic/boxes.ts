/** Room that symbols take, and words put beside them where there is room. */
import { type Box, boxAround, itemBox, overlap, textBox } from "../bounds.ts";
import { type Anchor, type Item, type Point, type TextItem, WEIGHTS } from "../scene.ts";
import { CAP_EMS, DESCENT_EMS } from "../text/index.ts";
import { type Element, LEADING, type Line, type Place } from "./element.ts";
import { PITCH, type Side } from "./symbol.ts";

/** Air kept between words and everything else, and between wires and words, millimetres. */
export const AIR = 0.5;

const isLead = (item: Item): boolean => item.kind === "line" && item.weight === WEIGHTS.wire;

const shifted = (box: Box, [x, y]: Point): Box => ({
  left: box.left + x,
  right: box.right + x,
  top: box.top + y,
  bottom: box.bottom + y,
});

export const originOf = ({ at }: Element): Point => [at.x * PITCH, at.y * PITCH];

export function around(boxes: readonly Box[]): Box {
  return boxAround(
    boxes.flatMap((box): readonly Point[] => [
      [box.left, box.top],
      [box.right, box.bottom],
    ]),
  );
}

/** The body of a symbol as one box, and a box for each lead. */
export function solidBoxes(element: Element): readonly Box[] {
  const { items } = element.symbol;
  const body = items.filter((item) => !isLead(item)).map(itemBox);
  return [around(body), ...items.filter(isLead).map(itemBox)].map((box) => shifted(box, originOf(element)));
}

/** The same with air around the body, cut back a little where a wire takes over from a lead. */
export function obstacleBoxes(element: Element): readonly Box[] {
  const ends = leadEnds(element);
  const cut = 0.4;
  return solidBoxes(element).map((box, n) => {
    const air = n === 0 ? AIR : 0;
    let { left, top, right, bottom } = {
      left: box.left - air,
      top: box.top - air,
      right: box.right + air,
      bottom: box.bottom + air,
    };
    for (const { at, side } of ends) {
      const [x, y] = at;
      if (x < box.left - cut || x > box.right + cut || y < box.top - cut || y > box.bottom + cut) continue;
      if (side === "up") top = Math.max(top, y + cut);
      if (side === "down") bottom = Math.min(bottom, y - cut);
      if (side === "left") left = Math.max(left, x + cut);
      if (side === "right") right = Math.min(right, x - cut);
    }
    return { left, top, right, bottom };
  });
}

export interface LeadEnd {
  readonly element: Element;
  readonly net: string;
  readonly at: Point;
  readonly side: Side;
}

export function leadEnds(element: Element): readonly LeadEnd[] {
  const [x, y] = originOf(element);
  return element.symbol.leads.map(({ pin, at, side }) => ({
    element,
    net: element.nets[pin] ?? "0",
    at: [x + at[0], y + at[1]],
    side,
  }));
}

/** Where a block of lines stands. */
export interface Seat {
  readonly at: Point;
  readonly anchor: Anchor;
  /** What of the block is at `at`: its first line's capitals, its middle, or its last line's baseline. */
  readonly hold: "top" | "middle" | "bottom";
}

/** Baselines of a block of lines. */
function baselines(count: number, { at: [, y], hold }: Seat, size: number): readonly number[] {
  const capital = CAP_EMS * size;
  const deep = (count - 1) * LEADING * size;
  const first = hold === "top" ? y + capital : hold === "bottom" ? y - deep : y + (capital - deep) / 2;
  return Array.from({ length: count }, (_, n) => first + n * LEADING * size);
}

/** A block of lines with its middle (or start, or end) at x, held at y. */
export function block(lines: readonly Line[], seat: Seat, ids: readonly string[], size: number): readonly TextItem[] {
  const rows = baselines(lines.length, seat, size);
  return lines.map((line, n) => ({
    kind: "text",
    at: [seat.at[0], rows[n] as number],
    text: line.text,
    size,
    anchor: seat.anchor,
    ids,
    ...(line.bold === true ? { bold: true } : {}),
    ...(line.role === undefined ? {} : { role: line.role }),
  }));
}

/** Room of a block of lines of these widths, without making it. */
export function blockRoom(widths: readonly number[], seat: Seat, size: number, air: number): readonly Box[] {
  const { at, anchor } = seat;
  const rows = baselines(widths.length, seat, size);
  return widths.map((width, n) => {
    const left = anchor === "end" ? at[0] - width : anchor === "middle" ? at[0] - width / 2 : at[0];
    const y = rows[n] as number;
    return {
      left: left - air,
      right: left + width + air,
      top: y - CAP_EMS * size - air,
      bottom: y + DESCENT_EMS * size + air,
    };
  });
}

export const blockHeight = (lines: number, size: number): number =>
  ((lines - 1) * LEADING + CAP_EMS + DESCENT_EMS) * size;

/** Of the symbol of ground below its lead. */
const GROUND_DEPTH = 5;

/** Words beside a body at one of its places. */
function seatAt(element: Element, place: Place, size: number): Seat {
  const solids = solidBoxes(element);
  const body = solids[0] ?? around([]);
  const all = around(solids);
  const gap = 1.2;
  const [x, y] = [(body.left + body.right) / 2, (body.top + body.bottom) / 2];
  switch (place) {
    case "right":
      return { at: [body.right + gap, y], anchor: "start", hold: "middle" };
    case "left":
      return { at: [body.left - gap, y], anchor: "end", hold: "middle" };
    case "under":
      return { at: [body.left - gap, all.top + 2 * AIR + 0.3], anchor: "end", hold: "top" };
    case "above":
      return {
        at: [x, Math.min(body.top, all.top + 3) - gap - DESCENT_EMS * size],
        anchor: "middle",
        hold: "bottom",
      };
    case "below":
      return { at: [x, all.bottom + gap], anchor: "middle", hold: "top" };
    case "foot":
      return { at: [x, all.bottom + GROUND_DEPTH + gap], anchor: "middle", hold: "top" };
  }
}

export const wordsRoom = (words: readonly TextItem[], air = AIR): readonly Box[] =>
  words.map((word) => {
    const box = textBox(word);
    return { left: box.left - air, right: box.right + air, top: box.top - air, bottom: box.bottom + air };
  });

export const isClear = (boxes: readonly Box[], taken: readonly Box[]): boolean =>
  boxes.every((box) => taken.every((other) => !overlap(box, other)));

/** A place for words, and the words that show how much room it has. */
export interface Placed {
  readonly seat: Seat;
  readonly words: readonly TextItem[];
}

/** A place for the words of an element where they meet nothing taken; undefined when no place will do. */
export function placeWords(element: Element, taken: readonly Box[], size: number): Placed | undefined {
  const { lines, ids } = element;
  for (const place of element.places) {
    const seat = seatAt(element, place, size);
    const words = block(lines, seat, ids, size);
    if (isClear(wordsRoom(words), taken)) return { seat, words };
  }
  return undefined;
}

/** The place of a net's name at the end of a lead, outside the symbol. */
export function flagAt({ at: [x, y], side }: LeadEnd, size: number): Seat {
  const gap = 0.9;
  if (side === "right") return { at: [x + gap, y], anchor: "start", hold: "middle" };
  if (side === "left") return { at: [x - gap, y], anchor: "end", hold: "middle" };
  if (side === "up") return { at: [x, y - gap - DESCENT_EMS * size], anchor: "middle", hold: "bottom" };
  return { at: [x, y + gap], anchor: "middle", hold: "top" };
}
