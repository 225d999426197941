/**
 * What every sensitivity ends in: the derivative of one figure to each value of each part.
 *
 * Law     With a transposed solution w of the figure, an admittance y between nets a and b counts for -Re(w_ab v_ab) per
 *         siemens of it; a resistance R for that times -1/R per ohm, and so on for every value that makes an admittance.
 * Units   Per neper: d figure / d ln value. Contact volts: per volt.
 */
import type { CompiledCircuit, Device } from "../circuit/compile.ts";
import type { Effort } from "./answers.ts";

/**
 * Values that a figure can depend on. `fraction` is a potentiometer's share below the wiper, `level` the e.m.f. of the
 * signal, G, mu and contactVolts a law's parameters (sensitivity-law.ts). A regulator's volts are `volts`.
 */
export type ValueName =
  | "ohms"
  | "farads"
  | "henries"
  | "seriesOhms"
  | "fraction"
  | "volts"
  | "level"
  | "amps"
  | "parallelOhms"
  | "gridPlateFarads"
  | "gridCathodeFarads"
  | "plateCathodeFarads"
  | "G"
  | "mu"
  | "contactVolts";

/** d figure / d ln value, by value; contactVolts per volt. A value that a part does not have is not there. */
export type PartSensitivity = Readonly<Partial<Record<ValueName, number>>>;

export interface Sensitivity {
  /** The figure itself, as the solve gives it. */
  readonly value: number;
  /** Every part of the circuit that has a value, zero included. */
  readonly byPart: ReadonlyMap<string, PartSensitivity>;
  readonly effort: Effort;
}

/** Parameters of a device's law in the order of `Gradient.law`. */
export const LAW_PARAMETERS = 3;

/** Derivatives of one figure as they are collected: per siemens, farad and so on, not yet per neper. */
export interface Gradient {
  /** By element; an inductor's are in `henries` and `ohms`. */
  readonly siemens: Float64Array;
  readonly farads: Float64Array;
  readonly henries: Float64Array;
  readonly ohms: Float64Array;
  /** By source: per volt of its e.m.f., and per siemens of what it injects (its own element's share is in `siemens`). */
  readonly volts: Float64Array;
  readonly sourceSiemens: Float64Array;
  readonly sinkAmps: Float64Array;
  /** [LAW_PARAMETERS * device + parameter]. */
  readonly law: Float64Array;
}

export function openGradient(circuit: CompiledCircuit): Gradient {
  const elements = () => new Float64Array(circuit.elements.length);
  const sources = () => new Float64Array(circuit.sources.length);
  return {
    siemens: elements(),
    farads: elements(),
    henries: elements(),
    ohms: elements(),
    volts: sources(),
    sourceSiemens: sources(),
    sinkAmps: new Float64Array(circuit.sinks.length),
    law: new Float64Array(LAW_PARAMETERS * circuit.devices.length),
  };
}

/** Complex numbers by net. */
export interface NetVector {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

export const netVector = (circuit: CompiledCircuit): NetVector => ({
  re: new Float64Array(circuit.map.nets.length),
  im: new Float64Array(circuit.map.nets.length),
});

/** Adds -Re(w_ab dy v_ab) of every element at one frequency. */
export function addElements(
  circuit: CompiledCircuit,
  radiansPerSecond: number,
  w: NetVector,
  v: NetVector,
  gradient: Gradient,
): void {
  const { elements } = circuit;
  for (let i = 0; i < elements.length; i++) {
    const e = elements[i] as (typeof elements)[number];
    const { a, b } = e;
    const wr = (w.re[a] as number) - (w.re[b] as number);
    const wi = (w.im[a] as number) - (w.im[b] as number);
    if (wr === 0 && wi === 0) continue;
    const vr = (v.re[a] as number) - (v.re[b] as number);
    const vi = (v.im[a] as number) - (v.im[b] as number);
    const re = wr * vr - wi * vi;
    const im = wr * vi + wi * vr;
    if (e.ohms > 0) {
      // y = 1/z, z = R + jwL: dy = -dz/z^2.
      const x = radiansPerSecond * e.henries;
      const size = (e.ohms * e.ohms + x * x) ** 2;
      const zr = (e.ohms * e.ohms - x * x) / size;
      const zi = (-2 * e.ohms * x) / size;
      const pr = re * zr - im * zi;
      const pi = re * zi + im * zr;
      gradient.ohms[i] = (gradient.ohms[i] as number) + pr;
      gradient.henries[i] = (gradient.henries[i] as number) - radiansPerSecond * pi;
      continue;
    }
    gradient.siemens[i] = (gradient.siemens[i] as number) - re;
    gradient.farads[i] = (gradient.farads[i] as number) + radiansPerSecond * im;
  }
}

/** Adds what the law parameters of one device do: `weights` per unit of each of its outputs, `slopes` [parameter][output]. */
export function addLaw(gradient: Gradient, device: number, weights: Float64Array, slopes: Float64Array): void {
  const outputs = slopes.length / LAW_PARAMETERS;
  for (let p = 0; p < LAW_PARAMETERS; p++) {
    let sum = 0;
    for (let j = 0; j < outputs; j++) sum += (weights[j] as number) * (slopes[p * outputs + j] as number);
    const at = LAW_PARAMETERS * device + p;
    gradient.law[at] = (gradient.law[at] as number) + sum;
  }
}

/** From derivatives per siemens and farad to derivatives per neper of what is written on each part. */
export function readGradient(circuit: CompiledCircuit, gradient: Gradient): ReadonlyMap<string, PartSensitivity> {
  const { parts, elements, devices } = circuit;
  const byPart = new Map<string, PartSensitivity>();
  let e = 0;
  let source = 0;
  let sink = 0;
  let device = 0;
  const conductance = (i: number): number => (elements[i]?.siemens ?? 0) * (gradient.siemens[i] as number);
  const capacitance = (i: number): number => (elements[i]?.farads ?? 0) * (gradient.farads[i] as number);
  for (const part of parts) {
    switch (part.kind) {
      case "resistor":
        byPart.set(part.id, { ohms: -conductance(e++) });
        break;
      case "capacitor":
        byPart.set(part.id, { farads: capacitance(e++) });
        break;
      case "inductor":
        byPart.set(part.id, {
          henries: part.henries * (gradient.henries[e] as number),
          seriesOhms: part.seriesOhms * (gradient.ohms[e] as number),
        });
        e++;
        break;
      case "potentiometer": {
        // Top 1/(R (1 - x)), bottom 1/(R x), x held off the ends as the circuit is compiled.
        const top = conductance(e++);
        const bottom = conductance(e++);
        const share =
          (elements[e - 2]?.siemens ?? 0) / ((elements[e - 2]?.siemens ?? 0) + (elements[e - 1]?.siemens ?? 0));
        byPart.set(part.id, { ohms: -top - bottom, fraction: (top * share) / (1 - share) - bottom });
        break;
      }
      case "triode": {
        const [gridPlateFarads, gridCathodeFarads, plateCathodeFarads] = [
          capacitance(e),
          capacitance(e + 1),
          capacitance(e + 2),
        ];
        e += 3;
        const at = LAW_PARAMETERS * device++;
        byPart.set(part.id, {
          gridPlateFarads,
          gridCathodeFarads,
          plateCathodeFarads,
          G: gradient.law[at] as number,
          mu: gradient.law[at + 1] as number,
          contactVolts: gradient.law[at + 2] as number,
        });
        break;
      }
      case "diode":
        e++;
        if (part.law.form === "knee") byPart.set(part.id, { volts: gradient.law[LAW_PARAMETERS * device] as number });
        device++;
        break;
      case "dc-source":
      case "ac-source": {
        const series = part.seriesOhms > 0 ? conductance(e++) : 0;
        const s = source++;
        const injected = (circuit.sources[s]?.siemens ?? 0) * (gradient.sourceSiemens[s] as number);
        byPart.set(part.id, {
          ...(part.kind === "dc-source"
            ? { volts: part.volts * (gradient.volts[s] as number) }
            : { level: gradient.volts[s] as number }),
          seriesOhms: -series - injected,
        });
        break;
      }
      case "current-sink": {
        // An ideal sink stands with a fixed leak across it, which is no value of the part.
        const across = conductance(e++);
        const own = part.parallelOhms > 1 / (elements[e - 1]?.siemens ?? 1) ? 0 : -across;
        byPart.set(part.id, { amps: part.amps * (gradient.sinkAmps[sink++] as number), parallelOhms: own });
        break;
      }
      case "switch":
      case "jack":
        break;
    }
  }
  if (device !== devices.length) throw new Error("readGradient: the circuit's devices are not those of its parts");
  return byPart;
}

/** Outputs of a device's law: a triode's currents and slopes, a diode's current and slope. */
export const outputsOf = (device: Device): number => (device.kind === "triode" ? 6 : 2);
