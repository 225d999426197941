/** Rings, cover plates and sub-plates as drawings of their own, seen as on the plate from above. */
import {
  CARRIER_WORDS,
  type Carrier,
  type ChassisHole,
  type ChassisJudged,
  contourOf,
  boundsOf,
  solidOf,
} from "@platewright/design";
import type { Place } from "@platewright/engine";
import type { CutContour, CutDrawing, CutHole, CutNamed } from "./cut.ts";
import { mm, namedWords, notesUnder, TOLERANCE_WORDS } from "./words.ts";

export interface CarrierDrawing {
  readonly carrier: Carrier;
  /** "ring-v3": names its files. */
  readonly name: string;
  readonly drawing: CutDrawing;
}

/** From the front left corner of each carrier's own room. */
export function carrierDrawings(
  { holes, chassis }: Pick<ChassisJudged, "holes" | "chassis">,
  named?: CutNamed,
): readonly CarrierDrawing[] {
  const names = new Set<string>();
  return holes.carriers.map((carrier) => {
    const label = chassis.items.find((one) => one.id === carrier.item)?.label ?? carrier.item;
    const name = freeName(fileName(carrier), names);
    names.add(name);
    return { carrier, name, drawing: carrierDrawing(carrier, holes.holes, label, named) };
  });
}

/** Small letters, digits and dashes alone, so that it is a name of a file everywhere. */
const fileName = ({ kind, item }: Carrier): string =>
  `${CARRIER_WORDS[kind].replace(" ", "-")}-${item.toLowerCase().replace(/[^a-z0-9-]/g, "-")}`.slice(0, 50);

function freeName(name: string, taken: ReadonlySet<string>): string {
  for (let n = 1; ; n++) {
    const tried = n === 1 ? name : `${name}-${n}`;
    if (!taken.has(tried)) return tried;
  }
}

function carrierDrawing(
  carrier: Carrier,
  rows: readonly ChassisHole[],
  name: string,
  named: CutNamed | undefined,
): CutDrawing {
  const bounds = boundsOf(solidOf(carrier.outline));
  const at = (place: Place): Place => ({ x: place.x - bounds.left, y: place.y - bounds.front });
  const holes: CutHole[] = [
    ...carrier.holes.flatMap((hole): readonly CutHole[] => {
      if (hole.outline.kind === "polygon") return [];
      const { x, y, ...shape } = hole.outline;
      const row = rows.find((one) => one.id === `${carrier.item}/${hole.id}` && one.in !== "plate");
      return [
        {
          ids: [`${carrier.item}/${hole.id}`],
          label: `${name} ${hole.id.replace("-", " ")}`,
          ...at({ x, y }),
          shape,
          underMillimetres: row?.underMillimetres ?? 0,
          overMillimetres: row?.overMillimetres ?? 0,
          ...(hole.thread === undefined ? {} : { thread: hole.thread }),
        },
      ];
    }),
    ...carrier.fixing.map(
      (screw): CutHole => ({
        ids: [`${carrier.item}/${screw.id}`],
        label: `${name} ${CARRIER_WORDS[carrier.kind]}, ${screw.id.replace("-", " ")}`,
        ...at(screw),
        shape: { kind: "circle", diameterMillimetres: screw.diameterMillimetres },
        underMillimetres: 0.15,
        overMillimetres: 0.8,
        ...(carrier.countersunk ? { countersunk: true } : {}),
      }),
    ),
  ];
  const contours = holes.map((hole): CutContour => {
    const outline = { ...hole.shape, x: hole.x, y: hole.y };
    return outline.kind === "circle"
      ? {
          layer: "CUT",
          ids: hole.ids,
          kind: "circle",
          x: hole.x,
          y: hole.y,
          diameterMillimetres: outline.diameterMillimetres,
        }
      : { layer: "CUT", ids: hole.ids, kind: "outline", corners: contourOf(outline) };
  });
  const title = `${capital(CARRIER_WORDS[carrier.kind])} for ${name}, seen from above`;
  const tapped = holes.filter((hole) => hole.thread !== undefined);
  const notes = [
    `lies on the ${carrier.face === "top" ? "top" : "underside"} of the plate over hole ${carrier.hole}`,
    ...(tapped.length === 0
      ? []
      : [`${tapped.length} holes tapped ${tapped[0]?.thread ?? ""}, drawn as the drill before the tap`]),
    ...(carrier.countersunk
      ? [
          `${carrier.fixing.length} holes countersunk on the ${carrier.face === "top" ? "side seen" : "other side"}, the part lies over their heads`,
        ]
      : []),
  ];
  const lines = [
    ...(named === undefined ? [] : [namedWords(named)]),
    `${title}. 1:1, all dimensions in millimetres.`,
    `${mm(carrier.thicknessMillimetres)} mm ${carrier.material}, one piece`,
    TOLERANCE_WORDS,
    ...notes,
  ];
  const [right, rear] = [bounds.right - bounds.left, bounds.rear - bounds.front];
  return {
    title,
    material: carrier.material,
    thicknessMillimetres: carrier.thicknessMillimetres,
    contours: [outlineAt(carrier, at), ...contours],
    lines: [],
    words: notesUnder(lines, 0, 0),
    holes,
    bends: [],
    left: 0,
    right,
    front: 0,
    rear,
    notes,
  };
}

const capital = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;

function outlineAt({ outline }: Carrier, at: (place: Place) => Place): CutContour {
  if (outline.kind === "circle")
    return { kind: "circle", layer: "CUT", ids: [], ...at(outline), diameterMillimetres: outline.diameterMillimetres };
  const corners = contourOf(outline).map((corner) => ({ ...at(corner), bulge: corner.bulge }));
  return { kind: "outline", layer: "CUT", ids: [], corners };
}
