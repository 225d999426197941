/**
 * Quiescent point of a compiled circuit.
 *
 * Law     R(i) = i - f(v0 - Z0 i) = 0: the unknowns are the device currents (plate and grid of each triode, each diode),
 *         v0 and Z0 the dc network seen from the devices.
 * Method  Newton with exact slopes; a step is shortened so that no grid moves more than 2 V and no plate more than 60 V,
 *         and halved while the residual grows. Junction diodes join after the tubes have settled without them. Then, if
 *         needed, source stepping from zero, each step warm.
 * Limits  Settled when every |R| <= 1e-12 A + 1e-10 |i|; where a stiff device meets a net of many megohms, when R is what
 *         the rounding of Z i alone makes of it. Currents above 1 kA count as no operating point.
 * Sources Newton in the space of device currents: docs/solves.md.
 */
import type { CompiledCircuit, Device } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { luFactor, luSolve } from "../numerics/lu.ts";
import { fail, ok, type Result } from "../result.ts";
import { amps, ohms, siemens, volts, watts } from "../units/quantities.ts";
import type { Bias, Effort, SolveFailure, TriodeBias } from "./answers.ts";
import {
  addCurrent,
  addSource,
  controlsOf,
  factorAt,
  netVolts,
  openNetwork,
  portsOf,
  SLOPES,
  solveInPlace,
} from "./network.ts";

export interface BiasLimits {
  readonly gridStepVolts: number;
  readonly plateStepVolts: number;
  readonly steps: number;
  readonly residualAmps: number;
  readonly residualFraction: number;
}

export const BIAS_LIMITS: BiasLimits = {
  gridStepVolts: 2,
  plateStepVolts: 60,
  steps: 60,
  residualAmps: 1e-12,
  residualFraction: 1e-10,
};

/** The dc network seen from the devices: control volts v = open - impedance * i, and node vectors for every column. */
interface DcPorts {
  readonly controls: number;
  readonly currents: number;
  readonly open: Float64Array;
  readonly impedance: Float64Array;
  readonly nodeOpen: Float64Array;
  readonly nodeColumns: readonly Float64Array[];
}

/** Finds the bias; `start` is an earlier answer's `unknowns` of the same net list. */
export function solveBias(
  circuit: CompiledCircuit,
  options: { readonly start?: Float64Array; readonly limits?: BiasLimits } = {},
): Result<Bias, SolveFailure> {
  const limits = options.limits ?? BIAS_LIMITS;
  const ports = dcPorts(circuit);
  if (!ports.ok) return ports;
  const state = openNewton(circuit, ports.value);
  let settled = false;
  if (options.start !== undefined && options.start.length === state.current.length) {
    state.current.set(options.start);
    settled = newton(state, 1, limits);
  }
  if (!settled) settled = fromRest(state, limits);
  if (!settled) {
    state.current.fill(0);
    settled = sourceStepping(state, limits);
  }
  const effort: Effort = {
    steps: state.steps,
    factorings: state.factorings,
    lawCalls: state.lawCalls,
    residual: state.residual,
  };
  if (!settled) {
    const part = withoutFiniteLaw(state);
    if (part !== undefined) return fail({ kind: "law-not-finite", part });
    return fail({ kind: "no-operating-point", effort, worst: worstNet(circuit, state) });
  }
  return ok(answer(circuit, ports.value, state, effort));
}

function dcPorts(circuit: CompiledCircuit): Result<DcPorts, SolveFailure> {
  const network = openNetwork(circuit);
  const n = circuit.program.n;
  if (!factorAt(network, 0)) return fail({ kind: "singular", net: circuit.map.nets[1] ?? "0" });
  const nothing = new Float64Array(n);
  const nodeOpen = new Float64Array(n);
  for (const [s, source] of circuit.sources.entries())
    if (source.volts !== 0) addSource(network, s, source.volts, 0, nodeOpen, nothing);
  for (const sink of circuit.sinks) addCurrent(network, sink.from, sink.to, sink.amps, nodeOpen);
  solveInPlace(network, nodeOpen, nothing);
  const ports = portsOf(circuit.devices);
  const controls = controlsOf(circuit.devices);
  const nodeColumns = ports.map(({ out, back }) => {
    const column = new Float64Array(n);
    addCurrent(network, out, back, 1, column);
    nothing.fill(0);
    solveInPlace(network, column, nothing);
    return column;
  });
  const sourceVolts = (s: number) => circuit.sources[s]?.volts ?? 0;
  const between = (x: Float64Array, plus: number, minus: number, of: (s: number) => number) =>
    netVolts(circuit, plus, x, of) - netVolts(circuit, minus, x, of);
  const open = Float64Array.from(controls, ({ plus, minus }) => between(nodeOpen, plus, minus, sourceVolts));
  const impedance = new Float64Array(controls.length * ports.length);
  for (const [c, { plus, minus }] of controls.entries())
    for (const [q, column] of nodeColumns.entries())
      impedance[c * ports.length + q] = -between(column, plus, minus, () => 0);
  return ok({ controls: controls.length, currents: ports.length, open, impedance, nodeOpen, nodeColumns });
}

interface Newton {
  readonly devices: readonly Device[];
  readonly ports: DcPorts;
  readonly current: Float64Array;
  readonly control: Float64Array;
  readonly law: Float64Array;
  /** d law / d control: per current two entries (its device's first and second control). */
  readonly slope: Float64Array;
  readonly jacobian: Float64Array;
  readonly step: Float64Array;
  readonly trial: Float64Array;
  readonly pivots: Int32Array;
  readonly out: Float64Array;
  /** While true, junctions keep the current they have: none. */
  junctionsOut: boolean;
  steps: number;
  factorings: number;
  lawCalls: number;
  residual: number;
}

function openNewton(circuit: CompiledCircuit, ports: DcPorts): Newton {
  const q = ports.currents;
  return {
    devices: circuit.devices,
    ports,
    current: new Float64Array(q),
    control: new Float64Array(ports.controls),
    law: new Float64Array(q),
    slope: new Float64Array(2 * q),
    jacobian: new Float64Array(q * q),
    step: new Float64Array(q),
    trial: new Float64Array(q),
    pivots: new Int32Array(q),
    out: new Float64Array(6),
    junctionsOut: false,
    steps: 0,
    factorings: 0,
    lawCalls: 0,
    residual: 0,
  };
}

/** Laws at the control volts of `current`; answers the largest residual over its tolerance. */
function evaluate(state: Newton, current: Float64Array, scale: number, limits: BiasLimits): number {
  const { ports, control, law, slope, out, devices } = state;
  const { controls, currents, open, impedance } = ports;
  for (let c = 0; c < controls; c++) {
    let v = scale * (open[c] as number);
    for (let q = 0; q < currents; q++) v -= (impedance[c * currents + q] as number) * (current[q] as number);
    control[c] = v;
  }
  let q = 0;
  for (const device of devices) {
    if (device.kind === "triode") {
      device.evaluate(control[q] as number, control[q + 1] as number, out);
      law[q] = out[0] as number;
      law[q + 1] = out[3] as number;
      slope[2 * q] = out[1] as number;
      slope[2 * q + 1] = out[2] as number;
      slope[2 * q + 2] = out[4] as number;
      slope[2 * q + 3] = out[5] as number;
      q += 2;
    } else {
      if (state.junctionsOut && device.neperVolts !== undefined) {
        out[0] = current[q] as number;
        out[1] = 0;
      } else device.evaluate(control[q] as number, out);
      law[q] = out[0] as number;
      slope[2 * q] = out[1] as number;
      slope[2 * q + 1] = 0;
      q += 1;
    }
    state.lawCalls++;
  }
  let worst = 0;
  state.residual = 0;
  for (let p = 0; p < currents; p++) {
    const r = Math.abs((current[p] as number) - (law[p] as number));
    if (!(r < 1e3)) return Infinity;
    if (r > state.residual) state.residual = r;
    const over = r / (limits.residualAmps + limits.residualFraction * Math.abs(current[p] as number));
    if (over > worst) worst = over;
  }
  return worst;
}

/** First control of current q: a triode's two currents share its two controls, which stand at the same two indices. */
function firstControls(devices: readonly Device[]): { first: Int32Array; count: Int32Array } {
  const first: number[] = [];
  const count: number[] = [];
  let c = 0;
  for (const device of devices) {
    const controls = device.kind === "triode" ? 2 : 1;
    for (let i = 0; i < controls; i++) {
      first.push(c);
      count.push(controls);
    }
    c += controls;
  }
  return { first: Int32Array.from(first), count: Int32Array.from(count) };
}

function newton(state: Newton, scale: number, limits: BiasLimits): boolean {
  const { ports, current, law, slope, jacobian, step, trial, pivots } = state;
  const { currents, impedance } = ports;
  if (currents === 0) return true;
  const { first, count } = firstControls(state.devices);
  let worst = evaluate(state, current, scale, limits);
  for (let iteration = 0; iteration < limits.steps; iteration++) {
    if (worst <= 1) return true;
    if (worst === Infinity) return false;
    if (iteration >= PATIENCE && atRounding(state, limits)) return true;
    for (let p = 0; p < currents; p++) {
      const c = first[p] as number;
      const s0 = slope[2 * p] as number;
      const s1 = slope[2 * p + 1] as number;
      for (let q = 0; q < currents; q++) {
        let entry = s0 * (impedance[c * currents + q] as number);
        if ((count[p] as number) === 2) entry += s1 * (impedance[(c + 1) * currents + q] as number);
        jacobian[p * currents + q] = entry + (p === q ? 1 : 0);
      }
      step[p] = (law[p] as number) - (current[p] as number);
    }
    state.factorings++;
    if (!luFactor(jacobian, currents, pivots)) return false;
    luSolve(jacobian, currents, pivots, step);
    let fraction = stepLimit(state, step, limits);
    state.steps++;
    const residual = state.residual;
    for (let halving = 0; ; halving++) {
      for (let q = 0; q < currents; q++) trial[q] = (current[q] as number) + fraction * (step[q] as number);
      worst = evaluate(state, trial, scale, limits);
      if (worst < Infinity && (state.residual <= residual * (1 + 1e-9) || halving >= 4 || worst <= 1)) break;
      if (halving > 30) return false;
      fraction /= 2;
    }
    current.set(trial);
  }
  return worst <= 1;
}

/** Iterations before the residual is held against rounding as well. */
const PATIENCE = 12;

/** Whether every residual is within what sums of Z i lose to rounding, seen through the device's own slopes. */
function atRounding(state: Newton, limits: BiasLimits): boolean {
  const { ports, current, law, slope, devices } = state;
  const { currents, impedance, open } = ports;
  const { first, count } = firstControls(devices);
  for (let p = 0; p < currents; p++) {
    let lost = 0;
    for (let n = 0; n < (count[p] as number); n++) {
      const c = (first[p] as number) + n;
      let size = Math.abs(open[c] as number);
      for (let q = 0; q < currents; q++)
        size += Math.abs((impedance[c * currents + q] as number) * (current[q] as number));
      lost += Math.abs(slope[2 * p + n] as number) * size;
    }
    const r = Math.abs((current[p] as number) - (law[p] as number));
    const allowed = limits.residualAmps + limits.residualFraction * Math.abs(current[p] as number);
    if (!(r <= allowed + 4 * Number.EPSILON * lost)) return false;
  }
  return true;
}

/** Nepers of a junction's current per step. */
const JUNCTION_STEP = 3;
/** Where a junction is taken to stand before anything is known: nepers above its reverse current. */
const JUNCTION_REST = 14;

/**
 * From no current anywhere. Junctions are kept out first and the tubes settled; those that then stand open forwards start
 * with what their circuit sends through them.
 */
function fromRest(state: Newton, limits: BiasLimits): boolean {
  const { ports, current, control, devices } = state;
  current.fill(0);
  if (!devices.some((device) => device.kind === "diode" && device.neperVolts !== undefined))
    return newton(state, 1, limits);
  state.junctionsOut = true;
  const tubes = newton(state, 1, limits);
  state.junctionsOut = false;
  if (!tubes) return false;
  let c = 0;
  for (const device of devices) {
    if (device.kind === "diode" && device.neperVolts !== undefined) {
      const over = (control[c] as number) - JUNCTION_REST * device.neperVolts;
      const ohms = ports.impedance[c * ports.currents + c] as number;
      if (over > 0 && ohms > 0) current[c] = over / ohms;
    }
    c += device.kind === "triode" ? 2 : 1;
  }
  return newton(state, 1, limits);
}

/** A junction may close as fast as it likes and come up to its knee; beyond, it moves by a few nepers. */
function junctionBound(state: Newton, device: Device, control: number, rise: number): number | undefined {
  if (device.kind === "triode" || device.neperVolts === undefined) return undefined;
  if (state.junctionsOut || !(rise > 0)) return Infinity;
  return JUNCTION_STEP * device.neperVolts + Math.max(0, -(state.control[control] as number));
}

/** The share of the step that keeps every grid within 2 V and every plate within 60 V of where it is. */
function stepLimit(state: Newton, step: Float64Array, limits: BiasLimits): number {
  const { ports, devices } = state;
  const { currents, impedance } = ports;
  let fraction = 1;
  let c = 0;
  for (const device of devices) {
    const controls = device.kind === "triode" ? 2 : 1;
    for (let i = 0; i < controls; i++, c++) {
      let move = 0;
      for (let q = 0; q < currents; q++) move += (impedance[c * currents + q] as number) * (step[q] as number);
      const bound =
        device.kind === "triode" && i === 0
          ? limits.gridStepVolts
          : (junctionBound(state, device, c, -move) ?? limits.plateStepVolts);
      if (Math.abs(move) * fraction > bound) fraction = bound / Math.abs(move);
    }
  }
  return fraction;
}

/** Raises the sources from zero in steps that shrink where Newton fails and grow where it is easy. */
function sourceStepping(state: Newton, limits: BiasLimits): boolean {
  let scale = 0;
  let stride = 0.1;
  const kept = new Float64Array(state.current.length);
  while (scale < 1) {
    const next = Math.min(1, scale + stride);
    if (newton(state, next, limits)) {
      scale = next;
      kept.set(state.current);
      stride *= 1.5;
      continue;
    }
    state.current.set(kept);
    stride /= 4;
    if (stride < 1e-5 || state.steps > 40 * limits.steps) return false;
  }
  return true;
}

/** The first device whose law gives no finite current where the solve stands. */
function withoutFiniteLaw(state: Newton): string | undefined {
  let q = 0;
  for (const device of state.devices) {
    const currents = device.kind === "triode" ? 2 : 1;
    for (let i = 0; i < currents; i++, q++) if (!Number.isFinite(state.law[q])) return device.id;
  }
  return undefined;
}

function worstNet(circuit: CompiledCircuit, state: Newton): Net {
  let worst = 0;
  let port = 0;
  for (let q = 0; q < state.current.length; q++) {
    const r = Math.abs((state.current[q] as number) - (state.law[q] as number));
    if (!(r <= worst)) {
      worst = r;
      port = q;
    }
  }
  const out = portsOf(circuit.devices)[port]?.out ?? 0;
  return circuit.map.nets[out] ?? "0";
}

function answer(circuit: CompiledCircuit, ports: DcPorts, state: Newton, effort: Effort): Bias {
  const { current, control, slope } = state;
  const x = Float64Array.from(ports.nodeOpen);
  for (const [q, column] of ports.nodeColumns.entries()) {
    const i = current[q] as number;
    for (let k = 0; k < x.length; k++) x[k] = (x[k] as number) + (column[k] as number) * i;
  }
  const sourceVolts = (s: number) => circuit.sources[s]?.volts ?? 0;
  const byNet = new Map(circuit.map.nets.map((net, i) => [net, volts(netVolts(circuit, i, x, sourceVolts))] as const));
  const triodes = new Map<string, TriodeBias>();
  const slopes = new Float64Array(SLOPES * circuit.devices.length);
  let q = 0;
  for (const [d, device] of circuit.devices.entries()) {
    if (device.kind === "diode") {
      slopes[SLOPES * d] = slope[2 * q] as number;
      q += 1;
      continue;
    }
    slopes.set(slope.subarray(2 * q, 2 * q + 4), SLOPES * d);
    const gm = slope[2 * q] as number;
    const gp = slope[2 * q + 1] as number;
    const gridVolts = control[q] as number;
    const plateVolts = control[q + 1] as number;
    const plateAmps = current[q] as number;
    triodes.set(device.id, {
      plateVolts: volts(plateVolts),
      gridVolts: volts(gridVolts),
      plateAmps: amps(plateAmps),
      gridAmps: amps(current[q + 1] as number),
      siemens: siemens(gm),
      plateOhms: ohms(1 / gp),
      mu: gm / gp,
      plateWatts: watts(plateVolts * plateAmps),
    });
    q += 2;
  }
  return { netVolts: byNet, triodes, slopes, effort, unknowns: Float64Array.from(current) };
}
