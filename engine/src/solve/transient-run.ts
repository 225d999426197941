/** The state of one transient solve: charges, inductor currents, sources; how it starts and what it ends as. */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import type { Modes } from "./transient-modes.ts";
import { controlOffsets, type PortSystem } from "./transient-ports.ts";
import type { TransientEffort, TransientLimits, TransientProblem, TransientState } from "./transient-problem.ts";
import { DENSE_FIRST, STAGES } from "./transient-tableau.ts";

/** A driven source: its function and what one volt of it adds to modes, controls and nodes. */
export interface Driven {
  readonly source: number;
  readonly of: (seconds: number) => number;
  readonly modes: Float64Array;
  readonly controls: Float64Array;
  readonly nodes: Float64Array;
  /** Whether `controls`, `nodes` hold anything but zeros. */
  readonly reachesPorts: boolean;
  readonly reachesNodes: boolean;
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
  /** Charges of the modes, inductor currents [6 l + j], and their slopes at the six stages. */
  readonly y: Float64Array;
  readonly yNext: Float64Array;
  /** [6 m + j]. */
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
  /** The last time that belongs to the segment under way. */
  latest: number;
  steps: number;
  rejected: number;
  worst: number;
}

/** Zero charges, or those of the start. */
export function openRun(
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
      const reaches = (share: Float64Array) => share.some((one) => one !== 0);
      driven.push({
        source: s,
        of,
        modes: forced,
        controls: direct,
        nodes,
        reachesPorts: reaches(direct),
        reachesNodes: reaches(nodes),
      });
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
    latest: problem.seconds,
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
export function stateOf(run: Run): TransientState {
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

export function effortOf(run: Run): TransientEffort {
  const { system } = run;
  return {
    steps: run.steps,
    rejected: run.rejected,
    newtonIterations: system.iterations,
    factorings: system.factorings,
    lawCalls: system.lawCalls,
  };
}
