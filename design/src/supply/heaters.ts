/**
 * Heater windings under load, as the rest of a solved design reads them. The wiring of each socket says which heater
 * option is lit and how the heaters hang together; heater-network.ts solves winding, wire, droppers and heaters at once.
 */
import { amps, type Base, type Catalogue, type HeaterOption, volts } from "@platewright/engine";
import type { Document, Envelope, PinWire } from "../document/schema.ts";
import type { SolvedHeater } from "../solved/types.ts";
import { type PinVolts, solveHeaterNetwork } from "./heater-network.ts";
import { solveDirectHeaters } from "./heater-network-direct.ts";
import { heatersOf, type WrittenWinding } from "./heater-network-document.ts";
import { transformerOf } from "./rectifier-problem.ts";

/** A heater as it is wired: the winding it hangs on and the option its pins select. */
export interface LitHeater {
  readonly envelope: string;
  readonly winding: string;
  readonly option: HeaterOption;
  /** Share of the winding's volts that the heater as an option gets: 1 when wired as meant, 0 when both ends share a lead. */
  readonly share: number;
}

/** Which heater option the socket's wiring selects; undefined when no winding reaches both ends. */
export function litHeater(envelope: Envelope, base: Base, options: readonly HeaterOption[]): LitHeater | undefined {
  const leadsOf = (end: "a" | "b" | "tap") =>
    Object.entries(base.pins)
      .filter(([, role]) => (role.kind === "heater" || role.kind === "heater-and-cathode") && role.end === end)
      .map(([pin]) => envelope.wiring[pin])
      .filter((wire): wire is Extract<PinWire, { winding: string }> => wire !== undefined && "winding" in wire);
  const [a] = leadsOf("a");
  const [b] = leadsOf("b");
  const [tap] = leadsOf("tap");
  const pick = (wiring: HeaterOption["wiring"]) => options.find((option) => option.wiring === wiring);
  const across = (one: Extract<PinWire, { winding: string }>, other: Extract<PinWire, { winding: string }>) =>
    one.winding === other.winding && one.lead !== other.lead ? 1 : 0;
  if (a !== undefined && b !== undefined && tap !== undefined && a.lead === b.lead) {
    const option = pick("parallel");
    return option === undefined
      ? undefined
      : { envelope: envelope.id, winding: tap.winding, option, share: across(a, tap) };
  }
  if (a === undefined || b === undefined) return undefined;
  const option = pick("single") ?? pick("series") ?? options[0];
  return option === undefined ? undefined : { envelope: envelope.id, winding: a.winding, option, share: across(a, b) };
}

/** Every heater winding of a design at a mains factor, with what each bottle gets. */
export function solveHeaters(
  document: Document,
  catalogue: Catalogue,
  mainsFactor: number,
  netVolts: (net: string) => number,
  absent: readonly string[] = [],
): readonly SolvedHeater[] {
  const lit = document.envelopes.flatMap((envelope) => {
    if (absent.includes(envelope.id)) return [];
    const record = catalogue.tube(envelope.type);
    const base = record?.bases.find((one) => one.socket === envelope.socket && Object.keys(one.pins).length > 0);
    const heater = record === undefined || base === undefined ? undefined : litHeater(envelope, base, record.heaters);
    return heater === undefined ? [] : [heater];
  });
  const resolved = document.supply === undefined ? undefined : transformerOf(document.supply);
  const windings = resolved?.ok === true ? resolved.value.heaters : (document.supply?.transformer.heaters ?? []);
  return windings.map((winding) => {
    const here = lit.filter((heater) => heater.winding === winding.id);
    const referenceVolts = volts(winding.reference === "0" ? 0 : netVolts(winding.reference));
    const common = { winding: winding.id, ratedAmps: amps(winding.ratedAmps), referenceVolts };
    const network = solveWinding(document, catalogue, winding, mainsFactor, absent);
    if (network !== undefined)
      return {
        ...common,
        amps: amps(network.amps),
        volts: volts(network.volts),
        envelopes: here.map((heater) => pinsOf(heater, network.pins)),
      };
    // No closed way from lead to lead, or nothing on it: the winding unloaded.
    const across = mainsFactor * winding.unloadedVolts;
    return {
      ...common,
      amps: amps(0),
      volts: volts(across),
      envelopes: here.map(({ envelope, option }) => ({
        envelope,
        volts: volts(0),
        wantedVolts: option.volts,
        amps: amps(0),
      })),
    };
  });
}

/** What one bottle gets: its halves side by side or end to end, as its wiring says. */
function pinsOf({ envelope, option, share }: LitHeater, pins: readonly PinVolts[]): SolvedHeater["envelopes"][number] {
  const own = pins.filter((pin) => pin.id === envelope || pin.id.startsWith(`${envelope}/`));
  const sum = (of: (pin: PinVolts) => number) => own.reduce((total, pin) => total + of(pin), 0);
  const count = Math.max(1, own.length);
  const parallel = option.wiring === "parallel";
  const mean = { volts: sum((pin) => pin.volts) / count, amps: sum((pin) => pin.amps) / count };
  return {
    envelope,
    volts: volts(share === 0 ? 0 : parallel ? mean.volts : sum((pin) => pin.volts)),
    wantedVolts: option.volts,
    amps: amps(share === 0 ? 0 : parallel ? sum((pin) => pin.amps) : mean.amps),
  };
}

interface SolvedWinding {
  readonly amps: number;
  readonly volts: number;
  readonly pins: readonly PinVolts[];
}

function solveWinding(
  document: Document,
  catalogue: Catalogue,
  winding: WrittenWinding,
  mainsFactor: number,
  absent: readonly string[],
): SolvedWinding | undefined {
  const heaters = heatersOf(document, catalogue, winding, absent);
  if (!heaters.ok || heaters.value.branches.length === 0) return undefined;
  const { source, branches, direct } = heaters.value;
  const options = { ...heaters.value.options, mainsFactor };
  if (direct === undefined) {
    const solved = solveHeaterNetwork(source, branches, options);
    return solved.ok ? { ...solved.value, volts: solved.value.windingVolts } : undefined;
  }
  const solved = solveDirectHeaters(source, branches, direct, options);
  if (!solved.ok) return undefined;
  const { windingRmsAmps, pins } = solved.value;
  return { amps: windingRmsAmps, volts: mainsFactor * source.unloadedVolts - source.ohms * windingRmsAmps, pins };
}
