/** What is done to the layout, as Changes with the words that undo shows. Places in millimetres from the front left corner. */
import { bottleGroups, type ChassisItem, type Document, expand } from "@platewright/design";
import type { Edit } from "../../state/edits.ts";
import { twinsOf } from "../../state/edits.ts";
import { changesOf, edit, itemOf, type ItemSet, nameOf, placedAt, shown, turnOf } from "./place-edit.ts";
import { rounded } from "./snap.ts";

/** Several by the same way: "V1, V2 by 5, 0". */
export function movedBy(document: Document, ids: readonly string[], dx: number, dy: number): Edit {
  const items = ids.flatMap((id) => itemOf(document, id) ?? []);
  const [only] = items;
  if (items.length === 1 && only !== undefined) return placedAt(document, only.id, { x: only.x + dx, y: only.y + dy });
  return edit(
    `${items.map(nameOf).join(", ")} by ${shown(dx)}, ${shown(dy)}`,
    items.flatMap((item) => changesOf(item, { x: rounded(item.x + dx), y: rounded(item.y + dy) })),
  );
}

/** Any of its own fields. */
export function setOn(document: Document, id: string, set: ItemSet, words: string): Edit {
  const item = itemOf(document, id);
  return item === undefined ? edit("", []) : edit(`${nameOf(item)}: ${words}`, changesOf(item, set));
}

/** All to the same x or y as the first of them. */
export function aligned(document: Document, ids: readonly string[], axis: "x" | "y"): Edit {
  const [first, ...others] = ids.flatMap((id) => itemOf(document, id) ?? []);
  if (first === undefined) return edit("", []);
  return edit(
    `${others.map(nameOf).join(", ")} in line with ${nameOf(first)}, ${axis} ${shown(first[axis])}`,
    others.flatMap((item) => changesOf(item, { [axis]: first[axis] })),
  );
}

/** Centres at even distances between the outermost two, which stay. */
export function spacedEvenly(document: Document, ids: readonly string[], axis: "x" | "y"): Edit {
  const items = ids.flatMap((id) => itemOf(document, id) ?? []).toSorted((a, b) => a[axis] - b[axis]);
  const [first, last] = [items[0], items.at(-1)];
  if (first === undefined || last === undefined || items.length < 3) return edit("", []);
  const pitch = (last[axis] - first[axis]) / (items.length - 1);
  return edit(
    `${items.map(nameOf).join(", ")} spaced evenly, ${shown(pitch)} mm`,
    items.slice(1, -1).flatMap((item, n) => changesOf(item, { [axis]: rounded(first[axis] + (n + 1) * pitch) })),
  );
}

/** What stands for the same thing in two channels: the item of the one, and that of the other. */
export interface Pair {
  readonly from: string;
  readonly to: string;
}

/** Items of a channel with those that stand for the same in the other; a body that serves both channels is none of them. */
export function pairsOf(document: Document, instance: string): readonly Pair[] {
  const { chassis } = document;
  const expanded = expand(document);
  if (chassis === undefined || !expanded.ok) return [];
  const other = twinsOf(document, instance).find((one) => one !== instance);
  if (other === undefined) return [];
  const standing = new Map<string, string>();
  for (const { id, what } of chassis.items) {
    if ("envelope" in what) standing.set(what.envelope, id);
    if ("part" in what && ownersOf(what).size === 1) standing.set(what.part, id);
  }
  const twins = new Map<string, string>();
  const prefix = `${instance}.`;
  for (const key of standing.keys()) if (key.startsWith(prefix)) twins.set(key, `${other}.${key.slice(prefix.length)}`);
  for (const { envelopes } of bottleGroups(document, expanded.value)) {
    const [one, two, ...more] = envelopes;
    if (one === undefined || two === undefined || more.length > 0) continue;
    const own = [one, two].find((id) => channelsOf(document, id).has(instance));
    if (own !== undefined) twins.set(own, own === one ? two : one);
  }
  return [...twins].flatMap(([one, two]) => {
    const [from, to] = [standing.get(one), standing.get(two)];
    return from === undefined || to === undefined || from === to ? [] : [{ from, to }];
  });
}

const ownersOf = (what: Extract<ChassisItem["what"], { readonly part: string }>): ReadonlySet<string> =>
  new Set([what.part, ...(what.also ?? [])].map((part) => part.slice(0, part.indexOf("."))));

/** Channels whose nets a bottle is wired to. */
const channelsOf = (document: Document, envelope: string): ReadonlySet<string> =>
  new Set(
    Object.values(document.envelopes.find((one) => one.id === envelope)?.wiring ?? {}).flatMap((pin) =>
      "net" in pin && pin.net.includes(".") ? [pin.net.slice(0, pin.net.indexOf("."))] : [],
    ),
  );

/** Mirrored about a line from front to rear: a key to the left is a key to the right. The socket stays a socket: pins keep their order. */
export const mirroredPlace = (item: Pick<ChassisItem, "x" | "y" | "degrees">, middle: number) => ({
  x: rounded(2 * middle - item.x),
  y: item.y,
  degrees: turnOf(-item.degrees),
});

/** The other channel's items at the mirrored places of this one's. */
export function mirroredChannel(document: Document, instance: string, middle: number): Edit {
  const changes = pairsOf(document, instance).flatMap(({ from, to }) => {
    const [one, two] = [itemOf(document, from), itemOf(document, to)];
    if (one === undefined || two === undefined) return [];
    return changesOf(two, {
      ...mirroredPlace(one, middle),
      footprint: "fitting" in two.what ? two.footprint : one.footprint,
      face: one.face,
    });
  });
  const other = twinsOf(document, instance).find((one) => one !== instance) ?? "";
  return edit(`${other} mirrored from ${instance} about x ${shown(middle)}`, changes);
}

/** Ids of items that differ between two states of a chassis: what is in hand. */
export function movedItems(kept: Document, now: Document): ReadonlySet<string> {
  if (kept === now || kept.chassis === undefined || now.chassis === undefined) return new Set();
  const was = new Map(kept.chassis.items.map((item) => [item.id, JSON.stringify(item)]));
  const ids = new Set(
    now.chassis.items.filter((item) => was.get(item.id) !== JSON.stringify(item)).map(({ id }) => id),
  );
  const decided = new Map((kept.chassis.salvage ?? []).map((one) => [one.hole, JSON.stringify(one)]));
  for (const one of now.chassis.salvage ?? [])
    if (decided.get(one.hole) !== JSON.stringify(one))
      for (const id of [one.item, one.hole]) if (id !== undefined) ids.add(id);
  return ids;
}
