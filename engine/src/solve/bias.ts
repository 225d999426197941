/**
 * Quiescent point of a compiled circuit.
 *
 * Law     R(i) = i - f(v0 - Z0 i) = 0: the unknowns are the device currents (plate and grid of each triode, each diode),
 *         v0 and Z0 the dc network seen from the devices.
 * Method  Newton with exact slopes; a step is shortened so that no grid moves more than 2 V and no plate more than 60 V,
 *         and halved while the residual grows. Junction diodes join after the tubes have settled without them. Then, if
 *         needed, source stepping from zero, each step warm. A tube over an ideal sink starts with the sink's current.
 * Limits  Settled when every |R| <= 1e-12 A + 1e-10 |i|; where a stiff device meets a net of many megohms, when R is what
 *         the rounding of Z i alone makes of it. Currents above 1 kA count as no operating point.
 * Sources Newton in the space of device currents: docs/solves.md.
 */
import type { CompiledCircuit, Device } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { luFactor, luSolve } from "../numerics/lu.ts";
import { sparseSolveReal } from "../numerics/sparse-lu.ts";
import { fail, ok, type Result } from "../result.ts";
import { amps, ohms, siemens, type Volts, volts, watts } from "../units/quantities.ts";
import type { Bias, Effort, SolveFailure, TriodeBias } from "./answers.ts";
import { addDcSources, dcVolts, factorDc, portsOf, SLOPES } from "./network.ts";

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

/** Finds the bias; `start` is an earlier answer's `unknowns` of the same net list. */
export function solveBias(
  circuit: CompiledCircuit,
  options: { readonly start?: Float64Array; readonly limits?: BiasLimits } = {},
): Result<Bias, SolveFailure> {
  const limits = options.limits ?? BIAS_LIMITS;
  const state = openNewton(circuit);
  if (!dcPorts(circuit, state)) return fail({ kind: "singular", net: circuit.map.nets[1] ?? "0" });
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
  return ok(answer(circuit, state, effort));
}

interface Newton {
  readonly devices: readonly Device[];
  /** Q currents, and as many control volts: a triode's plate and grid currents stand beside its grid and plate volts. */
  readonly currents: number;
  /** Of each current: its device's first control, and how many controls it has. */
  readonly first: Int32Array;
  readonly controlCount: Int32Array;
  /** The dc network seen from the devices: control volts = open - impedance i; node volts for no current and for each. */
  readonly open: Float64Array;
  readonly impedance: Float64Array;
  readonly nodeOpen: Float64Array;
  readonly nodeColumns: Float64Array;
  readonly matrix: Float64Array;
  readonly inverse: Float64Array;
  readonly current: Float64Array;
  readonly control: Float64Array;
  /** Per current q, at 3 q: the law, then its slopes to its device's first and second control. */
  readonly law: Float64Array;
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

/** One piece of memory for everything: many small arrays would cost more than the solve. */
function openNewton(circuit: CompiledCircuit): Newton {
  const { devices, program } = circuit;
  const n = program.n;
  let q = 0;
  for (let d = 0; d < devices.length; d++) q += (devices[d] as Device).kind === "triode" ? 2 : 1;
  const first = new Int32Array(q);
  const controlCount = new Int32Array(q);
  q = 0;
  for (let d = 0; d < devices.length; d++) {
    const count = (devices[d] as Device).kind === "triode" ? 2 : 1;
    for (let i = 0; i < count; i++) {
      first[q + i] = q;
      controlCount[q + i] = count;
    }
    q += count;
  }
  const memory = new Float64Array(program.slots + (q + 2) * n + 2 * q * q + 8 * q + 6);
  let used = 0;
  const take = (count: number): Float64Array => memory.subarray(used, (used += count));
  return {
    devices,
    currents: q,
    first,
    controlCount,
    open: take(q),
    impedance: take(q * q),
    nodeOpen: take(n),
    nodeColumns: take(q * n),
    matrix: take(program.slots),
    inverse: take(n),
    current: take(q),
    control: take(q),
    law: take(3 * q),
    jacobian: take(q * q),
    step: take(q),
    trial: take(q),
    pivots: new Int32Array(q),
    out: take(6),
    junctionsOut: false,
    steps: 0,
    factorings: 0,
    lawCalls: 0,
    residual: 0,
  };
}

/** The network at dc: one factoring, one solve without device currents and one per current that can flow. */
function dcPorts(circuit: CompiledCircuit, state: Newton): boolean {
  const { devices, currents: Q, nodeOpen, nodeColumns, matrix, inverse, open, impedance } = state;
  const { program, map } = circuit;
  const { node } = map;
  const n = program.n;
  if (!factorDc(circuit, matrix, inverse)) return false;
  addDcSources(circuit, nodeOpen);
  sparseSolveReal(program, matrix, inverse, nodeOpen);
  const volts = (net: number, at: number): number => {
    const i = node[net] as number;
    return i >= 0 ? (nodeColumns[at + i] as number) : 0;
  };
  let c = 0;
  for (let d = 0; d < devices.length; d++) {
    const device = devices[d] as Device;
    const back = device.cathode;
    const triode = device.kind === "triode";
    // Currents: plate, grid. Controls: grid, plate.
    const plate = triode ? device.plate : device.anode;
    column(state, program, node, plate, back, c * n);
    const still = dcVolts(circuit, back, nodeOpen);
    open[c] = dcVolts(circuit, triode ? device.grid : plate, nodeOpen) - still;
    if (triode) {
      if (device.conductsGrid) column(state, program, node, device.grid, back, (c + 1) * n);
      open[c + 1] = dcVolts(circuit, plate, nodeOpen) - still;
    }
    c += triode ? 2 : 1;
  }
  c = 0;
  for (let d = 0; d < devices.length; d++) {
    const device = devices[d] as Device;
    const triode = device.kind === "triode";
    const plus = triode ? device.grid : device.anode;
    for (let q = 0; q < Q; q++) {
      const still = volts(device.cathode, q * n);
      impedance[c * Q + q] = still - volts(plus, q * n);
      if (triode) impedance[(c + 1) * Q + q] = still - volts(device.plate, q * n);
    }
    c += triode ? 2 : 1;
  }
  return true;
}

/** Node volts of one ampere out of the network at one net and back at another. */
function column(
  state: Newton,
  program: CompiledCircuit["program"],
  node: Int32Array,
  out: number,
  back: number,
  at: number,
): void {
  const { nodeColumns, matrix, inverse } = state;
  const o = node[out] as number;
  const b = node[back] as number;
  if (o >= 0) nodeColumns[at + o] = -1;
  if (b >= 0) nodeColumns[at + b] = (nodeColumns[at + b] as number) + 1;
  sparseSolveReal(program, matrix, inverse, nodeColumns, at);
}

/** Laws at the control volts of `current`; answers the largest residual over its tolerance. */
function evaluate(state: Newton, current: Float64Array, scale: number, limits: BiasLimits): number {
  const { currents, open, impedance, control, law, out, devices } = state;
  for (let c = 0; c < currents; c++) {
    let v = scale * (open[c] as number);
    for (let q = 0; q < currents; q++) v -= (impedance[c * currents + q] as number) * (current[q] as number);
    control[c] = v;
  }
  let q = 0;
  for (let d = 0; d < devices.length; d++) {
    const device = devices[d] as Device;
    if (device.kind === "triode") {
      device.evaluate.samples(control, q, q + 1, 1, law, 3 * q, 1);
      q += 2;
      continue;
    }
    if (state.junctionsOut && device.neperVolts !== undefined) {
      out[0] = current[q] as number;
      out[1] = 0;
    } else device.evaluate(control[q] as number, out);
    law[3 * q] = out[0] as number;
    law[3 * q + 1] = out[1] as number;
    q += 1;
  }
  state.lawCalls += devices.length;
  let worst = 0;
  let residual = 0;
  for (let p = 0; p < currents; p++) {
    const i = current[p] as number;
    const r = Math.abs(i - (law[3 * p] as number));
    if (!(r < 1e3)) {
      state.residual = residual;
      return Infinity;
    }
    if (r > residual) residual = r;
    const over = r / (limits.residualAmps + limits.residualFraction * Math.abs(i));
    if (over > worst) worst = over;
  }
  state.residual = residual;
  return worst;
}

function newton(state: Newton, scale: number, limits: BiasLimits): boolean {
  const { currents, impedance, first, controlCount, current, law, jacobian, step, trial, pivots } = state;
  if (currents === 0) return true;
  let worst = evaluate(state, current, scale, limits);
  for (let iteration = 0; iteration < limits.steps; iteration++) {
    if (worst <= 1) return true;
    if (worst === Infinity) return false;
    if (iteration >= PATIENCE && atRounding(state, limits)) return true;
    for (let p = 0; p < currents; p++) {
      const c = first[p] as number;
      const s0 = law[3 * p + 1] as number;
      const s1 = law[3 * p + 2] as number;
      for (let q = 0; q < currents; q++) {
        let entry = s0 * (impedance[c * currents + q] as number);
        if (controlCount[p] === 2) entry += s1 * (impedance[(c + 1) * currents + q] as number);
        jacobian[p * currents + q] = entry + (p === q ? 1 : 0);
      }
      step[p] = (law[3 * p] as number) - (current[p] as number);
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
    for (let q = 0; q < currents; q++) current[q] = trial[q] as number;
  }
  return worst <= 1;
}

/** Iterations before the residual is held against rounding as well. */
const PATIENCE = 12;

/** Whether every residual is within what sums of Z i lose to rounding, seen through the device's own slopes. */
function atRounding(state: Newton, limits: BiasLimits): boolean {
  const { currents, impedance, open, first, controlCount, current, law } = state;
  for (let p = 0; p < currents; p++) {
    let lost = 0;
    for (let n = 0; n < (controlCount[p] as number); n++) {
      const c = (first[p] as number) + n;
      let size = Math.abs(open[c] as number);
      for (let q = 0; q < currents; q++)
        size += Math.abs((impedance[c * currents + q] as number) * (current[q] as number));
      lost += Math.abs(law[3 * p + 1 + n] as number) * size;
    }
    const r = Math.abs((current[p] as number) - (law[3 * p] as number));
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
  const { currents, impedance, current, control, devices } = state;
  current.fill(0);
  seedSinks(state);
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
      const ohms = impedance[c * currents + c] as number;
      if (over > 0 && ohms > 0) current[c] = over / ohms;
    }
    c += device.kind === "triode" ? 2 : 1;
  }
  return newton(state, 1, limits);
}

/** Volts beyond this are no supply's: an ideal sink pulls at a cathode. */
const SINK_VOLTS = 1000;
/** Plate-cathode volts at which a tube whose grid moves with its cathode is begun. */
const SINK_PLATE_VOLTS = 100;

/**
 * With no current an ideal sink pulls its cathode megavolts down; no bounded step comes back from there. Such a tube starts
 * with about what the sink takes: the current that brings its grid to its cathode, or, where the grid goes with the
 * cathode, its plate to a usual distance.
 */
function seedSinks({ devices, currents, open, impedance, current }: Newton): void {
  let c = 0;
  for (const device of devices) {
    if (device.kind !== "triode") {
      c += 1;
      continue;
    }
    const [grid, plate] = [open[c] as number, open[c + 1] as number];
    const [gridOhms, plateOhms] = [impedance[c * currents + c] as number, impedance[(c + 1) * currents + c] as number];
    if (grid > SINK_VOLTS && gridOhms > 0) current[c] = grid / gridOhms;
    else if (plate > SINK_VOLTS && plateOhms > 0) current[c] = (plate - SINK_PLATE_VOLTS) / plateOhms;
    c += 2;
  }
}

/** A junction may close as fast as it likes and come up to its knee; beyond, it moves by a few nepers. */
function junctionBound(state: Newton, device: Device, control: number, rise: number): number | undefined {
  if (device.kind === "triode" || device.neperVolts === undefined) return undefined;
  if (state.junctionsOut || !(rise > 0)) return Infinity;
  return JUNCTION_STEP * device.neperVolts + Math.max(0, -(state.control[control] as number));
}

/** The share of the step that keeps every grid within 2 V and every plate within 60 V of where it is. */
function stepLimit(state: Newton, step: Float64Array, limits: BiasLimits): number {
  const { devices, currents, impedance } = state;
  let fraction = 1;
  let c = 0;
  for (let d = 0; d < devices.length; d++) {
    const device = devices[d] as Device;
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
    for (let i = 0; i < currents; i++, q++) if (!Number.isFinite(state.law[3 * q])) return device.id;
  }
  return undefined;
}

function worstNet(circuit: CompiledCircuit, state: Newton): Net {
  let worst = 0;
  let port = 0;
  for (let q = 0; q < state.current.length; q++) {
    const r = Math.abs((state.current[q] as number) - (state.law[3 * q] as number));
    if (!(r <= worst)) {
      worst = r;
      port = q;
    }
  }
  const out = portsOf(circuit.devices)[port]?.out ?? 0;
  return circuit.map.nets[out] ?? "0";
}

function answer(circuit: CompiledCircuit, state: Newton, effort: Effort): Bias {
  const { devices, current, control, law, currents, nodeOpen, nodeColumns } = state;
  const n = nodeOpen.length;
  for (let q = 0; q < currents; q++) {
    const i = current[q] as number;
    if (i === 0) continue;
    for (let k = 0; k < n; k++) nodeOpen[k] = (nodeOpen[k] as number) + (nodeColumns[q * n + k] as number) * i;
  }
  const { nets } = circuit.map;
  const byNet = new Map<Net, Volts>();
  for (let i = 0; i < nets.length; i++) byNet.set(nets[i] as Net, volts(dcVolts(circuit, i, nodeOpen)));
  const triodes = new Map<string, TriodeBias>();
  const slopes = new Float64Array(SLOPES * devices.length);
  let q = 0;
  for (let d = 0; d < devices.length; d++) {
    const device = devices[d] as Device;
    const gm = law[3 * q + 1] as number;
    const gp = law[3 * q + 2] as number;
    slopes[SLOPES * d] = gm;
    if (device.kind === "diode") {
      q += 1;
      continue;
    }
    slopes[SLOPES * d + 1] = gp;
    slopes[SLOPES * d + 2] = law[3 * q + 4] as number;
    slopes[SLOPES * d + 3] = law[3 * q + 5] as number;
    const plateVolts = control[q + 1] as number;
    const plateAmps = current[q] as number;
    triodes.set(device.id, {
      plateVolts: volts(plateVolts),
      gridVolts: volts(control[q] as number),
      plateAmps: amps(plateAmps),
      gridAmps: amps(current[q + 1] as number),
      siemens: siemens(gm),
      plateOhms: ohms(1 / gp),
      mu: gm / gp,
      plateWatts: watts(plateVolts * plateAmps),
    });
    q += 2;
  }
  return { netVolts: byNet, triodes, slopes, effort, unknowns: current.slice() };
}
