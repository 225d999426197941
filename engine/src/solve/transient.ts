/**
 * The circuit in time: node volts from a start, under given source volts, heater warm-up and breaks.
 *
 * Law     Charges of the linear network driven by sources, sinks and port currents (transient-modes.ts); tubes, diodes and
 *         given one-ports are memoryless, inductors carry their current.
 * Method  L-stable ESDIRK of order 4 with an embedded order 3 (transient-tableau.ts) in modal form: each stage is diagonal,
 *         only the port volts are implicit (transient-ports.ts). The estimate is passed through the stage's own matrix;
 *         steps follow it by a proportional-integral rule. Records come from dense output of order 4.
 * Limits  The largest estimated error of a step, over all nets, is at most absoluteVolts + relativeVolts |v|. A function of
 *         time may jump only at a break; there its value from the right counts. Ideal sources may jump: charges are kept.
 * Sources docs/transient.md.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { fail, ok, type Result } from "../result.ts";
import { openRecorder, type RecordAnswer } from "./transient-record.ts";
import { type Modes, openModes } from "./transient-modes.ts";
import {
  controlOffsets,
  followPorts,
  type OnePort,
  openPorts,
  type PortSystem,
  portsOfTransient,
  setImpedance,
  solvePorts,
  spanOf,
} from "./transient-ports.ts";
import { A, C, DENSE, DENSE_FIRST, denseWeights, ERROR, GAMMA, PREDICT, STAGES } from "./transient-tableau.ts";

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
      return `${failure.name} gave no finite value at ${failure.seconds} s.`;
    case "stuck":
      return `The transient found no step that holds at ${failure.seconds} s (worst at net ${failure.net}); nothing is shown beyond it.`;
    case "too-many-steps":
      return `The transient had reached ${failure.seconds} s after ${failure.effort.steps} steps (worst at net ${failure.net}); a shorter time or a coarser tolerance is needed.`;
  }
}

export interface TransientAnswer extends RecordAnswer {
  readonly end: TransientState;
  readonly effort: TransientEffort;
}

export type { OnePort } from "./transient-ports.ts";
export type { PeakOfNet } from "./transient-record.ts";

/** Solves the circuit in time. */
export function solveTransient(
  circuit: CompiledCircuit,
  problem: TransientProblem,
  limits: Partial<TransientLimits> = {},
): Result<TransientAnswer, TransientFailure> {
  const bounds: TransientLimits = { ...TRANSIENT_LIMITS, ...limits };
  const bad = badInput(circuit, problem, bounds);
  if (bad !== undefined) return fail(bad);
  const ports = portsOfTransient(circuit, problem.ports ?? [], problem.emission ?? new Map());
  const modes = openModes(circuit, ports.map(spanOf));
  if (!modes.ok) return modes;
  const system = openPorts(modes.value, ports);
  const run = openRun(circuit, problem, bounds, modes.value, system);
  const recorder = openRecorder(run, problem.record);
  const failure = integrate(run, recorder.step, recorder.begin);
  if (failure !== undefined) return fail(failure);
  return ok({ ...recorder.answer(), end: stateOf(run), effort: effortOf(run) });
}

function badInput(
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

/** A driven source: its function and what one volt of it adds to modes, controls and nodes. */
interface Driven {
  readonly source: number;
  readonly of: (seconds: number) => number;
  readonly modes: Float64Array;
  readonly controls: Float64Array;
  readonly nodes: Float64Array;
}

/** Everything one solve carries along; made per solve, shared with nobody. */
export interface Run {
  readonly circuit: CompiledCircuit;
  readonly problem: TransientProblem;
  readonly limits: TransientLimits;
  readonly modes: Modes;
  readonly system: PortSystem;
  readonly driven: readonly Driven[];
  /** e.m.f. of every source now. */
  readonly emf: Float64Array;
  readonly constantModes: Float64Array;
  readonly constantControls: Float64Array;
  readonly constantNodes: Float64Array;
  /** Charges of the modes, inductor currents, and their slopes at the six stages. */
  readonly y: Float64Array;
  readonly yNext: Float64Array;
  readonly k: Float64Array;
  readonly inductorAmps: Float64Array;
  readonly inductorNext: Float64Array;
  readonly inductorK: Float64Array;
  /** Control volts and port currents where the step begins (and, after a stage, there). */
  readonly v: Float64Array;
  readonly i: Float64Array;
  /** Dense output of the step under way: slopes of algebraic modes are not known where a segment begins. */
  dense: Float64Array;
  /** Node volts at the start and the end of the step. */
  readonly x: Float64Array;
  readonly xNext: Float64Array;
  seconds: number;
  step: number;
  steps: number;
  rejected: number;
  worst: number;
}

function openRun(
  circuit: CompiledCircuit,
  problem: TransientProblem,
  limits: TransientLimits,
  modes: Modes,
  system: PortSystem,
): Run {
  const { n } = modes;
  const inductors = system.inductors.length;
  const constantModes = Float64Array.from(modes.sinks);
  const constantControls = new Float64Array(system.controls);
  const constantNodes = new Float64Array(n);
  const emf = Float64Array.from(circuit.sources, (source) => source.volts);
  const driven: Driven[] = [];
  for (const [s, source] of circuit.sources.entries()) {
    const forced = new Float64Array(n);
    const direct = source.ideal ? controlOffsets(modes, system, s) : new Float64Array(system.controls);
    const nodes = new Float64Array(n);
    for (let m = 0; m < n; m++) {
      const share = modes.charge[s * n + m] as number;
      forced[m] = (modes.drive[s * n + m] as number) + (modes.siemens[m] as number) * share;
      for (let c = 0; c < system.controls; c++)
        direct[c] = (direct[c] as number) - (system.sense[c * n + m] as number) * share;
      for (let i = 0; i < n; i++) nodes[i] = (nodes[i] as number) - (modes.shape[i * n + m] as number) * share;
    }
    const of = problem.drives?.get(source.id);
    if (of !== undefined) {
      driven.push({ source: s, of, modes: forced, controls: direct, nodes });
      continue;
    }
    addTimes(constantModes, forced, source.volts);
    addTimes(constantControls, direct, source.volts);
    addTimes(constantNodes, nodes, source.volts);
  }
  const run: Run = {
    circuit,
    problem,
    limits,
    modes,
    system,
    driven,
    emf,
    constantModes,
    constantControls,
    constantNodes,
    y: new Float64Array(n),
    yNext: new Float64Array(n),
    k: new Float64Array(STAGES * n),
    inductorAmps: new Float64Array(inductors),
    inductorNext: new Float64Array(inductors),
    inductorK: new Float64Array(STAGES * inductors),
    v: new Float64Array(system.controls),
    i: new Float64Array(system.currents),
    x: new Float64Array(n),
    xNext: new Float64Array(n),
    dense: DENSE_FIRST,
    seconds: 0,
    step: 0,
    steps: 0,
    rejected: 0,
    worst: 0,
  };
  if (problem.start !== "empty") takeStart(run, problem.start);
  return run;
}

function addTimes(into: Float64Array, what: Float64Array, times: number): void {
  for (let k = 0; k < into.length; k++) into[k] = (into[k] as number) + times * (what[k] as number);
}

/** Charges of the modes from the volts of the nets, and control volts as a first guess. */
function takeStart(run: Run, start: TransientState): void {
  const { circuit, modes, system, y } = run;
  const { n } = modes;
  const { map, sources } = circuit;
  const volts = map.nets.map((net) => start.netVolts.get(net) ?? 0);
  const emf = sources.map(({ plus, minus }) => (start.netVolts.get(plus) ?? 0) - (start.netVolts.get(minus) ?? 0));
  const x = new Float64Array(n);
  const seen = new Uint8Array(n);
  let alone = true;
  for (const [net, value] of volts.entries()) {
    const node = map.node[net] as number;
    let offset = 0;
    for (const { source, sign } of map.offsets[net] ?? []) offset += sign * (emf[source] as number);
    const own = value - offset;
    if (node < 0) {
      alone &&= Math.abs(own) <= 1e-9 * Math.abs(value);
      continue;
    }
    if (seen[node] === 1) alone &&= Math.abs(own - (x[node] as number)) <= 1e-9 * (Math.abs(value) + Math.abs(own));
    else x[node] = own;
    seen[node] = 1;
  }
  if (alone) {
    for (let m = 0; m < n; m++) {
      let value = 0;
      for (let k = 0; k < n; k++) value += (modes.inverse[m * n + k] as number) * (x[k] as number);
      for (const [s, source] of sources.entries())
        if (source.ideal) value += (modes.charge[s * n + m] as number) * (emf[s] as number);
      y[m] = value;
    }
  } else {
    // Nets that stood apart are joined now (a switch closed): their charges add.
    for (const e of circuit.elements) {
      if (e.farads === 0) continue;
      const q = e.farads * ((volts[e.a] as number) - (volts[e.b] as number));
      const a = map.node[e.a] as number;
      const b = map.node[e.b] as number;
      for (let m = 0; m < n; m++) {
        const c = modes.farads[m] as number;
        if (c === 0) continue;
        const across =
          (a >= 0 ? (modes.shape[a * n + m] as number) : 0) - (b >= 0 ? (modes.shape[b * n + m] as number) : 0);
        y[m] = (y[m] as number) + (q * across) / c;
      }
    }
  }
  for (const [i, p] of system.inductors.entries()) {
    const port = system.ports[p];
    if (port?.kind !== "inductor") continue;
    const across = (volts[port.plus] as number) - (volts[port.minus] as number);
    run.inductorAmps[i] =
      start.inductorAmps === undefined ? across / port.ohms : (start.inductorAmps.get(port.id) ?? 0);
  }
  for (const [p, port] of system.ports.entries()) {
    const c = system.firstControl[p] as number;
    const at = (net: number) => volts[net] as number;
    if (port.kind === "triode") {
      run.v[c] = at(port.grid) - at(port.cathode);
      run.v[c + 1] = at(port.plate) - at(port.cathode);
    } else run.v[c] = at(port.plus) - at(port.minus);
  }
}

/** Volts of the nets and currents of the inductors where the run stands. */
function stateOf(run: Run): TransientState {
  const { circuit, system } = run;
  const netVolts = new Map<Net, number>();
  for (const [net, name] of circuit.map.nets.entries()) {
    const node = circuit.map.node[net] as number;
    let value = node >= 0 ? (run.x[node] as number) : 0;
    for (const { source, sign } of circuit.map.offsets[net] ?? []) value += sign * (run.emf[source] as number);
    netVolts.set(name, value);
  }
  const inductorAmps = new Map<string, number>();
  for (const [i, p] of system.inductors.entries())
    inductorAmps.set(system.ports[p]?.id ?? "", run.inductorAmps[i] as number);
  return { netVolts, inductorAmps };
}

function effortOf(run: Run): TransientEffort {
  const { system } = run;
  return {
    steps: run.steps,
    rejected: run.rejected,
    newtonIterations: system.iterations,
    factorings: system.factorings,
    lawCalls: system.lawCalls,
  };
}

/** Share of the tolerance that Newton may leave in the port volts. */
const NEWTON_SHARE = 0.02;
const SAFETY = 0.9;
const MOST_GROWTH = 5;
const LEAST_SHRINK = 0.1;

/** Steps from 0 to the end; `begin` is told of every consistent start, `took` of every accepted step. */
function integrate(
  run: Run,
  took: (from: number, step: number) => void,
  begin: (seconds: number) => void,
): TransientFailure | undefined {
  const { problem, limits, modes, system, driven, y, yNext, k, v, i, x, xNext } = run;
  const { n, farads, siemens, shape } = modes;
  const { controls: CN, currents: Q, sense, inject, inductors } = system;
  const I = inductors.length;
  const ends = segmentEnds(problem);
  const keep = new Float64Array(n);
  const push = new Float64Array(n);
  const base = new Float64Array(n);
  const forced = new Float64Array(n);
  const fixed = new Float64Array(CN);
  const v0 = new Float64Array(CN);
  const scale = new Float64Array(CN);
  const vStart = new Float64Array(CN);
  const iStart = new Float64Array(Q);
  const error = new Float64Array(n);
  const moved = new Float64Array(Q);
  const dv = new Float64Array(CN);
  const dKnown = new Float64Array(system.ports.length);
  const inductorBase = new Float64Array(I);
  const inductorError = new Float64Array(I);
  /** Control slopes of the stages (from the modes alone), of this step and of the last. */
  const slopes = new Float64Array(STAGES * CN);
  const lastSlopes = new Float64Array(STAGES * CN);
  const lastOpen = new Float64Array(CN);
  const weights = new Float64Array(STAGES);
  let lastStep = 0;
  let prepared = -1;

  /** Per mode: (c + h gamma g) y = c base + h gamma (forced - u . i). */
  const prepare = (h: number): void => {
    if (h === prepared) return;
    prepared = h;
    const hg = h * GAMMA;
    for (let m = 0; m < n; m++) {
      const c = farads[m] as number;
      const g = siemens[m] as number;
      if (c === 0) {
        keep[m] = 0;
        push[m] = 1 / g;
      } else {
        const pivot = 1 / (c + hg * g);
        keep[m] = c * pivot;
        push[m] = hg * pivot;
      }
    }
    for (const p of inductors) {
      const port = system.ports[p];
      if (port?.kind === "inductor") system.stageSiemens[p] = hg / (port.henries + hg * port.ohms);
    }
    setImpedance(system, push);
  };

  /** Sources at a time: what they force on the modes and add to the controls. */
  const driveAt = (t: number): void => {
    forced.set(run.constantModes);
    fixed.set(run.constantControls);
    for (let d = 0; d < driven.length; d++) {
      const source = driven[d] as Driven;
      const e = source.of(t);
      run.emf[source.source] = e;
      if (e === 0) continue;
      const { modes: share, controls: direct } = source;
      for (let m = 0; m < n; m++) forced[m] = (forced[m] as number) + e * (share[m] as number);
      for (let c = 0; c < CN; c++) fixed[c] = (fixed[c] as number) + e * (direct[c] as number);
    }
  };

  const setScale = (): void => {
    for (let c = 0; c < CN; c++)
      scale[c] = NEWTON_SHARE * (limits.absoluteVolts + limits.relativeVolts * Math.abs(v[c] as number));
  };

  /** Solves the ports over `base` and writes charges into `to`. */
  const stage = (t: number, h: number, to: Float64Array, toInductor: Float64Array, sure: boolean): boolean => {
    for (let m = 0; m < n; m++)
      to[m] = (keep[m] as number) * (base[m] as number) + (push[m] as number) * (forced[m] as number);
    for (let c = 0; c < CN; c++) {
      let volts = fixed[c] as number;
      for (let m = 0, s = c * n; m < n; m++, s++) volts += (sense[s] as number) * (to[m] as number);
      v0[c] = volts;
    }
    for (let l = 0; l < I; l++) {
      const p = inductors[l] as number;
      const port = system.ports[p];
      if (port?.kind === "inductor")
        system.known[p] = ((inductorBase[l] as number) * port.henries) / (port.henries + h * GAMMA * port.ohms);
    }
    if (!solvePorts(system, t, v0, scale, v, i, sure)) return false;
    for (let q = 0; q < Q; q++) {
      const amps = i[q] as number;
      if (amps === 0) continue;
      for (let m = 0, u = q * n; m < n; m++, u++)
        to[m] = (to[m] as number) - (push[m] as number) * (inject[u] as number) * amps;
    }
    for (let l = 0; l < I; l++) {
      const p = inductors[l] as number;
      const companion = system.companions[p] as number;
      const c = system.firstControl[p] as number;
      toInductor[l] = (i[system.firstCurrent[p] as number] as number) + companion * (v[c] as number);
    }
    return true;
  };

  const nodesAt = (of: Float64Array, to: Float64Array): void => {
    for (let a = 0; a < n; a++) {
      let volts = run.constantNodes[a] as number;
      for (let m = 0, s = a * n; m < n; m++, s++) volts += (shape[s] as number) * (of[m] as number);
      to[a] = volts;
    }
    for (const source of run.driven) {
      const e = run.emf[source.source] as number;
      if (e !== 0) for (let a = 0; a < n; a++) to[a] = (to[a] as number) + e * (source.nodes[a] as number);
    }
  };

  /** Slopes of the control volts from those of the modes. */
  const senseSlopes = (j: number): void => {
    for (let c = 0; c < CN; c++) {
      let slope = 0;
      for (let m = 0, s = c * n, at = j * n; m < n; m++, s++, at++) slope += (sense[s] as number) * (k[at] as number);
      slopes[j * CN + c] = slope;
    }
  };

  /** Charges stand; algebraic modes and port currents follow; slopes at the start of a segment. */
  const settle = (t: number): boolean => {
    prepare(0);
    base.set(y);
    inductorBase.set(run.inductorAmps);
    setScale();
    const before = Float64Array.from(run.inductorAmps);
    driveAt(t);
    if (!stage(t, 0, yNext, run.inductorNext, true)) return false;
    y.set(yNext);
    run.inductorAmps.set(before);
    for (let m = 0; m < n; m++) {
      const c = farads[m] as number;
      let flow = (forced[m] as number) - (siemens[m] as number) * (y[m] as number);
      for (let q = 0; q < Q; q++) flow -= (inject[q * n + m] as number) * (i[q] as number);
      k[m] = c === 0 ? 0 : flow / c;
    }
    for (let l = 0; l < I; l++) {
      const p = inductors[l] as number;
      const port = system.ports[p];
      if (port?.kind !== "inductor") continue;
      const volts = v[system.firstControl[p] as number] as number;
      run.inductorK[l] = (volts - port.ohms * (run.inductorAmps[l] as number)) / port.henries;
    }
    senseSlopes(0);
    nodesAt(y, x);
    lastStep = 0;
    run.dense = DENSE_FIRST;
    return true;
  };

  /** First step after a start: volts may move by a few tolerances. */
  const firstStep = (length: number): number => {
    let rate = 0;
    for (let a = 0; a < n; a++) {
      let slope = 0;
      for (let m = 0; m < n; m++) slope += (modes.shape[a * n + m] as number) * (k[m] as number);
      const over = Math.abs(slope) / (limits.absoluteVolts + limits.relativeVolts * Math.abs(x[a] as number));
      if (over > rate) rate = over;
    }
    for (let l = 0; l < I; l++) {
      const over =
        Math.abs(run.inductorK[l] as number) /
        (limits.absoluteAmps + limits.relativeVolts * Math.abs(run.inductorAmps[l] as number));
      if (over > rate) rate = over;
    }
    return Math.min(length / 200, rate > 0 ? 10 / rate : Infinity);
  };

  /** Largest error of the step over its tolerance. */
  const judge = (h: number): number => {
    error.fill(0);
    for (let j = 0; j < STAGES; j++) {
      const share = h * (ERROR[j] as number);
      if (share !== 0)
        for (let m = 0, at = j * n; m < n; m++, at++) error[m] = (error[m] as number) + share * (k[at] as number);
    }
    for (let m = 0; m < n; m++) error[m] = (error[m] as number) * (keep[m] as number);
    if (Q > 0) {
      for (let c = 0; c < CN; c++) {
        let volts = 0;
        for (let m = 0, s = c * n; m < n; m++, s++) volts += (sense[s] as number) * (error[m] as number);
        dv[c] = volts;
      }
      for (let l = 0; l < I; l++) {
        let e = 0;
        for (let j = 0; j < STAGES; j++) e += (ERROR[j] as number) * (run.inductorK[j * I + l] as number);
        const p = inductors[l] as number;
        const port = system.ports[p];
        if (port?.kind === "inductor") dKnown[p] = (h * e * port.henries) / (port.henries + h * GAMMA * port.ohms);
      }
      followPorts(system, dv, dKnown, moved);
      for (let q = 0; q < Q; q++) {
        const amps = moved[q] as number;
        for (let m = 0, u = q * n; m < n; m++, u++)
          error[m] = (error[m] as number) - (push[m] as number) * (inject[u] as number) * amps;
      }
      for (let l = 0; l < I; l++) {
        const p = inductors[l] as number;
        inductorError[l] = moved[system.firstCurrent[p] as number] as number;
      }
    }
    let worst = 0;
    for (let a = 0; a < n; a++) {
      let volts = 0;
      for (let m = 0, s = a * n; m < n; m++, s++) volts += (shape[s] as number) * (error[m] as number);
      const size = Math.max(Math.abs(x[a] as number), Math.abs(xNext[a] as number));
      const over = Math.abs(volts) / (limits.absoluteVolts + limits.relativeVolts * size);
      if (!(over <= worst)) {
        worst = over;
        run.worst = a;
      }
    }
    for (let l = 0; l < I; l++) {
      const over =
        Math.abs(inductorError[l] as number) /
        (limits.absoluteAmps + limits.relativeVolts * Math.abs(run.inductorNext[l] as number));
      if (!(over <= worst)) worst = over;
    }
    return worst;
  };

  /** All stages of one step; false when Newton finds nothing. */
  const advance = (begun: number, h: number, latest: number): boolean => {
    prepare(h);
    setScale();
    const inverse = 1 / (h * GAMMA);
    system.contraction = 0;
    if (lastStep > 0) denseWeights(1 + ((C[1] as number) * h) / lastStep, weights, run.dense);
    for (let s = 1; s < STAGES; s++) {
      const t = Math.min(begun + (C[s] as number) * h, latest);
      base.set(y);
      for (let j = 0; j < s; j++) {
        const share = h * (A[s * STAGES + j] as number);
        if (share !== 0)
          for (let m = 0, at = j * n; m < n; m++, at++) base[m] = (base[m] as number) + share * (k[at] as number);
      }
      for (let l = 0; l < I; l++) {
        let sum = 0;
        for (let j = 0; j < s; j++) sum += (A[s * STAGES + j] as number) * (run.inductorK[j * I + l] as number);
        inductorBase[l] = (run.inductorAmps[l] as number) + h * sum;
      }
      driveAt(t);
      // Guess of the control volts: along the last step's curve, then along the slopes known so far.
      const along = s === 1 && lastStep > 0;
      const from = along ? lastOpen : open;
      for (let c = 0; c < CN; c++) v[c] = (fixed[c] as number) + (from[c] as number);
      const rates = along ? lastSlopes : slopes;
      const known = along ? STAGES : s;
      for (let j = 0; j < known; j++) {
        const share = along ? lastStep * (weights[j] as number) : h * (PREDICT[s * STAGES + j] as number);
        for (let c = 0, at = j * CN; c < CN; c++, at++) v[c] = (v[c] as number) + share * (rates[at] as number);
      }
      if (!stage(t, h, yNext, run.inductorNext, s === 1)) return false;
      for (let m = 0; m < n; m++) k[s * n + m] = ((yNext[m] as number) - (base[m] as number)) * inverse;
      for (let l = 0; l < I; l++)
        run.inductorK[s * I + l] = ((run.inductorNext[l] as number) - (inductorBase[l] as number)) * inverse;
      senseSlopes(s);
    }
    nodesAt(yNext, xNext);
    return true;
  };

  /** Control volts of the charges alone, where the step begins. */
  const open = new Float64Array(CN);
  const openAt = (): void => {
    for (let c = 0; c < CN; c++) {
      let volts = 0;
      for (let m = 0, s = c * n; m < n; m++, s++) volts += (sense[s] as number) * (y[m] as number);
      open[c] = volts;
    }
  };

  let h = 0;
  for (const end of ends) {
    if (!settle(run.seconds)) return failed(run, "stuck");
    openAt();
    begin(run.seconds);
    const latest = end < problem.seconds ? before(end) : end;
    if (limits.fixedSeconds > 0) h = limits.fixedSeconds;
    else h = firstStep(end - run.seconds);
    let errorBefore = 1;
    let afterReject = false;
    while (run.seconds < end) {
      if (run.steps + run.rejected >= limits.mostSteps) return failed(run, "too-many-steps");
      const left = end - run.seconds;
      let step = Math.min(h, limits.longestSeconds);
      if (step > 0.999999 * left) step = left;
      else if (limits.fixedSeconds === 0 && step > 0.5 * left) step = 0.5 * left;
      vStart.set(v);
      iStart.set(i);
      const solved = advance(run.seconds, step, latest);
      const over = solved ? (limits.fixedSeconds > 0 ? 0 : judge(step)) : Infinity;
      if (!(over <= 1)) {
        run.rejected++;
        v.set(vStart);
        i.set(iStart);
        h = step * (over < Infinity ? Math.max(LEAST_SHRINK, SAFETY * over ** -0.25) : 0.2);
        afterReject = true;
        if (limits.fixedSeconds > 0 || run.seconds + 0.1 * h === run.seconds) return failed(run, "stuck");
        continue;
      }
      const from = run.seconds;
      run.steps++;
      run.seconds = step === left ? end : from + step;
      run.step = step;
      took(from, step);
      lastSlopes.set(slopes);
      lastOpen.set(open);
      lastStep = step;
      run.dense = DENSE;
      y.set(yNext);
      x.set(xNext);
      run.inductorAmps.set(run.inductorNext);
      k.copyWithin(0, (STAGES - 1) * n, STAGES * n);
      run.inductorK.copyWithin(0, (STAGES - 1) * I, STAGES * I);
      slopes.copyWithin(0, (STAGES - 1) * CN, STAGES * CN);
      openAt();
      if (limits.fixedSeconds === 0) {
        const size = Math.max(over, 1e-6);
        let growth = SAFETY * size ** -0.175 * errorBefore ** 0.1;
        growth = Math.min(afterReject ? 1 : MOST_GROWTH, Math.max(0.2, growth));
        errorBefore = Math.max(size, 1e-2);
        // A step that was cut short by the end of a segment says nothing against the longer one.
        h = step < h && growth >= 1 ? Math.max(h, step * growth) : step * growth;
        afterReject = false;
      }
    }
  }
  return undefined;
}

/** The largest number below x. */
function before(x: number): number {
  return x - Math.max(Math.abs(x) * 2 ** -52, Number.MIN_VALUE);
}

function segmentEnds(problem: TransientProblem): readonly number[] {
  const inside = (problem.breaks ?? []).filter((at) => at > 0 && at < problem.seconds);
  return [...new Set(inside)].sort((a, b) => a - b).concat(problem.seconds);
}

function failed(run: Run, kind: "stuck" | "too-many-steps"): TransientFailure {
  const { circuit, system } = run;
  if (kind === "stuck") {
    for (const { source, of } of run.driven)
      if (!Number.isFinite(of(run.seconds)))
        return { kind: "not-finite", name: circuit.sources[source]?.id ?? "", seconds: run.seconds };
    for (const [p, port] of system.ports.entries())
      if (!Number.isFinite(system.law[system.firstCurrent[p] as number]))
        return { kind: "not-finite", name: port.id, seconds: run.seconds };
  }
  const net = circuit.map.nets[circuit.map.node.indexOf(run.worst)] ?? "0";
  return { kind, seconds: run.seconds, net, effort: effortOf(run) };
}
