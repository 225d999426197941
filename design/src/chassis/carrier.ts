/**
 * What carries a part over a hole that does not fit it: a ring, a cover plate, a sub-plate; with every dimension that a drawing wants.
 *
 * Law     A ring lies on the plate round the hole that is there and has the part's own hole. Its screws are old screw holes when
 *         a pair stands opposite about it, else new ones at a web from the hole, turned away from the part's screws. The
 *         part's screws then stand in the opening, through the plate, or on the rim of the hole; where any is on the rim
 *         the ring is thick enough to be tapped and nothing passes the plate there.
 *         A cover plate is a square with four screws over the hole as it is, opened only as far as the part wants;
 *         a sub-plate lies over a clean rectangular opening that takes the old hole in.
 * Sources common practice (practice.ts): web, edge of a screw, thread of one diameter, cover of the rim.
 */
import { fail, ok, type Outline, type Place, type Result } from "@platewright/engine";
import type { Chassis, DocumentHole } from "../document/chassis-schema.ts";
import {
  type Bounds,
  boundsOf,
  depthInside,
  distance,
  gapBetween,
  grown,
  type Solid,
  solidOf,
  turned,
} from "./geometry.ts";
import { existingOutline, type Need, needsOf } from "./match.ts";
import type { Face, PlacedItem } from "./placed.ts";
import { plateSolid } from "./plate.ts";
import {
  COVER_RIM,
  FIXING_CLEARANCE,
  FIXING_HEAD,
  FIXING_NUT,
  SCREW_TO_EDGE,
  THREAD_DIAMETERS,
  WEB_LEAST,
  webWanted,
} from "./practice.ts";

export type CarrierKind = "adapter-ring" | "cover-plate" | "sub-plate";

/** Where a screw of the part comes out: with its nut in the opening, on the rim of the hole, or through good metal. */
export type ScrewSeat = "in-opening" | "on-rim" | "through-plate";

export interface CarrierHole {
  /** Of the footprint: "body", "screw-a". */
  readonly id: string;
  /** As it is drilled: of a thread, the drill before the tap. */
  readonly outline: Outline;
  readonly seat?: ScrewSeat;
  /** Tapped in the carrier instead of a nut: "M3". */
  readonly thread?: string;
}

export interface CarrierFixing extends Place {
  readonly id: string;
  readonly diameterMillimetres: number;
  /** The hole of the plate that it uses; left out: to be drilled. */
  readonly existing?: string;
}

export interface Carrier {
  readonly kind: CarrierKind;
  readonly item: string;
  readonly hole: string;
  /** The face of the plate that it lies on: that of the part's flange. */
  readonly face: Face;
  readonly material: "aluminium" | "brass";
  readonly thicknessMillimetres: number;
  readonly outline: Outline;
  readonly holes: readonly CarrierHole[];
  readonly fixing: readonly CarrierFixing[];
  /** Heads that must lie flush, since the part's flange is over them. */
  readonly countersunk: boolean;
  /** What is cut in the plate under it; left out: the hole stays as it is. */
  readonly opening?: Outline;
  /** How far it covers the rim of what is under it, at the least place. */
  readonly coversMillimetres: number;
}

export interface CarrierAsk {
  readonly chassis: Chassis;
  readonly items: readonly PlacedItem[];
  readonly item: PlacedItem;
  readonly hole: DocumentHole;
}

const half = (millimetres: number): number => Math.ceil(millimetres * 2 - 1e-9) / 2;
const SCREW_NAME = "M3";
const SCREW = 3;
/** Drill for the thread of M3. */
const TAP_DRILL = 2.5;

const circle = ({ x, y }: Place, diameterMillimetres: number): Outline => ({
  kind: "circle",
  x,
  y,
  diameterMillimetres,
});

/** The face on which the part's flange lies: the side where its lowest body is broad. */
function flangeFace(item: PlacedItem): Face {
  const flange = item.bodies.find((body) => /flange|saddle|clamp/.test(body.what));
  return flange?.face ?? item.face;
}

interface Shaped {
  readonly outline: Outline;
  readonly fixing: readonly CarrierFixing[];
  readonly opening?: Outline;
}

/** A ring over the hole; the sentence says why none can be. */
export function adapterRing(ask: CarrierAsk): Result<Carrier, string> {
  const { item, hole } = ask;
  if (hole.shape.kind !== "circle") return fail("the hole is not round; a ring would not cover its corners evenly.");
  const there = solidOf(existingOutline(hole));
  const [main, ...others] = needsOf(item);
  if (main === undefined) return fail("the part has no hole of its own.");
  if (depthInside(there, main.solid) < 0)
    return fail(`the part itself does not pass the ${hole.shape.diameterMillimetres} mm hole; open it first.`);
  const screws = others.filter((need) => need.hole.purpose === "screw");
  const fixing = oldScrews(ask, there) ?? newScrews(ask, hole.shape.diameterMillimetres / 2, screws);
  if (fixing === undefined) return fail("no place round the hole takes the ring's two screws.");
  const reach = Math.max(
    ...fixing.map((one) => distance(one, hole) + SCREW_TO_EDGE * SCREW),
    hole.shape.diameterMillimetres / 2 + COVER_RIM,
    ...screws.map((need) => distance(centreOf(need), hole) + SCREW_TO_EDGE * SCREW),
  );
  return carry(ask, "adapter-ring", { outline: circle(hole, Math.ceil(2 * reach - 1e-9)), fixing });
}

const centreOf = ({ outline }: Need): Place =>
  outline.kind === "polygon" ? (outline.points[0] ?? { x: 0, y: 0 }) : { x: outline.x, y: outline.y };

/** Farthest that an old screw hole may stand from the rim. */
const OLD_SCREW_REACH = 8;

/** A pair of screw holes that is there, opposite about the hole; the most opposite one. */
function oldScrews({ chassis, items, item, hole }: CarrierAsk, there: Solid): readonly CarrierFixing[] | undefined {
  const taken = items.filter((one) => one !== item).flatMap(needsOf);
  const candidates = chassis.holes.filter((one) => {
    if (one.id === hole.id || one.state !== "cut" || one.shape.kind !== "circle") return false;
    const size = one.shape.diameterMillimetres;
    const solid = solidOf(existingOutline(one));
    const gap = gapBetween(there, solid);
    return (
      size >= SCREW &&
      size <= 4.5 &&
      gap >= 1 &&
      gap <= OLD_SCREW_REACH &&
      taken.every((need) => gapBetween(need.solid, solid) > 0)
    );
  });
  let best: { readonly pair: readonly DocumentHole[]; readonly off: number } | undefined;
  for (const [i, one] of candidates.entries())
    for (const other of candidates.slice(i + 1)) {
      const [a, b] = [Math.atan2(one.y - hole.y, one.x - hole.x), Math.atan2(other.y - hole.y, other.x - hole.x)];
      const between = Math.abs(Math.atan2(Math.sin(a - b), Math.cos(a - b)));
      const off = Math.PI - between;
      if (off < Math.PI / 4 && (best === undefined || off < best.off)) best = { pair: [one, other], off };
    }
  return best?.pair.map((one, i) => ({
    id: `fixing-${i + 1}`,
    x: one.x,
    y: one.y,
    diameterMillimetres: one.shape.kind === "circle" ? one.shape.diameterMillimetres : FIXING_CLEARANCE,
    existing: one.id,
  }));
}

/** Two new screws opposite each other, as far as can be from the part's own. */
function newScrews(ask: CarrierAsk, radius: number, screws: readonly Need[]): readonly CarrierFixing[] | undefined {
  const { chassis, item, hole } = ask;
  const web = webWanted(chassis.plate.thicknessMillimetres);
  const away = half(radius + web + FIXING_CLEARANCE / 2);
  const first = screws[0];
  const axis =
    first === undefined
      ? item.item.degrees
      : (Math.atan2(centreOf(first).y - hole.y, centreOf(first).x - hole.x) * 180) / Math.PI;
  for (const step of [90, 75, 105, 60, 120, 45, 135, 30, 150]) {
    const pair = [0, 180].map((half, i) => {
      const { x, y } = turned({ x: away, y: 0 }, Math.round((axis + step + half) * 1e6) / 1e6);
      return { id: `fixing-${i + 1}`, x: hole.x + x, y: hole.y + y, diameterMillimetres: FIXING_CLEARANCE };
    });
    if (pair.every((one) => fixingFits(ask, one, web, screws))) return pair;
  }
  return undefined;
}

function fixingFits(ask: CarrierAsk, fixing: CarrierFixing, web: number, own: readonly Need[]): boolean {
  const solid = solidOf(circle(fixing, fixing.diameterMillimetres));
  const { chassis, items, item, hole } = ask;
  return (
    depthInside(plateSolid(chassis.plate), solid) >= web &&
    chassis.holes.every((one) => one.id === hole.id || gapBetween(solidOf(existingOutline(one)), solid) >= web) &&
    items.every((one) => one === item || needsOf(one).every((need) => gapBetween(need.solid, solid) >= web)) &&
    own.every((need) => gapBetween(need.solid, solid) >= 1)
  );
}

/** Corner screws of a plate stand this far inside its edges. */
const CORNER = SCREW_TO_EDGE * SCREW;

/** A square plate over the hole as it is, opened only as far as the part wants. */
export function coverPlate(ask: CarrierAsk): Result<Carrier, string> {
  const { chassis, item, hole } = ask;
  const there = existingOutline(hole);
  const needs = needsOf(item);
  const main = needs[0];
  if (main === undefined) return fail("the part has no hole of its own.");
  const opening = depthInside(solidOf(there), main.solid) < 0 ? grown(main.outline, 1) : undefined;
  const centre = { x: item.item.x, y: item.item.y };
  const inner = [there, ...(opening === undefined ? [] : [opening]), ...needs.map((need) => need.outline)];
  const web = webWanted(chassis.plate.thicknessMillimetres);
  // The screws stand in the corners, past what is cut, measured along the diagonal.
  const reach = Math.max(...inner.map((one) => farthest(boundsOf(solidOf(one)), centre)));
  const roundReach = Math.max(...inner.map((one) => diagonal(one, centre)));
  const side = Math.max(2 * (reach + COVER_RIM), 2 * ((roundReach + web + FIXING_CLEARANCE / 2) / Math.SQRT2 + CORNER));
  return rectangular(ask, "cover-plate", centre, even(side), even(side), opening);
}

/** A plate over a clean rectangular opening that takes the old hole in. */
export function subPlate(ask: CarrierAsk): Result<Carrier, string> {
  const { chassis, item, hole } = ask;
  const needs = needsOf(item);
  const cut = [existingOutline(hole), ...needs.map((need) => need.outline)].map((one) => boundsOf(solidOf(one)));
  const tags = item.bodies.filter((body) => body.face !== flangeFace(item)).map((body) => body.bounds);
  const all = [...cut, ...tags];
  const left = Math.min(...all.map((one) => one.left)) - 1;
  const right = Math.max(...all.map((one) => one.right)) + 1;
  const front = Math.min(...all.map((one) => one.front)) - 1;
  const rear = Math.max(...all.map((one) => one.rear)) + 1;
  const centre = { x: (left + right) / 2, y: (front + rear) / 2 };
  const opening: Outline = {
    kind: "rectangle",
    ...centre,
    widthMillimetres: right - left,
    heightMillimetres: rear - front,
    cornerMillimetres: 2,
  };
  const margin = webWanted(chassis.plate.thicknessMillimetres) + FIXING_CLEARANCE / 2 + CORNER;
  return rectangular(
    ask,
    "sub-plate",
    centre,
    even(right - left + 2 * margin),
    even(rear - front + 2 * margin),
    opening,
  );
}

const even = (millimetres: number): number => 2 * Math.ceil(millimetres / 2 - 1e-9);

const farthest = (bounds: Bounds, { x, y }: Place): number =>
  Math.max(x - bounds.left, bounds.right - x, y - bounds.front, bounds.rear - y);

function diagonal(outline: Outline, centre: Place): number {
  const { core, radius } = solidOf(outline);
  return Math.max(...core.map((point) => distance(point, centre) + radius));
}

function rectangular(
  ask: CarrierAsk,
  kind: CarrierKind,
  centre: Place,
  width: number,
  height: number,
  opening: Outline | undefined,
): Result<Carrier, string> {
  const corners = [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ] as const;
  const fixing = corners.map(([x, y], i) => ({
    id: `fixing-${i + 1}`,
    x: centre.x + x * (width / 2 - CORNER),
    y: centre.y + y * (height / 2 - CORNER),
    diameterMillimetres: FIXING_CLEARANCE,
  }));
  const web = webWanted(ask.chassis.plate.thicknessMillimetres);
  const blocked = fixing.find((one) => !fixingFits(ask, one, web, []));
  if (blocked !== undefined)
    return fail(
      `its screw at ${blocked.x.toFixed(1)}, ${blocked.y.toFixed(1)} would stand in another hole or on the edge.`,
    );
  const outline: Outline = {
    kind: "rectangle",
    ...centre,
    widthMillimetres: width,
    heightMillimetres: height,
    cornerMillimetres: 2,
  };
  return carry(ask, kind, { outline, fixing, ...(opening === undefined ? {} : { opening }) });
}

/** What all carriers share: where the part's screws come out, thickness, heads, neighbours. */
function carry(ask: CarrierAsk, kind: CarrierKind, shaped: Shaped): Result<Carrier, string> {
  const { chassis, items, item, hole } = ask;
  const { thicknessMillimetres } = chassis.plate;
  const solid = solidOf(shaped.outline);
  const openings = [existingOutline(hole), ...(shaped.opening === undefined ? [] : [shaped.opening])].map(solidOf);
  const seatOf = (need: Need): ScrewSeat => {
    const nut = solidOf(circle(centreOf(need), FIXING_NUT));
    if (openings.some((one) => depthInside(one, nut) >= 0)) return "in-opening";
    return openings.every((one) => gapBetween(one, need.solid) >= webWanted(thicknessMillimetres))
      ? "through-plate"
      : "on-rim";
  };
  const holes = needsOf(item).map((need): CarrierHole => {
    if (need.hole.purpose !== "screw") return { id: need.hole.id, outline: need.outline };
    const seat = seatOf(need);
    return seat === "on-rim"
      ? { id: need.hole.id, outline: circle(centreOf(need), TAP_DRILL), seat, thread: SCREW_NAME }
      : { id: need.hole.id, outline: need.outline, seat };
  });
  const outside = holes.find((one) => depthInside(solid, solidOf(one.outline)) < 1);
  if (outside !== undefined) return fail(`the part's ${outside.id} would fall off its edge.`);
  const met = holes.find((one) =>
    shaped.fixing.some(
      (screw) => gapBetween(solidOf(one.outline), solidOf(circle(screw, screw.diameterMillimetres))) < WEB_LEAST,
    ),
  );
  if (met !== undefined) return fail(`the part's ${met.id} would meet a screw that holds it; turn the part.`);
  if (depthInside(plateSolid(chassis.plate), solid) < 0) return fail("it would reach past the edge of the plate.");
  const face = flangeFace(item);
  const struck = items
    .filter((one) => one !== item)
    .flatMap((one) => one.bodies)
    .find((body) => body.face === face && gapBetween(body.solid, solid) < 0);
  if (struck !== undefined) return fail(`it would stand under ${struck.item} (${struck.what}).`);
  const tapped = holes.some((one) => one.thread !== undefined);
  const covers = Math.min(...openings.map((one) => depthInside(solid, one)));
  if (covers < 1) return fail("it would not cover the hole.");
  const flange = item.bodies.filter((body) => body.face === face && body.heightMillimetres < 8);
  const countersunk = shaped.fixing.some((one) =>
    flange.some((body) => gapBetween(body.solid, solidOf(circle(one, FIXING_HEAD))) < 0),
  );
  return ok({
    kind,
    item: item.item.id,
    hole: hole.id,
    face,
    material: tapped ? "brass" : "aluminium",
    thicknessMillimetres: tapped
      ? Math.max(SCREW * THREAD_DIAMETERS, 3)
      : Math.max(2, Math.round(thicknessMillimetres)),
    outline: shaped.outline,
    holes,
    fixing: shaped.fixing,
    countersunk,
    ...(shaped.opening === undefined ? {} : { opening: shaped.opening }),
    coversMillimetres: covers,
  });
}

export function carrierFor(kind: CarrierKind, ask: CarrierAsk): Result<Carrier, string> {
  if (kind === "adapter-ring") return adapterRing(ask);
  return kind === "cover-plate" ? coverPlate(ask) : subPlate(ask);
}
