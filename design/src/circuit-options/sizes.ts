/** Values and ratings of the parts that a switch puts in. Sizes as they are sold; common practice where a rule is said. */
import { nearestPreferred, partCode } from "@platewright/engine";

const CAPACITOR_VOLTS = [16, 25, 35, 50, 63, 100, 160, 250, 400, 630, 1000] as const;
const RESISTOR_WATTS = [0.5, 1, 2, 3, 5, 7, 10, 15, 25] as const;
const BYPASS_MICROFARADS = [10, 22, 47, 100, 220, 470, 1000, 2200] as const;

/** The next rating of a capacitor that leaves a fifth to spare. */
export const capacitorVolts = (volts: number): number =>
  CAPACITOR_VOLTS.find((rating) => rating >= 1.25 * Math.abs(volts)) ?? 1000;

/** The next size of a resistor that is used to half, as the house does. */
export const resistorWatts = (watts: number): number => RESISTOR_WATTS.find((size) => size >= 2 * watts) ?? 25;

export const ohmsCode = (ohms: number): string => partCode(nearestPreferred("E24", ohms), "resistance");

/** A current as it is set: four digits. */
export const ampsCode = (amps: number): string => `${Number((1e3 * amps).toPrecision(4))}mA`;

/**
 * The capacitor that bypasses a cathode down to 5 Hz (common practice).
 *
 * Law  The gain falls below f = (1 + Rk (mu + 1) / (rp + RL)) / (2 pi Rk C): the cathode's own resistance lies across Rk.
 */
export function bypassFarads(cathodeOhms: number, mu: number, plateOhms: number, loadOhms: number): number {
  const across = 1 + (cathodeOhms * (mu + 1)) / (plateOhms + loadOhms);
  const wanted = (1e6 * across) / (2 * Math.PI * cathodeOhms * 5);
  return 1e-6 * (BYPASS_MICROFARADS.find((size) => size >= wanted) ?? 2200);
}
