/** Room that symbols take, and words put beside them where there is room. */
import { type Box, boxAround, itemBox, overlap, textBox } from "../bounds.ts";
import { type Item, type Point, SIZES, type TextItem, WEIGHTS } from "../scene.ts";
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

/** A block of lines with its middle (or start, or end) at x, centred on y. */
export function block(
  lines: readonly Line[],
  [x, y]: Point,
  anchor: "start" | "middle" | "end",
  ids: readonly string[],
): readonly TextItem[] {
  const capital = CAP_EMS * SIZES.small;
  const first = y + capital / 2 - ((lines.length - 1) * LEADING) / 2;
  return lines.map((line, n) => ({
    kind: "text",
    at: [x, first + n * LEADING],
    text: line.text,
    size: SIZES.small,
    anchor,
    ids,
    ...(line.bold === true ? { bold: true } : {}),
    ...(line.role === undefined ? {} : { role: line.role }),
  }));
}

export const blockHeight = (lines: number): number => (lines - 1) * LEADING + (CAP_EMS + DESCENT_EMS) * SIZES.small;

/** Words beside a body at one of its places. */
function wordsAt(element: Element, place: Place): readonly TextItem[] {
  const solids = solidBoxes(element);
  const body = solids[0] ?? around([]);
  const all = around(solids);
  const gap = 1.2;
  const [x, y] = [(body.left + body.right) / 2, (body.top + body.bottom) / 2];
  const half = blockHeight(element.lines.length) / 2;
  const { lines, ids } = element;
  switch (place) {
    case "right":
      return block(lines, [body.right + gap, y], "start", ids);
    case "left":
      return block(lines, [body.left - gap, y], "end", ids);
    case "above":
      return block(lines, [x, Math.min(body.top, all.top + 3) - gap - half], "middle", ids);
    case "below":
      return block(lines, [x, all.bottom + gap + half], "middle", ids);
  }
}

export const wordsRoom = (words: readonly TextItem[], air = AIR): readonly Box[] =>
  words.map((word) => {
    const box = textBox(word);
    return { left: box.left - air, right: box.right + air, top: box.top - air, bottom: box.bottom + air };
  });

export const isClear = (boxes: readonly Box[], taken: readonly Box[]): boolean =>
  boxes.every((box) => taken.every((other) => !overlap(box, other)));

/** The words of an element where they meet nothing taken; undefined when no place will do. */
export function placeWords(element: Element, taken: readonly Box[]): readonly TextItem[] | undefined {
  if (element.lines.length === 0) return [];
  for (const place of element.places) {
    const words = wordsAt(element, place);
    if (isClear(wordsRoom(words), taken)) return words;
  }
  return undefined;
}

/** The name of a net at the end of a lead, outside the symbol. */
export function flagAt(
  { at: [x, y], side }: LeadEnd,
  lines: readonly Line[],
  ids: readonly string[],
): readonly TextItem[] {
  const half = blockHeight(lines.length) / 2;
  const gap = 0.9;
  if (side === "right") return block(lines, [x + gap, y], "start", ids);
  if (side === "left") return block(lines, [x - gap, y], "end", ids);
  return block(lines, [x, side === "up" ? y - gap - half : y + gap + half], "middle", ids);
}
