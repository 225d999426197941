/**
 * Heater networks of a document: each winding with what its sockets' wiring hangs on it.
 *
 * Method  A bottle with a tapped heater counts as two halves, any other as one element, between what its pins are wired to:
 *         leads of the winding, or nets. From lead a the elements are followed through nets that join two ends only, to
 *         lead b: that is one branch. So parallel, series, 12.6 V across the whole and strings of bottles are one rule.
 * Limits  A net that joins more than two heater ends is no chain and is not followed; it is said, and nothing is guessed.
 */
import { type Base, type Catalogue, fail, type HeaterOption, ok, parseValue, type Result } from "@platewright/engine";
import type { Document, Envelope, Transformer } from "../document/schema.ts";
import type { HeaterReference } from "./elevation-reference.ts";
import type { DirectHeaters } from "./heater-network-direct.ts";
import type { HeaterBranch, HeaterNetworkOptions, HeaterSource, NetworkHeater } from "./heater-network.ts";
import { wireOhms } from "./heater-network-wire.ts";

export type WrittenWinding = Transformer["heaters"][number];

export interface DocumentHeaters {
  readonly source: HeaterSource;
  readonly branches: readonly HeaterBranch[];
  readonly options: HeaterNetworkOptions;
  readonly direct?: DirectHeaters;
  readonly reference: HeaterReference;
  /** Bottles whose heater gets nothing (both ends on one lead), or that hang in no chain. */
  readonly dark: readonly string[];
}

interface Element {
  readonly heater: NetworkHeater;
  readonly from: string;
  readonly to: string;
}

/** Rated volts and amperes of the whole heater and, when it has a tap, of one half. */
function ratingOf(options: readonly HeaterOption[], tapped: boolean): { volts: number; amps: number } | undefined {
  const pick = (wiring: HeaterOption["wiring"]) => options.find((one) => one.wiring === wiring);
  const series = pick("series");
  const parallel = pick("parallel");
  if (tapped && series !== undefined) return { volts: series.volts / 2, amps: series.amps };
  if (tapped && parallel !== undefined) return { volts: parallel.volts, amps: parallel.amps / 2 };
  return pick("single") ?? series ?? options[0];
}

function elementsOf(envelope: Envelope, base: Base, options: readonly HeaterOption[]): readonly Element[] {
  const pinOf = (end: "a" | "b" | "tap") =>
    Object.entries(base.pins).find(
      ([, role]) => (role.kind === "heater" || role.kind === "heater-and-cathode") && role.end === end,
    )?.[0];
  const node = (end: "a" | "b" | "tap"): string | undefined => {
    const pin = pinOf(end);
    const wire = pin === undefined ? undefined : envelope.wiring[pin];
    if (wire === undefined) return undefined;
    return "winding" in wire ? leadNode(wire.winding, wire.lead) : `net ${wire.net}`;
  };
  const a = node("a");
  const b = node("b");
  const rating = ratingOf(options, pinOf("tap") !== undefined);
  if (rating === undefined) return [];
  const half = (name: string, from: string, to: string): Element => ({
    heater: { id: name, ratedVolts: rating.volts, ratedAmps: rating.amps },
    from,
    to,
  });
  if (pinOf("tap") === undefined) return a === undefined || b === undefined ? [] : [half(envelope.id, a, b)];
  const tap = node("tap") ?? `tap of ${envelope.id}`;
  return [
    ...(a === undefined ? [] : [half(`${envelope.id}/a`, a, tap)]),
    ...(b === undefined ? [] : [half(`${envelope.id}/b`, tap, b)]),
  ];
}

const leadNode = (winding: string, lead: string): string => `lead ${winding} ${lead}`;

/** Chains of elements from one lead to the other; what is left over hangs in none. */
function chainsBetween(
  elements: readonly Element[],
  start: string,
  end: string,
): { readonly chains: readonly (readonly Element[])[]; readonly left: readonly Element[] } {
  const left = new Set(elements);
  const chains: Element[][] = [];
  for (const first of elements) {
    if (!left.has(first) || (first.from !== start && first.to !== start) || first.from === first.to) continue;
    const chain = [first];
    let at = first.from === start ? first.to : first.from;
    while (at !== end && at !== start) {
      const here = elements.filter((one) => one.from === at || one.to === at);
      const next = here.length === 2 ? here.find((one) => !chain.includes(one)) : undefined;
      if (next === undefined) break;
      chain.push(next);
      at = next.from === at ? next.to : next.from;
    }
    if (at !== end) continue;
    chains.push(chain);
    for (const one of chain) left.delete(one);
  }
  return { chains, left: [...left] };
}

export function heatersOf(
  document: Document,
  catalogue: Catalogue,
  winding: WrittenWinding,
  absent: readonly string[] = [],
): Result<DocumentHeaters, string> {
  const [a, b] = [leadNode(winding.id, "a"), leadNode(winding.id, "b")];
  const elements = document.envelopes.flatMap((envelope) => {
    if (absent.includes(envelope.id)) return [];
    const record = catalogue.tube(envelope.type);
    const base = record?.bases.find((one) => one.socket === envelope.socket && Object.keys(one.pins).length > 0);
    return record === undefined || base === undefined ? [] : elementsOf(envelope, base, record.heaters);
  });
  const { chains, left } = chainsBetween(elements, a, b);
  // Left over and on this winding: dark, or in no chain.
  const touching = left.filter((one) => [one.from, one.to].some((node) => node === a || node === b));
  let wire = 0;
  if (winding.wire !== undefined) {
    const ohms = wireOhms(winding.wire);
    if (!ohms.ok) return fail(`transformer.heaters[${winding.id}].wire: ${ohms.failure}`);
    wire = ohms.value;
  }
  const written = writtenValues(winding);
  if (!written.ok) return written;
  const { drop } = written.value;
  const { direct } = winding;
  return ok({
    source: sourceOf(winding),
    branches: chains.map((chain) => ({ heaters: chain.map((one) => one.heater) })),
    options: { ...(wire > 0 ? { wireOhms: wire } : {}), ...(drop > 0 ? { dropOhms: drop } : {}) },
    ...(direct === undefined
      ? {}
      : {
          direct: {
            bridge: direct.bridge,
            farads: written.value.farads,
            hertz: document.supply?.mains.hertz ?? 50,
            dropOhms: written.value.directDrop,
          },
        }),
    reference: referenceOf(winding, written.value.reference),
    dark: [...new Set(touching.map((one) => one.heater.id.split("/")[0] as string))],
  });
}

/** The winding as a source: the printed drop taken as linear. */
export const sourceOf = (winding: WrittenWinding): HeaterSource => ({
  id: winding.id,
  unloadedVolts: winding.unloadedVolts,
  ohms: Math.max(0, winding.unloadedVolts - winding.ratedVolts) / winding.ratedAmps,
  ratedAmps: winding.ratedAmps,
});

/** Each of two resistors; common practice. */
const USUAL_RESISTOR = "100";

/** The values that stand as text in a winding; the first that is none is a sentence with its place. */
function writtenValues(winding: WrittenWinding) {
  let refused: string | undefined;
  const read = (field: string, quantity: "resistance" | "capacitance", text: string, zero = false): number => {
    const parsed = parseValue(quantity, text, { zero });
    if (parsed.ok) return parsed.value;
    refused ??= `transformer.heaters[${winding.id}].${field}: ${parsed.failure.sentence}`;
    return Number.NaN;
  };
  const values = {
    /** Both legs. */
    drop: 2 * read("dropOhmsPerLeg", "resistance", winding.dropOhmsPerLeg ?? "0", true),
    reference: read("referredByOhms", "resistance", winding.referredByOhms ?? USUAL_RESISTOR),
    farads: read("direct.farads", "capacitance", winding.direct?.farads ?? "0", winding.direct === undefined),
    directDrop: read("direct.dropOhms", "resistance", winding.direct?.dropOhms ?? "0", true),
  };
  return refused === undefined ? ok(values) : fail(refused);
}

function referenceOf(winding: WrittenWinding, ohms: number): HeaterReference {
  switch (winding.referredBy ?? "centre-tap") {
    case "centre-tap":
      return { kind: "centre-tap" };
    case "one-end":
      return { kind: "one-end" };
    case "two-resistors":
      return { kind: "two-resistors", aOhms: ohms, bOhms: ohms };
    case "hum-pot":
      return { kind: "hum-pot", ohms, position: winding.humPotPosition ?? 0.5 };
  }
}
