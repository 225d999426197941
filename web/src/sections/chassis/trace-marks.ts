/**
 * The marks on a photo in the order in which they are set: two known distances, the corner, the front edge, then holes. Pure:
 * the screen tells what was pressed and shows what stands.
 */
import { fail, type Result } from "@platewright/engine";
import {
  type Frame,
  type HoleMarks,
  type Mark,
  type TracedHole,
  tracedHole,
  traceMap,
  type TraceMap,
} from "./trace.ts";

export const STEPS = [
  { id: "alongFrom", words: "First end of a known distance along the front edge" },
  { id: "alongTo", words: "Its other end" },
  { id: "acrossFrom", words: "First end of a known distance across, front to rear" },
  { id: "acrossTo", words: "Its other end" },
  { id: "corner", words: "The front left corner of the plate" },
  { id: "edge", words: "A point far along the front edge" },
] as const;
export type FrameMark = (typeof STEPS)[number]["id"];

export type HoleBy = "centre" | "rim";
export const MARKS_OF: { readonly [B in HoleBy]: 2 | 3 } = { centre: 2, rim: 3 };

export interface Marks {
  readonly frame: { readonly [M in FrameMark]?: Mark };
  readonly holes: readonly { readonly by: HoleBy; readonly marks: readonly Mark[] }[];
  /** Of the hole that is being marked. */
  readonly begun: readonly Mark[];
  readonly by: HoleBy;
  /** The frame's mark that is set next though others are open. */
  readonly again?: FrameMark;
}

export const NO_MARKS: Marks = { frame: {}, holes: [], begun: [], by: "centre" };

/** What the next press sets; undefined: a hole's mark. */
export const nextOf = (marks: Marks): FrameMark | undefined =>
  marks.again ?? STEPS.find(({ id }) => marks.frame[id] === undefined)?.id;

export function marked(marks: Marks, mark: Mark): Marks {
  const next = nextOf(marks);
  const { again: _again, ...rest } = marks;
  if (next !== undefined) return { ...rest, frame: { ...marks.frame, [next]: mark } };
  const begun = [...marks.begun, mark];
  return begun.length < MARKS_OF[marks.by]
    ? { ...rest, begun }
    : { ...rest, begun: [], holes: [...marks.holes, { by: marks.by, marks: begun }] };
}

/** Takes the last mark back. */
export function unmarked(marks: Marks): Marks {
  const { again, ...rest } = marks;
  if (again !== undefined) return rest;
  if (marks.begun.length > 0) return { ...rest, begun: marks.begun.slice(0, -1) };
  const last = marks.holes.at(-1);
  if (last !== undefined)
    return { ...rest, by: last.by, holes: marks.holes.slice(0, -1), begun: last.marks.slice(0, -1) };
  const set = STEPS.filter(({ id }) => marks.frame[id] !== undefined).at(-1);
  if (set === undefined) return rest;
  const { [set.id]: _gone, ...frame } = marks.frame;
  return { ...rest, frame };
}

export const withoutHole = (marks: Marks, at: number): Marks => ({
  ...marks,
  holes: marks.holes.filter((_, n) => n !== at),
});

export interface Distances {
  readonly along: number | undefined;
  readonly across: number | undefined;
}

/** The frame when all of it is set. */
export function frameOf(marks: Marks, distances: Distances, fromBelow: boolean): Frame | undefined {
  const { alongFrom, alongTo, acrossFrom, acrossTo, corner, edge } = marks.frame;
  if (!alongFrom || !alongTo || !acrossFrom || !acrossTo || !corner || !edge) return undefined;
  return {
    distances: [
      { from: alongFrom, to: alongTo, millimetres: distances.along ?? 0 },
      { from: acrossFrom, to: acrossTo, millimetres: distances.across ?? 0 },
    ],
    corner,
    edge,
    fromBelow,
  };
}

export interface Traced {
  readonly map: Result<TraceMap, string>;
  readonly holes: readonly Result<TracedHole, string>[];
}

export function tracedOf(marks: Marks, distances: Distances, fromBelow: boolean): Traced | undefined {
  const frame = frameOf(marks, distances, fromBelow);
  if (frame === undefined) return undefined;
  return {
    map: traceMap(frame),
    holes: marks.holes.map(({ marks: set }) => {
      const hole = holeMarks(set);
      return hole === undefined ? fail("A mark is missing.") : tracedHole(frame, hole);
    }),
  };
}

function holeMarks([first, second, third]: readonly Mark[]): HoleMarks | undefined {
  if (first === undefined || second === undefined) return undefined;
  return third === undefined ? [first, second] : [first, second, third];
}
