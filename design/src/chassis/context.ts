/** What every rule of the chassis reads: items and holes in place, bulbs of the tubes, who is mains and who is signal. */
import type { Catalogue, Footprints, Provenance } from "@platewright/engine";
import type { Chassis } from "../document/chassis-schema.ts";
import { expand } from "../document/expand.ts";
import type { Expanded } from "../document/expanded.ts";
import type { Document } from "../document/schema.ts";
import type { Finding } from "../findings.ts";
import { type Draft, finding } from "../limits/build.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { type ChassisHoles, holesOf } from "./holes.ts";
import { bodyOf, itemName, type PlacedBody, type PlacedItem } from "./placed.ts";
import { FINGERS, PRACTICE_WORDS } from "./practice.ts";

export interface ChassisAsk {
  readonly document: Document;
  readonly footprints: Footprints;
  readonly catalogue: Catalogue;
  /** Running, mains nominal; left out: rules about heat say that they do not know. */
  readonly solved?: SolvedDesign;
  /** False: no fix is looked for, as while something is being moved. */
  readonly fixes?: boolean;
}

export interface TubeOnPlate {
  readonly item: PlacedItem;
  readonly envelope: string;
  readonly type: string;
  readonly bulbMillimetres: number;
  /** From the plate to the top of the bulb. */
  readonly topMillimetres: number;
  readonly bulb: PlacedBody;
  /** undefined: no sheet gives the size; what its socket usually takes is assumed. */
  readonly provenance: Provenance | undefined;
  readonly rectifier: boolean;
}

export interface ChassisJudged extends ChassisAsk {
  readonly chassis: Chassis;
  readonly expanded: Expanded | undefined;
  readonly holes: ChassisHoles;
  readonly items: readonly PlacedItem[];
  readonly tubes: readonly TubeOnPlate[];
  /** Every body on either face: parts, bulbs, rings and plates over holes. */
  readonly bodies: readonly PlacedBody[];
}

export function judgedChassis(ask: ChassisAsk): ChassisJudged | undefined {
  const { chassis } = ask.document;
  if (chassis === undefined) return undefined;
  const holes = holesOf(chassis, ask.footprints);
  const tubes = holes.items.flatMap((item) => tubeOn(ask, item) ?? []);
  const expanded = expand(ask.document);
  return {
    ...ask,
    chassis,
    expanded: expanded.ok ? expanded.value : undefined,
    holes,
    items: holes.items,
    tubes,
    bodies: [
      ...holes.items.flatMap((item) => item.bodies),
      ...tubes.map((tube) => tube.bulb),
      ...holes.carriers.map((one) => bodyOf(one.item, one.kind, one.face, one.outline, one.thicknessMillimetres)),
    ],
  };
}

/** Bulb and seated height that a socket usually takes, where no sheet says; from memory. */
const USUAL: Readonly<Record<string, readonly [diameter: number, seated: number]>> = {
  noval: [22.2, 60],
  "7-pin miniature": [19, 55],
  octal: [33, 90],
  UX4: [52, 120],
  UY5: [46, 105],
};
/** Pins below the seat. */
export const pinLength = (socket: string | undefined): number =>
  socket === "noval" || socket === "7-pin miniature" ? 7 : 14;

/** Clear height that a tube wants to come out of its socket: its pins, and fingers round it. */
export const pulledMillimetres = ({ item, topMillimetres }: Pick<TubeOnPlate, "item" | "topMillimetres">): number =>
  topMillimetres + pinLength(item.footprint.socket) + FINGERS;

function tubeOn(ask: ChassisAsk, item: PlacedItem): TubeOnPlate | undefined {
  const { what } = item.item;
  if (!("envelope" in what)) return undefined;
  const envelope = ask.document.envelopes.find((one) => one.id === what.envelope);
  if (envelope === undefined) return undefined;
  const record = ask.catalogue.tube(envelope.type);
  const [usualDiameter, usualSeated] = USUAL[envelope.socket] ?? [30, 80];
  const { diameter, seatedHeight, overallHeight } = record?.dimensions ?? {};
  const bulbMillimetres = diameter === undefined ? usualDiameter : diameter.value * 1e3;
  const seated =
    seatedHeight !== undefined
      ? seatedHeight.value * 1e3
      : overallHeight !== undefined
        ? overallHeight.value * 1e3 - pinLength(envelope.socket)
        : usualSeated;
  // It sits on the flange of a socket that is mounted from above.
  const flange = item.bodies
    .filter((body) => body.face === item.face && /flange|saddle/.test(body.what))
    .reduce((most, body) => Math.max(most, body.heightMillimetres), 0);
  const topMillimetres = flange + seated;
  const { x, y } = item.item;
  return {
    item,
    envelope: envelope.id,
    type: envelope.type,
    bulbMillimetres,
    topMillimetres,
    bulb: bodyOf(
      item.item.id,
      "bulb",
      item.face,
      { kind: "circle", x, y, diameterMillimetres: bulbMillimetres },
      topMillimetres,
    ),
    provenance: diameter,
    rectifier: record?.kind === "rectifier",
  };
}

/** Carries mains: inlet, its gland, fuse and switch that are fittings, not parts of the circuit. */
export const isMains = ({ item, footprint }: PlacedItem): boolean =>
  "fitting" in item.what && ["inlet", "gland", "fuse-holder", "switch"].includes(footprint.kind);

export const isIron = ({ footprint }: PlacedItem): boolean =>
  footprint.kind === "transformer" || footprint.kind === "toroid" || footprint.kind === "choke";

/** What a hand turns, presses or pushes while the unit runs. */
export const isControl = ({ footprint }: PlacedItem): boolean =>
  footprint.kind === "potentiometer" || footprint.kind === "switch";

export const nameOf = (judged: Pick<ChassisJudged, "items">, id: string): string => {
  const found = judged.items.find((one) => one.item.id === id);
  return found === undefined ? id : itemName(found.item);
};

/** Tenths of a millimetre, without a needless nought. */
export const mm = (millimetres: number): string => String(Math.round(millimetres * 10) / 10).replace("-", "−");

/** A finding of a rule of the trade, in millimetres as placed, when nothing else is said. */
export const practised = (
  draft: Omit<Draft, "condition" | "source"> & { readonly condition?: string; readonly source?: string },
): Finding => finding({ condition: "as placed", source: PRACTICE_WORDS, unit: "mm", ...draft });

/** The same before anything is put in words: what breaks a rule, or the one that is nearest to breaking it. */
export function brokenOrTightest<T>(
  all: readonly T[],
  isOk: (one: T) => boolean,
  room: (one: T) => number,
): readonly T[] {
  const broken = all.filter((one) => !isOk(one));
  if (broken.length > 0) return broken;
  let least: T | undefined;
  for (const one of all) if (least === undefined || room(one) < room(least)) least = one;
  return least === undefined ? [] : [least];
}

/** Of one rule: every finding that is not ok; when all are, the nearest to its limit. */
export function tightest(findings: readonly Finding[]): readonly Finding[] {
  const wrong = findings.filter((one) => one.level !== "ok");
  if (wrong.length > 0) return wrong;
  const room = ({ value, limit, sense }: Finding) =>
    value === null || limit === null ? Infinity : sense === "below" ? limit - value : value - limit;
  const [first] = [...findings].sort((one, other) => room(one) - room(other));
  return first === undefined ? [] : [first];
}
