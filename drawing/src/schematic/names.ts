/** Names and volts of nets, put beside their wires where there is room. */
import { type Box, boxAround } from "../bounds.ts";
import { type Point, SIZES, type TextItem } from "../scene.ts";
import { DESCENT_EMS } from "../text/index.ts";
import { block, blockHeight, flagAt, isClear, type LeadEnd, wordsRoom } from "./boxes.ts";
import { blockWidth, type Line } from "./element.ts";
import { PITCH } from "./symbol.ts";
import type { Segment } from "./wires.ts";

export const segmentBox = ({ from, to }: Segment): Box => boxAround([from, to], 0.2);

const GAP = 0.8;
/** A block is centred on its capitals; its room reaches deeper by this much. */
const DEEP = (DESCENT_EMS * SIZES.small) / 2;

/** Where a block could stand along a wire, best first: above a level run, beside an upright one, below. */
function* seats(
  segments: readonly Segment[],
  lines: readonly Line[],
): Generator<readonly [Point, "start" | "middle" | "end"]> {
  const half = blockHeight(lines.length) / 2;
  const width = blockWidth(lines);
  const length = ({ from, to }: Segment) => to[0] - from[0] + to[1] - from[1];
  const longest = segments.toSorted((a, b) => length(b) - length(a));
  const level = longest.filter(({ from, to }) => from[1] === to[1]);
  const upright = longest.filter(({ from, to }) => from[0] === to[0]);
  const along = function* (from: number, to: number) {
    for (let at = from; at <= to + 1e-9; at += PITCH / 4) yield at;
  };
  for (const side of [-1, 1]) {
    const rise = side * (half + GAP) - DEEP;
    for (const { from, to } of level)
      for (const x of along(from[0] + width / 2, to[0] - width / 2)) yield [[x, from[1] + rise], "middle"];
    for (const { from, to } of upright)
      for (const y of along(from[1], to[1]))
        yield side < 0 ? [[from[0] - GAP, y], "end"] : [[from[0] + GAP, y], "start"];
  }
  for (const side of [-1, 1])
    for (const { from, to } of level)
      for (const x of along(from[0], to[0])) {
        yield [[x, from[1] + side * (half + GAP) - DEEP], "start"];
        yield [[x, from[1] + side * (half + GAP) - DEEP], "end"];
      }
}

/** The lines beside the net's wires or leads, clear of all that is taken; undefined when there is no room. */
export function nameNet(
  segments: readonly Segment[],
  leads: readonly LeadEnd[],
  lines: readonly Line[],
  taken: readonly Box[],
  ids: readonly string[],
): readonly TextItem[] | undefined {
  for (const [at, anchor] of seats(segments, lines)) {
    const words = block(lines, at, anchor, ids);
    if (isClear(wordsRoom(words, 0.35), taken)) return words;
  }
  if (segments.length > 0) return undefined;
  for (const lead of leads) {
    const words = flagAt(lead, lines, ids);
    if (isClear(wordsRoom(words, 0.2), taken)) return words;
  }
  return undefined;
}
