/**
 * What a law's parameters do to its currents and slopes, and how its slopes move with its volts.
 *
 * Method  Central differences of the law itself (its slopes are exact): 1e-4 in the logarithm of a parameter, 1e-4 V of
 *         grid or contact volts, 1e-3 V of plate volts, 1e-5 V of a diode. The error is below 1e-6 of the derivative for
 *         the sharpest grid laws and below 1e-8 elsewhere.
 * Params  G scales the space current; mu moves at fixed G (the current as a function of vg + va/mu); contact volts add
 *         to the grid's. The grid's own law stays. three-halves has no contact volts; of a field-effect device G is K,
 *         contact volts are its threshold with the sign turned, and it has no mu.
 */
import type { CompiledCircuit, Device } from "../circuit/compile.ts";
import type { SpaceLaw, TriodeEvaluator, TriodeLaw } from "../tubes/law.ts";
import { compileTriode } from "../tubes/triode.ts";
import { LAW_PARAMETERS, outputsOf } from "./sensitivity-values.ts";

const STEP = 1e-4;
const PLATE_STEP = 1e-3;
const DIODE_STEP = 1e-5;

/** The law with ln G, ln mu or the contact volts (parameter 0, 1, 2) moved; undefined where it has no such parameter. */
function moved(space: SpaceLaw, parameter: number, by: number): SpaceLaw | undefined {
  const factor = Math.exp(by);
  switch (space.form) {
    case "island":
    case "softplus":
      if (parameter === 0) return { ...space, G: space.G * factor };
      if (parameter === 1) return { ...space, mu: space.mu * factor };
      return { ...space, Vct: space.Vct + by };
    case "koren":
      if (parameter === 0) return { ...space, kg1: space.kg1 / factor };
      if (parameter === 1) return { ...space, mu: space.mu * factor };
      return { ...space, Vct: space.Vct + by };
    case "three-halves":
      // K (mu vg + va)^p = K mu^p (vg + va/mu)^p.
      if (parameter === 0) return { ...space, K: space.K * factor };
      if (parameter === 1) return { ...space, mu: space.mu * factor, K: space.K * factor ** -space.p };
      return undefined;
    case "square":
      if (parameter === 0) return { ...space, K: space.K * factor };
      if (parameter === 2) return { ...space, Vt: space.Vt - by };
      return undefined;
  }
}

/** The law to both sides of where a parameter stands. */
export interface LawPair {
  readonly low: TriodeEvaluator;
  readonly high: TriodeEvaluator;
}

/** By device and parameter; undefined for diodes and for parameters that a law does not have. */
export type LawPairs = readonly (readonly (LawPair | undefined)[])[];

/** Equal laws are compiled once. */
export function lawPairs(circuit: CompiledCircuit): LawPairs {
  const known = new Map<TriodeLaw, readonly (LawPair | undefined)[]>();
  const pairs: (readonly (LawPair | undefined)[])[] = [];
  for (const part of circuit.parts) {
    if (part.kind === "diode") pairs.push([]);
    if (part.kind !== "triode") continue;
    const { law } = part;
    let mine = known.get(law);
    if (mine === undefined) {
      mine = Array.from({ length: LAW_PARAMETERS }, (_, p) => {
        const low = moved(law.space, p, -STEP);
        const high = moved(law.space, p, STEP);
        if (low === undefined || high === undefined) return undefined;
        return { low: compileTriode({ ...law, space: low }), high: compileTriode({ ...law, space: high }) };
      });
      known.set(law, mine);
    }
    pairs.push(mine);
  }
  return pairs;
}

/** d outputs / d parameter of a triode for `count` samples, into out[6 parameters x outputs]: one row of samples each. */
export function parameterSlopes(
  pair: LawPair,
  control: Float64Array,
  gridAt: number,
  plateAt: number,
  count: number,
  out: Float64Array,
  spare: Float64Array,
): void {
  pair.high.samples(control, gridAt, plateAt, count, out, 0, count);
  pair.low.samples(control, gridAt, plateAt, count, spare, 0, count);
  for (let i = 0; i < 6 * count; i++) out[i] = ((out[i] as number) - (spare[i] as number)) / (2 * STEP);
}

/** How one device's law stands at its bias. */
export interface DeviceSlopes {
  /** [parameter * outputs + output]. */
  readonly byParameter: Float64Array;
  /**
   * d slope / d control: triode [4 slopes to grid volts, 4 slopes to plate volts], the slopes in the order of
   * Bias.slopes; diode [d slope / d volts].
   */
  readonly second: Float64Array;
}

/** Derivatives of every device's law at the bias; `volts` by net. */
export function deviceSlopes(circuit: CompiledCircuit, volts: Float64Array, pairs: LawPairs): readonly DeviceSlopes[] {
  const knees = kneeVolts(circuit);
  return circuit.devices.map((device, d) => {
    const outputs = outputsOf(device);
    const byParameter = new Float64Array(LAW_PARAMETERS * outputs);
    const across = (plus: number, minus: number): number => (volts[plus] as number) - (volts[minus] as number);
    if (device.kind === "diode") {
      const v = across(device.anode, device.cathode);
      const out = new Float64Array(2);
      const slopeAt = (at: number): number => {
        device.evaluate(at, out);
        return out[1] as number;
      };
      const bend = (slopeAt(v + DIODE_STEP) - slopeAt(v - DIODE_STEP)) / (2 * DIODE_STEP);
      // A regulator's volts move its law sideways.
      const knee = knees[d] ?? 0;
      byParameter[0] = -knee * slopeAt(v);
      byParameter[1] = -knee * bend;
      return { byParameter, second: Float64Array.of(bend) };
    }
    const control = Float64Array.of(across(device.grid, device.cathode), across(device.plate, device.cathode));
    const out = new Float64Array(6);
    const spare = new Float64Array(6);
    for (let p = 0; p < LAW_PARAMETERS; p++) {
      const pair = pairs[d]?.[p];
      if (pair === undefined) continue;
      parameterSlopes(pair, control, 0, 1, 1, out, spare);
      byParameter.set(out, p * outputs);
    }
    return { byParameter, second: secondSlopes(device, control, out, spare) };
  });
}

const SLOPE_OUTPUTS = [1, 2, 4, 5] as const;

function secondSlopes(
  { evaluate }: Extract<Device, { kind: "triode" }>,
  control: Float64Array,
  high: Float64Array,
  low: Float64Array,
): Float64Array {
  const second = new Float64Array(8);
  for (let c = 0; c < 2; c++) {
    const step = c === 0 ? STEP : PLATE_STEP;
    const grid = control[0] as number;
    const plate = control[1] as number;
    evaluate(c === 0 ? grid + step : grid, c === 0 ? plate : plate + step, high);
    evaluate(c === 0 ? grid - step : grid, c === 0 ? plate : plate - step, low);
    for (const [s, output] of SLOPE_OUTPUTS.entries())
      second[4 * c + s] = ((high[output] as number) - (low[output] as number)) / (2 * step);
  }
  return second;
}

/** Volts of each device that is a regulator, by device. */
function kneeVolts(circuit: CompiledCircuit): readonly number[] {
  const knees: number[] = [];
  for (const part of circuit.parts) {
    if (part.kind === "triode") knees.push(0);
    if (part.kind === "diode") knees.push(part.law.form === "knee" ? part.law.volts : 0);
  }
  return knees;
}
