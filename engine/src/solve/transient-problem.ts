/** What a transient is asked, what it answers, and how it fails. */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import type { OnePort } from "./transient-ports.ts";

/** Where a transient begins: a bias, or the `end` of another; nets that are not named there start at 0 V. */
export interface TransientState {
  readonly netVolts: ReadonlyMap<Net, number>;
  /** By part; of a bias they follow from the volts. */
  readonly inductorAmps?: ReadonlyMap<string, number>;
}

export interface TransientProblem {
  /** "empty": every capacitor at 0 V, no current in any inductor. */
  readonly start: TransientState | "empty";
  readonly seconds: number;
  /** e.m.f. in volts by source; a dc source without one keeps its volts, an ac source without one is silent. */
  readonly drives?: ReadonlyMap<string, (seconds: number) => number>;
  /** Factor 0 to 1 on the currents of a tube or diode: the warm-up of its heater. */
  readonly emission?: ReadonlyMap<string, (seconds: number) => number>;
  /** Where functions of time have kinks or jumps: a step ends there. */
  readonly breaks?: readonly number[];
  readonly ports?: readonly OnePort[];
  readonly record: {
    readonly nets: readonly Net[];
    /** Triodes (plate current), diodes, inductors and given one-ports. */
    readonly currents?: readonly string[];
    /** Times in rising order, or the most samples to keep of the solver's own steps. */
    readonly at: ArrayLike<number> | { readonly mostSamples: number };
  };
}

export interface TransientLimits {
  readonly absoluteVolts: number;
  readonly relativeVolts: number;
  /** For inductors. */
  readonly absoluteAmps: number;
  readonly mostSteps: number;
  /** No step is longer; Infinity leaves it to the error. */
  readonly longestSeconds: number;
  /** Above 0: steps of this length without error control, for measuring the order. */
  readonly fixedSeconds: number;
}

export const TRANSIENT_LIMITS: TransientLimits = {
  absoluteVolts: 1e-5,
  relativeVolts: 1e-5,
  absoluteAmps: 1e-8,
  mostSteps: 200_000,
  longestSeconds: Infinity,
  fixedSeconds: 0,
};

export interface TransientEffort {
  readonly steps: number;
  readonly rejected: number;
  readonly newtonIterations: number;
  readonly factorings: number;
  readonly lawCalls: number;
}

export type TransientFailure =
  | { readonly kind: "bad-input"; readonly field: string; readonly given: number; readonly need: string }
  | { readonly kind: "unknown-name"; readonly name: string }
  | { readonly kind: "singular"; readonly net: Net }
  | { readonly kind: "not-finite"; readonly name: string; readonly seconds: number }
  | { readonly kind: "stuck"; readonly seconds: number; readonly net: Net; readonly effort: TransientEffort }
  | { readonly kind: "too-many-steps"; readonly seconds: number; readonly net: Net; readonly effort: TransientEffort };

/** The sentence of a failure. */
export function transientSentence(failure: TransientFailure): string {
  switch (failure.kind) {
    case "bad-input":
      return `The transient's ${failure.field} is ${failure.given}; it must be ${failure.need}.`;
    case "unknown-name":
      return `Nothing in the circuit is called ${failure.name}.`;
    case "singular":
      return `The circuit has no unique solution near net ${failure.net}; look for a part that floats.`;
    case "not-finite":
      return `At ${failure.seconds} s ${failure.name} gave no finite value; nothing is shown.`;
    case "stuck":
      return `The transient found no step that holds at ${failure.seconds} s (worst at net ${failure.net}); nothing is shown beyond it.`;
    case "too-many-steps":
      return `The transient had reached ${failure.seconds} s after ${failure.effort.steps} steps (worst at net ${failure.net}); a shorter time or a coarser tolerance is needed.`;
  }
}

/** Extremes of a net over the whole time, from quarter steps and a parabola through the three about them. */
export interface PeakOfNet {
  readonly highestVolts: number;
  readonly highestSeconds: number;
  readonly lowestVolts: number;
  readonly lowestSeconds: number;
}

export interface RecordAnswer {
  readonly seconds: Float64Array;
  readonly netVolts: ReadonlyMap<Net, Float64Array>;
  readonly amps: ReadonlyMap<string, Float64Array>;
  readonly peaks: ReadonlyMap<Net, PeakOfNet>;
}

export interface TransientAnswer extends RecordAnswer {
  readonly end: TransientState;
  readonly effort: TransientEffort;
}

/** The first thing wrong with a problem. */
export function badTransient(
  circuit: CompiledCircuit,
  problem: TransientProblem,
  limits: TransientLimits,
): TransientFailure | undefined {
  const need = (field: string, given: number, fine: boolean, what: string): TransientFailure | undefined =>
    fine ? undefined : { kind: "bad-input", field, given, need: what };
  const { seconds, record } = problem;
  const first =
    need("seconds", seconds, seconds > 0 && seconds < Infinity, "finite and above 0") ??
    need("absoluteVolts", limits.absoluteVolts, limits.absoluteVolts > 0, "above 0") ??
    need("relativeVolts", limits.relativeVolts, limits.relativeVolts >= 0, "not negative") ??
    need("absoluteAmps", limits.absoluteAmps, limits.absoluteAmps > 0, "above 0") ??
    need("fixedSeconds", limits.fixedSeconds, limits.fixedSeconds >= 0, "not negative") ??
    need("longestSeconds", limits.longestSeconds, limits.longestSeconds > 0, "above 0");
  if (first !== undefined) return first;
  for (const at of problem.breaks ?? []) {
    const wrong = need("break", at, Number.isFinite(at), "finite");
    if (wrong !== undefined) return wrong;
  }
  if ("mostSamples" in record.at) {
    const wrong = need("mostSamples", record.at.mostSamples, record.at.mostSamples >= 2, "2 or more");
    if (wrong !== undefined) return wrong;
  } else {
    let last = 0;
    for (let i = 0; i < record.at.length; i++) {
      const at = record.at[i] as number;
      const wrong = need("record time", at, at >= last && at <= seconds, "in rising order within the duration");
      if (wrong !== undefined) return wrong;
      last = at;
    }
  }
  const devices = new Set(circuit.devices.map((device) => device.id));
  const carriers = new Set([
    ...devices,
    ...circuit.elements.filter((e) => e.ohms > 0).map((e) => e.part),
    ...(problem.ports ?? []).map((port) => port.id),
  ]);
  const sources = new Set(circuit.sources.map((source) => source.id));
  const nets = [...record.nets, ...(problem.ports ?? []).flatMap((port) => [port.plus, port.minus])];
  const unknown =
    nets.find((net) => !circuit.map.index.has(net)) ??
    (record.currents ?? []).find((id) => !carriers.has(id)) ??
    [...(problem.drives?.keys() ?? [])].find((id) => !sources.has(id)) ??
    [...(problem.emission?.keys() ?? [])].find((id) => !devices.has(id));
  return unknown === undefined ? undefined : { kind: "unknown-name", name: unknown };
}
