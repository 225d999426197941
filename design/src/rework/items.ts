/**
 * What differs between two documents, as a builder names it: a tube in its sockets, a resistor of both channels, the
 * fuse. Each item can be taken back alone.
 */
import type { Footprints } from "@platewright/engine";
import { chassisWords } from "../chassis/chassis-words.ts";
import { diffDocuments, pathOf } from "../document/change.ts";
import type { Document, DocumentPart, Envelope } from "../document/schema.ts";
import type { Change } from "../findings.ts";
import { type WireMove, wireMoves } from "../limits/pins.ts";
import { brief, FIELD_NAMES, type Fields, fieldWords, SETTING_NAMES, spoken } from "./item-words.ts";

/** The field of a part that an item is about. */
export type PartField = "value" | "position" | "closed" | "watts" | "volts" | "other";

export interface ReworkItem {
  /** Stable for what it is about: "tube/V1,V2", "part/channel.R4/L,R", "supply.fuse". */
  readonly id: string;
  readonly kind: "tube" | "rectifier" | "part" | "control" | "supply" | "chassis" | "other";
  /** "V1, V2", "R4" (in every channel), "L.R4" (in one). */
  readonly where: string;
  /** "tube", "cathode resistor". */
  readonly what: string;
  /** Empty where `after` says the whole of it: "V3 moved 12 mm to the rear". */
  readonly before: string;
  readonly after: string;
  /** What comes with it: wires to move, another socket, another rating. */
  readonly words: string;
  /** Of a tube. */
  readonly envelopes?: readonly string[];
  /** Of a part: where it is edited. */
  readonly part?: { readonly instances: readonly string[]; readonly partId: string; readonly field: PartField };
}

/**
 * Everything that differs, in the order of the job: bottles, parts, controls, supply, chassis, the rest. Sockets and parts on the
 * chassis are named by their label when footprints are given.
 */
export function reworkItems(before: Document, after: Document, footprints?: Footprints): readonly ReworkItem[] {
  const changes = diffDocuments(before, after).flatMap((change) => placed(after, change));
  const buckets = [...new Set(changes.map((one) => one.bucket))];
  const items = [
    ...tubeItems(before, after, buckets),
    ...buckets.flatMap((bucket) => partItems(before, after, bucket)),
    ...buckets.flatMap((bucket) =>
      settingItems(
        bucket,
        changes.filter((one) => one.bucket === bucket).map((one) => one.change),
      ),
    ),
    ...chassisItems(before, after, buckets, footprints),
  ];
  return items.toSorted((a, b) => ORDER.indexOf(a.kind) - ORDER.indexOf(b.kind));
}

const ORDER: readonly ReworkItem["kind"][] = ["tube", "rectifier", "part", "control", "supply", "chassis", "other"];

/**
 * Changes that take one item back to how it was in `proven`, from `now`. Other items stay as they are.
 */
export function takeBack(now: Document, proven: Document, item: ReworkItem): readonly Change[] {
  return diffDocuments(now, proven)
    .flatMap((change) => placed(now, change))
    .filter(({ bucket, instance }) => belongs(item, bucket, instance))
    .map((one) => one.change);
}

function belongs(item: ReworkItem, bucket: string, instance: string | undefined): boolean {
  if (item.envelopes !== undefined) return item.envelopes.some((id) => bucket === `envelope ${id}`);
  if (item.part === undefined) return item.id === bucket;
  return item.id.startsWith(`${bucket}/`) && (instance === undefined || item.part.instances.includes(instance));
}

interface PlacedChange {
  /** What it is about: "envelope V1", "part/channel.R4", "supply.fuse". */
  readonly bucket: string;
  /** The instance whose override it is. */
  readonly instance?: string;
  readonly change: Change;
}

/** A change with what it is about; overrides that come or go together are told apart by part. */
function placed(document: Document, change: Change): readonly PlacedChange[] {
  const keys = pathOf(change.target) ?? [];
  const [first, second = "", third, fourth] = keys;
  if (first === "envelopes" && keys.length > 1) return [{ bucket: `envelope ${second}`, change }];
  if (first === "blocks" && third === "parts" && fourth !== undefined)
    return [{ bucket: `part/${second}.${fourth}`, change }];
  if (first === "instances" && third === "overrides") {
    const block = document.instances.find((one) => one.id === second)?.block ?? "";
    const bucket = (partId: string) => `part/${block}.${partId}`;
    if (fourth !== undefined) return [{ bucket: bucket(fourth), instance: second, change }];
    return splitOverrides(change).map(({ partId, change: own }) => ({
      bucket: bucket(partId),
      instance: second,
      change: own,
    }));
  }
  if (first === "supply" && second === "rectifier" && third !== undefined)
    return [{ bucket: `supply.rectifier.${third}`, change }];
  if (first === "chassis" && second !== "") {
    // A list whose members came or went changes as a whole.
    return [
      { bucket: `chassis.${second}${CHASSIS_LISTS.has(second) && third !== undefined ? `[${third}]` : ""}`, change },
    ];
  }
  if (first === "supply" && second !== "") return [{ bucket: `supply.${second}`, change }];
  if (first === "blocks" || first === "instances") return [{ bucket: `circuit.${second}`, change }];
  return [{ bucket: first ?? "", change }];
}

/** Overrides that appear or vanish as a whole, as one change for each part, but for a single one. */
function splitOverrides(change: Change): readonly { readonly partId: string; readonly change: Change }[] {
  const were = (change.before ?? {}) as Readonly<Record<string, unknown>>;
  const are = (change.after ?? {}) as Readonly<Record<string, unknown>>;
  const ids = [...new Set([...Object.keys(were), ...Object.keys(are)])];
  return ids.map((partId) => {
    if (ids.length === 1) return { partId, change };
    if (change.before === undefined)
      return { partId, change: { target: change.target, after: { [partId]: are[partId] } } };
    return { partId, change: { target: `${change.target}.${partId}`, before: were[partId] } };
  });
}

/** Bottles that go the same way in the same kind of socket are one item. */
function tubeItems(before: Document, after: Document, buckets: readonly string[]): readonly ReworkItem[] {
  const groups = new Map<string, { was: Envelope; is: Envelope; ids: string[] }>();
  for (const is of after.envelopes) {
    const was = before.envelopes.find((one) => one.id === is.id);
    if (was === undefined || !buckets.includes(`envelope ${is.id}`)) continue;
    const pins = movesOf(was, is).map(pinWords).join(" ");
    const key = [bottle(was), was.socket, bottle(is), is.socket, pins].join("|");
    const group = groups.get(key) ?? { was, is, ids: [] };
    group.ids.push(is.id);
    groups.set(key, group);
  }
  return [...groups.values()].map(({ was, is, ids }) => {
    const rectifies = ids.some((id) => after.supply?.rectifier.envelope === id);
    const moves = movesOf(was, is);
    const rewired = bottle(was) === bottle(is);
    return {
      id: `tube/${ids.join(",")}`,
      kind: rectifies ? "rectifier" : "tube",
      where: ids.join(", "),
      what: rewired ? "socket wiring" : rectifies ? "rectifier" : "tube",
      before: bottle(was),
      after: rewired ? `${bottle(is)} rewired` : bottle(is),
      words:
        was.socket !== is.socket
          ? `${is.socket} socket in place of ${was.socket}, wired anew${ids.some((id) => sameSocketOnPlate(before, after, id)) ? "; the chassis still has the old one" : ""}`
          : moves.length === 0
            ? "same socket, no wire moves"
            : `move ${moves.map(pinWords).join(", ")} from below`,
      envelopes: ids,
    };
  });
}

/** The socket that stands on the chassis is the one that stood there before. */
function sameSocketOnPlate(before: Document, after: Document, envelope: string): boolean {
  const on = ({ chassis }: Document) =>
    chassis?.items.find(({ what }) => "envelope" in what && what.envelope === envelope)?.footprint;
  return on(after) !== undefined && on(before) === on(after);
}

const bottle = ({ type, variant }: Envelope): string => (variant === undefined ? type : `${type} (${variant})`);
const movesOf = (was: Envelope, is: Envelope): readonly WireMove[] =>
  was.socket === is.socket ? wireMoves(was.wiring, is.wiring) : [];
const pinWords = ({ from, to }: WireMove): string =>
  from === undefined ? `new to ${to ?? "?"}` : to === undefined ? `${from} off` : `${from}→${to}`;

/** One part of a block, grouped by what its instances were and are. */
function partItems(before: Document, after: Document, bucket: string): readonly ReworkItem[] {
  const match = /^part\/(.+?)\.(.+)$/.exec(bucket);
  if (match === null) return [];
  const [, block = "", partId = ""] = match;
  const users = after.instances.filter((one) => one.block === block).map((one) => one.id);
  const groups = new Map<string, { was: Fields; is: Fields; instances: string[] }>();
  for (const instance of users) {
    const was = fieldsOf(before, instance, partId);
    const is = fieldsOf(after, instance, partId);
    const changed = changedFields(was, is);
    if (changed.length === 0) continue;
    const key = JSON.stringify(changed.map((field) => [field, was[field], is[field]]));
    const group = groups.get(key) ?? { was, is, instances: [] };
    group.instances.push(instance);
    groups.set(key, group);
  }
  return [...groups.values()].map(({ was, is, instances }) => {
    const changed = changedFields(was, is);
    const field = FIELDS.find((one) => changed.includes(one)) ?? "other";
    const part = is as unknown as DocumentPart;
    const rest = changed.filter((one) => one !== field && one !== "label" && one !== "note");
    const everywhere = instances.length === users.length && users.length > 1;
    return {
      id: `${bucket}/${instances.join(",")}`,
      kind: field === "position" || field === "closed" ? "control" : "part",
      where: everywhere ? partId : instances.map((instance) => `${instance}.${partId}`).join(", "),
      what: part.label ?? part.kind,
      before: fieldWords(was, field),
      after: fieldWords(is, field),
      words: rest
        .map((one) => `${FIELD_NAMES[one] ?? one} ${fieldWords(was, one)} → ${fieldWords(is, one)}`)
        .join(", "),
      part: { instances, partId, field },
    };
  });
}

const FIELDS = ["value", "position", "closed", "watts", "volts"] as const;
/** A part of an instance with its overrides; empty when there is none. */
function fieldsOf(document: Document, instance: string, partId: string): Fields {
  const owner = document.instances.find((one) => one.id === instance);
  const part = document.blocks[owner?.block ?? ""]?.parts.find((one) => one.id === partId);
  return part === undefined ? {} : { ...part, ...owner?.overrides?.[partId] };
}

const changedFields = (was: Fields, is: Fields): readonly string[] =>
  [...new Set([...Object.keys(was), ...Object.keys(is)])].filter(
    (field) => JSON.stringify(was[field]) !== JSON.stringify(is[field]),
  );

const CHASSIS_LISTS: ReadonlySet<string> = new Set(["items", "holes", "tools", "footprints"]);

function chassisItems(
  before: Document,
  after: Document,
  buckets: readonly string[],
  footprints: Footprints | undefined,
): readonly ReworkItem[] {
  return chassisWords(before.chassis, after.chassis, footprints)
    .filter((one) => buckets.includes(one.target))
    .map(({ target, where, sentences }) => ({
      id: target,
      kind: "chassis",
      where,
      what: target === "chassis" ? "" : "on the chassis",
      before: "",
      after: sentences.join("; "),
      words: "",
    }));
}

/** "R4 680 Ω → 820 Ω, rating 0.5 W → 1 W". */
export const itemWords = ({ kind, where, before, after, words }: ReworkItem): string => {
  const changed = kind === "chassis" ? after : before === "" ? `${where}: ${after}` : `${where} ${before} → ${after}`;
  return [changed, words].filter((word) => word !== "").join(", ");
};

function settingItems(bucket: string, changes: readonly Change[]): readonly ReworkItem[] {
  if (bucket.startsWith("part/") || bucket.startsWith("envelope ") || bucket.startsWith("chassis")) return [];
  const [where, what] = SETTING_NAMES[bucket] ?? [bucket.replace(/^circuit\./, ""), "circuit"];
  const [only] = changes;
  const whole = changes.length === 1 && only !== undefined;
  return [
    {
      id: bucket,
      kind: bucket.startsWith("supply") ? "supply" : "other",
      where,
      what,
      before: whole ? brief(only.before, bucket) : "",
      after: whole ? brief(only.after, bucket) : `${changes.length} changes`,
      words: changes
        .map(({ target }) => spoken((pathOf(target) ?? []).slice(bucket.split(".").length)))
        .filter((word) => word !== "")
        .join(", "),
    },
  ];
}
