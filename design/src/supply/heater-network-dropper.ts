/**
 * The resistor in each leg of a heater winding that runs high, and the winding at every mains.
 *
 * Law     At the wanted bus volts the heaters' current I is known: R = (E - wanted) / I - what is in the way already.
 * Method  Direct; then the preferred value next to half of R in each leg, and the network solved again with it.
 * Sources A resistor in each leg, equal on both sides so that the centre stays the centre: common practice. Watts x 3 or more.
 */
import { fail, nearestPreferred, ok, type Result, type Series } from "@platewright/engine";
import {
  badNetwork,
  drawnAt,
  HEATER_EXPONENT,
  type HeaterBranch,
  type HeaterFailure,
  type HeaterNetwork,
  type HeaterNetworkOptions,
  type HeaterSource,
  solveHeaterNetwork,
} from "./heater-network.ts";

export interface HeaterDropper {
  /** Both legs together, as computed. */
  readonly exactOhms: number;
  /** The preferred value for each leg. */
  readonly ohmsPerLeg: number;
  readonly wattsPerLeg: number;
  /** Three times that: what the resistor is bought for. */
  readonly ratingWatts: number;
  readonly network: HeaterNetwork;
}

export function chooseHeaterDropper(
  source: HeaterSource,
  branches: readonly HeaterBranch[],
  wantedVolts: number,
  options: HeaterNetworkOptions & { readonly series?: Series } = {},
): Result<HeaterDropper, HeaterFailure> {
  const bad = badNetwork(source, branches, options);
  if (bad !== undefined) return fail(bad);
  if (!(wantedVolts > 0 && wantedVolts < Infinity))
    return fail({ kind: "bad-input", field: "wanted volts", given: wantedVolts, need: "finite and above 0" });
  const { amps } = drawnAt(branches, wantedVolts, options.exponent ?? HEATER_EXPONENT);
  const emf = source.unloadedVolts * (options.mainsFactor ?? 1);
  const exactOhms = (emf - wantedVolts) / amps - source.ohms - (options.wireOhms ?? 0);
  if (!(exactOhms > 0)) {
    const bare = solveHeaterNetwork(source, branches, { ...options, dropOhms: 0 });
    return bare.ok ? fail({ kind: "nothing-to-drop", busVolts: bare.value.busVolts, wanted: wantedVolts }) : bare;
  }
  const ohmsPerLeg = nearestPreferred(options.series ?? "E12", exactOhms / 2);
  const solved = solveHeaterNetwork(source, branches, { ...options, dropOhms: 2 * ohmsPerLeg });
  if (!solved.ok) return solved;
  const wattsPerLeg = solved.value.amps ** 2 * ohmsPerLeg;
  return ok({ exactOhms, ohmsPerLeg, wattsPerLeg, ratingWatts: 3 * wattsPerLeg, network: solved.value });
}

export interface MainsFactors {
  readonly low: number;
  readonly nominal: number;
  readonly high: number;
}

/** The same network at low, nominal and high mains. */
export function heatersAtMains(
  source: HeaterSource,
  branches: readonly HeaterBranch[],
  mains: MainsFactors,
  options: HeaterNetworkOptions = {},
): Result<{ readonly [M in keyof MainsFactors]: HeaterNetwork }, HeaterFailure> {
  const low = solveHeaterNetwork(source, branches, { ...options, mainsFactor: mains.low });
  if (!low.ok) return low;
  const nominal = solveHeaterNetwork(source, branches, { ...options, mainsFactor: mains.nominal });
  if (!nominal.ok) return nominal;
  const high = solveHeaterNetwork(source, branches, { ...options, mainsFactor: mains.high });
  return high.ok ? ok({ low: low.value, nominal: nominal.value, high: high.value }) : high;
}
