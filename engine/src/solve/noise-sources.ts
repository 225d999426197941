/**
 * The noise sources of a biased circuit, each a current between two nets with its power density.
 *
 * Law     Resistive parts: 4 k T Re(Y), for an inductor 4 k T R / |R + jwL|^2.
 *         Triode: an equivalent resistance F / gm in series with its grid, F = 2.5, as a current in the plate:
 *         gm^2 4 k T F / gm (1 + fc / f). Grid current: 2 q |ig|. Junction diode: 2 q |i|.
 * Limits  Every source independent of every other. The tube's factor stands for a cathode near 1000 K against a resistor at
 *         room temperature: it is scaled with T as the resistor is. Grid current that is the difference of two
 *         currents of either sign is noisier than its sum; avalanche noise of a reference diode and excess noise of a
 *         resistor that carries current are not in it. A current sink is quiet unless a density is stated.
 * Sources Johnson and Nyquist 1928; Harris, RCA Review 1941, and North, RCA Review 1940, for 2.5 / gm; Schottky 1918
 *         (all cited second hand). The corner fc is common practice, no measurement.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { type Hertz, hertz, type Ohms, ohms } from "../units/quantities.ts";
import type { Bias } from "./answers.ts";

/** J/K and C, exact since 2019 (SI). */
export const BOLTZMANN = 1.380649e-23;
export const ELEMENTARY_CHARGE = 1.602176634e-19;

/** Harris and North: equivalent grid resistance over 1/gm. */
export const EQUIVALENT_RESISTANCE_FACTOR = 2.5;
/** Where 1/f noise equals the white noise of a tube. Common practice; specimens differ by more than ten times. */
export const FLICKER_CORNER: Hertz = hertz(1000);

export type NoiseCause = "thermal" | "tube" | "grid shot" | "shot" | "stated";

/** What is known better than the defaults about a tube section. */
export interface TubeNoise {
  readonly equivalentResistanceFactor?: number;
  readonly flickerCornerHertz?: Hertz;
}

/** What a tube section was taken to be. */
export interface TubeNoiseUsed {
  readonly id: string;
  /** In series with its grid; undefined when the tube has no slope. */
  readonly equivalentOhms: Ohms | undefined;
  readonly flickerCornerHertz: Hertz;
  /** True when the factor or the corner is the default. */
  readonly assumed: boolean;
}

export interface NoiseSource {
  readonly part: string;
  readonly cause: NoiseCause;
  /** Indices of the nets it flows between. */
  readonly a: number;
  readonly b: number;
  /** Power density in A^2/Hz at a frequency in Hz. */
  readonly density: (hertz: number) => number;
}

export interface NoiseSourcesAsk {
  readonly kelvin: number;
  readonly tubes: ReadonlyMap<string, TubeNoise>;
  /** Current sinks by id: A/sqrt(Hz), white. */
  readonly sinks: ReadonlyMap<string, number>;
  /** Parts whose own noise is left out. */
  readonly quiet: ReadonlySet<string>;
}

/** Parts whose conductance is a resistance at room temperature. A sink's is not. */
const THERMAL: ReadonlySet<Part["kind"]> = new Set(["resistor", "potentiometer", "inductor", "dc-source", "ac-source"]);

/** All sources, and what the tubes were taken to be. */
export function noiseSources(
  circuit: CompiledCircuit,
  bias: Bias,
  ask: NoiseSourcesAsk,
): { readonly sources: readonly NoiseSource[]; readonly tubes: readonly TubeNoiseUsed[] } {
  const kinds = new Map(circuit.parts.map((part) => [part.id, part.kind] as const));
  const fourKT = 4 * BOLTZMANN * ask.kelvin;
  const sources: NoiseSource[] = [];
  const tubes: TubeNoiseUsed[] = [];
  for (const e of circuit.elements) {
    const kind = kinds.get(e.part);
    if (kind === undefined || ask.quiet.has(e.part)) continue;
    if (THERMAL.has(kind)) {
      const { part, a, b, ohms: r, henries, siemens } = e;
      if (r > 0)
        sources.push({
          part,
          cause: "thermal",
          a,
          b,
          density: (f) => (fourKT * r) / (r * r + (2 * Math.PI * f * henries) ** 2),
        });
      else if (siemens > 0) sources.push({ part, cause: "thermal", a, b, density: () => fourKT * siemens });
    }
    const stated = kind === "current-sink" ? ask.sinks.get(e.part) : undefined;
    if (stated !== undefined)
      sources.push({ part: e.part, cause: "stated", a: e.a, b: e.b, density: () => stated * stated });
  }
  let current = 0;
  for (const device of circuit.devices) {
    const first = bias.unknowns[current] ?? 0;
    const second = bias.unknowns[current + 1] ?? 0;
    current += device.kind === "triode" ? 2 : 1;
    if (device.kind === "diode") {
      if (device.neperVolts === undefined || first === 0 || ask.quiet.has(device.id)) continue;
      const white = 2 * ELEMENTARY_CHARGE * Math.abs(first);
      sources.push({ part: device.id, cause: "shot", a: device.anode, b: device.cathode, density: () => white });
      continue;
    }
    const own = ask.tubes.get(device.id);
    const factor = own?.equivalentResistanceFactor ?? EQUIVALENT_RESISTANCE_FACTOR;
    const corner = own?.flickerCornerHertz ?? FLICKER_CORNER;
    const gm = bias.triodes.get(device.id)?.siemens ?? 0;
    tubes.push({
      id: device.id,
      equivalentOhms: gm > 0 ? ohms(factor / gm) : undefined,
      flickerCornerHertz: corner,
      assumed: own?.equivalentResistanceFactor === undefined || own.flickerCornerHertz === undefined,
    });
    if (ask.quiet.has(device.id)) continue;
    if (gm > 0) {
      const white = fourKT * factor * gm;
      const { plate: a, cathode: b } = device;
      sources.push({ part: device.id, cause: "tube", a, b, density: (f) => white * (1 + corner / f) });
    }
    if (second !== 0) {
      const white = 2 * ELEMENTARY_CHARGE * Math.abs(second);
      const { grid: a, cathode: b } = device;
      sources.push({ part: device.id, cause: "grid shot", a, b, density: () => white });
    }
  }
  return { sources, tubes };
}
