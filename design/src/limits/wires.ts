/** What the circuit wants on the electrodes of an envelope. */
import type { Base } from "@platewright/engine";
import type { Expanded } from "../document/expanded.ts";
import type { Document } from "../document/schema.ts";
import type { SectionWires } from "./pins.ts";

/**
 * From the triodes that an envelope serves; for the rectifier, both ends of the high-tension winding and its output. Which
 * end comes to which plate makes no difference: with `base`, each plate keeps the end that stands on its pin.
 */
export function expandedWires(
  document: Document,
  expanded: Expanded,
  envelope: string,
  base?: Base,
): { readonly [S in 1 | 2]?: SectionWires } {
  const wires: { 1?: SectionWires; 2?: SectionWires } = {};
  for (const triode of expanded.triodes) {
    if (triode.envelope !== envelope) continue;
    wires[triode.section] = {
      plate: { net: triode.plate },
      grid: { net: triode.grid },
      cathode: { net: triode.cathode },
    };
  }
  const rectifier = document.supply?.rectifier;
  if (rectifier?.envelope !== envelope) return wires;
  const wiring = document.envelopes.find((one) => one.id === envelope)?.wiring ?? {};
  const heaters = new Set((document.supply?.transformer.heaters ?? []).map((one) => one.id));
  const lead = (name: "a" | "b") => ({ winding: "HT", lead: name }) as const;
  const firstPin = Object.keys(base?.pins ?? {}).find((pin) => {
    const role = base?.pins[pin];
    return role?.kind === "plate" && role.section === 1;
  });
  const first = firstPin === undefined ? undefined : wiring[firstPin];
  const swapped = first !== undefined && "winding" in first && !heaters.has(first.winding) && first.lead === "b";
  return {
    1: { plate: lead(swapped ? "b" : "a"), cathode: { net: rectifier.output } },
    2: { plate: lead(swapped ? "a" : "b") },
  };
}
