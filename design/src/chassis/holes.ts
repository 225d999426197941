/**
 * Every hole of a chassis: what each item wants, what is there for it, what is spare; with the salvage that was decided.
 *
 * Law     One row per hole that has to be right, and one per hole that is there and serves nothing. A hole that is there keeps
 *         its own place and size. Holes of a ring or plate are rows of their own ("in"), as are the screws that hold it.
 */
import type { Footprints, HolePurpose, HoleShape, Outline } from "@platewright/engine";
import type { Chassis, DocumentHole, SalvageChoice } from "../document/chassis-schema.ts";
import { type Carrier, carrierFor, type CarrierKind } from "./carrier.ts";
import { existingOutline, type Match, matchHoles, type Need } from "./match.ts";
import { itemName, type PlacedItem, placeItems } from "./placed.ts";

/** done: there and right; cut: to be made; open-up: there, too small; unresolved: there, and in the way; spare: serves nothing. */
export type HoleWork = "done" | "cut" | "open-up" | "unresolved" | "spare" | "close";

export interface ChassisHole {
  /** "V3/body", "V3/fixing-1", or the id of a hole that serves nothing. */
  readonly id: string;
  readonly label: string;
  readonly item?: string;
  readonly purpose: HolePurpose | "fixing" | "opening" | "none";
  readonly x: number;
  readonly y: number;
  /** As it is to be; a rectangle's degrees are on the plate. */
  readonly shape: HoleShape;
  readonly outline: Outline;
  /** How far under and over the size it may be cut. */
  readonly underMillimetres: number;
  readonly overMillimetres: number;
  readonly work: HoleWork;
  readonly in: "plate" | CarrierKind;
  /** The hole of the document that is there: serving, to be opened, in the way. */
  readonly existing?: string;
  /** Tapped, not cleared: "M3". */
  readonly thread?: string;
}

export interface ChassisHoles {
  readonly holes: readonly ChassisHole[];
  /** Rings and plates that were decided and can be made. */
  readonly carriers: readonly Carrier[];
  /** Decisions that cannot be carried out, and why. */
  readonly refused: readonly { readonly choice: SalvageChoice; readonly why: string }[];
  readonly items: readonly PlacedItem[];
  readonly matches: readonly Match[];
  /** Items whose footprint nobody knows. */
  readonly unknown: readonly string[];
}

const CARRIERS: ReadonlySet<string> = new Set<CarrierKind>(["adapter-ring", "cover-plate", "sub-plate"]);
const isCarrier = (by: SalvageChoice["by"]): by is CarrierKind => CARRIERS.has(by);

/** The plate's holes and those of rings and plates over it, in the order of the items. */
export function holesOf(chassis: Chassis, library: Footprints): ChassisHoles {
  const { placed: items, unknown } = placeItems(chassis, library);
  const { matches, spare } = matchHoles(chassis, items);
  const carriers: Carrier[] = [];
  const refused: { choice: SalvageChoice; why: string }[] = [];
  for (const choice of chassis.salvage ?? []) {
    if (!isCarrier(choice.by)) continue;
    const item = items.find((one) => one.item.id === choice.item);
    const hole = chassis.holes.find((one) => one.id === choice.hole);
    if (item === undefined || hole === undefined) {
      refused.push({ choice, why: `the footprint of ${choice.item ?? "the part"} is not known.` });
      continue;
    }
    const carrier = carrierFor(choice.by, { chassis, items, item, hole });
    if (carrier.ok) carriers.push(carrier.value);
    else refused.push({ choice, why: carrier.failure });
  }
  const carriedItems = new Map(carriers.map((one) => [one.item, one]));
  const decided = new Map((chassis.salvage ?? []).map((one) => [one.hole, one]));
  const claimed = new Set(
    carriers.flatMap((one) => [one.hole, ...one.fixing.flatMap((screw) => screw.existing ?? [])]),
  );
  const holes = [
    ...matches.flatMap((match) => {
      const carrier = carriedItems.get(match.need.item.item.id);
      return carrier === undefined ? [needRow(match, decided)] : carriedRows(match.need, carrier);
    }),
    ...carriers.flatMap((carrier) => carrierRows(carrier, chassis)),
    ...spare
      .filter((hole) => !claimed.has(hole.id) && !isInTheWay(hole, matches, carriedItems))
      .map((hole) => spareRow(hole, decided)),
  ];
  return { holes, carriers, refused, items, matches, unknown: unknown.map((one) => one.id) };
}

const isInTheWay = (hole: DocumentHole, matches: readonly Match[], carried: ReadonlyMap<string, Carrier>): boolean =>
  matches.some(
    (match) => match.fit === "wrong" && match.existing?.id === hole.id && !carried.has(match.need.item.item.id),
  );

const labelOf = (need: Need): string => `${itemName(need.item.item)} ${need.hole.id.replace("-", " ")}`;

function rowOf(
  need: Need,
): Pick<ChassisHole, "id" | "label" | "item" | "purpose" | "underMillimetres" | "overMillimetres"> {
  return {
    id: `${need.item.item.id}/${need.hole.id}`,
    label: labelOf(need),
    item: need.item.item.id,
    purpose: need.hole.purpose,
    underMillimetres: need.hole.underMillimetres,
    overMillimetres: need.hole.overMillimetres,
  };
}

/** Shape and place of an outline; a footprint's holes are circles and rectangles. */
function shapeAt(outline: Outline): Pick<ChassisHole, "x" | "y" | "shape" | "outline"> {
  if (outline.kind === "polygon") {
    const [first = { x: 0, y: 0 }] = outline.points;
    return { ...first, shape: { kind: "circle", diameterMillimetres: 0 }, outline };
  }
  const { x, y, ...shape } = outline;
  return { x, y, shape, outline };
}

function needRow({ need, fit, existing }: Match, decided: ReadonlyMap<string, SalvageChoice>): ChassisHole {
  const row = rowOf(need);
  const there = existing === undefined ? {} : { existing: existing.id };
  // The builder's word that a hole is kept goes before the footprint's range.
  const kept = existing !== undefined && decided.get(existing.id)?.by === "keep" && existing.state === "cut";
  if (existing !== undefined && (fit === "serves" || (kept && decided.get(existing.id)?.item === row.item)))
    return {
      ...row,
      ...shapeAt(existingOutline(existing)),
      work: existing.state === "cut" ? "done" : "cut",
      in: "plate",
      ...there,
    };
  const opened = existing !== undefined && decided.get(existing.id)?.by === "open-up";
  const work: HoleWork =
    fit === "none" ? "cut" : fit === "open-up" || (opened && fit === "wrong") ? "open-up" : "unresolved";
  return { ...row, ...shapeAt(need.outline), work, in: "plate", ...there };
}

/** Holes of a part that stands on a carrier: in it, and in the plate too where a screw passes both. */
function carriedRows(need: Need, carrier: Carrier): readonly ChassisHole[] {
  const own = carrier.holes.find((one) => one.id === need.hole.id);
  const row: ChassisHole = {
    ...rowOf(need),
    ...shapeAt(own?.outline ?? need.outline),
    work: "cut",
    in: carrier.kind,
    ...(own?.thread === undefined ? {} : { thread: own.thread, underMillimetres: 0, overMillimetres: 0.1 }),
  };
  if (own?.seat !== "through-plate") return [row];
  return [row, { ...row, id: `${row.id}/plate`, label: `${row.label}, in the plate`, in: "plate" }];
}

function carrierRows(carrier: Carrier, chassis: Chassis): readonly ChassisHole[] {
  const hole = chassis.holes.find((one) => one.id === carrier.hole);
  const under: ChassisHole[] =
    carrier.opening === undefined
      ? hole === undefined
        ? []
        : [
            {
              id: `${carrier.item}/opening`,
              label: `${carrier.item} opening under its ${CARRIER_WORDS[carrier.kind]}`,
              item: carrier.item,
              purpose: "opening",
              ...shapeAt(existingOutline(hole)),
              underMillimetres: 0,
              overMillimetres: 1,
              work: "done",
              in: "plate",
              existing: hole.id,
            },
          ]
      : [
          {
            id: `${carrier.item}/opening`,
            label: `${carrier.item} opening under its ${CARRIER_WORDS[carrier.kind]}`,
            item: carrier.item,
            purpose: "opening",
            ...shapeAt(carrier.opening),
            underMillimetres: 0,
            overMillimetres: 1,
            work: "cut",
            in: "plate",
            existing: carrier.hole,
          },
        ];
  return [
    ...under,
    ...carrier.fixing.map((screw): ChassisHole => {
      const shape: HoleShape = { kind: "circle", diameterMillimetres: screw.diameterMillimetres };
      return {
        id: `${carrier.item}/${screw.id}`,
        label: `${carrier.item} ${CARRIER_WORDS[carrier.kind]}, ${screw.id.replace("-", " ")}`,
        item: carrier.item,
        purpose: "fixing",
        x: screw.x,
        y: screw.y,
        shape,
        outline: { ...shape, x: screw.x, y: screw.y },
        underMillimetres: 0.15,
        overMillimetres: 0.8,
        work: screw.existing === undefined ? "cut" : "done",
        in: "plate",
        ...(screw.existing === undefined ? {} : { existing: screw.existing }),
      };
    }),
  ];
}

export const CARRIER_WORDS: { readonly [K in CarrierKind]: string } = {
  "adapter-ring": "ring",
  "cover-plate": "cover plate",
  "sub-plate": "sub-plate",
};

function spareRow(hole: DocumentHole, decided: ReadonlyMap<string, SalvageChoice>): ChassisHole {
  const choice = decided.get(hole.id);
  const used = choice?.by === "other-use" || choice?.by === "keep";
  return {
    id: hole.id,
    label: hole.note ?? hole.id,
    purpose: "none",
    ...shapeAt(existingOutline(hole)),
    underMillimetres: 0,
    overMillimetres: 0,
    work: hole.state === "planned" ? "cut" : choice?.by === "blank-plug" ? "close" : used ? "done" : "spare",
    in: "plate",
    existing: hole.id,
  };
}
