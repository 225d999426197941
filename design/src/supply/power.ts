/**
 * Watts of a solved supply, by where they go.
 *
 * Law     Winding heat is i² R of each winding; the high-tension winding carries the plates' rms currents. Heat of a tube
 *         rectifier is the mean of drop times current; what is left of the winding's power goes to the circuit.
 * Limits  The primary's own copper stands in `ohmsPerHalf` as reflected; iron loss and magnetising current are common
 *         practice, 5 % of the rated VA.
 */
import type { Supply } from "../document/schema.ts";
import type { SolvedDesign } from "../solved/types.ts";

/** Share of the rated VA that iron and magnetising take, seen as watts; common practice for small frames. */
const IRON_SHARE = 0.05;

/** Rated VA: high tension (dc amperes at 1.41 times the rms volts) and heaters. */
export function ratedVoltAmps(supply: Supply): number {
  const { transformer } = supply;
  const { highTension, heaters } = transformer;
  return (
    transformer.ratedVoltAmps ??
    highTension.ratedRmsVoltsPerHalf * Math.SQRT2 * highTension.ratedAmps +
      heaters.reduce((sum, one) => sum + one.ratedVolts * one.ratedAmps, 0)
  );
}

export interface SupplyPower {
  /** Into the circuit after the first capacitor. */
  readonly loadWatts: number;
  /** Copper of the high-tension winding, resistors in the plate leads, and the rectifier's own drop. */
  readonly rectifyingWatts: number;
  readonly heaterWatts: number;
  /** Copper of the heater windings. */
  readonly heaterCopperWatts: number;
  readonly ironWatts: number;
}

export function supplyPower(solved: SolvedDesign, supply: Supply): SupplyPower {
  const balance = solved.supply?.rectifier.balance;
  const factor = solved.condition.mainsFactor;
  const heaterWatts = solved.heaters.reduce(
    (sum, one) => sum + one.envelopes.reduce((inner, tube) => inner + tube.volts * tube.amps, 0),
    0,
  );
  const heaterCopperWatts = solved.heaters.reduce((sum, one) => {
    const winding = supply.transformer.heaters.find((other) => other.id === one.winding);
    const unloaded = (winding?.unloadedVolts ?? one.volts) * factor;
    return sum + Math.max(0, unloaded - one.volts) * one.amps;
  }, 0);
  return {
    loadWatts: balance?.loadWatts ?? 0,
    rectifyingWatts: balance?.heatWatts ?? 0,
    heaterWatts,
    heaterCopperWatts,
    ironWatts: IRON_SHARE * ratedVoltAmps(supply) * factor * factor,
  };
}

/** What the primary draws, watts. */
export function primaryWatts(solved: SolvedDesign, supply: Supply): number {
  const { loadWatts, rectifyingWatts, heaterWatts, heaterCopperWatts, ironWatts } = supplyPower(solved, supply);
  return loadWatts + rectifyingWatts + heaterWatts + heaterCopperWatts + ironWatts;
}
