/**
 * Heaters on one winding, as wired: volts at the pins of every bottle, amperes, heat in wire, dropper and winding.
 *
 * Law     Heater i = I (v / V)^n about its rating, n = 0.6 unless told. Branches hang side by side on the bus; in a branch the
 *         heaters are in series behind their wire. Bus = E - (winding + dropper + shared wire) x total current. Cold, a
 *         heater is a resistor of V / (I k).
 * Method  Newton on the bus volts with the exact slope; inside, Newton on each branch's current in its logarithm.
 *         Heat and source power are then compared: `balance` is what is left over, as a share.
 * Limits  Steady state; all heaters at their final temperature. The k of cold heaters is a range, not a datum.
 * Sources n: Emission Labs TN-03, 5 % more volts give 3 % more current (ln 1.03 / ln 1.05 = 0.61); 0.5 to 0.6 is common
 *         practice. k of 2.7 to 7.2: common practice.
 */
import { fail, ok, type Result } from "@platewright/engine";

export const HEATER_EXPONENT = 0.6;
export const COLD_FACTORS: readonly [number, number] = [2.7, 7.2];

export interface NetworkHeater {
  /** Envelope, or envelope and half ("V1/a") where one bottle stands in a string as two. */
  readonly id: string;
  readonly ratedVolts: number;
  readonly ratedAmps: number;
}

/** Heaters in series behind their own wire. One heater is a branch of one. */
export interface HeaterBranch {
  readonly heaters: readonly NetworkHeater[];
  readonly wireOhms?: number;
}

export interface HeaterSource {
  readonly id: string;
  /** Unloaded, at nominal mains. */
  readonly unloadedVolts: number;
  /** Of the winding, seen from its ends: reflected primary included. */
  readonly ohms: number;
  readonly ratedAmps: number;
}

export interface HeaterNetworkOptions {
  readonly exponent?: number;
  /** Both legs of the dropper together. */
  readonly dropOhms?: number;
  /** Of wire that all heaters share, there and back. */
  readonly wireOhms?: number;
  readonly mainsFactor?: number;
  readonly coldFactors?: readonly [number, number];
}

export interface PinVolts {
  readonly id: string;
  readonly volts: number;
  readonly amps: number;
  readonly ratedVolts: number;
  /** volts over rated volts. */
  readonly share: number;
}

export interface HeaterNetwork {
  readonly source: string;
  readonly mainsFactor: number;
  /** Drawn from the winding. */
  readonly amps: number;
  /** Across the winding's ends, and after the dropper. */
  readonly windingVolts: number;
  readonly busVolts: number;
  readonly pins: readonly PinVolts[];
  readonly heat: {
    readonly heaters: number;
    readonly wire: number;
    readonly dropper: number;
    readonly winding: number;
  };
  /** (source watts - heat) / source watts. */
  readonly balance: number;
  /** At switch-on: lowest and highest of the cold factors. */
  readonly inrush: { readonly amps: readonly [number, number]; readonly busVolts: readonly [number, number] };
  readonly effort: { readonly steps: number };
}

export type HeaterFailure =
  | { readonly kind: "bad-input"; readonly field: string; readonly given: number; readonly need: string }
  | { readonly kind: "no-heaters"; readonly source: string }
  | {
      readonly kind: "amps-implausible";
      readonly id: string;
      readonly volts: number;
      readonly amps: number;
      readonly meant: number;
    }
  | { readonly kind: "nothing-to-drop"; readonly busVolts: number; readonly wanted: number }
  | { readonly kind: "not-settled"; readonly steps: number };

export function heaterSentence(failure: HeaterFailure): string {
  switch (failure.kind) {
    case "bad-input":
      return `The heater ${failure.field} is ${failure.given}; it must be ${failure.need}.`;
    case "no-heaters":
      return `No heater hangs on winding ${failure.source}.`;
    case "amps-implausible":
      return `${failure.id}: ${failure.amps} A at ${failure.volts} V is no receiving tube's heater; was ${failure.meant} A meant?`;
    case "nothing-to-drop":
      return `The heaters get ${failure.busVolts.toPrecision(3)} V, not more than the ${failure.wanted} V wanted; there is nothing to drop.`;
    case "not-settled":
      return `The heater network did not settle in ${failure.steps} steps; nothing is shown for it.`;
  }
}

const STEPS = 60;

export function badNetwork(
  source: HeaterSource,
  branches: readonly HeaterBranch[],
  options: HeaterNetworkOptions,
): HeaterFailure | undefined {
  const positive = {
    "winding's unloaded volts": source.unloadedVolts,
    "winding's rated amps": source.ratedAmps,
    exponent: options.exponent ?? HEATER_EXPONENT,
    "mains factor": options.mainsFactor ?? 1,
  };
  for (const [field, given] of Object.entries(positive))
    if (!(given > 0 && given < Infinity)) return { kind: "bad-input", field, given, need: "finite and above 0" };
  const rest = {
    "winding's ohms": source.ohms,
    "dropper's ohms": options.dropOhms ?? 0,
    "shared wire's ohms": options.wireOhms ?? 0,
    ...Object.fromEntries(branches.map((one, n) => [`wire's ohms (branch ${n + 1})`, one.wireOhms ?? 0])),
  };
  for (const [field, given] of Object.entries(rest))
    if (!(given >= 0 && given < Infinity)) return { kind: "bad-input", field, given, need: "finite and not negative" };
  const heaters = branches.flatMap((one) => one.heaters);
  if (heaters.length === 0 || branches.some((one) => one.heaters.length === 0))
    return { kind: "no-heaters", source: source.id };
  for (const { id, ratedVolts, ratedAmps } of heaters) {
    for (const [field, given] of [
      [`volts of ${id}`, ratedVolts],
      [`amps of ${id}`, ratedAmps],
    ] as const)
      if (!(given > 0 && given < Infinity)) return { kind: "bad-input", field, given, need: "finite and above 0" };
    if (ratedAmps > 20)
      return { kind: "amps-implausible", id, volts: ratedVolts, amps: ratedAmps, meant: ratedAmps / 1000 };
  }
  return undefined;
}

/** Current of a branch at bus volts, with its slope. Newton on ln i: the volts of a branch rise and are convex in it. */
function branchAt(
  branch: HeaterBranch,
  bus: number,
  exponent: number,
): { readonly amps: number; readonly slope: number } {
  if (!(bus > 0)) return { amps: 0, slope: 0 };
  const wire = branch.wireOhms ?? 0;
  const power = 1 / exponent;
  const volts = (i: number) =>
    branch.heaters.reduce((sum, one) => sum + one.ratedVolts * (i / one.ratedAmps) ** power, wire * i);
  const slope = (i: number) =>
    branch.heaters.reduce((sum, one) => sum + (power / i) * one.ratedVolts * (i / one.ratedAmps) ** power, wire);
  // From above the root (no heater gets more than the bus) Newton falls onto it.
  let i = Math.min(...branch.heaters.map((one) => one.ratedAmps * (bus / one.ratedVolts) ** exponent));
  for (let n = 0; n < STEPS; n++) {
    const step = (volts(i) - bus) / slope(i);
    i = Math.max(i - step, i * 1e-3);
    if (Math.abs(step) <= 1e-14 * i) break;
  }
  return { amps: i, slope: 1 / slope(i) };
}

/** What all branches draw at bus volts. */
export function drawnAt(branches: readonly HeaterBranch[], bus: number, exponent = HEATER_EXPONENT) {
  let amps = 0;
  let slope = 0;
  for (const branch of branches) {
    const at = branchAt(branch, bus, exponent);
    amps += at.amps;
    slope += at.slope;
  }
  return { amps, slope };
}

/** Volts at every pin, given the bus. */
export function pinsAt(branches: readonly HeaterBranch[], bus: number, exponent: number): readonly PinVolts[] {
  return branches.flatMap((branch) => {
    const { amps } = branchAt(branch, bus, exponent);
    return branch.heaters.map(({ id, ratedVolts, ratedAmps }) => {
      const share = (amps / ratedAmps) ** (1 / exponent);
      return { id, volts: ratedVolts * share, amps, ratedVolts, share };
    });
  });
}

/** Cold resistance of all branches together at a cold factor. */
export function coldOhms(branches: readonly HeaterBranch[], factor: number): number {
  const siemens = branches.reduce(
    (sum, branch) =>
      sum +
      1 / branch.heaters.reduce((ohms, one) => ohms + one.ratedVolts / one.ratedAmps / factor, branch.wireOhms ?? 0),
    0,
  );
  return 1 / siemens;
}

export function heatOf(
  branches: readonly HeaterBranch[],
  pins: readonly PinVolts[],
): { heaters: number; wire: number } {
  let n = 0;
  let wire = 0;
  for (const branch of branches) {
    wire += (pins[n]?.amps ?? 0) ** 2 * (branch.wireOhms ?? 0);
    n += branch.heaters.length;
  }
  return { heaters: pins.reduce((sum, one) => sum + one.volts * one.amps, 0), wire };
}

/** A winding with its heaters on ac (or on clean dc of the same volts). */
export function solveHeaterNetwork(
  source: HeaterSource,
  branches: readonly HeaterBranch[],
  options: HeaterNetworkOptions = {},
): Result<HeaterNetwork, HeaterFailure> {
  const bad = badNetwork(source, branches, options);
  if (bad !== undefined) return fail(bad);
  const exponent = options.exponent ?? HEATER_EXPONENT;
  const mainsFactor = options.mainsFactor ?? 1;
  const drop = options.dropOhms ?? 0;
  const shared = options.wireOhms ?? 0;
  const series = source.ohms + drop + shared;
  const emf = source.unloadedVolts * mainsFactor;
  let bus = emf;
  let steps = 0;
  for (; steps < STEPS; steps++) {
    const { amps, slope } = drawnAt(branches, bus, exponent);
    const step = (bus + series * amps - emf) / (1 + series * slope);
    bus = Math.max(bus - step, bus * 1e-3);
    if (Math.abs(step) <= 1e-13 * emf) break;
  }
  if (steps === STEPS) return fail({ kind: "not-settled", steps });
  const pins = pinsAt(branches, bus, exponent);
  const { amps } = drawnAt(branches, bus, exponent);
  const own = heatOf(branches, pins);
  const parts = {
    heaters: own.heaters,
    wire: own.wire + amps * amps * shared,
    dropper: amps * amps * drop,
    winding: amps * amps * source.ohms,
  };
  const given = emf * amps;
  const cold = (options.coldFactors ?? COLD_FACTORS).map((factor) => {
    const ohms = coldOhms(branches, factor);
    const rush = emf / (series + ohms);
    return { rush, bus: rush * ohms };
  });
  const [low, high] = cold as [{ rush: number; bus: number }, { rush: number; bus: number }];
  return ok({
    source: source.id,
    mainsFactor,
    amps,
    windingVolts: emf - source.ohms * amps,
    busVolts: bus,
    pins,
    heat: parts,
    balance: (given - parts.heaters - parts.wire - parts.dropper - parts.winding) / given,
    inrush: { amps: [low.rush, high.rush], busVolts: [low.bus, high.bus] },
    effort: { steps: steps + 1 },
  });
}
