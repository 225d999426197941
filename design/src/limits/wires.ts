/** What the circuit wants on the electrodes of an envelope. */
import type { Expanded } from "../document/expanded.ts";
import type { Document } from "../document/schema.ts";
import type { SectionWires } from "./pins.ts";

/** From the triodes that an envelope serves; for the rectifier, both ends of the high-tension winding and its output. */
export function expandedWires(
  document: Document,
  expanded: Expanded,
  envelope: string,
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
  const [a, b] = highTensionLeads(document, envelope);
  return {
    1: { plate: a, cathode: { net: rectifier.output } },
    2: { plate: b },
  };
}

/** The two leads that bring the winding to the rectifier, as they stand on its pins (either order is right). */
function highTensionLeads(document: Document, envelope: string) {
  const heaters = new Set((document.supply?.transformer.heaters ?? []).map((one) => one.id));
  const found = Object.values(document.envelopes.find((one) => one.id === envelope)?.wiring ?? {}).filter(
    (wire): wire is Extract<typeof wire, { winding: string }> => "winding" in wire && !heaters.has(wire.winding),
  );
  const fallback = (lead: "a" | "b") => ({ winding: "HT", lead }) as const;
  return [found[0] ?? fallback("a"), found[1] ?? fallback("b")] as const;
}
