/**
 * Where a probe goes on the unit, in the order of the bench, and which net it touches there. Equal channels share a row with a
 * place in each. Nothing is solved here.
 *
 * Method  Nets of the supply's block that are no channel's, hottest first; then for each section of a tube plate, grid and
 *         cathode; then the other nets of the channel that carry direct voltage.
 */
import type { ExpandedTriode } from "../document/expanded.ts";
import type { Document } from "../document/schema.ts";
import { stagesOf } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";

export interface ProbePlace {
  /** The channel; left out for the supply. */
  readonly channel?: string;
  readonly net: string;
  /** "V1 pin 9", "PS.C1 plus", "joint of R5, R7 and R8". */
  readonly words: string;
}

export interface TestPoint {
  /** "net B1", "V1a plate". */
  readonly id: string;
  /** "V1a plate", "B1, first capacitor". */
  readonly words: string;
  /** Of the rows that stand for several channels one place for each, in the order of the document. */
  readonly places: readonly ProbePlace[];
  readonly kind: "supply" | "plate" | "grid" | "cathode" | "node";
}

/** Pins of an envelope that a net's wire comes to. */
export function pinsOf(document: Document, net: string, envelope?: string): readonly string[] {
  return document.envelopes
    .filter((one) => envelope === undefined || one.id === envelope)
    .flatMap((one) => {
      const pins = Object.entries(one.wiring)
        .filter(([, wire]) => "net" in wire && wire.net === net)
        .map(([pin]) => pin);
      return pins.length === 0 ? [] : [`${one.id} pin ${pins.join(" + ")}`];
    });
}

/** A place where the probe finds a net: the plus of a capacitor, else a pin, else the parts that meet there. */
export function placeWords(solved: SolvedDesign, net: string): string {
  const touching = solved.expanded.parts.filter((part) =>
    Object.values(part.written.pins as Readonly<Record<string, string>>).includes(net),
  );
  const plus = touching.find(
    (part) => part.written.kind === "capacitor" && part.written.polarised === true && part.written.pins.a === net,
  );
  if (plus !== undefined) return `${plus.id} plus`;
  const [pin] = pinsOf(solved.document, net);
  if (pin !== undefined) return pin;
  const names = touching.map((part) => part.written.id);
  return names.length > 1
    ? `joint of ${names.slice(0, -1).join(", ")} and ${names[names.length - 1] ?? ""}`
    : (names[0] ?? net);
}

/** Every point worth reading, in order. */
export function testPoints(solved: SolvedDesign): readonly TestPoint[] {
  const { document, expanded, bias } = solved;
  const volts = (net: string) => Math.abs(bias.netVolts.get(net) ?? 0);
  const channels = expanded.channels.map((one) => one.instance);
  const ofChannel = (net: string) => channels.some((instance) => net.startsWith(`${instance}.`));
  const points: TestPoint[] = expanded.nets
    .filter((net) => net !== "0" && !ofChannel(net) && volts(net) > 0.01)
    .sort((a, b) => volts(b) - volts(a) || (a < b ? -1 : 1))
    .map((net) => ({
      id: `net ${net}`,
      words: supplyWords(solved, net),
      places: [{ net, words: placeWords(solved, net) }],
      kind: "supply",
    }));
  for (const alike of alikeChannels(solved)) {
    const [first] = alike;
    if (first === undefined) continue;
    const seen = new Set<string>();
    const local = (net: string, instance: string) =>
      net.startsWith(`${first}.`) ? `${instance}${net.slice(first.length)}` : net;
    const add = (
      kind: TestPoint["kind"],
      id: string,
      words: string,
      net: string,
      envelope?: (instance: string) => string,
    ) => {
      if (net === "0" || seen.has(net)) return;
      seen.add(net);
      points.push({
        id: `${alike.join(", ")} ${id}`,
        words,
        kind,
        places: alike.map((instance) => {
          const own = local(net, instance);
          const [pin] = pinsOf(document, own, envelope?.(instance));
          return { channel: instance, net: own, words: pin ?? placeWords(solved, own) };
        }),
      });
    };
    for (const stage of stagesOf(solved).filter((one) => one.triode.instance === first)) {
      const { triode } = stage;
      const bottle = (instance: string): string =>
        expanded.triodes.find((one: ExpandedTriode) => one.instance === instance && one.part === triode.part)
          ?.envelope ?? triode.envelope;
      add("plate", `${triode.part} plate`, `${triode.part} plate`, triode.plate, bottle);
      add("grid", `${triode.part} grid`, `${triode.part} grid`, triode.grid, bottle);
      add("cathode", `${triode.part} cathode`, `${triode.part} cathode`, triode.cathode, bottle);
    }
    for (const net of expanded.nets)
      if (net.startsWith(`${first}.`) && volts(net) > 0.01 && !seen.has(net) && !isTwinOf(solved, net, seen))
        add("node", `net ${net.slice(first.length + 1)}`, `net ${net.slice(first.length + 1)}`, net);
  }
  return points;
}

/** Behind a resistor that carries nothing: what it reads stands already at its other end. */
function isTwinOf(solved: SolvedDesign, net: string, seen: ReadonlySet<string>): boolean {
  const at = (one: string) => (one === "0" ? 0 : (solved.bias.netVolts.get(one) ?? 0));
  return solved.expanded.parts.some(({ electrical: e }) => {
    if (e.kind !== "resistor" || (e.a !== net && e.b !== net)) return false;
    const other = e.a === net ? e.b : e.a;
    return seen.has(other) && Math.abs(at(net) - at(other)) < 0.02 * Math.max(0.5, Math.abs(at(net)));
  });
}

/** Channels that are equal to one another, together. */
export function alikeChannels(solved: SolvedDesign): readonly (readonly string[])[] {
  const groups = new Map<string, string[]>();
  for (const { instance } of solved.expanded.channels) {
    const first = solved.expanded.equalTo.get(instance) ?? instance;
    groups.set(first, [...(groups.get(first) ?? []), instance]);
  }
  return [...groups.values()];
}

function supplyWords(solved: SolvedDesign, net: string): string {
  const capacitor = solved.expanded.parts.find(
    ({ electrical: e }) => e.kind === "capacitor" && ((e.a === net && e.b === "0") || (e.b === net && e.a === "0")),
  );
  const label = capacitor?.written.label;
  return label === undefined ? net : `${net}, ${label}`;
}
