/** A socket seen from below: its pins on their circle, what comes to each, and the wires that move. */
import type { Item, Point } from "../scene.ts";
import { WEIGHTS } from "../scene.ts";
import { letterWidth, PAPER_SIZES, type Run, runsOf, wrapRuns } from "./letters.ts";
import { lineHeight, lineOfRuns } from "./piece.ts";

/** Pins of each socket: how many, on how many equal places of the circle, and the place of the first after the key. */
export const SOCKET_PLACES: Readonly<
  Record<string, { readonly pins: number; readonly places: number; readonly first: number }>
> = {
  noval: { pins: 9, places: 10, first: 1 },
  "7-pin miniature": { pins: 7, places: 8, first: 1 },
  octal: { pins: 8, places: 8, first: 0.5 },
  UX4: { pins: 4, places: 4, first: 0.5 },
  UY5: { pins: 5, places: 5, first: 0.5 },
};

export interface PinLabel {
  readonly pin: string;
  /** Lines beside the pin; the first is what the pin is. */
  readonly lines: readonly (string | Run)[];
  readonly heavy: boolean;
}

export interface PinArrow {
  readonly from: string;
  readonly to: string;
  /** "a". */
  readonly name: string;
}

/** Where a pin stands, about the socket's middle: clockwise from the key, which is at the bottom of the drawing. */
export function pinAt(socket: string, pin: string, radius: number): Point {
  const { places, first } = SOCKET_PLACES[socket] ?? { places: 10, first: 1 };
  const angle = Math.PI / 2 + ((Number(pin) - 1 + first) * 2 * Math.PI) / places;
  return [radius * Math.cos(angle), radius * Math.sin(angle)];
}

const RADIUS = { body: 24, pins: 18.5, pin: 2.9, label: 27 } as const;

/** The socket with its labels; `width` is the room it may take. */
export function socketDrawing(
  socket: string,
  labels: readonly PinLabel[],
  arrows: readonly PinArrow[],
  width: number,
): { readonly items: readonly Item[]; readonly width: number; readonly height: number } {
  const middle: Point = [width / 2, RADIUS.label + 9];
  const items: Item[] = [
    { kind: "circle", at: middle, radius: RADIUS.body, weight: WEIGHTS.body },
    {
      kind: "path",
      points: [
        [middle[0], middle[1] + RADIUS.body - 4.6],
        [middle[0] - 1.9, middle[1] + RADIUS.body - 1.4],
        [middle[0] + 1.9, middle[1] + RADIUS.body - 1.4],
      ],
      weight: 0,
      fill: "ink",
    },
  ];
  const size = PAPER_SIZES.text;
  const at = (pin: string, radius: number): Point => {
    const [x, y] = pinAt(socket, pin, radius);
    return [middle[0] + x, middle[1] + y];
  };
  // The longer a way, the further it bows to the middle and beyond, so that no two run together.
  const reach = ({ from, to }: PinArrow) => Math.hypot(at(from, 1)[0] - at(to, 1)[0], at(from, 1)[1] - at(to, 1)[1]);
  for (const [n, arrow] of arrows.toSorted((a, b) => reach(a) - reach(b)).entries())
    items.push(
      ...arrowItems(at(arrow.from, RADIUS.pins), at(arrow.to, RADIUS.pins), middle, arrow.name, 0.35 + 0.5 * n),
    );
  for (const { pin, lines, heavy } of labels) {
    const [x, y] = at(pin, RADIUS.pins);
    items.push({
      kind: "circle",
      at: [x, y],
      radius: RADIUS.pin,
      weight: WEIGHTS.wire,
      fill: heavy ? "ink" : "paper",
    });
    items.push({
      kind: "text",
      at: [x, y + 1.35],
      text: pin,
      size: PAPER_SIZES.value,
      anchor: "middle",
      bold: true,
      role: heavy ? "paper" : "ink",
    });
    const [lx, ly] = at(pin, RADIUS.label);
    const side = Math.abs(lx - middle[0]) < 4 ? "middle" : lx < middle[0] ? "end" : "start";
    const room = side === "middle" ? 60 : side === "end" ? lx : width - lx;
    const rows = lines.flatMap((line, n) =>
      wrapRuns(runsOf(typeof line === "string" ? { text: line, bold: heavy && n === 0 } : line), room, size),
    );
    const top =
      ly < middle[1] - 20 ? ly - (rows.length - 1) * lineHeight(size) : ly - ((rows.length - 1) * lineHeight(size)) / 2;
    for (const [n, row] of rows.entries())
      items.push(...lineOfRuns(row, [lx, top + 1.1 + n * lineHeight(size)], size, side));
  }
  const foot = middle[1] + RADIUS.body + 5.5;
  items.push({
    kind: "text",
    at: [middle[0], foot],
    text: "seen from below",
    size: PAPER_SIZES.value,
    anchor: "middle",
    bold: true,
  });
  const count = SOCKET_PLACES[socket]?.pins ?? 9;
  items.push(...centred(`▲ key: between pins ${count} and 1, clockwise from there`, [middle[0], foot + 4.6]));
  return { items, width, height: foot + 6 };
}

const centred = (text: string, [x, y]: Point): readonly Item[] => [
  { kind: "text", at: [x - letterWidth(text, PAPER_SIZES.text) / 2, y], text, size: PAPER_SIZES.text },
];

/** A bow through the inside of the circle, with its letter in a ring and a head at the end. */
function arrowItems(from: Point, to: Point, middle: Point, name: string, pull: number): readonly Item[] {
  const chord: Point = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
  const bend: Point = [chord[0] + (middle[0] - chord[0]) * pull, chord[1] + (middle[1] - chord[1]) * pull];
  const on = (t: number): Point => [
    (1 - t) ** 2 * from[0] + 2 * t * (1 - t) * bend[0] + t ** 2 * to[0],
    (1 - t) ** 2 * from[1] + 2 * t * (1 - t) * bend[1] + t ** 2 * to[1],
  ];
  // Ends at the rim of the pin.
  let end = 1;
  while (end > 0.5 && Math.hypot(on(end)[0] - to[0], on(end)[1] - to[1]) < RADIUS.pin + 0.5) end -= 0.01;
  const points = Array.from({ length: 25 }, (_, n) => on((end * n) / 24));
  const tip = on(end);
  const back = on(end - 0.06);
  const angle = Math.atan2(tip[1] - back[1], tip[0] - back[0]);
  const barb = (turn: number): Point => [tip[0] - 2.6 * Math.cos(angle + turn), tip[1] - 2.6 * Math.sin(angle + turn)];
  const ring = on(end / 2);
  return [
    { kind: "polyline", points, weight: WEIGHTS.heavy },
    { kind: "path", points: [tip, barb(0.42), barb(-0.42)], weight: 0, fill: "ink" },
    { kind: "circle", at: ring, radius: 2.3, weight: WEIGHTS.wire, fill: "paper" },
    { kind: "text", at: [ring[0], ring[1] + 1.1], text: name, size: PAPER_SIZES.text, anchor: "middle", bold: true },
  ];
}
