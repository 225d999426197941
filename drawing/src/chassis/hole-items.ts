/**
 * Holes with their work told by line and shape, never by colour alone: done thin, to cut heavy, to open heavy round the old
 * line dashed, wrong hatched between what is there and what is wanted, spare crossed, to close hatched all over.
 */
import type { ChassisHole } from "@platewright/design";
import type { Outline } from "@platewright/engine";
import { type Item, type Point, type Role, WEIGHTS } from "../scene.ts";
import { crossAt, outlineItem } from "./outline-items.ts";
import type { PlateMap } from "./plate-map.ts";
import { hatch, middleOf, type Shape, shapeBox, shapeOf, throughMiddle } from "./shapes.ts";

/** A heavy line would fill a small hole. */
const dueWeight = (shape: Shape): number => {
  const box = shapeBox(shape);
  return Math.min(WEIGHTS.heavy, Math.max(0.45, 0.3 * Math.min(box.right - box.left, box.bottom - box.top)));
};

const PITCH = 1.1;
/** A centre line reaches past the hole. */
const PAST = 1;

export interface HoleLook {
  readonly map: PlateMap;
  /** The hole of the document that is there. */
  readonly there?: Outline;
  readonly role?: Role;
  /** Centre lines. */
  readonly centre: boolean;
  /** What is there was drawn with another hole that it is in the way of. */
  readonly again?: boolean;
}

/** Ids under which a hole is found: its own, its item's, that of the document's hole. */
export const idsOfHole = (hole: ChassisHole): readonly string[] => [
  hole.id,
  ...(hole.item === undefined ? [] : [hole.item]),
  ...(hole.existing === undefined || hole.existing === hole.id ? [] : [hole.existing]),
];

export function holeItems(hole: ChassisHole, { map, there, role, centre, again }: HoleLook): readonly Item[] {
  const ids = idsOfHole(hole);
  const own = role === undefined ? {} : { role };
  const shape = shapeOf(hole.outline, map);
  const lines = (all: readonly (readonly [Point, Point])[], look: Role): Item[] =>
    all.map(([from, to]) => ({ kind: "line", from, to, weight: WEIGHTS.hair, role: look, ids }));
  const cross = centre ? centreLines(shape, ids, role) : [];
  switch (hole.work) {
    case "done":
      return [outlineItem(hole.outline, map, { weight: WEIGHTS.light, fill: "paper", ids, ...own }), ...cross];
    case "cut":
      return [outlineItem(hole.outline, map, { weight: dueWeight(shape), fill: "paper", ids, ...own }), ...cross];
    case "open-up":
      return [
        outlineItem(hole.outline, map, { weight: dueWeight(shape), fill: "paper", ids, ...own }),
        ...(there === undefined ? [] : [outlineItem(there, map, { weight: WEIGHTS.light, dash: "dash", ids, ...own })]),
        ...cross,
      ];
    case "unresolved": {
      const stop = role ?? "stop";
      if (there === undefined)
        return [outlineItem(hole.outline, map, { weight: WEIGHTS.body, fill: "paper", role: stop, ids }), ...cross];
      const old = shapeOf(there, map);
      const wanted = outlineItem(hole.outline, map, { weight: WEIGHTS.light, dash: "dash", role: stop, ids });
      if (again === true) return [wanted];
      return [
        outlineItem(there, map, { weight: WEIGHTS.body, fill: "paper", role: stop, ids }),
        ...lines([...hatch(old, [shape], PITCH), ...hatch(shape, [old], PITCH)], stop),
        wanted,
      ];
    }
    case "spare":
      return [
        outlineItem(hole.outline, map, { weight: WEIGHTS.light, fill: "paper", ids, ...own }),
        ...lines(
          [45, -45].flatMap((degrees) => {
            const line = throughMiddle(shape, degrees);
            return line === undefined ? [] : [line];
          }),
          role ?? "ink",
        ),
      ];
    case "close":
      return [
        outlineItem(hole.outline, map, { weight: WEIGHTS.light, fill: "paper", ids, ...own }),
        ...lines(hatch(shape, [], PITCH), role ?? "ink"),
      ];
  }
}

function centreLines(shape: Shape, ids: readonly string[], role: Role | undefined): readonly Item[] {
  const box = shapeBox(shape);
  const [x, y] = middleOf(box);
  const look = { weight: WEIGHTS.hair, role: role ?? "quiet", ids } as const;
  const [left, right, top, bottom] =
    shape.kind === "circle"
      ? crossAt([x, y], shape.radius + PAST)
      : ([
          [box.left - PAST, y],
          [box.right + PAST, y],
          [x, box.top - PAST],
          [x, box.bottom + PAST],
        ] as const);
  return [
    { kind: "line", from: left, to: right, ...look },
    { kind: "line", from: top, to: bottom, ...look },
  ];
}
