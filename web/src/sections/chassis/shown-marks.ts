/** What is drawn over a photo: the marks that were set, and where the holes that are entered already would lie. */
import { type DocumentHole, gapBetween, outlineOf, solidOf } from "@platewright/design";
import type { ShownMark } from "./photo-stage.tsx";
import type { TracedHole, TraceMap } from "./trace.ts";
import { type FrameMark, type Marks, STEPS, type Traced } from "./trace-marks.ts";

const NAMES: { readonly [M in FrameMark]: string } = {
  alongFrom: "along",
  alongTo: "along",
  acrossFrom: "across",
  acrossTo: "across",
  corner: "0, 0",
  edge: "front edge",
};

/** The circle through three rim points, where it was read. */
function rimCircle(traced: Traced | undefined, at: number): readonly ShownMark[] {
  const hole = traced?.holes[at];
  if (traced?.map.ok !== true || hole?.ok !== true) return [];
  const { along, across, toPhoto } = traced.map.value;
  return [{ ...toPhoto(hole.value), words: "", radius: hole.value.diameterMillimetres / (along + across) }];
}

export function shownMarks(marks: Marks, traced: Traced | undefined): readonly ShownMark[] {
  return [
    ...STEPS.flatMap(({ id }): readonly ShownMark[] => {
      const mark = marks.frame[id];
      return mark === undefined ? [] : [{ u: mark.u, v: mark.v, words: NAMES[id] }];
    }),
    ...marks.holes.flatMap(({ by, marks: set }, n): readonly ShownMark[] => {
      const [first, second] = set;
      if (first === undefined || second === undefined) return [];
      return by === "centre"
        ? [{ u: first.u, v: first.v, words: String(n + 1), radius: Math.hypot(second.u - first.u, second.v - first.v) }]
        : [...rimCircle(traced, n), ...set.map(({ u, v }, k) => ({ u, v, words: k === 0 ? String(n + 1) : "" }))];
    }),
    ...marks.begun.map(({ u, v }) => ({ u, v, words: "" })),
  ];
}

/** Round holes of the document, dashed: they show whether the marks of the frame are right. */
export const enteredHoles = (map: TraceMap, holes: readonly DocumentHole[]): readonly ShownMark[] =>
  holes.flatMap((hole): readonly ShownMark[] => {
    if (hole.shape.kind !== "circle" || hole.state !== "cut") return [];
    const radius = hole.shape.diameterMillimetres / (map.along + map.across);
    return [{ ...map.toPhoto(hole), words: "", radius, dashed: true }];
  });

/** The hole that is entered already where one was traced. */
export function enteredAt(traced: TracedHole, holes: readonly DocumentHole[]): string | undefined {
  const { x, y, diameterMillimetres } = traced;
  const solid = solidOf({ kind: "circle", x, y, diameterMillimetres });
  return holes.find((hole) => gapBetween(solidOf(outlineOf(hole.shape, hole)), solid) < 0)?.id;
}
