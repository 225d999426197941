/**
 * The linear network seen from its nonlinear devices, at dc and at the harmonics of one frequency.
 *
 * Law     control_c(k) = source_c(k) U + dc_c [k = 0] - sum_q Z_cq(k) I_q(k), where I_q flows INTO device q (plate or
 *         grid, out at the cathode), and the same for the observed nets. Complex peak amplitudes.
 * Method  One sparse factoring per harmonic, one solve per column (network.ts).
 * Linear  Tubes outside the signal path may be replaced by their slopes at bias: they cost no unknowns. Their standing
 *         currents enter the dc column, so that with no signal the bias comes back exactly.
 */
import type { CompiledCircuit, Device } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { assert, fail, ok, type Result } from "../result.ts";
import type { Hertz } from "../units/quantities.ts";
import type { Bias, SolveFailure } from "./answers.ts";
import {
  addCurrent,
  addSource,
  controlsOf,
  dcVolts,
  factorAt,
  openNetwork,
  portsOf,
  SLOPES,
  signOf,
  solveInPlace,
} from "./network.ts";

export interface PortModel {
  /** The devices that stay nonlinear, in circuit order. */
  readonly devices: readonly Device[];
  readonly controls: number;
  readonly currents: number;
  readonly observers: readonly Net[];
  /** K: index k = 0..K stands for k * hertz. */
  readonly harmonics: number;
  readonly hertz: number;
  /** [k * controls + c], volts per volt of the source's e.m.f.; zero at k = 0. */
  readonly sourceReal: Float64Array;
  readonly sourceImaginary: Float64Array;
  /** [(k * controls + c) * currents + q], ohms; zero for the grid of a triode that never conducts. */
  readonly impedanceReal: Float64Array;
  readonly impedanceImaginary: Float64Array;
  /** [c]: control volts from dc sources with every device current zero. */
  readonly dcControl: Float64Array;
  /** The same for observed nets: [k * observers + o], [(k * observers + o) * currents + q], [o]. */
  readonly observerSourceReal: Float64Array;
  readonly observerSourceImaginary: Float64Array;
  readonly observerImpedanceReal: Float64Array;
  readonly observerImpedanceImaginary: Float64Array;
  readonly observerDc: Float64Array;
}

export interface PortOptions {
  /** Id of the ac source that drives. */
  readonly source: string;
  readonly hertz: Hertz;
  readonly harmonics: number;
  readonly observers: readonly Net[];
  /** Ids of devices replaced by their slopes at `bias`. */
  readonly linear?: readonly string[];
  readonly bias?: Bias;
  /** A model of the same circuit, bias and options but for the number of harmonics: what it holds is taken over. */
  readonly known?: PortModel;
}

/** Builds the model; "unknown-name" when the source, an observed net or a linear device does not exist. */
export function portModel(circuit: CompiledCircuit, options: PortOptions): Result<PortModel, SolveFailure> {
  const source = circuit.sources.findIndex((s) => s.id === options.source && s.kind === "ac");
  if (source < 0) return fail({ kind: "unknown-name", name: options.source });
  for (const net of options.observers)
    if (!circuit.map.index.has(net)) return fail({ kind: "unknown-name", name: net });
  const asLinear = new Set(options.linear ?? []);
  const linear: { device: Device; slopes: Float64Array; index: number }[] = [];
  for (const [index, device] of circuit.devices.entries()) {
    if (!asLinear.delete(device.id)) continue;
    if (options.bias === undefined) return fail({ kind: "unknown-name", name: `bias for ${device.id}` });
    linear.push({ device, slopes: options.bias.slopes.subarray(SLOPES * index, SLOPES * index + SLOPES), index });
  }
  for (const name of asLinear) return fail({ kind: "unknown-name", name });
  const devices = circuit.devices.filter((device) => !linear.some((l) => l.device === device));

  const network = openNetwork(circuit, linear);
  const n = circuit.program.n;
  const ports = portsOf(devices);
  const controls = controlsOf(devices);
  const observers = options.observers.map((net) => circuit.map.index.get(net) as number);
  const K = options.harmonics;
  const C = controls.length;
  const Q = ports.length;
  const O = observers.length;
  const model = {
    devices,
    controls: C,
    currents: Q,
    observers: options.observers,
    harmonics: K,
    hertz: options.hertz,
    sourceReal: new Float64Array((K + 1) * C),
    sourceImaginary: new Float64Array((K + 1) * C),
    impedanceReal: new Float64Array((K + 1) * C * Q),
    impedanceImaginary: new Float64Array((K + 1) * C * Q),
    dcControl: new Float64Array(C),
    observerSourceReal: new Float64Array((K + 1) * O),
    observerSourceImaginary: new Float64Array((K + 1) * O),
    observerImpedanceReal: new Float64Array((K + 1) * O * Q),
    observerImpedanceImaginary: new Float64Array((K + 1) * O * Q),
    observerDc: new Float64Array(O),
  };
  const bRe = new Float64Array(n);
  const bIm = new Float64Array(n);
  // Unknowns behind nets (-1: known), and what one volt of the source adds to a net directly.
  const { node } = circuit.map;
  const plus = Int32Array.from(controls, (c) => node[c.plus] as number);
  const minus = Int32Array.from(controls, (c) => node[c.minus] as number);
  const observed = Int32Array.from(observers, (net) => node[net] as number);
  const direct = Float64Array.from(controls, (c) => signOf(circuit, c.plus, source) - signOf(circuit, c.minus, source));
  const directObserved = Float64Array.from(observers, (net) => signOf(circuit, net, source));
  const flows = devices.flatMap((device) => (device.kind === "triode" ? [true, device.conductsGrid] : [true]));
  const at = (x: Float64Array, unknown: number) => (unknown >= 0 ? (x[unknown] as number) : 0);
  const known = options.known === undefined ? 0 : takeOver(model, options.known);
  for (let k = known; k <= K; k++) {
    const omega = 2 * Math.PI * options.hertz * k;
    if (!factorAt(network, omega)) return fail({ kind: "singular", net: circuit.map.nets[1] ?? "0" });
    for (let q = 0; q < Q; q++) {
      if (flows[q] !== true) continue;
      const { out, back } = ports[q] as (typeof ports)[number];
      bRe.fill(0);
      bIm.fill(0);
      addCurrent(network, out, back, 1, bRe);
      solveInPlace(network, bRe, bIm);
      for (let c = 0; c < C; c++) {
        const to = (k * C + c) * Q + q;
        model.impedanceReal[to] = at(bRe, minus[c] as number) - at(bRe, plus[c] as number);
        model.impedanceImaginary[to] = at(bIm, minus[c] as number) - at(bIm, plus[c] as number);
      }
      for (let o = 0; o < O; o++) {
        const to = (k * O + o) * Q + q;
        model.observerImpedanceReal[to] = -at(bRe, observed[o] as number);
        model.observerImpedanceImaginary[to] = -at(bIm, observed[o] as number);
      }
    }
    bRe.fill(0);
    bIm.fill(0);
    if (k === 0) {
      for (const [s, { volts }] of circuit.sources.entries())
        if (volts !== 0) addSource(network, s, volts, 0, bRe, bIm);
      for (const sink of circuit.sinks) addCurrent(network, sink.from, sink.to, sink.amps, bRe);
      if (options.bias !== undefined) for (const l of linear) addStanding(network, options.bias, l, bRe);
      solveInPlace(network, bRe, bIm);
      for (const [c, pair] of controls.entries())
        model.dcControl[c] = dcVolts(circuit, pair.plus, bRe) - dcVolts(circuit, pair.minus, bRe);
      for (const [o, net] of observers.entries()) model.observerDc[o] = dcVolts(circuit, net, bRe);
      continue;
    }
    addSource(network, source, 1, omega, bRe, bIm);
    solveInPlace(network, bRe, bIm);
    for (let c = 0; c < C; c++) {
      const to = k * C + c;
      model.sourceReal[to] = at(bRe, plus[c] as number) - at(bRe, minus[c] as number) + (direct[c] as number);
      model.sourceImaginary[to] = at(bIm, plus[c] as number) - at(bIm, minus[c] as number);
    }
    for (let o = 0; o < O; o++) {
      model.observerSourceReal[k * O + o] = at(bRe, observed[o] as number) + (directObserved[o] as number);
      model.observerSourceImaginary[k * O + o] = at(bIm, observed[o] as number);
    }
  }
  return ok(model);
}

/** Copies the harmonics that a model of the same shape knows; answers how many, the mean among them. */
function takeOver(model: PortModel, known: PortModel): number {
  const K1 = Math.min(model.harmonics, known.harmonics) + 1;
  const { controls: C, currents: Q } = model;
  const O = model.observers.length;
  assert(
    known.controls === C && known.currents === Q && known.observers.length === O && known.hertz === model.hertz,
    "portModel: the known model is of another shape",
  );
  model.sourceReal.set(known.sourceReal.subarray(0, K1 * C));
  model.sourceImaginary.set(known.sourceImaginary.subarray(0, K1 * C));
  model.impedanceReal.set(known.impedanceReal.subarray(0, K1 * C * Q));
  model.impedanceImaginary.set(known.impedanceImaginary.subarray(0, K1 * C * Q));
  model.dcControl.set(known.dcControl);
  model.observerSourceReal.set(known.observerSourceReal.subarray(0, K1 * O));
  model.observerSourceImaginary.set(known.observerSourceImaginary.subarray(0, K1 * O));
  model.observerImpedanceReal.set(known.observerImpedanceReal.subarray(0, K1 * O * Q));
  model.observerImpedanceImaginary.set(known.observerImpedanceImaginary.subarray(0, K1 * O * Q));
  model.observerDc.set(known.observerDc);
  return K1;
}

/** What a linear device draws beyond slope times volts: i0 - slopes . v0, so that the bias is reproduced. */
function addStanding(
  network: ReturnType<typeof openNetwork>,
  bias: Bias,
  { device, slopes, index }: { readonly device: Device; readonly slopes: Float64Array; readonly index: number },
  bRe: Float64Array,
): void {
  let first = 0;
  for (const before of network.circuit.devices.slice(0, index)) first += before.kind === "triode" ? 2 : 1;
  const volts = (net: number) => bias.netVolts.get(network.circuit.map.nets[net] ?? "0") ?? 0;
  if (device.kind === "diode") {
    const v = volts(device.anode) - volts(device.cathode);
    const standing = (bias.unknowns[first] as number) - (slopes[0] as number) * v;
    addCurrent(network, device.anode, device.cathode, standing, bRe);
    return;
  }
  const vg = volts(device.grid) - volts(device.cathode);
  const va = volts(device.plate) - volts(device.cathode);
  const plate = (bias.unknowns[first] as number) - (slopes[0] as number) * vg - (slopes[1] as number) * va;
  const grid = (bias.unknowns[first + 1] as number) - (slopes[2] as number) * vg - (slopes[3] as number) * va;
  addCurrent(network, device.plate, device.cathode, plate, bRe);
  addCurrent(network, device.grid, device.cathode, grid, bRe);
}
