/**
 * What windings do to each other through the primary's copper: heaters pull the high tension down and the other way round.
 *
 * Law     The core has mains minus Rprimary times the primary current. Of that current only the part in phase lowers the rms of
 *         another winding to first order: watts over mains. Factor = 1 - Rprimary (watts of the others) / mains².
 * Limits  First order in the drop (a few percent); a winding's own share is in its source ohms already and is not counted twice.
 * Sources Linear transformer without leakage: textbook.
 */
import type { TransformerCurrents } from "./transformer-loss.ts";
import { HOT_COPPER } from "./transformer-practice.ts";
import type { ResolvedTransformer } from "./transformer-resolved.ts";

export interface CrossSag {
  /** On the unloaded volts of the high tension, by all heaters. */
  readonly highTension: number;
  /** On the unloaded volts of each heater winding, by the high tension and the other heaters. */
  readonly heaters: { readonly [id: string]: number };
}

export function crossSag(
  resolved: ResolvedTransformer,
  currents: TransformerCurrents,
  copperFactor = HOT_COPPER,
): CrossSag {
  const { copper, circuit } = resolved;
  const highVoltAmps = copper.half.volts * currents.highTensionRmsAmps * (circuit === "centre-tap" ? Math.SQRT2 : 1);
  const highWatts = Math.min(highVoltAmps, currents.highTensionWatts ?? highVoltAmps);
  const heaters = Object.entries(copper.heaters).map(
    ([id, one]) => [id, one.volts * (currents.heaters[id] ?? 0)] as const,
  );
  const heaterWatts = heaters.reduce((sum, [, watts]) => sum + watts, 0);
  const factor = (watts: number) =>
    Math.max(0, 1 - (copper.primary.ohms * copperFactor * watts) / copper.primary.volts ** 2);
  return {
    highTension: factor(heaterWatts),
    heaters: Object.fromEntries(heaters.map(([id, own]) => [id, factor(heaterWatts - own + highWatts)])),
  };
}
