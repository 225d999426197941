/**
 * The wires of a unit, from its nets: where each begins and ends, in the order of work.
 *
 * Method  What is fixed to the chassis has places for wires: pins of sockets, lugs of controls, jacks, cans, the transformer's
 *         leads. Places of one net are joined one after the other, sources first. Resistors, films and small electrolytics
 *         carry themselves between places; a net where only such parts meet is a tag of its own.
 * Limits  The ground is one bus: centre tap and first capacitor alone, then the capacitors in the order of the supply, then
 *         each channel from its reservoir to its input jack, where the one bond to the chassis is. Colours, sizes and the
 *         order of the bus are common practice.
 */
import type { ExpandedPart } from "../document/expanded.ts";
import type { Document, DocumentPart, Envelope } from "../document/schema.ts";
import type { SolvedDesign } from "../solved/types.ts";

export type WirePurpose =
  | "mains"
  | "earth"
  | "heater"
  | "winding"
  | "supply"
  | "ground"
  | "plate"
  | "grid"
  | "cathode"
  | "signal";

export interface WireEnd {
  /** The thing on the chassis: "V1", "L.P1", "PS.C1", "T1", "tag L.c2", "inlet". */
  readonly item: string;
  /** "pin 9", "wiper", "plus"; empty for a tag. */
  readonly at: string;
  /** Of a part that carries itself: the place where it stands. */
  readonly near?: WireEnd;
}

export interface Wire {
  /** "B1: PS.C1 plus to PS.R1". */
  readonly id: string;
  readonly net: string;
  readonly purpose: WirePurpose;
  readonly from: WireEnd;
  readonly to: WireEnd;
  readonly channel?: string;
  /** Highest volts to ground that it stands at in any condition; 0 for ground. Mains and heaters have none here. */
  readonly volts?: number;
  /** Rms or direct amperes, where they choose the wire. */
  readonly amps?: number;
  /** Twisted with the next one. */
  readonly twisted: boolean;
  readonly note: string;
}

/** A part that carries itself between two places. */
export interface CarriedPart {
  readonly id: string;
  readonly from: string;
  readonly to: string;
}

export interface WiringList {
  readonly wires: readonly Wire[];
  readonly carried: readonly CarriedPart[];
}

const ORDER: readonly WirePurpose[] = [
  "earth",
  "mains",
  "heater",
  "winding",
  "supply",
  "ground",
  "plate",
  "cathode",
  "grid",
  "signal",
];

/** An electrolytic of this many volts stands on the chassis in a can; smaller ones hang in the wiring (common practice). */
const CAN_VOLTS = 100;

export const endWords = ({ item, at }: WireEnd): string => (at === "" ? item : `${item} ${at}`);

export function wiringList(solved: SolvedDesign, conditions: ReadonlyMap<string, SolvedDesign>): WiringList {
  const { document, expanded } = solved;
  const highest = (net: string): number =>
    Math.max(...[solved, ...conditions.values()].map((one) => Math.abs(one.bias.netVolts.get(net) ?? 0)));
  const wires: Wire[] = [...mainsWires(document), ...windingWires(document, solved, highest)];
  const ends = new Map<string, Placed[]>();
  for (const net of expanded.nets) ends.set(net, placesOf(solved, net));
  for (const [net, places] of ends) {
    if (net === "0") continue;
    const purpose = purposeOf(solved, net);
    const volts = highest(net);
    for (let n = 1; n < places.length; n++) {
      const [from, to] = [places[n - 1], places[n]];
      if (from === undefined || to === undefined || same(from.end, to.end)) continue;
      wires.push({
        id: `${net}: ${endWords(from.end)} to ${endWords(to.end)}`,
        net,
        purpose,
        from: from.end,
        to: to.end,
        ...channelOf(solved, net),
        volts,
        twisted: false,
        note: noteOf(purpose),
      });
    }
  }
  wires.push(...groundWires(solved));
  const hanging = hangingParts(solved, ends);
  for (const { part, far, net, near } of hanging.flatMap((one) =>
    one.far === undefined || one.near === undefined ? [] : [{ ...one, far: one.far, near: one.near }],
  ))
    wires.push({
      id: `${net}: ${endWords(far)} to ${part.id}`,
      net,
      purpose: purposeOf(solved, net),
      from: far,
      to: { item: part.id, at: `at ${endWords(near)}`, near },
      ...channelOf(solved, `${part.instance}.`),
      volts: highest(net),
      twisted: false,
      note: noteOf(nearPurpose(solved, part) === "grid" ? "grid" : purposeOf(solved, net)),
    });
  return {
    wires: wires.toSorted((a, b) => ORDER.indexOf(a.purpose) - ORDER.indexOf(b.purpose)),
    carried: hanging.map(({ part, from, to }) => ({ id: part.id, from, to })),
  };
}

const same = (a: WireEnd, b: WireEnd): boolean => a.item === b.item && a.at === b.at;

interface Placed {
  readonly end: WireEnd;
  /** Sources of a net first: smaller goes first. */
  readonly rank: number;
}

/** Does a part stand on the chassis, rather than hang in the wiring? */
export const isMounted = (written: DocumentPart): boolean =>
  written.kind === "potentiometer" ||
  written.kind === "jack" ||
  written.kind === "switch" ||
  written.kind === "inductor" ||
  (written.kind === "capacitor" && written.polarised === true && (written.volts ?? 0) >= CAN_VOLTS);

const PIN_WORDS: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  capacitor: { a: "plus", b: "minus" },
};

function placesOf(solved: SolvedDesign, net: string): Placed[] {
  const { document, expanded } = solved;
  const rectifier = document.supply?.rectifier.envelope;
  const places: Placed[] = document.envelopes.flatMap((envelope) =>
    pinGroups(envelope, (wire) => "net" in wire && wire.net === net).map((pins) => ({
      end: { item: envelope.id, at: `pin ${pins}` },
      rank: envelope.id === rectifier ? 0 : 3,
    })),
  );
  let hanging = 0;
  for (const part of expanded.parts) {
    const pins = Object.entries(part.written.pins as Readonly<Record<string, string>>).filter(([, at]) => at === net);
    if (pins.length === 0 || part.written.kind === "triode") continue;
    if (!isMounted(part.written)) {
      hanging++;
      continue;
    }
    for (const [pin] of pins)
      places.push({
        end: { item: part.id, at: PIN_WORDS[part.written.kind]?.[pin] ?? pin },
        rank: rankOf(part),
      });
  }
  // Only leads of parts that carry themselves meet here.
  if (places.length === 0 && hanging > 1) places.push({ end: { item: `tag ${net}`, at: "" }, rank: 2 });
  return places.sort((a, b) => a.rank - b.rank);
}

const rankOf = ({ written }: ExpandedPart): number =>
  written.kind === "capacitor" || written.kind === "inductor" ? 1 : written.kind === "potentiometer" ? 4 : 5;

/** Pins of a socket that one wire comes to, joined: "4 + 5". */
function pinGroups(envelope: Envelope, wanted: (wire: Envelope["wiring"][string]) => boolean): readonly string[] {
  const pins = Object.entries(envelope.wiring)
    .filter(([, wire]) => wanted(wire))
    .map(([pin]) => pin);
  return pins.length === 0 ? [] : [pins.join(" + ")];
}

function channelOf(solved: SolvedDesign, net: string): { readonly channel?: string } {
  const channel = solved.expanded.channels.find(({ instance }) => net.startsWith(`${instance}.`))?.instance;
  return channel === undefined ? {} : { channel };
}

function purposeOf(solved: SolvedDesign, net: string): WirePurpose {
  const reservoir = solved.expanded.parts.some(
    ({ written }) =>
      written.kind === "capacitor" &&
      written.polarised === true &&
      written.pins.a === net &&
      (written.volts ?? 0) >= CAN_VOLTS,
  );
  if (reservoir) return "supply";
  const triode = solved.expanded.triodes.find((one) => one.plate === net || one.grid === net || one.cathode === net);
  if (triode === undefined) return "signal";
  return triode.plate === net ? "plate" : triode.grid === net ? "grid" : "cathode";
}

function noteOf(purpose: WirePurpose): string {
  switch (purpose) {
    case "plate":
      return "25 mm from grids";
    case "grid":
      return "short; stopper at the pin";
    case "signal":
      return "over 60 mm: screened, one end";
    default:
      return "";
  }
}

/** Inlet, fuse, switch, primary, earth: the same for every unit of protective class I. */
function mainsWires({ supply }: Document): readonly Wire[] {
  if (supply === undefined) return [];
  const wire = (purpose: WirePurpose, from: WireEnd, to: WireEnd, note: string): Wire => ({
    id: `${purpose}: ${endWords(from)} to ${endWords(to)}`,
    net: purpose,
    purpose,
    from,
    to,
    twisted: purpose === "mains",
    note,
  });
  const end = (item: string, at = ""): WireEnd => ({ item, at });
  return [
    wire("earth", end("inlet", "earth"), end("earth stud"), "the longest; own bolt"),
    wire("mains", end("inlet", "live"), end("fuse"), "sleeved"),
    wire("mains", end("fuse"), end("switch", "live in"), "sleeved"),
    wire("mains", end("switch", "live out"), end("T1", "primary 1"), "sleeved"),
    wire("mains", end("inlet", "neutral"), end("switch", "neutral in"), "sleeved"),
    wire("mains", end("switch", "neutral out"), end("T1", "primary 2"), "sleeved"),
  ];
}

function windingWires(document: Document, solved: SolvedDesign, highest: (net: string) => number): readonly Wire[] {
  const { supply } = document;
  if (supply === undefined) return [];
  const wires: Wire[] = [];
  const rectifier = supply.rectifier.envelope;
  for (const winding of supply.transformer.heaters) {
    const amps = solved.heaters.find((one) => one.winding === winding.id)?.amps;
    // Nearest to the iron first: the rectifier, then from the last bottle to the first.
    const served = document.envelopes
      .filter((one) => Object.values(one.wiring).some((wire) => "winding" in wire && wire.winding === winding.id))
      .toSorted((a, b) => Number(b.id === rectifier) - Number(a.id === rectifier) || (a.id < b.id ? 1 : -1));
    let before: readonly [WireEnd, WireEnd] = [
      { item: "T1", at: `${winding.id} a` },
      { item: "T1", at: `${winding.id} b` },
    ];
    for (const envelope of served) {
      const pins = (["a", "b"] as const).map((lead): WireEnd => {
        const [group = ""] = pinGroups(
          envelope,
          (wire) => "winding" in wire && wire.winding === winding.id && wire.lead === lead,
        );
        return { item: envelope.id, at: `pin ${group}` };
      });
      const [a, b] = pins;
      if (a === undefined || b === undefined) continue;
      for (const [n, [from, to]] of [
        [before[0], a],
        [before[1], b],
      ].entries() as IterableIterator<[number, [WireEnd, WireEnd]]>)
        wires.push({
          id: `${winding.id}: ${endWords(from)} to ${endWords(to)}`,
          net: winding.id,
          purpose: "heater",
          from,
          to,
          ...(amps === undefined ? {} : { amps }),
          twisted: n === 0,
          note: n === 0 ? "twisted with the next" : "",
        });
      before = [a, b];
    }
    if (winding.reference !== "0") {
      const [place] = placesOf(solved, winding.reference);
      wires.push({
        id: `${winding.id}: centre to ${winding.reference}`,
        net: winding.reference,
        purpose: "heater",
        from: { item: "T1", at: `${winding.id} centre` },
        to: place?.end ?? { item: winding.reference, at: "" },
        volts: highest(winding.reference),
        twisted: false,
        note: "the heaters' reference",
      });
    }
  }
  for (const envelope of document.envelopes)
    for (const lead of ["a", "b"] as const)
      for (const pins of pinGroups(
        envelope,
        (wire) =>
          "winding" in wire && !supply.transformer.heaters.some((one) => one.id === wire.winding) && wire.lead === lead,
      ))
        wires.push({
          id: `HT: T1 HT ${lead} to ${envelope.id} pin ${pins}`,
          net: "HT",
          purpose: "winding",
          from: { item: "T1", at: `HT ${lead}` },
          to: { item: envelope.id, at: `pin ${pins}` },
          volts: Math.SQRT2 * (solved.supply?.unloadedRmsVolts ?? 0),
          twisted: lead === "a",
          note: [
            ...(supply.rectifier.seriesOhms === undefined ? [] : [`through ${supply.rectifier.seriesOhms} Ω`]),
            ...(lead === "a" ? ["twisted with the next"] : []),
          ].join("; "),
        });
  return wires;
}

/** The ground bus, in the order of the current, and its one bond. */
export function groundStations(solved: SolvedDesign): readonly { readonly end: WireEnd; readonly channel?: string }[] {
  const { document, expanded } = solved;
  const first = document.supply?.rectifier.firstCapacitor;
  const grounded = (part: ExpandedPart): readonly string[] =>
    Object.entries(part.written.pins as Readonly<Record<string, string>>)
      .filter(([, net]) => net === "0")
      .map(([pin]) => PIN_WORDS[part.written.kind]?.[pin] ?? pin);
  const stations: { end: WireEnd; channel?: string }[] = [];
  const add = (part: ExpandedPart | undefined, channel?: string) => {
    if (part === undefined) return;
    for (const at of grounded(part))
      stations.push({ end: { item: part.id, at }, ...(channel === undefined ? {} : { channel }) });
  };
  const mounted = expanded.parts.filter((part) => isMounted(part.written));
  const channels = expanded.channels.map((one) => one.instance);
  const volts = (part: ExpandedPart): number => {
    const pins = part.written.pins as Readonly<Record<string, string>>;
    return Math.max(...Object.values(pins).map((net) => solved.bias.netVolts.get(net) ?? 0));
  };
  add(mounted.find((part) => part.id === first));
  for (const part of mounted
    .filter((one) => one.id !== first && !channels.includes(one.instance))
    .toSorted((a, b) => volts(b) - volts(a)))
    add(part);
  // From the output back to the input, so that the bond is where the smallest signal is.
  for (const instance of channels) {
    const own = mounted.filter((part) => part.instance === instance);
    for (const part of own.toSorted((a, b) => busRank(a) - busRank(b))) add(part, instance);
  }
  return stations;
}

function busRank({ written }: ExpandedPart): number {
  if (written.kind === "capacitor") return 0;
  if (written.kind === "jack") return written.role === "output" ? 1 : 4;
  // Controls of the output before those of the input: parts are numbered along the signal.
  return written.kind === "potentiometer" ? 3 - Number(/\d+$/.exec(written.id)?.[0] ?? 0) / 100 : 2;
}

function groundWires(solved: SolvedDesign): readonly Wire[] {
  const stations = groundStations(solved);
  const [first] = stations;
  if (first === undefined) return [];
  const wire = (from: WireEnd, to: WireEnd, note: string, channel?: string): Wire => ({
    id: `0: ${endWords(from)} to ${endWords(to)}`,
    net: "0",
    purpose: "ground",
    from,
    to,
    volts: 0,
    twisted: false,
    note,
    ...(channel === undefined ? {} : { channel }),
  });
  const wires: Wire[] = [];
  if (solved.document.supply !== undefined && (solved.document.supply.rectifier.circuit ?? "full-wave") === "full-wave")
    wires.push(wire({ item: "T1", at: "HT centre" }, first.end, "nothing else from here"));
  const supply = stations.filter((one) => one.channel === undefined);
  const last = supply[supply.length - 1] ?? first;
  for (let n = 1; n < supply.length; n++) {
    const [from, to] = [supply[n - 1], supply[n]];
    if (from !== undefined && to !== undefined) wires.push(wire(from.end, to.end, ""));
  }
  for (const { instance } of solved.expanded.channels) {
    let before = last;
    for (const one of stations.filter((station) => station.channel === instance)) {
      wires.push(wire(before.end, one.end, before === last ? "a wire of its own" : "", instance));
      before = one;
    }
  }
  const bond = bondOf(solved);
  if (bond !== undefined)
    wires.push(wire(bond, { item: "chassis", at: "at the input jack" }, "the one bond of the bus"));
  return wires;
}

/** Where the bus is tied to the chassis: the input jack's sleeve of the first channel. */
export function bondOf(solved: SolvedDesign): WireEnd | undefined {
  const [channel] = solved.expanded.channels;
  const jack = solved.expanded.parts.find(
    (part) => part.instance === channel?.instance && part.written.kind === "jack" && part.written.role === "input",
  );
  return jack === undefined ? undefined : { item: jack.id, at: "sleeve" };
}

interface Hanging {
  readonly part: ExpandedPart;
  readonly from: string;
  readonly to: string;
  /** A lead cannot reach: a wire comes from there, on this net, to the part at the other place. */
  readonly far?: WireEnd;
  readonly net: string;
  readonly near?: WireEnd;
}

/** What carries itself, between which places, and what its leads do not reach. */
function hangingParts(solved: SolvedDesign, ends: ReadonlyMap<string, readonly Placed[]>): readonly Hanging[] {
  const sockets = new Set(solved.expanded.triodes.map((one) => one.envelope));
  // At the bottle where there is one: plate loads, stoppers and cathode resistors stand at its pins.
  const placeOf = (net: string, instance: string): WireEnd | undefined => {
    const places = ends.get(net) ?? [];
    const own = places.find(
      ({ end }) =>
        sockets.has(end.item) &&
        solved.expanded.triodes.some((one) => one.envelope === end.item && one.instance === instance),
    );
    // Filter parts at their capacitors rather than at the rectifier.
    return (own ?? places.find((one) => one.rank === 1) ?? places[0])?.end;
  };
  return solved.expanded.parts
    .filter((part) => part.written.kind !== "triode" && !isMounted(part.written))
    .map((part): Hanging => {
      const [a = "0", b = "0"] = Object.values(part.written.pins as Readonly<Record<string, string>>);
      const words = (net: string): string => {
        const end = placeOf(net, part.instance);
        return net === "0" ? `ground of ${part.instance}` : end === undefined ? `joint ${net}` : endWords(end);
      };
      const [endA, endB] = [a, b].map((net) => (net === "0" ? undefined : placeOf(net, part.instance)));
      const base = { part, from: words(a), to: words(b), net: a };
      if (endA === undefined || endB === undefined || endA.item === endB.item) return base;
      const [tubeA, tubeB] = [endA, endB].map((end) => sockets.has(end.item) || end.item.startsWith("tag "));
      if (tubeA === true && tubeB === true) return base;
      // The part stays at the bottle (or at its tag); elsewhere where its second lead goes.
      return tubeA === true ? { ...base, far: endB, net: b, near: endA } : { ...base, far: endA, near: endB };
    });
}

/** What of a tube the other end of a part goes to. */
function nearPurpose(solved: SolvedDesign, part: ExpandedPart): WirePurpose {
  const nets = Object.values(part.written.pins as Readonly<Record<string, string>>);
  return nets.some((net) => solved.expanded.triodes.some((one) => one.grid === net)) ? "grid" : "signal";
}
