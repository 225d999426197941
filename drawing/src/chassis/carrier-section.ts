/**
 * A ring or plate over a hole, cut through: plate, carrier, the screw that holds it at the left, a screw of the part at the
 * right, each turned into the plane of the cut; sizes of bore, hole and outside, both thicknesses.
 */
import {
  type Carrier,
  CARRIER_WORDS,
  type CarrierHole,
  type ChassisJudged,
  outlineOf,
  type PlacedBody,
} from "@platewright/design";
import type { Outline, Place } from "@platewright/engine";
import { type Box, itemBox } from "../bounds.ts";
import { type Item, type Point, SIZES, WEIGHTS } from "../scene.ts";
import { CAP_EMS, textWidth, wrap } from "../text/index.ts";
import { acrossDimension } from "./dimension.ts";
import { ordinateWords } from "./ordinates.ts";
import { HEAD_REACH, NUT_REACH, screwItems, type ToSection } from "./screw-items.ts";
import { hatch, type Shape } from "./shapes.ts";

export interface SmallDrawing {
  readonly items: readonly Item[];
  readonly box: Box;
  /** Millimetres of the sheet to one of the metal. */
  readonly scale: number;
}

const SIZE = SIZES.small;
const LARGEST = 5;
/** Metal of the plate that is drawn past the carrier. */
const PAST = 7;
const LINE = 4.5;

type Span = readonly [number, number];

export function carrierSection(
  judged: ChassisJudged,
  carrier: Carrier,
  look: { readonly width: number; readonly notes?: boolean },
): SmallDrawing {
  const { plate } = judged.chassis;
  const centre = centreOf(carrier.outline);
  const first = carrier.fixing[0];
  const along = carrier.outline.kind === "circle" && first !== undefined ? unit(centre, first) : { x: 1, y: 0 };
  const partScrews = carrier.holes
    .filter((one) => one.seat !== undefined)
    .sort((one, other) => SEAT_RANK[one.seat ?? "in-opening"] - SEAT_RANK[other.seat ?? "in-opening"]);
  const [partScrew] = partScrews;
  const turned = partScrew === undefined ? along : unit(centre, centreOf(partScrew.outline));
  // The cut bends in the middle: at the left through a screw of the carrier, at the right through one of the part.
  const span = (outline: Outline): Span => [spanOf(outline, centre, along)[0], spanOf(outline, centre, turned)[1]];
  const under = carrier.opening ?? holeUnder(judged, carrier);
  const bore = carrier.holes.find((one) => one.seat === undefined) ?? carrier.holes[0];
  const outside = span(carrier.outline);
  const sides = [
    `${ordinateWords(plate.thicknessMillimetres)}\u202fmm`,
    `${ordinateWords(carrier.thicknessMillimetres)}\u202fmm`,
  ];
  const beside = Math.max(...sides.map((text) => textWidth(text, SIZE))) + 2.5;
  const long = outside[1] - outside[0] + 2 * PAST;
  const scale = Math.min(LARGEST, (look.width - 2 * beside) / long);
  const from = outside[0] - PAST;
  const way = carrier.face === "top" ? -1 : 1;
  const to: ToSection = (across, away) => [beside + (across - from) * scale, way * away * scale];
  const thick = plate.thicknessMillimetres;
  const high = carrier.thicknessMillimetres;
  const hole = under === undefined ? ([0, 0] as const) : span(under);
  const open = bore === undefined ? ([0, 0] as const) : span(bore.outline);
  const flange = flangeOf(judged, carrier);
  const flangeHigh = flange?.heightMillimetres ?? 0;
  const metal: readonly Item[] = [
    ...band([from, hole[0]], [-thick, 0], to, 45, WEIGHTS.light),
    ...band([hole[1], outside[1] + PAST], [-thick, 0], to, 45, WEIGHTS.light),
    ...band([outside[0], open[0]], [0, high], to, -45, WEIGHTS.body),
    ...band([open[1], outside[1]], [0, high], to, -45, WEIGHTS.body),
  ];
  const screws: readonly Item[] = [
    ...(first === undefined
      ? []
      : screwItems(
          {
            at: -distanceAlong(carrier, centre, first, along),
            head: high,
            end: -thick - NUT_REACH,
            countersunk: carrier.countersunk,
            nut: -thick,
          },
          to,
        )),
    ...(partScrew === undefined ? [] : seatedScrew(partScrew, centre, { thick, high, flangeHigh, to })),
  ];
  const flangeItems: readonly Item[] =
    flange === undefined
      ? []
      : [
          {
            kind: "path",
            points: rect(span(flange.outline), [high, high + flangeHigh], to),
            weight: WEIGHTS.hair,
            dash: "dash",
          },
        ];
  const top = high + flangeHigh + HEAD_REACH + 1.5;
  const low = -thick - NUT_REACH - 1;
  const aboveAt = to(0, top)[1] + way * 4.5;
  const [firstDown, secondDown] = [to(0, low)[1] - way * 4.5, to(0, low)[1] - way * 10.5];
  const dimensions: readonly Item[] = [
    ...(bore === undefined
      ? []
      : acrossDimension(to(open[0], high), to(open[1], high), aboveAt, sizeOf(bore.outline), { bold: true })),
    ...(under === undefined
      ? []
      : acrossDimension(
          to(hole[0], -thick),
          to(hole[1], -thick),
          firstDown,
          `${sizeOf(under)}, ${carrier.opening === undefined ? "as cut" : "to cut"}`,
        )),
    ...acrossDimension(
      to(outside[0], 0),
      to(outside[1], 0),
      secondDown,
      `${sizeOf(carrier.outline)}, ${CARRIER_WORDS[carrier.kind]}`,
      { bold: true },
    ),
  ];
  const cap = (CAP_EMS * SIZE) / 2;
  const sideWords: readonly Item[] = [
    {
      kind: "text",
      at: [beside - 1.4, to(0, -thick / 2)[1] + cap],
      text: sides[0] ?? "",
      size: SIZE,
      anchor: "end",
    },
    {
      kind: "text",
      at: [to(outside[1], 0)[0] + 1.2, to(0, Math.max(high / 2, (2 * cap) / scale))[1] + cap],
      text: sides[1] ?? "",
      size: SIZE,
      halo: "paper",
    },
  ];
  const drawn = [...metal, ...flangeItems, ...screws, ...dimensions, ...sideWords];
  const box = itemBox({ kind: "group", at: [0, 0], items: drawn });
  // Where the same is said beside the drawing it is left out under it.
  const notes = (look.notes === false ? [] : noteLines(judged, carrier, look.width)).map(
    (text, n): Item => ({ kind: "text", at: [0, box.bottom + 5 + n * LINE], text, size: SIZE }),
  );
  const items = named([...drawn, ...notes], [carrier.item]);
  return { items, box: itemBox({ kind: "group", at: [0, 0], items }), scale };
}

/** With the ids of what they show. */
export const named = (items: readonly Item[], ids: readonly string[]): readonly Item[] =>
  items.map((item) => ({ ...item, ids }));

/** Where a line through the centre meets an outline, from the centre; nothing where it does not. */
function spanOf(outline: Outline, centre: Place, along: Place): Span {
  if (outline.kind === "circle") {
    const at = (outline.x - centre.x) * along.x + (outline.y - centre.y) * along.y;
    const off = (outline.y - centre.y) * along.x - (outline.x - centre.x) * along.y;
    const half = Math.sqrt(Math.max(0, (outline.diameterMillimetres / 2) ** 2 - off * off));
    return [at - half, at + half];
  }
  if (outline.kind === "polygon") {
    const ats = outline.points.map((one) => (one.x - centre.x) * along.x + (one.y - centre.y) * along.y);
    return [Math.min(...ats), Math.max(...ats)];
  }
  const at = (outline.x - centre.x) * along.x + (outline.y - centre.y) * along.y;
  const turn = ((outline.degrees ?? 0) * Math.PI) / 180;
  const [c, s] = [
    Math.abs(Math.cos(turn) * along.x + Math.sin(turn) * along.y),
    Math.abs(Math.cos(turn) * along.y - Math.sin(turn) * along.x),
  ];
  const half = Math.min(
    c < 1e-9 ? Infinity : outline.widthMillimetres / 2 / c,
    s < 1e-9 ? Infinity : outline.heightMillimetres / 2 / s,
  );
  return [at - half, at + half];
}

export const centreOf = (outline: Outline): Place =>
  outline.kind === "polygon"
    ? {
        x: outline.points.reduce((sum, one) => sum + one.x, 0) / outline.points.length,
        y: outline.points.reduce((sum, one) => sum + one.y, 0) / outline.points.length,
      }
    : { x: outline.x, y: outline.y };

function unit(from: Place, to: Place): Place {
  const [dx, dy] = [to.x - from.x, to.y - from.y];
  const length = Math.hypot(dx, dy);
  return length < 1e-9 ? { x: 1, y: 0 } : { x: dx / length, y: dy / length };
}

/** Of a ring as far as it is from the centre, of a plate as far as it is across. */
const distanceAlong = (carrier: Carrier, centre: Place, place: Place, along: Place): number =>
  carrier.outline.kind === "circle"
    ? Math.hypot(place.x - centre.x, place.y - centre.y)
    : Math.abs((place.x - centre.x) * along.x + (place.y - centre.y) * along.y);

export const holeUnder = (judged: ChassisJudged, carrier: Carrier): Outline | undefined => {
  const hole = judged.chassis.holes.find((one) => one.id === carrier.hole);
  return hole === undefined ? undefined : outlineOf(hole.shape, hole);
};

/** The part of the item that lies on the carrier. */
const flangeOf = (judged: ChassisJudged, carrier: Carrier): PlacedBody | undefined =>
  judged.items
    .find((one) => one.item.id === carrier.item)
    ?.bodies.find(
      (body) => body.face === carrier.face && body.heightMillimetres < 8 && /flange|saddle|clamp/.test(body.what),
    );

function seatedScrew(
  hole: CarrierHole,
  centre: Place,
  at: { readonly thick: number; readonly high: number; readonly flangeHigh: number; readonly to: ToSection },
): readonly Item[] {
  const { thick, high, flangeHigh, to } = at;
  const place = centreOf(hole.outline);
  const own = Math.hypot(place.x - centre.x, place.y - centre.y);
  const head = high + flangeHigh;
  switch (hole.seat) {
    case "on-rim":
      return screwItems({ at: own, head, end: 0, thread: { from: 0, to: high } }, to);
    case "in-opening":
      return screwItems({ at: own, head, end: -NUT_REACH, nut: 0 }, to);
    default:
      return screwItems({ at: own, head, end: -thick - NUT_REACH, nut: -thick }, to);
  }
}

const rect = ([left, right]: Span, [low, high]: Span, to: ToSection): readonly Point[] => [
  to(left, low),
  to(right, low),
  to(right, high),
  to(left, high),
];

/** A piece of metal, cut and hatched. */
function band(across: Span, away: Span, to: ToSection, degrees: number, weight: number): readonly Item[] {
  if (across[1] - across[0] <= 1e-6) return [];
  const points = rect(across, away, to);
  const shape: Shape = { kind: "polygon", points };
  return [
    { kind: "path", points, weight, fill: "paper" },
    ...hatch(shape, [], 1.5, degrees).map(
      ([from, until]): Item => ({ kind: "line", from, to: until, weight: WEIGHTS.hair, role: "quiet" }),
    ),
  ];
}

/** What matters most is shown. */
const SEAT_RANK: { readonly [S in NonNullable<CarrierHole["seat"]>]: number } = {
  "on-rim": 0,
  "through-plate": 1,
  "in-opening": 2,
};

/** "Ø 22" or "68 × 52", millimetres. */
export const sizeOf = (outline: Outline): string =>
  outline.kind === "circle"
    ? `Ø\u202f${ordinateWords(outline.diameterMillimetres)}`
    : outline.kind === "rectangle"
      ? `${ordinateWords(outline.widthMillimetres)} × ${ordinateWords(outline.heightMillimetres)}`
      : "as drawn";

const SEATS: { readonly [S in NonNullable<CarrierHole["seat"]>]: (kind: string) => string } = {
  "in-opening": () => "the part's screws with nuts in the opening",
  "on-rim": (kind) =>
    `the part's screws tapped M3 into the ${kind}, no longer than it and the flange: nothing passes the chassis there`,
  "through-plate": (kind) => `the part's screws through ${kind} and chassis`,
};

/** What the section does not show. */
export function carrierNotes(carrier: Carrier): readonly string[] {
  const kind = CARRIER_WORDS[carrier.kind];
  const old = carrier.fixing.flatMap((one) => one.existing ?? []);
  const fresh = carrier.fixing.length - old.length;
  const held =
    fresh === 0
      ? `in ${old.join(" and ")}, which are there`
      : [
          ...(old.length > 0 ? [`${old.length} in ${old.join(" and ")}, which are there`] : []),
          `${old.length > 0 ? `${fresh} ` : ""}to be drilled, marked through the ${kind}`,
        ].join("; ");
  return [
    `${kind}: ${carrier.material}, on the ${carrier.face === "top" ? "top" : "underside"}; left: held by ${carrier.fixing.length} M3${carrier.countersunk ? ", countersunk flush," : ""} ${held}`,
    ...[...new Set(carrier.holes.flatMap((one) => one.seat ?? []))].map((seat) => `right: ${SEATS[seat](kind)}`),
    `covers the rim by ${ordinateWords(carrier.coversMillimetres)}\u202fmm; both screws turned into the cut, sizes in mm`,
  ];
}

const noteLines = ({ chassis }: ChassisJudged, carrier: Carrier, width: number): readonly string[] =>
  [`chassis: ${chassis.plate.material}`, ...carrierNotes(carrier)].flatMap((text) => wrap(text, width, SIZE));
