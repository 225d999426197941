/**
 * Every wire of the wiring list on the plate: its way, its length to cut, and what the ways are checked for.
 *
 * Method  Heaters and mains run square, along the edges where that serves; high tension, the bus and the earth square; grids, plates, cathodes and signals
 *         straight. Leads that go from one item to the same other one (a heater's, a winding's, mains through a switch) are
 *         one twisted pair and share a way. To cut: the way, a tenth more where it is twisted, down to the plate and up again
 *         at both ends (straight wires: the difference of the heights), and 10 mm for each end; up to the next 5 mm.
 * Limits  Straight or square ways, common practice: leave the wire long, and cut it at the place. What hangs in the wiring is placed
 *         to some 20 mm (wire-ends.ts). A wire with an end that stands nowhere has no run.
 */
import type { Place } from "@platewright/engine";
import type { Wire, WireEnd, WiringList, WirePurpose } from "../bench/wiring.ts";
import type { ChassisJudged } from "./context.ts";
import { HEATER_TO_GRID, MAINS_TO_SIGNAL, SCREENED_OVER } from "./practice.ts";
import { type WireCheck, wireChecks } from "./wire-checks.ts";
import { type WirePlace, wirePlaces } from "./wire-ends.ts";
import { tubePins } from "./wire-pins.ts";
import { alongEdges, type KeepOff, type Route, routeLength, square, straight } from "./wire-routes.ts";

export interface WireRun {
  /** That of the wire. */
  readonly id: string;
  readonly purpose: WirePurpose;
  readonly net: string;
  readonly from: WireEnd;
  readonly to: WireEnd;
  /** On the plate, seen from above. */
  readonly route: Route;
  /** With another wire of the same way. */
  readonly twisted: boolean;
  readonly screened: boolean;
  /** To cut. */
  readonly lengthMillimetres: number;
  readonly parts: {
    readonly route: number;
    /** What twisting takes. */
    readonly twist: number;
    readonly rise: number;
    readonly slack: number;
  };
  /** An end hangs in the wiring: the length is a guess by so much. */
  readonly hangs: boolean;
  readonly channel?: string;
}

/** The ground bus in the order of its wires, and where it is tied to the chassis. */
export interface GroundBus {
  readonly stations: readonly { readonly end: WireEnd; readonly place: Place; readonly hangs: boolean }[];
  readonly bond?: Place;
}

export interface WireRuns {
  readonly runs: readonly WireRun[];
  readonly checks: readonly WireCheck[];
  readonly bus: GroundBus;
  /** Wires with an end that stands nowhere on the plate. */
  readonly missing: readonly string[];
}

const TWIST_SHARE = 0.1;
const SLACK_PER_END = 10;
const CUT_TO = 5;
export const WIRE_RUN_WORDS = "straight or square runs; leave the wire long, cut at the place";

type Lay = "edge" | "square" | "straight";
const LAY: Readonly<Record<WirePurpose, Lay>> = {
  earth: "square",
  mains: "edge",
  heater: "edge",
  winding: "square",
  supply: "square",
  ground: "square",
  plate: "straight",
  cathode: "straight",
  grid: "straight",
  signal: "straight",
};

interface Ended {
  readonly wire: Wire;
  readonly from: WirePlace;
  readonly to: WirePlace;
}

export function wireRuns(judged: ChassisJudged, list: WiringList): WireRuns {
  const places = wirePlaces(judged);
  const ended: Ended[] = [];
  const missing: string[] = [];
  for (const wire of list.wires) {
    const ends = endsOf(places, wire);
    if (ends === undefined) missing.push(wire.id);
    else ended.push({ wire, ...ends });
  }
  const pairs = new Map<string, Ended[]>();
  for (const one of ended) pairs.set(pairKey(one), [...(pairs.get(pairKey(one)) ?? []), one]);
  const keep = keepOffs(judged);
  const runs = ended.map((one) => runOf(judged, one, pairs.get(pairKey(one)) ?? [one], keep));
  return { runs, checks: wireChecks(judged, runs), bus: busOf(places, list), missing };
}

/** Iron's leads leave it where it is nearest to the other end. */
function endsOf(
  places: ReturnType<typeof wirePlaces>,
  { from, to }: Wire,
): { readonly from: WirePlace; readonly to: WirePlace } | undefined {
  // The bond: at the place that it comes from.
  const other = to.item === "chassis" ? from : to;
  const [a, b] = [places(from), places(other)];
  if (a === undefined || b === undefined) return undefined;
  const start = places(from, b.place) ?? a;
  return { from: start, to: places(other, start.place) ?? b };
}

/** Leads that run together; every other wire alone. */
function pairKey({ wire, from, to }: Ended): string {
  const { purpose } = wire;
  return purpose === "heater" || purpose === "winding" || purpose === "mains"
    ? [purpose, ...[from.item.item.id, to.item.item.id].toSorted()].join("|")
    : wire.id;
}

type Keep = Readonly<Record<Lay, readonly KeepOff[]>> & { readonly mains: readonly KeepOff[] };

function keepOffs(judged: ChassisJudged): Keep {
  const grids = tubePins(judged, "grid").map((one) => one.place);
  const parts = new Map((judged.expanded?.parts ?? []).map((part) => [part.id, part.kind]));
  const quiet = judged.items.filter(
    ({ item: { what } }) => "part" in what && ["jack", "potentiometer"].includes(parts.get(what.part) ?? ""),
  );
  const off = (millimetres: number): readonly KeepOff[] =>
    [...quiet.map((one) => one.item), ...grids].map((place) => ({ place, millimetres }));
  return { edge: off(HEATER_TO_GRID), square: off(HEATER_TO_GRID), straight: [], mains: off(MAINS_TO_SIGNAL) };
}

function runOf(judged: ChassisJudged, { wire, from, to }: Ended, pair: readonly Ended[], keep: Keep): WireRun {
  const { purpose } = wire;
  const lay = LAY[purpose];
  const twisted = pair.length > 1;
  // A pair comes to the pins of its first lead; the other parts from it there.
  const first = pair[0] ?? { from, to };
  const [a, b] = [first.from.place, first.to.place];
  const route =
    lay === "edge"
      ? alongEdges(judged.chassis.plate, a, b, purpose === "mains" ? keep.mains : keep.edge)
      : lay === "square"
        ? square(a, b, keep.square)
        : straight(a, b);
  const length = routeLength(route);
  const heights = [from.heightMillimetres, to.heightMillimetres] as const;
  const parts = {
    route: length,
    twist: twisted ? TWIST_SHARE * length : 0,
    rise: length === 0 || lay === "straight" ? Math.abs(heights[0] - heights[1]) : heights[0] + heights[1],
    slack: 2 * SLACK_PER_END,
  };
  const total = parts.route + parts.twist + parts.rise + parts.slack;
  return {
    id: wire.id,
    purpose,
    net: wire.net,
    from: wire.from,
    to: wire.to,
    route,
    twisted,
    screened: purpose === "signal" && length > SCREENED_OVER,
    lengthMillimetres: CUT_TO * Math.ceil(total / CUT_TO - 1e-9),
    parts,
    hangs: from.hangs || to.hangs,
    ...(wire.channel === undefined ? {} : { channel: wire.channel }),
  };
}

function busOf(places: ReturnType<typeof wirePlaces>, list: WiringList): GroundBus {
  const wires = list.wires.filter((one) => one.purpose === "ground");
  const stations = new Map<string, GroundBus["stations"][number]>();
  let bond: Place | undefined;
  for (const { from, to } of wires) {
    if (to.item === "chassis") bond = places(from)?.place;
    for (const [end, other] of [
      [from, to],
      [to, from],
    ] as const) {
      const key = `${end.item} ${end.at}`;
      const at = places(end, places(other)?.place);
      if (at !== undefined && !stations.has(key)) stations.set(key, { end, place: at.place, hangs: at.hangs });
    }
  }
  return { stations: [...stations.values()], ...(bond === undefined ? {} : { bond }) };
}
