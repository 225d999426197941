/**
 * The mains fuse: which one to fit, and whether a fault clears it.
 *
 * Law     The primary's rms current: heaters and iron draw in phase; the rectifier's pulses have rms Ip and active part
 *         P / V. Together sqrt(Ih² + Ip² + 2 Ih P / V).
 * Sources Gates of time-current of IEC 60127-2 (slow: holds 1.5 times its rating, opens in minutes at 2.1 times, in seconds
 *         at 2.75 times), from memory. Choice at 1.5 to 2 times the running current: common practice.
 */
import type { Supply } from "../document/schema.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { supplyPower } from "./power.ts";

/** Ratings in amperes as they are sold. */
export const FUSE_AMPS = [
  0.05, 0.063, 0.08, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3,
] as const;

/** Times its rating that a fuse carries for good, and at which it opens within minutes and within seconds. */
const HOLDS = 1.5;
const OPENS_IN_MINUTES = 2.1;
const OPENS_IN_SECONDS = 2.75;

export function mainsAmps(solved: SolvedDesign, supply: Supply): number {
  const volts = supply.mains.volts * solved.condition.mainsFactor;
  const { loadWatts, rectifyingWatts, heaterWatts, heaterCopperWatts, ironWatts } = supplyPower(solved, supply);
  const inPhase = (heaterWatts + heaterCopperWatts + ironWatts) / volts;
  const ratio = (solved.supply?.unloadedRmsVolts ?? 0) / volts;
  // Both halves of a centre-tapped winding pulse the same primary, one after the other.
  const halves = (supply.rectifier.circuit ?? "full-wave") === "full-wave" ? Math.SQRT2 : 1;
  const pulses = (solved.supply?.rectifier.windingRmsAmps ?? 0) * halves * ratio;
  return Math.sqrt(inPhase ** 2 + pulses ** 2 + (2 * inPhase * (loadWatts + rectifyingWatts)) / volts);
}

/** A slow fuse that carries what is drawn with mains high and opens at about twice as much. */
export function chooseFuse(runningAmps: number): number {
  return FUSE_AMPS.find((amps) => amps >= HOLDS * runningAmps) ?? (FUSE_AMPS[FUSE_AMPS.length - 1] as number);
}

export type FuseVerdict = "opens within seconds" | "opens within minutes" | "may or may not open" | "does not open";

export function fuseVerdict(fuseAmps: number, drawnAmps: number): FuseVerdict {
  const times = drawnAmps / fuseAmps;
  if (times >= OPENS_IN_SECONDS) return "opens within seconds";
  if (times >= OPENS_IN_MINUTES) return "opens within minutes";
  return times > HOLDS ? "may or may not open" : "does not open";
}
