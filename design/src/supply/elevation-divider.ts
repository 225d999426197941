/**
 * A divider of preferred values from the supply to ground whose tap lies in the window of elevation.
 *
 * Method  All pairs of a series whose current lies in the wanted band; those whose tap stays in the window, tolerance of both
 *         resistors counted, are ranked by the distance to the aim (the window's middle, or 60 V inside a wide window).
 * Limits  The tap carries no current. It wants a capacitor of some 10 µF to ground so that ripple does not reach the heaters.
 * Sources 30 to 90 V of lift and a milliampere or less: common practice.
 */
import { fail, nearestPreferred, ok, preferredBetween, type Result, type Series } from "@platewright/engine";
import type { ElevationWindow } from "./elevation.ts";

export interface ElevationDivider {
  readonly topOhms: number;
  readonly bottomOhms: number;
  readonly volts: number;
  /** With both resistors at their tolerance. */
  readonly voltsRange: readonly [number, number];
  readonly amps: number;
  readonly topWatts: number;
  readonly bottomWatts: number;
  /** From the tap: what a heater-cathode limit of resistance is judged against. */
  readonly tapOhms: number;
}

export type DividerFailure =
  | { readonly kind: "bad-input"; readonly field: string; readonly given: number; readonly need: string }
  | { readonly kind: "supply-too-low"; readonly supplyVolts: number; readonly low: number }
  | { readonly kind: "no-pair"; readonly low: number; readonly high: number };

export function dividerSentence(failure: DividerFailure): string {
  switch (failure.kind) {
    case "bad-input":
      return `The elevation divider's ${failure.field} is ${failure.given}; it must be ${failure.need}.`;
    case "supply-too-low":
      return `The supply of ${failure.supplyVolts} V cannot lift the heaters to ${failure.low.toFixed(0)} V.`;
    case "no-pair":
      return `No two resistors of the series put the tap between ${failure.low.toFixed(1)} and ${failure.high.toFixed(1)} V with their tolerance; use closer resistors.`;
  }
}

export interface DividerOptions {
  readonly series?: Series;
  readonly tolerance?: number;
  readonly amps?: readonly [number, number];
  readonly aimVolts?: number;
  /** Most ohms that the tap may show, where a sheet says so. */
  readonly mostTapOhms?: number;
}

const USUAL_LIFT: readonly [number, number] = [30, 90];

export function chooseDivider(
  window: Pick<ElevationWindow, "low" | "high">,
  supplyVolts: number,
  options: DividerOptions = {},
): Result<ElevationDivider, DividerFailure> {
  if (!(supplyVolts > 0 && supplyVolts < Infinity))
    return fail({ kind: "bad-input", field: "supply volts", given: supplyVolts, need: "finite and above 0" });
  const tolerance = options.tolerance ?? 0.05;
  if (!(tolerance >= 0 && tolerance < 0.5))
    return fail({ kind: "bad-input", field: "tolerance", given: tolerance, need: "0 to 0.5" });
  const low = Math.max(0, window.low);
  const high = Math.min(window.high, supplyVolts);
  if (low >= supplyVolts) return fail({ kind: "supply-too-low", supplyVolts, low });
  if (!(low <= high)) return fail({ kind: "no-pair", low, high });
  const aim = options.aimVolts ?? aimOf(low, high);
  const series = options.series ?? "E12";
  const [least, most] = options.amps ?? [0.4e-3, 1.2e-3];
  if (!(least > 0 && most >= least))
    return fail({ kind: "bad-input", field: "current", given: least, need: "above 0" });
  let best: ElevationDivider | undefined;
  // The bottom runs over the series; the top is the preferred value next to what the aim asks, and its neighbours.
  const bottoms = preferredBetween(series, Math.max(100, (aim / most) * 0.5), Math.max(1000, (aim / least) * 2));
  for (const bottomOhms of bottoms) {
    const exact = (bottomOhms * (supplyVolts - aim)) / Math.max(aim, 1e-6);
    const tops = preferredBetween(series, exact / 2.5, exact * 2.5);
    for (const topOhms of tops.length > 0 ? tops : [nearestPreferred(series, exact)]) {
      const one = dividerOf(topOhms, bottomOhms, supplyVolts, tolerance);
      if (one.amps < least || one.amps > most) continue;
      if (one.voltsRange[0] < low || one.voltsRange[1] > high) continue;
      if (options.mostTapOhms !== undefined && one.tapOhms > options.mostTapOhms) continue;
      if (best === undefined || Math.abs(one.volts - aim) < Math.abs(best.volts - aim) - 1e-9) best = one;
    }
  }
  return best === undefined ? fail({ kind: "no-pair", low, high }) : ok(best);
}

/** Inside the usual 30 to 90 V where the window reaches it, and in the middle of what is left. */
function aimOf(low: number, high: number): number {
  const a = Math.max(low, USUAL_LIFT[0]);
  const b = Math.min(high, USUAL_LIFT[1]);
  return a <= b ? (a + b) / 2 : (low + Math.min(high, low + 2 * USUAL_LIFT[1])) / 2;
}

export function dividerOf(
  topOhms: number,
  bottomOhms: number,
  supplyVolts: number,
  tolerance: number,
): ElevationDivider {
  const tap = (top: number, bottom: number) => (supplyVolts * bottom) / (top + bottom);
  const amps = supplyVolts / (topOhms + bottomOhms);
  return {
    topOhms,
    bottomOhms,
    volts: tap(topOhms, bottomOhms),
    voltsRange: [
      tap(topOhms * (1 + tolerance), bottomOhms * (1 - tolerance)),
      tap(topOhms * (1 - tolerance), bottomOhms * (1 + tolerance)),
    ],
    amps,
    topWatts: amps * amps * topOhms,
    bottomWatts: amps * amps * bottomOhms,
    tapOhms: (topOhms * bottomOhms) / (topOhms + bottomOhms),
  };
}
