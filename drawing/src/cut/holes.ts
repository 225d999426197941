/**
 * The holes that are to be cut, once each: what is doubled is joined, what lies inside another is left out, what crosses is said.
 */
import { type ChassisHole, contourOf, depthInside, gapBetween, type Solid, solidOf } from "@platewright/design";
import type { CutContour, CutHole } from "./cut.ts";

interface Held {
  readonly hole: ChassisHole;
  readonly solid: Solid;
  readonly ids: string[];
}

export interface DistinctHoles {
  readonly holes: readonly CutHole[];
  readonly contours: readonly CutContour[];
  readonly notes: readonly string[];
}

/** Closer than this they are one: no machine cuts finer. */
const SAME = 0.02;

export function distinctHoles(holes: readonly ChassisHole[]): DistinctHoles {
  const notes: string[] = [];
  const held: Held[] = [];
  for (const hole of [...holes].sort((one, other) => reach(other) - reach(one))) {
    const solid = solidOf(hole.outline);
    const around = held.find((one) => depthInside(one.solid, solid) >= -SAME);
    if (around === undefined) {
      held.push({ hole, solid, ids: [hole.id] });
      continue;
    }
    const same = depthInside(solid, around.solid) >= -SAME;
    if (same) around.ids.push(hole.id);
    notes.push(
      same
        ? `${hole.id} and ${around.hole.id} are one hole, cut once.`
        : `${hole.id} lies inside ${around.hole.id} and is not cut apart.`,
    );
  }
  const order = new Map(holes.map((hole, n) => [hole.id, n]));
  held.sort((one, other) => (order.get(one.hole.id) ?? 0) - (order.get(other.hole.id) ?? 0));
  for (const [n, one] of held.entries())
    for (const other of held.slice(n + 1))
      if (gapBetween(one.solid, other.solid) < -SAME)
        notes.push(`${one.hole.id} and ${other.hole.id} cross: ask before cutting what their common outline is to be.`);
  return {
    holes: held.map(({ hole, ids }) => ({
      ids,
      label: hole.label,
      x: hole.x,
      y: hole.y,
      shape: hole.shape,
      underMillimetres: hole.underMillimetres,
      overMillimetres: hole.overMillimetres,
      ...(hole.thread === undefined ? {} : { thread: hole.thread }),
    })),
    contours: held.map(({ hole, ids }) => contourOfHole(hole, ids)),
    notes,
  };
}

/** Large before small, so that what lies inside finds what it lies in. */
function reach({ outline }: ChassisHole): number {
  const { core, radius } = solidOf(outline);
  const xs = core.map((one) => one.x);
  const ys = core.map((one) => one.y);
  return (
    (Math.max(...xs) - Math.min(...xs) + 2 * radius + SAME) * (Math.max(...ys) - Math.min(...ys) + 2 * radius + SAME)
  );
}

export function contourOfHole({ outline }: Pick<ChassisHole, "outline">, ids: readonly string[]): CutContour {
  if (outline.kind === "circle") {
    const { x, y, diameterMillimetres } = outline;
    return { kind: "circle", layer: "CUT", ids, x, y, diameterMillimetres };
  }
  return { kind: "outline", layer: "CUT", ids, corners: contourOf(outline) };
}
