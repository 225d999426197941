/**
 * The implicit part of one stage of the transient solve: port volts of tubes, diodes, inductors and given one-ports.
 *
 * Law     v = v0 - Z i, i = f(t, v): v0 and Z are the modes seen from the ports over one stage, exact for any step.
 * Method  Newton in port volts with exact slopes; one small LU per iteration. A junction moves up by nepers. After a first
 *         iteration the measured contraction decides whether a second would change anything.
 * Limits  Memoryless laws; an inductor is one within a stage, its history being known.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { DiodeEvaluator } from "../tubes/diode.ts";
import type { TriodeEvaluator } from "../tubes/law.ts";
import { type Modes, offsetSign, type Span } from "./transient-modes.ts";

/** A given nonlinear part between two nets; writes [amps from plus to minus, their slope in A/V]. */
export interface OnePort {
  readonly id: string;
  readonly plus: string;
  readonly minus: string;
  readonly current: (seconds: number, volts: number, out: Float64Array) => void;
}

export type Port =
  | {
      readonly kind: "triode";
      readonly id: string;
      readonly plate: number;
      readonly grid: number;
      readonly cathode: number;
      readonly conductsGrid: boolean;
      readonly evaluate: TriodeEvaluator;
      readonly emission: ((seconds: number) => number) | undefined;
    }
  | {
      readonly kind: "diode";
      readonly id: string;
      readonly plus: number;
      readonly minus: number;
      readonly evaluate: DiodeEvaluator;
      readonly neperVolts: number;
      readonly emission: ((seconds: number) => number) | undefined;
    }
  | {
      readonly kind: "inductor";
      readonly id: string;
      readonly plus: number;
      readonly minus: number;
      readonly henries: number;
      readonly ohms: number;
    }
  | {
      readonly kind: "given";
      readonly id: string;
      readonly plus: number;
      readonly minus: number;
      readonly current: OnePort["current"];
    };

/** The ports of a circuit: devices in circuit order, inductors, given one-ports. */
export function portsOfTransient(
  circuit: CompiledCircuit,
  given: readonly OnePort[],
  emission: ReadonlyMap<string, (seconds: number) => number>,
): readonly Port[] {
  const ports: Port[] = [];
  for (const device of circuit.devices) {
    const grown = emission.get(device.id);
    if (device.kind === "triode") {
      const { id, plate, grid, cathode, conductsGrid, evaluate } = device;
      ports.push({ kind: "triode", id, plate, grid, cathode, conductsGrid, evaluate, emission: grown });
    } else {
      const { id, anode, cathode, evaluate, neperVolts } = device;
      ports.push({
        kind: "diode",
        id,
        plus: anode,
        minus: cathode,
        evaluate,
        neperVolts: neperVolts ?? 0,
        emission: grown,
      });
    }
  }
  for (const { part, a, b, henries, ohms } of circuit.elements)
    if (ohms > 0) ports.push({ kind: "inductor", id: part, plus: a, minus: b, henries, ohms });
  for (const { id, plus, minus, current } of given) {
    const at = (net: string) => circuit.map.index.get(net) as number;
    ports.push({ kind: "given", id, plus: at(plus), minus: at(minus), current });
  }
  return ports;
}

/** Where a port may hold nets together. */
export function spanOf(port: Port): Span {
  return port.kind === "triode" ? { plus: port.plate, minus: port.cathode } : { plus: port.plus, minus: port.minus };
}

/** Work memory of the stage solve. Controls c: a triode has grid and plate volts; currents q: plate, and grid if it conducts. */
export interface PortSystem {
  readonly ports: readonly Port[];
  readonly n: number;
  readonly controls: number;
  readonly currents: number;
  /** Per port. */
  readonly firstControl: Int32Array;
  readonly firstCurrent: Int32Array;
  /** Per current: its device's first control, and whether there is a second. */
  readonly controlOf: Int32Array;
  readonly pair: Uint8Array;
  /** Rows of control volts and of current injections over the modes. */
  readonly sense: Float64Array;
  readonly inject: Float64Array;
  readonly companions: readonly number[];
  readonly inductors: readonly number[];
  /** Whether any diode is a junction. */
  readonly junctions: boolean;
  /** Of inductors, per port: current known from history and conductance of the stage. */
  readonly known: Float64Array;
  readonly stageSiemens: Float64Array;
  readonly Z: Float64Array;
  readonly law: Float64Array;
  readonly slope: Float64Array;
  readonly matrix: Float64Array;
  readonly pivots: Int32Array;
  readonly right: Float64Array;
  readonly out: Float64Array;
  readonly next: Float64Array;
  /** Time and length of the stage under way: kept here, so that no number is boxed on its way to the laws. */
  readonly clock: Float64Array;
  contraction: number;
  iterations: number;
  factorings: number;
  lawCalls: number;
}

export function openPorts(modes: Modes, ports: readonly Port[]): PortSystem {
  const { n, circuit, shape } = modes;
  const controls: { plus: number; minus: number }[] = [];
  const flows: { out: number; back: number }[] = [];
  const firstControl: number[] = [];
  const firstCurrent: number[] = [];
  const controlOf: number[] = [];
  const pair: number[] = [];
  const inductors: number[] = [];
  for (const [p, port] of ports.entries()) {
    firstControl.push(controls.length);
    firstCurrent.push(flows.length);
    if (port.kind === "triode") {
      for (let i = 0; i < (port.conductsGrid ? 2 : 1); i++) {
        controlOf.push(controls.length);
        pair.push(1);
      }
      controls.push({ plus: port.grid, minus: port.cathode }, { plus: port.plate, minus: port.cathode });
      flows.push({ out: port.plate, back: port.cathode });
      if (port.conductsGrid) flows.push({ out: port.grid, back: port.cathode });
      continue;
    }
    controlOf.push(controls.length);
    pair.push(0);
    controls.push(port);
    flows.push({ out: port.plus, back: port.minus });
    if (port.kind === "inductor") inductors.push(p);
  }
  const C = controls.length;
  const Q = flows.length;
  const row = (into: Float64Array, at: number, net: number, sign: number) => {
    const i = circuit.map.node[net] as number;
    if (i >= 0)
      for (let m = 0; m < n; m++) into[at + m] = (into[at + m] as number) + sign * (shape[i * n + m] as number);
  };
  const sense = new Float64Array(C * n);
  const inject = new Float64Array(Q * n);
  for (const [c, { plus, minus }] of controls.entries()) {
    row(sense, c * n, plus, 1);
    row(sense, c * n, minus, -1);
  }
  for (const [q, { out, back }] of flows.entries()) {
    row(inject, q * n, out, 1);
    row(inject, q * n, back, -1);
  }
  return {
    ports,
    n,
    controls: C,
    currents: Q,
    firstControl: Int32Array.from(firstControl),
    firstCurrent: Int32Array.from(firstCurrent),
    controlOf: Int32Array.from(controlOf),
    pair: Uint8Array.from(pair),
    sense,
    inject,
    companions: modes.companions,
    inductors,
    junctions: ports.some((port) => port.kind === "diode" && port.neperVolts > 0),
    known: new Float64Array(ports.length),
    stageSiemens: new Float64Array(ports.length),
    Z: new Float64Array(C * Q),
    law: new Float64Array(Q),
    slope: new Float64Array(2 * Q),
    matrix: new Float64Array(Q * Q),
    pivots: new Int32Array(Q),
    right: new Float64Array(Q),
    out: new Float64Array(6),
    next: new Float64Array(C),
    clock: new Float64Array(2),
    contraction: 0,
    iterations: 0,
    factorings: 0,
    lawCalls: 0,
  };
}

/** Volts that one volt of source s adds to a control directly, by index of control. */
export function controlOffsets(modes: Modes, system: PortSystem, source: number): Float64Array {
  const offsets = new Float64Array(system.controls);
  const at = (net: number) => offsetSign(modes.circuit, net, source);
  for (const [p, port] of system.ports.entries()) {
    const c = system.firstControl[p] as number;
    if (port.kind === "triode") {
      offsets[c] = at(port.grid) - at(port.cathode);
      offsets[c + 1] = at(port.plate) - at(port.cathode);
    } else offsets[c] = at(port.plus) - at(port.minus);
  }
  return offsets;
}

/** Z over a step with `push` per mode. */
export function setImpedance(system: PortSystem, push: Float64Array): void {
  const { n, controls, currents, sense, inject, Z } = system;
  for (let q = 0; q < currents; q++)
    for (let c = 0; c < controls; c++) {
      let z = 0;
      for (let m = 0, s = c * n, u = q * n; m < n; m++, s++, u++)
        z += (sense[s] as number) * (push[m] as number) * (inject[u] as number);
      Z[c * currents + q] = z;
    }
}

/** Laws and slopes at the control volts v; companions given back. */
function evaluate(system: PortSystem, v: Float64Array): void {
  const { ports, law, slope, out, companions, firstControl, firstCurrent } = system;
  const count = ports.length;
  system.lawCalls += count - system.inductors.length;
  for (let p = 0; p < count; p++) {
    const port = ports[p] as Port;
    const c = firstControl[p] as number;
    const q = firstCurrent[p] as number;
    const companion = companions[p] as number;
    const u = v[c] as number;
    if (port.kind === "triode") {
      const plate = v[c + 1] as number;
      port.evaluate(u, plate, out);
      const grown = port.emission === undefined ? 1 : port.emission(system.clock[0] as number);
      law[q] = grown * (out[0] as number) - companion * plate;
      slope[2 * q] = grown * (out[1] as number);
      slope[2 * q + 1] = grown * (out[2] as number) - companion;
      if (port.conductsGrid) {
        law[q + 1] = grown * (out[3] as number);
        slope[2 * q + 2] = grown * (out[4] as number);
        slope[2 * q + 3] = grown * (out[5] as number);
      }
      continue;
    }
    if (port.kind === "inductor") {
      const g = (system.stageSiemens[p] as number) - companion;
      law[q] = (system.known[p] as number) + g * u;
      slope[2 * q] = g;
      continue;
    }
    let grown = 1;
    if (port.kind === "diode") {
      port.evaluate(u, out);
      if (port.emission !== undefined) grown = port.emission(system.clock[0] as number);
    } else port.current(system.clock[0] as number, u, out);
    law[q] = grown * (out[0] as number) - companion * u;
    slope[2 * q] = grown * (out[1] as number) - companion;
  }
}

/** Amperes of a port (plate of a triode) at its control volts; an inductor's is a state and not asked here. */
export function portAmps(system: PortSystem, p: number, seconds: number, v: Float64Array): number {
  const port = system.ports[p] as Port;
  const c = system.firstControl[p] as number;
  const { out } = system;
  const u = v[c] as number;
  if (port.kind === "inductor") return Number.NaN;
  if (port.kind === "given") port.current(seconds, u, out);
  else if (port.kind === "diode") port.evaluate(u, out);
  else port.evaluate(u, v[c + 1] as number, out);
  const grown = port.kind === "given" || port.emission === undefined ? 1 : port.emission(seconds);
  return grown * (out[0] as number);
}

/** 1 + S Z factored in place (partial pivoting, multipliers kept); false without a finite pivot. */
function factor(system: PortSystem): boolean {
  const { currents: Q, controlOf, pair, slope, Z, matrix } = system;
  for (let p = 0; p < Q; p++) {
    const row = (controlOf[p] as number) * Q;
    const s0 = slope[2 * p] as number;
    const s1 = pair[p] === 1 ? (slope[2 * p + 1] as number) : 0;
    for (let q = 0; q < Q; q++) {
      let entry = s0 * (Z[row + q] as number);
      if (s1 !== 0) entry += s1 * (Z[row + Q + q] as number);
      matrix[p * Q + q] = p === q ? 1 + entry : entry;
    }
  }
  system.factorings++;
  if (Q !== 2) return decompose(matrix, Q, system.pivots);
  // Two unknowns: the inverse itself, by rows.
  const a = matrix[0] as number;
  const b = matrix[1] as number;
  const c = matrix[2] as number;
  const d = matrix[3] as number;
  const inverse = 1 / (a * d - b * c);
  matrix[0] = d * inverse;
  matrix[1] = -b * inverse;
  matrix[2] = -c * inverse;
  matrix[3] = a * inverse;
  return Math.abs(inverse) < Infinity;
}

function decompose(a: Float64Array, n: number, pivots: Int32Array): boolean {
  for (let k = 0; k < n; k++) {
    let best = Math.abs(a[k * n + k] as number);
    let row = k;
    for (let i = k + 1; i < n; i++) {
      const size = Math.abs(a[i * n + k] as number);
      if (size > best) {
        best = size;
        row = i;
      }
    }
    if (!(best > 0 && best < Infinity)) return false;
    pivots[k] = row;
    if (row !== k)
      for (let j = 0; j < n; j++) {
        const held = a[k * n + j] as number;
        a[k * n + j] = a[row * n + j] as number;
        a[row * n + j] = held;
      }
    const inverse = 1 / (a[k * n + k] as number);
    for (let i = k + 1; i < n; i++) {
      const f = (a[i * n + k] as number) * inverse;
      a[i * n + k] = f;
      if (f !== 0)
        for (let j = k + 1; j < n; j++) a[i * n + j] = (a[i * n + j] as number) - f * (a[k * n + j] as number);
    }
  }
  return true;
}

function substitute(a: Float64Array, n: number, pivots: Int32Array, b: Float64Array): void {
  if (n === 2) {
    const first = b[0] as number;
    const second = b[1] as number;
    b[0] = (a[0] as number) * first + (a[1] as number) * second;
    b[1] = (a[2] as number) * first + (a[3] as number) * second;
    return;
  }
  for (let k = 0; k < n; k++) {
    const row = pivots[k] as number;
    if (row !== k) {
      const held = b[k] as number;
      b[k] = b[row] as number;
      b[row] = held;
    }
  }
  for (let i = 1; i < n; i++) {
    let value = b[i] as number;
    for (let j = 0; j < i; j++) value -= (a[i * n + j] as number) * (b[j] as number);
    b[i] = value;
  }
  for (let i = n - 1; i >= 0; i--) {
    let value = b[i] as number;
    for (let j = i + 1; j < n; j++) value -= (a[i * n + j] as number) * (b[j] as number);
    b[i] = value / (a[i * n + i] as number);
  }
}

/** Iterations of one stage before the step is given up. */
const MOST_ITERATIONS = 25;
/** Nepers a junction may rise in one iteration. */
const JUNCTION_NEPERS = 2;

/**
 * Solves one stage: `v` holds the guess and then the control volts, `i` the port currents. `scale` is what counts as
 * nothing per control, in volts. `sure` asks for a measured contraction. False: no solution found from this guess.
 */
export function solvePorts(
  system: PortSystem,
  v0: Float64Array,
  scale: Float64Array,
  v: Float64Array,
  i: Float64Array,
  sure: boolean,
): boolean {
  const { controls: C, currents: Q, controlOf, pair, slope, law, Z, right, next } = system;
  if (Q === 0) {
    v.set(v0);
    return true;
  }
  let before = 0;
  for (let iteration = 0; iteration < MOST_ITERATIONS; iteration++) {
    evaluate(system, v);
    system.iterations++;
    if (!factor(system)) return false;
    for (let q = 0; q < Q; q++) {
      const c = controlOf[q] as number;
      let value = (law[q] as number) + (slope[2 * q] as number) * ((v0[c] as number) - (v[c] as number));
      if (pair[q] === 1) value += (slope[2 * q + 1] as number) * ((v0[c + 1] as number) - (v[c + 1] as number));
      right[q] = value;
    }
    substitute(system.matrix, Q, system.pivots, right);
    let move = 0;
    for (let c = 0; c < C; c++) {
      let volts = v0[c] as number;
      for (let q = 0; q < Q; q++) volts -= (Z[c * Q + q] as number) * (right[q] as number);
      next[c] = volts;
      const size = Math.abs(volts - (v[c] as number)) / (scale[c] as number);
      if (!(size <= move)) move = size;
    }
    if (!(move < Infinity)) return false;
    if (move <= 1 || (!sure && iteration === 0 && move < 1000 && 4 * system.contraction * move * move < 1)) {
      if (before > 0 && move > 0) system.contraction = Math.max(system.contraction, move / (before * before));
      for (let c = 0; c < C; c++) v[c] = next[c] as number;
      for (let q = 0; q < Q; q++) i[q] = right[q] as number;
      return true;
    }
    if (before > 0) system.contraction = Math.max(system.contraction, move / (before * before));
    const growing = iteration > 2 && move > before;
    before = move;
    if (system.junctions) limitJunctions(system, v);
    for (let c = 0; c < C; c++) v[c] = growing ? 0.5 * ((v[c] as number) + (next[c] as number)) : (next[c] as number);
  }
  return false;
}

/** A junction past its knee rises by a few nepers only. */
function limitJunctions(system: PortSystem, v: Float64Array): void {
  const { ports, firstControl, next } = system;
  for (let p = 0; p < ports.length; p++) {
    const port = ports[p] as Port;
    if (port.kind !== "diode" || port.neperVolts === 0) continue;
    const c = firstControl[p] as number;
    const from = Math.max(v[c] as number, 10 * port.neperVolts);
    const rise = ((next[c] as number) - from) / port.neperVolts;
    if (rise > JUNCTION_NEPERS)
      next[c] = from + port.neperVolts * JUNCTION_NEPERS * (1 + Math.log(rise / JUNCTION_NEPERS));
  }
}

/** The move of the currents when the open volts move by `dv` and inductors' known currents by `dKnown`, on the last factors. */
export function followPorts(system: PortSystem, dv: Float64Array, dKnown: Float64Array, di: Float64Array): void {
  const { currents: Q, controlOf, pair, slope } = system;
  for (let q = 0; q < Q; q++) {
    const c = controlOf[q] as number;
    let value = (slope[2 * q] as number) * (dv[c] as number);
    if (pair[q] === 1) value += (slope[2 * q + 1] as number) * (dv[c + 1] as number);
    di[q] = value;
  }
  for (const p of system.inductors) {
    const q = system.firstCurrent[p] as number;
    di[q] = (di[q] as number) + (dKnown[p] as number);
  }
  substitute(system.matrix, Q, system.pivots, di);
}
