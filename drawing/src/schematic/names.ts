/** Names and volts of nets, put beside their wires where there is room. */
import { type Box, boxAround, overlap } from "../bounds.ts";
import { DESCENT_EMS } from "../text/index.ts";
import { block, blockRoom, flagAt, isClear, type LeadEnd, type Placed, type Seat } from "./boxes.ts";
import { blockWidth, type Line } from "./element.ts";
import { PITCH } from "./symbol.ts";
import type { Segment } from "./wires.ts";

export const segmentBox = ({ from, to }: Segment): Box => boxAround([from, to], 0.2);

const GAP = 0.8;

/** Where a block could stand along a wire, best first: above a level run, beside an upright one, below. */
function* seats(segments: readonly Segment[], lines: readonly Line[], size: number): Generator<Seat> {
  const width = blockWidth(lines, size);
  const length = ({ from, to }: Segment) => to[0] - from[0] + to[1] - from[1];
  const longest = segments.toSorted((a, b) => length(b) - length(a));
  const level = longest.filter(({ from, to }) => from[1] === to[1]);
  const upright = longest.filter(({ from, to }) => from[0] === to[0]);
  const along = function* (from: number, to: number) {
    for (let at = from; at <= to + 1e-9; at += PITCH / 4) yield at;
  };
  const off = (y: number, side: number) =>
    side < 0 ? ({ y: y - GAP - DESCENT_EMS * size, hold: "bottom" } as const) : ({ y: y + GAP, hold: "top" } as const);
  for (const side of [-1, 1]) {
    for (const { from, to } of level) {
      const { y, hold } = off(from[1], side);
      for (const x of along(from[0] + width / 2, to[0] - width / 2)) yield { at: [x, y], anchor: "middle", hold };
    }
    for (const { from, to } of upright)
      for (const y of along(from[1], to[1]))
        yield side < 0
          ? { at: [from[0] - GAP, y], anchor: "end", hold: "middle" }
          : { at: [from[0] + GAP, y], anchor: "start", hold: "middle" };
  }
  for (const side of [-1, 1])
    for (const { from, to } of level) {
      const { y, hold } = off(from[1], side);
      for (const x of along(from[0], to[0])) {
        yield { at: [x, y], anchor: "start", hold };
        yield { at: [x, y], anchor: "end", hold };
      }
    }
}

/** A place for the lines beside the net's wires or leads, clear of all that is taken; undefined when there is no room. */
export function nameNet(
  segments: readonly Segment[],
  leads: readonly LeadEnd[],
  lines: readonly Line[],
  taken: readonly Box[],
  ids: readonly string[],
  size: number,
): Placed | undefined {
  const widths = lines.map((line) => blockWidth([line], size));
  const reach = Math.max(...widths) + 2 * size * lines.length;
  const ends = [...segments.flatMap(({ from, to }) => [from, to]), ...leads.map(({ at }) => at)];
  const area = boxAround(ends, reach);
  const near = taken.filter((box) => overlap(box, area));
  for (const seat of seats(segments, lines, size))
    if (isClear(blockRoom(widths, seat, size, 0.35), near)) return { seat, words: block(lines, seat, ids, size) };
  if (segments.length > 0) return undefined;
  for (const lead of leads) {
    const seat = flagAt(lead, size);
    if (isClear(blockRoom(widths, seat, size, 0.2), near)) return { seat, words: block(lines, seat, ids, size) };
  }
  return undefined;
}
