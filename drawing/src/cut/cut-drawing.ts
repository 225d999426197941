/**
 * The plate as it is cut: outline (the blank, where edges are bent), holes, engraved names, notes; from above, or the underside mirrored.
 *
 * Law     Places are the document's: 0, 0 is the front left corner of the bent plate seen from above. On the underside x becomes
 *         width − x; words are not mirrored. A new plate has every hole of every part and none of the old ones; a plate as
 *         it is has only what is still to be cut, and its outline is a note.
 * Limits  A part whose footprint nobody knows, a hole past the plate or in a bend: nothing is drawn, and a sentence says which.
 */
import {
  type ChassisHole,
  type ChassisJudged,
  type ChassisHoles,
  depthInside,
  holesOf,
  boundsOf,
  mirrored,
  plateOutline,
  plateWords,
  solidOf,
  toEdges,
} from "@platewright/design";
import { fail, ok, type Place, type Result } from "@platewright/engine";
import type { CutContour, CutDrawing, CutFailure, CutLine, CutNamed } from "./cut.ts";
import { type FlatPlate, flatPlate } from "./flat.ts";
import { contourOfHole, distinctHoles } from "./holes.ts";
import { engravings } from "./labels.ts";
import { bendWords, FINISH_WORDS, mm, namedWords, notesUnder, TOLERANCE_WORDS } from "./words.ts";

export interface CutLook {
  readonly face: "top" | "under";
  /** A new plate when left out. */
  readonly plate?: "new" | "as-it-is";
  readonly named?: CutNamed;
}

type Asked = Pick<ChassisJudged, "chassis" | "holes" | "bodies" | "footprints">;

export function cutDrawing(judged: Asked, look: CutLook): Result<CutDrawing, CutFailure> {
  const isNew = look.plate !== "as-it-is";
  const { chassis } = judged;
  const { plate } = chassis;
  const [unknown] = judged.holes.unknown;
  if (unknown !== undefined) {
    const footprint = chassis.items.find((one) => one.id === unknown)?.footprint ?? "";
    return fail({
      kind: "no-footprint",
      id: unknown,
      sentence: `${unknown} has the footprint ${footprint}, which nobody knows: its holes cannot be drawn; measure it or name one of the library.`,
    });
  }
  const flat = flatPlate(plate);
  if (!flat.ok) return flat;
  const found = isNew ? holesOnNewPlate(judged) : judged.holes;
  const inPlate = found.holes.filter((hole) => hole.in === "plate");
  const due = inPlate.filter((hole) => hole.work === "cut" || hole.work === "open-up");
  const off = due.map((hole) => offPlate(judged, hole)).find((one) => one !== undefined);
  if (off !== undefined) return fail(off);
  const { holes, contours, notes: joined } = distinctHoles(due);
  const waiting = inPlate.filter((hole) => hole.work === "unresolved");
  const labels =
    look.face === "top" && isNew
      ? engravings(
          judged,
          found.items,
          due.map((hole) => boundsOf(solidOf(hole.outline))),
        )
      : { words: [], notes: [] };
  const notes = [
    ...flat.value.notes,
    ...joined,
    ...waiting.map((hole) => `${hole.label}: ${hole.existing ?? "a hole"} is in the way; nothing is cut there.`),
    ...labels.notes,
  ];
  const outline: CutContour = {
    kind: "outline",
    layer: isNew ? "CUT" : "NOTES",
    ids: [],
    corners: flat.value.corners,
  };
  const there = isNew
    ? []
    : inPlate
        .filter((hole) => hole.work === "done" || hole.work === "close" || hole.work === "spare")
        .map((hole): CutContour => ({ ...contourOfHole(hole, [hole.id]), layer: "NOTES" }));
  const title = `${isNew ? "Plate" : "Plate as it is"}, ${look.face === "top" ? "seen from above" : "UNDERSIDE, seen from below, mirrored"}`;
  const lines = [
    ...(look.named === undefined ? [] : [namedWords(look.named)]),
    `${title}. 1:1, all dimensions in millimetres.`,
    `${plateWords(chassis)}, finish ${FINISH_WORDS[plate.finish ?? "bare"]}`,
    TOLERANCE_WORDS,
    `0, 0 is the front ${look.face === "top" ? "left" : "right"} corner${flat.value.bends.length > 0 ? " of the plate when it is bent" : ""}, at the cross`,
    ...flat.value.bends.map((bend) => bendWords(bend, look.face)),
    ...(flat.value.bends.length === 0
      ? []
      : [
          `blank ${mm(flat.value.right - flat.value.left)} x ${mm(flat.value.rear - flat.value.front)} mm before bending`,
        ]),
    ...notes,
  ];
  return ok(
    seenFrom(look.face, plate.widthMillimetres, {
      title,
      material: plate.material,
      thicknessMillimetres: plate.thicknessMillimetres,
      contours: [outline, ...contours, ...there],
      lines: linesOf(flat.value),
      words: [...labels.words, ...notesUnder(lines, flat.value.left, flat.value.front)],
      holes,
      bends: flat.value.bends,
      left: flat.value.left,
      right: flat.value.right,
      front: flat.value.front,
      rear: flat.value.rear,
      notes,
    }),
  );
}

/** Every hole that the parts want, as if nothing had been cut. */
function holesOnNewPlate({ chassis, footprints }: Asked): ChassisHoles {
  const { salvage: _, ...bare } = chassis;
  return holesOf({ ...bare, holes: chassis.holes.filter((hole) => hole.state === "planned") }, footprints);
}

const HAIR = 1e-3;

function offPlate({ chassis }: Asked, hole: ChassisHole): CutFailure | undefined {
  const solid = solidOf(hole.outline);
  const depth = depthInside(solidOf(plateOutline(chassis.plate)), solid);
  if (depth < -HAIR)
    return {
      kind: "outside",
      id: hole.id,
      sentence: `${hole.label} (${hole.id}) reaches ${mm(-depth)} mm past the plate (${plateWords(chassis)}); it must lie inside.`,
    };
  const { thicknessMillimetres, bends = [] } = chassis.plate;
  const edges = toEdges(chassis.plate, solid);
  for (const { edge, insideRadiusMillimetres } of bends) {
    const into = thicknessMillimetres + insideRadiusMillimetres - edges[edge];
    if (into > HAIR)
      return {
        kind: "bend",
        id: hole.id,
        sentence: `${hole.label} (${hole.id}) reaches ${mm(into)} mm into the bend of the ${edge} edge; it must lie on the flat.`,
      };
  }
  return undefined;
}

/** Half of the datum's cross. */
const DATUM = 5;

const linesOf = ({ bends }: FlatPlate): readonly CutLine[] => [
  { layer: "NOTES", what: "datum", from: { x: -DATUM, y: 0 }, to: { x: DATUM, y: 0 } },
  { layer: "NOTES", what: "datum", from: { x: 0, y: -DATUM }, to: { x: 0, y: DATUM } },
  ...bends.map(({ from, to }): CutLine => ({ layer: "NOTES", what: "bend", from, to })),
];

/** The underside: places mirrored, words where their mirrored line begins. */
function seenFrom(face: "top" | "under", width: number, drawing: CutDrawing): CutDrawing {
  if (face === "top") return drawing;
  const across = <P extends Place>(place: P): P => ({ ...place, x: width - place.x });
  return {
    ...drawing,
    left: width - drawing.right,
    right: width - drawing.left,
    contours: drawing.contours.map(
      (one): CutContour => (one.kind === "circle" ? across(one) : { ...one, corners: mirrored(one.corners, width) }),
    ),
    lines: drawing.lines.map((line) => ({ ...line, from: across(line.from), to: across(line.to) })),
    words: drawing.words.map((one) => ({ ...one, x: one.x + width - drawing.right - drawing.left })),
    holes: drawing.holes.map((hole) =>
      across({
        ...hole,
        shape:
          hole.shape.kind === "circle" || hole.shape.degrees === undefined
            ? hole.shape
            : { ...hole.shape, degrees: -hole.shape.degrees },
      }),
    ),
    bends: drawing.bends.map((bend) => ({ ...bend, from: across(bend.from), to: across(bend.to) })),
  };
}
