/**
 * Heater windings under load. The wiring of each socket says which heater option is lit; the sum of currents sags the
 * winding, the mains raise or lower it.
 *
 * Law     volts = mains factor x (unloaded - (unloaded - rated) I / rated amps): the printed drop taken as linear.
 * Limits  A heater's current is taken as rated whatever its volts: between 5.7 and 6.9 V it moves by some 5 %.
 */
import { amps, type Base, type Catalogue, type HeaterOption, volts } from "@platewright/engine";
import type { Document, Envelope, PinWire } from "../document/schema.ts";
import type { SolvedHeater } from "../solved/types.ts";

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
  return (document.supply?.transformer.heaters ?? []).map((winding) => {
    const here = lit.filter((heater) => heater.winding === winding.id);
    const drawn = here.reduce((sum, heater) => sum + (heater.share > 0 ? heater.option.amps : 0), 0);
    const sag = ((winding.unloadedVolts - winding.ratedVolts) * drawn) / winding.ratedAmps;
    const across = mainsFactor * (winding.unloadedVolts - sag);
    return {
      winding: winding.id,
      amps: amps(drawn),
      ratedAmps: amps(winding.ratedAmps),
      volts: volts(across),
      referenceVolts: volts(winding.reference === "0" ? 0 : netVolts(winding.reference)),
      envelopes: here.map((heater) => ({
        envelope: heater.envelope,
        volts: volts(across * heater.share),
        wantedVolts: heater.option.volts,
        amps: heater.option.amps,
      })),
    };
  });
}
