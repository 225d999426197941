/** Every node and every rated part in every condition, with the share of its rating. */
import type { Catalogue, RatedLimit } from "@platewright/engine";
import type { Document, Supply } from "../document/schema.ts";
import { ratedLimit } from "../limits/judge.ts";
import { voltsAcross } from "../solved/roles.ts";
import type { Condition, SolvedDesign } from "../solved/types.ts";
import { primaryWatts } from "./power.ts";
import { copperLoss } from "./transformer-loss.ts";
import type { ResolvedTransformer } from "./transformer-resolved.ts";

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

/** What each winding carries, for its copper. */
export const windingCurrents = (solved: SolvedDesign) => ({
  highTensionRmsAmps: solved.supply?.rectifier.windingRmsAmps ?? 0,
  highTensionWatts: solved.supply?.rectifier.balance.windingWatts ?? 0,
  heaters: Object.fromEntries(solved.heaters.map((one) => [one.winding, one.amps])),
});

/** Of the rectifier's bottle: dc, peak and inverse against its limits at this winding. */
function rectifierReadings(
  document: Document,
  supply: Supply,
  solved: SolvedDesign,
  catalogue: Catalogue,
): Record<string, RatedReading> {
  const envelope = document.envelopes.find((one) => one.id === supply.rectifier.envelope);
  const limits = catalogue.tube(envelope?.type ?? "")?.rectifier?.limits;
  if (envelope === undefined || limits === undefined || solved.supply === undefined) return {};
  const { rectifier, loadAmps, unloadedRmsVolts } = solved.supply;
  const readings: Record<string, RatedReading> = {};
  const add = (name: string, value: number, entries: readonly RatedLimit<number>[] | undefined, unit: "A" | "V") => {
    const limit = ratedLimit(entries, unloadedRmsVolts);
    if (limit !== undefined) readings[`${envelope.id}.${name}`] = rated(value, limit.value, unit);
  };
  add("dcAmps", loadAmps, limits.dcAmps, "A");
  add("peakAmps", rectifier.platePeakAmps, limits.peakPlateAmps, "A");
  add("inverseVolts", rectifier.peakInverseVolts, limits.peakInverseVolts, "V");
  return readings;
}

const rated = (value: number, limit: number, unit: RatedReading["unit"]): RatedReading => ({
  value,
  limit,
  fraction: value / limit,
  unit,
});

/** What a row needs besides the solve: limits of tubes, and the transformer as it is known. */
export interface Rated {
  readonly catalogue: Catalogue;
  readonly transformer?: ResolvedTransformer;
}

export function conditionRow(document: Document, solved: SolvedDesign, known?: Rated): ConditionRow {
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
    if (known?.transformer !== undefined) {
      const loss = copperLoss(known.transformer, windingCurrents(solved));
      parts["transformer.voltAmps"] = rated(loss.voltAmps, known.transformer.ranges.voltAmps[0], "VA");
    }
    if (known !== undefined) Object.assign(parts, rectifierReadings(document, supply, solved, known.catalogue));
  }
  for (const [id, bias] of known === undefined ? [] : solved.bias.triodes) {
    const triode = solved.expanded.triodes.find((one) => one.id === id);
    const limit =
      triode === undefined ? undefined : known?.catalogue.limit(triode.type, "plateWatts", triode.variant)?.value;
    if (limit !== undefined) parts[id] = rated(bias.plateWatts, limit, "W");
  }
  return {
    condition: solved.condition,
    nodes: Object.fromEntries([...solved.bias.netVolts].map(([net, volts]) => [net, { volts }])),
    parts,
    mainsWatts: supply === undefined ? 0 : primaryWatts(solved, supply),
  };
}
