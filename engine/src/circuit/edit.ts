/**
 * A compiled circuit with some of its values changed and nothing checked or compiled again: for searches that try many
 * values of the same few parts.
 *
 * Limits  Resistors and sources with a series resistance only; the caller answers for values that are finite and above
 *         zero (asserted). Everything else of the circuit is shared with the one before, devices and program included.
 */
import { assert } from "../result.ts";
import { ohms, volts } from "../units/quantities.ts";
import type { CompiledCircuit } from "./compile.ts";

export interface ValueEdits {
  /** Resistor id → ohms. */
  readonly ohms?: ReadonlyMap<string, number>;
  /** Id of a dc source with a series resistance → its values. */
  readonly sources?: ReadonlyMap<string, { readonly volts: number; readonly seriesOhms: number }>;
}

export function editValues(circuit: CompiledCircuit, edits: ValueEdits): CompiledCircuit {
  const resistors = edits.ohms ?? new Map<string, number>();
  const sources = edits.sources ?? new Map<string, { volts: number; seriesOhms: number }>();
  let found = 0;
  const parts = circuit.parts.map((part) => {
    if (part.kind === "resistor") {
      const value = resistors.get(part.id);
      if (value === undefined) return part;
      assert(value > 0 && value < Infinity, `editValues: ${part.id} of ${value} ohms`);
      found++;
      return { ...part, ohms: ohms(value) };
    }
    if (part.kind === "dc-source") {
      const value = sources.get(part.id);
      if (value === undefined) return part;
      assert(value.seriesOhms > 0 && part.seriesOhms > 0, `editValues: ${part.id} is an ideal source`);
      found++;
      return { ...part, volts: volts(value.volts), seriesOhms: ohms(value.seriesOhms) };
    }
    return part;
  });
  assert(found === resistors.size + sources.size, "editValues: a part that the circuit does not have");
  const siemensOf = (id: string): number | undefined => {
    const value = resistors.get(id) ?? sources.get(id)?.seriesOhms;
    return value === undefined ? undefined : 1 / value;
  };
  return {
    ...circuit,
    parts,
    elements: circuit.elements.map((element) => {
      const siemens = siemensOf(element.part);
      return siemens === undefined ? element : { ...element, siemens };
    }),
    sources: circuit.sources.map((source) => {
      const value = sources.get(source.id);
      return value === undefined ? source : { ...source, volts: value.volts, siemens: 1 / value.seriesOhms };
    }),
  };
}
