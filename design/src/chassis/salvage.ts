/**
 * What can be done about a hole that does not fit what is to stand there: every way, with its dimensions, its work, and why not.
 *
 * Limits  Minutes and money are rough, common practice of a shop with hand tools, at an hourly rate that is given; they order the
 *         ways and price nothing. Sources: common practice.
 */
import { type Footprint, type Footprints, fail, ok, type Outline, type Result } from "@platewright/engine";
import type { Chassis, DocumentHole, SalvageChoice, SalvageWay } from "../document/chassis-schema.ts";
import type { Change, Fix } from "../findings.ts";
import { type Carrier, carrierFor, type CarrierKind } from "./carrier.ts";
import { depthInside, gapBetween, grown, outlineOf, solidOf } from "./geometry.ts";
import { CARRIER_WORDS, type ChassisHoles, holesOf } from "./holes.ts";
import { existingOutline, fitOf, type Need, needsOf } from "./match.ts";
import { footprintsOf, itemName, placeItem, type PlacedItem } from "./placed.ts";

export interface SalvageOption {
  readonly by: SalvageWay | "new-plate";
  readonly hole: string;
  readonly item?: string;
  /** In a builder's words, with its dimensions: "Adapter ring 22 → 16 mm". */
  readonly title: string;
  readonly words: string;
  /** Why it cannot be; then there is no fix. */
  readonly obstacle?: string;
  /** Drawn from this. */
  readonly carrier?: Carrier;
  /** Of opening up: the hole as it is to be. */
  readonly opened?: Outline;
  /** Of a plug: its diameter; of another use: what goes in as the hole is cut. */
  readonly plugMillimetres?: number;
  readonly uses?: readonly { readonly footprint: string; readonly label: string }[];
  readonly minutes: number;
  /** Material or an order, in the shop's money. */
  readonly materialCost: number;
  /** Material and minutes at the hourly rate. */
  readonly cost: number;
  readonly fix?: Fix;
}

export interface SalvageAsk {
  readonly chassis: Chassis;
  readonly library: Footprints;
  /** The shop's money for an hour; 50 when left out. */
  readonly hourly?: number;
  /** `holesOf` the chassis, when the caller has it. */
  readonly found?: ChassisHoles;
  /** Turns of the part in degrees, better first, where the part may be turned to make room for a carrier's screws. */
  readonly turns?: (item: PlacedItem) => readonly number[];
}

/** Rough work: minutes and material. */
const WORK: { readonly [W in SalvageWay]: readonly [minutes: number, material: number] } = {
  keep: [0, 0],
  "open-up": [15, 0],
  "adapter-ring": [60, 4],
  "cover-plate": [45, 4],
  "sub-plate": [120, 8],
  "blank-plug": [5, 2],
  "other-use": [20, 0],
};
/** A plate by hand: marking out, each hole, each rectangle; sheet. And everything on it moved. */
const PLATE_MINUTES = { begin: 45, hole: 6, rectangle: 30, move: 12 };
const SHEET_COST = 15;
/** From a fabricator: drawing and asking, and what one piece costs. */
const ORDERED = { minutes: 60, cost: 90 };

/** Turns that are tried when the part's own screws meet those of its carrier. */
const TURNS = [0, 90, -90, 180, 45, -45, 135, -135, 30, -30, 60, -60];

/** Ways for one item over the hole that is in its way, or for a hole that serves nothing (`item` left out); cheapest first. */
export function salvageOptions(
  ask: SalvageAsk,
  holeId: string,
  itemId?: string,
): Result<readonly SalvageOption[], string> {
  const { chassis, library } = ask;
  const hole = chassis.holes.find((one) => one.id === holeId);
  if (hole === undefined) return fail(`there is no hole ${holeId} in the plate.`);
  // What was decided for this hole is set aside: every way is asked anew.
  const bare: Chassis = { ...chassis, salvage: (chassis.salvage ?? []).filter((one) => one.hole !== holeId) };
  const decided = bare.salvage?.length !== (chassis.salvage ?? []).length;
  const found = decided || ask.found === undefined ? holesOf(bare, library) : ask.found;
  const item = itemId === undefined ? undefined : found.items.find((one) => one.item.id === itemId);
  if (itemId !== undefined && item === undefined) return fail(`there is no item ${itemId} with a known footprint.`);
  const way = wayOf(ask, hole, itemId);
  const options =
    item === undefined
      ? [plug(way, hole), otherUse(way, hole, footprintsOf(chassis, library).all)]
      : [
          keep(way, hole, item),
          openUp(way, hole, item),
          ...(["adapter-ring", "cover-plate", "sub-plate"] as const).map((kind) =>
            carried(ask, way, bare, found, hole, item, kind),
          ),
          plug(way, hole),
          otherUse(way, hole, footprintsOf(chassis, library).all),
          newPlate(ask, found),
        ];
  return ok(options.sort((one, other) => rank(one) - rank(other) || one.cost - other.cost));
}

/** Ways that let the part stand where it is come first, those that cannot be last. */
const rank = ({ by, obstacle }: SalvageOption): number =>
  obstacle !== undefined ? 3 : by === "new-plate" ? 2 : by === "blank-plug" || by === "other-use" ? 1 : 0;

type Way = (
  by: SalvageWay,
  said: Omit<SalvageOption, "by" | "hole" | "item" | "minutes" | "materialCost" | "cost" | "fix">,
  more?: { readonly changes?: readonly Change[]; readonly withItem?: boolean },
) => SalvageOption;

function wayOf({ chassis, hourly = 50 }: SalvageAsk, hole: DocumentHole, item: string | undefined): Way {
  const before = chassis.salvage;
  return (by, said, more = {}) => {
    const [minutes, materialCost] = WORK[by];
    const named = item !== undefined && more.withItem !== false ? { item } : {};
    const choice: SalvageChoice = { hole: hole.id, ...named, by };
    const after = [...(before ?? []).filter((one) => one.hole !== hole.id), choice];
    const changes: Change[] = [
      ...(more.changes ?? []),
      { target: "chassis.salvage", ...(before === undefined ? {} : { before }), after },
    ];
    return {
      by,
      hole: hole.id,
      ...named,
      ...said,
      minutes,
      materialCost,
      cost: materialCost + (minutes / 60) * hourly,
      ...(said.obstacle === undefined ? { fix: { title: said.title, changes } } : {}),
    };
  };
}

const mm = (millimetres: number): string => String(Math.round(millimetres * 10) / 10);
export const sizeWords = (shape: DocumentHole["shape"]): string =>
  shape.kind === "circle"
    ? `${mm(shape.diameterMillimetres)} mm`
    : `${mm(shape.widthMillimetres)} × ${mm(shape.heightMillimetres)} mm`;

/** The need of an item that a hole stands in the way of: the one whose outline it meets, the body before screws. */
function needAt(item: PlacedItem, hole: DocumentHole): Need | undefined {
  const there = solidOf(existingOutline(hole));
  return needsOf(item).find((need) => gapBetween(there, need.solid) < 0) ?? needsOf(item)[0];
}

function keep(way: Way, hole: DocumentHole, item: PlacedItem): SalvageOption {
  const need = needAt(item, hole);
  const fit = need === undefined ? "none" : fitOf(need, solidOf(existingOutline(hole)));
  const wanted = need === undefined ? "" : sizeWords(need.hole.shape);
  return way("keep", {
    title: `Keep ${hole.id} as it is, ${sizeWords(hole.shape)}`,
    words:
      fit === "serves"
        ? `the part wants ${wanted} and covers what is there`
        : `the part wants ${wanted}; the measured part in hand decides`,
    ...(fit === "serves"
      ? {}
      : { obstacle: `${sizeWords(hole.shape)} is outside what the part covers and passes (${wanted}).` }),
  });
}

function openUp(way: Way, hole: DocumentHole, item: PlacedItem): SalvageOption {
  const need = needAt(item, hole);
  const title = `Open ${hole.id} up, ${sizeWords(hole.shape)} → ${need === undefined ? "?" : sizeWords(need.hole.shape)}`;
  const fit = need === undefined ? "none" : fitOf(need, solidOf(existingOutline(hole)));
  if (need === undefined || fit !== "open-up")
    return way("open-up", {
      title,
      words: "only a hole that lies wholly inside the wanted one can be opened",
      obstacle:
        fit === "serves"
          ? "it fits as it is."
          : `${hole.id} reaches past the hole that is wanted; metal cannot be put back.`,
    });
  return way("open-up", { title, words: `at ${mm(item.item.x)}, ${mm(item.item.y)}`, opened: need.outline });
}

const SEAT_WORDS = {
  "in-opening": "in the opening",
  "on-rim": "on the rim",
  "through-plate": "through the plate",
} as const;

function carried(
  ask: SalvageAsk,
  way: Way,
  chassis: Chassis,
  found: ChassisHoles,
  hole: DocumentHole,
  item: PlacedItem,
  kind: CarrierKind,
): SalvageOption {
  const name = CARRIER_WORDS[kind];
  const wanted = needAt(item, hole);
  const title = `${kind === "adapter-ring" ? "Adapter ring" : kind === "cover-plate" ? "Cover plate" : "Sub-plate"} on ${hole.id}, ${sizeWords(hole.shape)} → ${wanted === undefined ? "?" : sizeWords(wanted.hole.shape)}`;
  let first: string | undefined;
  const turns = ask.turns?.(item) ?? TURNS.map((by) => (item.item.degrees + by + 720) % 360);
  for (const degrees of [item.item.degrees, ...turns]) {
    const turnedItem = degrees === item.item.degrees ? item : placeItem({ ...item.item, degrees }, item.footprint);
    const items = found.items.map((one) => (one === item ? turnedItem : one));
    const made = carrierFor(kind, { chassis, items, item: turnedItem, hole });
    if (!made.ok) {
      first ??= made.failure;
      continue;
    }
    const turn: Change[] =
      turnedItem === item
        ? []
        : [{ target: `chassis.items[${item.item.id}].degrees`, before: item.item.degrees, after: degrees }];
    return way(
      kind,
      {
        title,
        words: [
          carrierWords(made.value),
          ...(turn.length === 0
            ? []
            : [`${itemName(item.item)} turned to ${mm(degrees)}°, so that its screws clear those of the ${name}`]),
        ].join("; "),
        carrier: made.value,
      },
      { changes: turn },
    );
  }
  return way(kind, { title, words: "", obstacle: first ?? "it cannot be made." });
}

/** "38 mm brass, 3 mm thick, two M3 in the old screw holes H3a and H3b; socket screws tapped M3, on the rim ...". */
export function carrierWords(carrier: Carrier): string {
  const { outline } = carrier;
  const size =
    outline.kind === "circle"
      ? `Ø ${mm(outline.diameterMillimetres)} mm`
      : outline.kind === "rectangle"
        ? `${mm(outline.widthMillimetres)} × ${mm(outline.heightMillimetres)} mm`
        : "";
  const old = carrier.fixing.flatMap((one) => one.existing ?? []);
  const fresh = carrier.fixing.length - old.length;
  const held = [
    ...(old.length > 0 ? [`${old.length} M3 in the old screw holes ${old.join(" and ")}`] : []),
    ...(fresh > 0 ? [`${fresh} new holes for M3`] : []),
  ].join(", ");
  const seats = new Set(carrier.holes.flatMap((one) => one.seat ?? []));
  const screws = [...seats].map((seat) =>
    seat === "on-rim"
      ? `the part's screws fall ${SEAT_WORDS[seat]} of the hole: tapped M3 into the ${CARRIER_WORDS[carrier.kind]}, no longer than its thickness and the flange`
      : `the part's screws ${SEAT_WORDS[seat]}`,
  );
  const opening = carrier.opening;
  return [
    `${size}, ${carrier.thicknessMillimetres} mm ${carrier.material}, on the ${carrier.face === "top" ? "top" : "underside"}`,
    held,
    ...screws,
    ...(carrier.countersunk ? ["screws countersunk, the part's flange lies over them"] : []),
    ...(opening?.kind === "rectangle"
      ? [`${mm(opening.widthMillimetres)} × ${mm(opening.heightMillimetres)} mm opening in the chassis`]
      : opening?.kind === "circle"
        ? [`chassis opened to ${mm(opening.diameterMillimetres)} mm`]
        : []),
    `covers the rim by ${mm(carrier.coversMillimetres)} mm`,
  ].join("; ");
}

/** Largest hole that a plug of a shop's drawer closes. */
const LARGEST_PLUG = 50;

function plug(way: Way, hole: DocumentHole): SalvageOption {
  const round = hole.shape.kind === "circle" && hole.shape.diameterMillimetres <= LARGEST_PLUG;
  return way(
    "blank-plug",
    {
      title: `Close ${hole.id} with a plug, ${sizeWords(hole.shape)}`,
      words: round ? "a snap-in plug, or two discs and a screw; what was to stand here goes elsewhere" : "",
      ...(hole.shape.kind === "circle" && round ? { plugMillimetres: hole.shape.diameterMillimetres } : {}),
      ...(round ? {} : { obstacle: `plugs are round and at most ${LARGEST_PLUG} mm.` }),
    },
    { withItem: false },
  );
}

/** Kinds that may be put anywhere without a wire of the signal changing its way. */
const MOVABLE: ReadonlySet<Footprint["kind"]> = new Set([
  "lamp",
  "gland",
  "terminal",
  "switch",
  "jack",
  "can",
  "fuse-holder",
]);

function otherUse(way: Way, hole: DocumentHole, all: readonly Footprint[]): SalvageOption {
  const there = solidOf(existingOutline(hole));
  const uses = all
    .filter((one) => MOVABLE.has(one.kind))
    .filter((one) => {
      const main = one.holes[0];
      if (main === undefined) return false;
      const outline = outlineOf(main.shape, hole);
      return (
        depthInside(solidOf(grown(outline, main.overMillimetres / 2)), there) >= 0 &&
        depthInside(there, solidOf(grown(outline, -main.underMillimetres / 2))) >= 0
      );
    })
    .map((one) => ({ footprint: one.id, label: one.label }));
  const vent = hole.shape.kind === "circle" && hole.shape.diameterMillimetres >= 12;
  const words = [...uses.map((one) => one.label), ...(vent ? ["a vent, with mesh over it"] : [])];
  return way(
    "other-use",
    {
      title: `Use ${hole.id} for something else`,
      words: words.length > 0 ? `goes in as it is cut: ${words.join("; ")}` : "",
      uses,
      ...(words.length > 0 ? {} : { obstacle: "nothing of the library goes in as it is cut." }),
    },
    { withItem: false },
  );
}

/** A new plate, by hand or ordered, whichever is less. */
function newPlate({ hourly = 50 }: SalvageAsk, found: ChassisHoles): SalvageOption {
  const needs = found.items.flatMap(needsOf);
  const rectangles = needs.filter((need) => need.hole.shape.kind === "rectangle").length;
  const round = needs.length - rectangles;
  const move = found.items.length * PLATE_MINUTES.move;
  const cutting = PLATE_MINUTES.begin + round * PLATE_MINUTES.hole + rectangles * PLATE_MINUTES.rectangle;
  const byHand = SHEET_COST + ((cutting + move) / 60) * hourly;
  const ordered = ORDERED.cost + ((ORDERED.minutes + move) / 60) * hourly;
  const hand = byHand <= ordered;
  return {
    by: "new-plate",
    hole: "",
    title: "Make a new plate",
    words: `all ${needs.length} holes again, ${found.items.length} parts moved; by hand about ${Math.round(byHand)}, ordered about ${Math.round(ordered)}, in the shop's money`,
    minutes: (hand ? cutting : ORDERED.minutes) + move,
    materialCost: hand ? SHEET_COST : ORDERED.cost,
    cost: Math.min(byHand, ordered),
  };
}

/** The chassis as a new plate: every hole that was cut forgotten. */
export function onNewPlate(chassis: Chassis): readonly Change[] {
  const planned = chassis.holes.filter((hole) => hole.state === "planned");
  return [
    { target: "chassis.holes", before: chassis.holes, after: planned },
    ...(chassis.salvage === undefined ? [] : [{ target: "chassis.salvage", before: chassis.salvage }]),
  ];
}
