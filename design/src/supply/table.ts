/** Every node and every rated part in every condition, with the share of its rating. */
import type { Document } from "../document/schema.ts";
import { voltsAcross } from "../solved/roles.ts";
import type { Condition, SolvedDesign } from "../solved/types.ts";
import { ratedVoltAmps, primaryWatts } from "./power.ts";

export interface RatedReading {
  readonly value: number;
  readonly limit: number;
  readonly fraction: number;
  readonly unit: "V" | "A" | "W" | "VA";
}

export interface ConditionRow {
  readonly condition: Condition;
  /** Volts to ground by net. */
  readonly nodes: Readonly<Record<string, { readonly volts: number }>>;
  /** By part, or "HT.amps", "H1.amps" of a winding, "transformer.voltAmps". */
  readonly parts: Readonly<Record<string, RatedReading>>;
  /** Drawn from the mains, watts. */
  readonly mainsWatts: number;
}

const rated = (value: number, limit: number, unit: RatedReading["unit"]): RatedReading => ({
  value,
  limit,
  fraction: value / limit,
  unit,
});

export function conditionRow(document: Document, solved: SolvedDesign): ConditionRow {
  const parts: Record<string, RatedReading> = {};
  const { supply } = document;
  const rectifier = solved.supply?.rectifier;
  for (const part of solved.expanded.parts) {
    const { written, electrical: e } = part;
    if (e.kind !== "resistor" && e.kind !== "capacitor") continue;
    const across = voltsAcross(solved, e.a, e.b);
    if (written.kind === "resistor" && e.kind === "resistor" && written.watts !== undefined)
      parts[part.id] = rated((across * across) / e.ohms, written.watts, "W");
    if (written.kind === "capacitor" && written.volts !== undefined) {
      const ripple = part.id === supply?.rectifier.firstCapacitor ? (rectifier?.ripplePeakToPeakVolts ?? 0) / 2 : 0;
      parts[part.id] = rated(Math.abs(across) + ripple, written.volts, "V");
    }
  }
  if (supply !== undefined) {
    parts["HT.amps"] = rated(solved.supply?.loadAmps ?? 0, supply.transformer.highTension.ratedAmps, "A");
    for (const heater of solved.heaters) parts[`${heater.winding}.amps`] = rated(heater.amps, heater.ratedAmps, "A");
    parts["transformer.voltAmps"] = rated(primaryWatts(solved, supply), ratedVoltAmps(supply), "VA");
  }
  return {
    condition: solved.condition,
    nodes: Object.fromEntries([...solved.bias.netVolts].map(([net, volts]) => [net, { volts }])),
    parts,
    mainsWatts: supply === undefined ? 0 : primaryWatts(solved, supply),
  };
}
