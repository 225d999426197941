/**
 * Where the ends of wires stand on the plate.
 *
 * Method  A pin of a socket at its place on the pin circle; lugs of a control, tags of a can or a jack, terminals of mains parts
 *         at the middle of the item; leads of iron at its wires' hole, else where its body underneath is nearest to the other end.
 *         A tag, a part that carries itself and a can that stands nowhere hang from the nearest thing that their nets lead
 *         to through parts that carry themselves; a tag stands on the nearest tag strip when the plate has one.
 * Limits  What hangs is placed to some 20 mm. Heights are those of the bodies under the plate.
 */
import type { Place } from "@platewright/engine";
import type { WireEnd } from "../bench/wiring.ts";
import type { ExpandedPart } from "../document/expanded.ts";
import type { ChassisJudged } from "./context.ts";
import { isIron } from "./context.ts";
import { type Bounds, distance, placed } from "./geometry.ts";
import { pinPlace, type PlacedItem } from "./placed.ts";

export interface WirePlace {
  readonly place: Place;
  /** The item that it stands on or hangs from. */
  readonly item: PlacedItem;
  /** Nothing on the plate is there itself: near what it hangs from. */
  readonly hangs: boolean;
  /** Of the terminal below the plate. */
  readonly heightMillimetres: number;
}

export type WirePlaces = (end: WireEnd, towards?: Place) => WirePlace | undefined;

const MOST_STEPS = 4;

export function wirePlaces(judged: ChassisJudged): WirePlaces {
  const { items, document, expanded } = judged;
  const parts = new Map((expanded?.parts ?? []).map((part) => [part.id, part]));
  const byPart = new Map<string, PlacedItem>();
  const byEnvelope = new Map<string, PlacedItem>();
  for (const item of items) {
    const { what } = item.item;
    if ("part" in what) for (const id of [what.part, ...(what.also ?? [])]) byPart.set(id, item);
    if ("envelope" in what) byEnvelope.set(what.envelope, item);
  }
  const fitting = (...kinds: readonly string[]) =>
    items.find((one) => "fitting" in one.item.what && kinds.includes(one.footprint.kind));
  const iron = items.find((one) => "transformer" in one.item.what) ?? items.find(isIron);
  const strips = items.filter((one) => one.footprint.kind === "tag-strip");
  const carried = [...parts.values()].filter((part) => part.kind !== "triode" && !byPart.has(part.id));

  const standing = (net: string): readonly WirePlace[] => [
    ...document.envelopes.flatMap((envelope): readonly WirePlace[] => {
      const item = byEnvelope.get(envelope.id);
      const pins = Object.entries(envelope.wiring).flatMap(([pin, wire]) =>
        "net" in wire && wire.net === net ? [pin] : [],
      );
      const place = item === undefined ? undefined : placeOfPins(item, pins);
      return item === undefined || place === undefined ? [] : [on(item, place)];
    }),
    ...[...byPart].flatMap(([id, item]) => {
      const part = parts.get(id);
      return part !== undefined && netsOf(part).includes(net) ? [on(item, item.item)] : [];
    }),
  ];

  /** The nearest thing that the nets lead to. */
  function hanging(nets: readonly string[]): WirePlace | undefined {
    let front = nets.filter((net) => net !== "0");
    const seen = new Set(front);
    for (let step = 0; step <= MOST_STEPS && front.length > 0; step++) {
      const found = front.flatMap(standing);
      const [first] = found;
      if (first !== undefined) {
        const same = found.filter((one) => one.item === first.item);
        return { ...first, place: middleOf(same.map((one) => one.place)), hangs: true };
      }
      front = [
        ...new Set(
          carried
            .filter((part) => netsOf(part).some((net) => front.includes(net)))
            .flatMap(netsOf)
            .filter((net) => net !== "0" && !seen.has(net)),
        ),
      ];
      for (const net of front) seen.add(net);
    }
    return undefined;
  }

  function onStrip(found: WirePlace | undefined): WirePlace | undefined {
    const [nearest] =
      found === undefined
        ? []
        : strips.toSorted((a, b) => distance(a.item, found.place) - distance(b.item, found.place));
    return nearest === undefined ? found : on(nearest, nearest.item);
  }

  const places: WirePlaces = (end, towards) => {
    if (end.near !== undefined) {
      const near = places(end.near, towards);
      return near === undefined ? undefined : { ...near, hangs: true };
    }
    const { item: name } = end;
    const mains = FITTINGS[name];
    const found = mains === undefined ? byPart.get(name) : fitting(...mains);
    if (found !== undefined) return on(found, found.item);
    if (name === "T1") return iron === undefined ? undefined : on(iron, leadsOf(iron, towards));
    const socket = byEnvelope.get(name);
    if (socket !== undefined) {
      const place = placeOfPins(socket, end.at.match(/\d+/g) ?? []);
      return place === undefined ? undefined : on(socket, place);
    }
    if (name.startsWith("tag ")) return onStrip(hanging([name.slice(4)]));
    const part = parts.get(name);
    return part === undefined ? undefined : hanging(netsOf(part));
  };
  return places;
}

/** Ends of the wiring list that are fittings, and the kinds that they may be. */
const FITTINGS: Readonly<Record<string, readonly string[]>> = {
  inlet: ["inlet", "gland"],
  fuse: ["fuse-holder"],
  switch: ["switch"],
  "earth stud": ["earth-stud"],
};

const netsOf = (part: ExpandedPart): readonly string[] => Object.values<string>(part.written.pins);

const on = (item: PlacedItem, { x, y }: Place): WirePlace => ({
  item,
  place: { x, y },
  hangs: false,
  heightMillimetres: item.bodies.reduce(
    (most, body) => (body.face === "under" && body.what !== "plug" ? Math.max(most, body.heightMillimetres) : most),
    0,
  ),
});

/** One wire comes to the first of pins that are joined. */
const placeOfPins = (item: PlacedItem, pins: readonly string[]): Place | undefined =>
  pins.map((pin) => pinPlace(item, Number(pin))).find((place) => place !== undefined);

function leadsOf(iron: PlacedItem, towards: Place | undefined): Place {
  const hole = iron.footprint.holes.find((one) => one.purpose === "wires");
  if (hole !== undefined) return placed(iron.pose, hole);
  const body = iron.bodies.find((one) => one.face === "under");
  return body === undefined || towards === undefined ? iron.item : nearestIn(body.bounds, towards);
}

const nearestIn = ({ left, right, front, rear }: Bounds, { x, y }: Place): Place => ({
  x: Math.min(right, Math.max(left, x)),
  y: Math.min(rear, Math.max(front, y)),
});

const middleOf = (places: readonly Place[]): Place => ({
  x: places.reduce((sum, { x }) => sum + x, 0) / places.length,
  y: places.reduce((sum, { y }) => sum + y, 0) / places.length,
});
