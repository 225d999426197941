/**
 * Which item a wire from a net leads to: through the small parts that hang between, which stand nowhere on the plate.
 *
 * Limits  Resistors, capacitors, coils, pots and switches are followed for a few steps, never through ground; what is reached in
 *         the fewest steps counts. Parts on the plate end the way.
 */
import type { Expanded, ExpandedPart } from "../document/expanded.ts";
import type { Document, PinWire } from "../document/schema.ts";
import type { PlacedItem } from "./placed.ts";

const FOLLOWED: ReadonlySet<string> = new Set(["resistor", "capacitor", "inductor", "switch"]);
const MOST_STEPS = 4;

export interface Reached {
  readonly item: PlacedItem;
  readonly steps: number;
}

export interface Tracer {
  /** Items that the net leads to in the fewest steps, `from` excepted. */
  readonly reached: (net: string, from: PlacedItem) => readonly Reached[];
  readonly partsOf: (item: PlacedItem) => readonly ExpandedPart[];
}

const netsOf = (part: ExpandedPart): readonly string[] => Object.values<string>(part.written.pins);

export function tracer(document: Document, expanded: Expanded, items: readonly PlacedItem[]): Tracer {
  const byId = new Map(expanded.parts.map((part) => [part.id, part]));
  const partsOf = ({ item }: PlacedItem): readonly ExpandedPart[] =>
    "part" in item.what ? [item.what.part, ...(item.what.also ?? [])].flatMap((id) => byId.get(id) ?? []) : [];
  const standing = new Set(items.flatMap((item) => partsOf(item).map((part) => part.id)));
  const atNet = new Map<string, Set<PlacedItem>>();
  const stand = (net: string, item: PlacedItem) => {
    const there = atNet.get(net) ?? new Set();
    there.add(item);
    atNet.set(net, there);
  };
  for (const item of items) {
    for (const part of partsOf(item)) for (const net of netsOf(part)) stand(net, item);
    const { what } = item.item;
    if (!("envelope" in what)) continue;
    const envelope = document.envelopes.find((one) => one.id === what.envelope);
    for (const wire of Object.values(envelope?.wiring ?? {})) if ("net" in wire) stand(wire.net, item);
  }
  const beyond = new Map<string, Set<string>>();
  for (const part of expanded.parts) {
    if (!FOLLOWED.has(part.kind) || standing.has(part.id)) continue;
    const nets = netsOf(part).filter((net) => net !== "0");
    for (const net of nets) {
      const others = beyond.get(net) ?? new Set();
      for (const other of nets) if (other !== net) others.add(other);
      beyond.set(net, others);
    }
  }
  return {
    partsOf,
    reached(net, from) {
      if (net === "0") return [];
      let front = [net];
      const seen = new Set(front);
      for (let steps = 0; steps <= MOST_STEPS && front.length > 0; steps++) {
        const found = front.flatMap((one) => [...(atNet.get(one) ?? [])]).filter((item) => item !== from);
        if (found.length > 0) return [...new Set(found)].map((item) => ({ item, steps }));
        // What comes back to the same item is wired at its own pins.
        front = front.flatMap((one) =>
          [...(beyond.get(one) ?? [])].filter((next) => !seen.has(next) && atNet.get(next)?.has(from) !== true),
        );
        for (const one of front) seen.add(one);
      }
      return [];
    },
  };
}

export const wireOf = (document: Document, item: PlacedItem, pin: string): PinWire | undefined => {
  const { what } = item.item;
  return "envelope" in what ? document.envelopes.find((one) => one.id === what.envelope)?.wiring[pin] : undefined;
};

/** Items that the signal passes first in each channel: from the input jack to the first grid. */
export function firstTubes(
  document: Document,
  expanded: Expanded,
  items: readonly PlacedItem[],
): readonly PlacedItem[] {
  const found = new Set<PlacedItem>();
  for (const channel of expanded.channels) {
    const envelope = firstEnvelope(expanded, channel.inputNet);
    const item = items.find((one) => "envelope" in one.item.what && one.item.what.envelope === envelope);
    if (item !== undefined) found.add(item);
  }
  return [...found];
}

/** The bottle whose grid the net leads to in the fewest steps, pots followed as well. */
function firstEnvelope(expanded: Expanded, inputNet: string): string | undefined {
  let front = [inputNet];
  const seen = new Set(front);
  for (let steps = 0; steps < 12 && front.length > 0; steps++) {
    const triode = expanded.triodes.find((one) => front.includes(one.grid));
    if (triode !== undefined) return triode.envelope;
    front = front.flatMap((net) =>
      expanded.parts
        .filter(
          (part) => (FOLLOWED.has(part.kind) || part.written.kind === "potentiometer") && netsOf(part).includes(net),
        )
        .flatMap(netsOf)
        .filter((next) => next !== "0" && !seen.has(next)),
    );
    for (const net of front) seen.add(net);
  }
  return undefined;
}
