/** What a supply's chain is drawn with: pieces on a sheet, the room they take, words beside them. */
import { type Box, overlap, textBox } from "../bounds.ts";
import { type Anchor, type Item, type Point, type Role, SIZES, WEIGHTS } from "../scene.ts";
import { textWidth } from "../text/index.ts";

/** A run of words in one look. */
export interface Word {
  readonly text: string;
  readonly role?: Role;
  readonly bold?: boolean;
  /** Larger, for the number that matters. */
  readonly large?: boolean;
}

export type Line = readonly Word[];

/** 15 px on the screen. */
export const LARGE = 3.97;
export const LEADING = 4.4;

export interface Sheet {
  /** What can be pressed, lowest. */
  readonly grounds: Item[];
  readonly items: Item[];
  readonly taken: Box[];
}

export const emptySheet = (): Sheet => ({ grounds: [], items: [], taken: [] });

const sizeOf = (word: Word): number => (word.large === true ? LARGE : SIZES.small);
const SPACE = 0.28;

const wordWidth = (word: Word): number => textWidth(word.text, sizeOf(word), word.bold === true);

export const lineWidth = (line: Line): number =>
  line.reduce((sum, word, n) => sum + wordWidth(word) + (n === 0 ? 0 : SPACE * sizeOf(word)), 0);

export const blockWidth = (lines: readonly Line[]): number => Math.max(0, ...lines.map(lineWidth));

/** Lines of words from a first baseline down; answers the room they take. */
export function write(
  sheet: Sheet,
  lines: readonly Line[],
  [x, y]: Point,
  anchor: Anchor = "start",
  ids: readonly string[] = [],
): Box {
  let room: Box = { left: x, right: x, top: y, bottom: y };
  for (const [n, line] of lines.entries()) {
    const width = lineWidth(line);
    let at = anchor === "middle" ? x - width / 2 : anchor === "end" ? x - width : x;
    for (const [k, word] of line.entries()) {
      if (k > 0) at += SPACE * sizeOf(word);
      const item = {
        kind: "text",
        at: [at, y + n * LEADING] as Point,
        text: word.text,
        size: sizeOf(word),
        ...(word.role === undefined ? {} : { role: word.role }),
        ...(word.bold === true ? { bold: true } : {}),
        ...(ids.length === 0 ? {} : { ids }),
      } as const;
      sheet.items.push(item);
      room = union(room, textBox(item));
      at += wordWidth(word);
    }
  }
  sheet.taken.push(room);
  return room;
}

export const union = (a: Box, b: Box): Box => ({
  left: Math.min(a.left, b.left),
  right: Math.max(a.right, b.right),
  top: Math.min(a.top, b.top),
  bottom: Math.max(a.bottom, b.bottom),
});

export const boxOf = (left: number, top: number, right: number, bottom: number): Box => ({ left, top, right, bottom });

/** Where something stands that can be pressed: clear of ink, below everything. */
export function press(sheet: Sheet, ids: readonly string[], box: Box): void {
  sheet.grounds.push({
    kind: "rect",
    at: [box.left, box.top],
    width: box.right - box.left,
    height: box.bottom - box.top,
    weight: 0,
    fill: "paper",
    ids,
  });
}

export function wire(sheet: Sheet, points: readonly Point[], ids: readonly string[] = []): void {
  sheet.items.push({ kind: "polyline", points, weight: WEIGHTS.wire, ...(ids.length === 0 ? {} : { ids }) });
}

export function dot(sheet: Sheet, at: Point, ids: readonly string[] = []): void {
  sheet.items.push({
    kind: "circle",
    at,
    radius: 0.75,
    weight: 0,
    fill: "ink",
    ...(ids.length === 0 ? {} : { ids }),
  });
}

export function draw(sheet: Sheet, items: readonly Item[], at: Point, ids: readonly string[]): void {
  sheet.items.push({ kind: "group", at, items, ...(ids.length === 0 ? {} : { ids }) });
}

/** Room between two things that have nothing to do with each other. */
const GAP = 1.2;

export const isClear = (sheet: Sheet, boxes: readonly Box[]): boolean =>
  boxes.every((box) => sheet.taken.every((other) => !overlap(box, other, GAP)));

/** An arrow head that points right or down, its tip at a point. */
export function arrow(sheet: Sheet, [x, y]: Point, way: "right" | "down"): void {
  const points: readonly Point[] =
    way === "right"
      ? [
          [x, y],
          [x - 2.4, y - 1.1],
          [x - 2.4, y + 1.1],
        ]
      : [
          [x, y],
          [x - 1.1, y - 2.4],
          [x + 1.1, y - 2.4],
        ];
  sheet.items.push({ kind: "path", points, weight: 0, fill: "ink" });
}
