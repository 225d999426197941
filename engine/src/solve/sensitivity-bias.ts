/**
 * What every part does to one figure of the bias, by one transposed solve.
 *
 * Law     I(v, p) = 0 at every net. With weights c = dF/dv and w from Y^T w = c, Y the dc network with every tube and diode
 *         as its slopes: dF/dp = dF/dp at fixed volts - w . dI/dp.
 * Method  One sparse factoring per bias, one transposed solve per figure, whatever the number of parts.
 * Limits  First order. Exact where the laws are smooth; checked against central differences of full solves.
 *         A potentiometer at its end is taken where it is compiled, a millionth of its track from it.
 * Sources Director and Rohrer 1969 (memory; adjoint.ts); docs/sensitivity.md.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { fail, ok, type Result } from "../result.ts";
import { sparseSolveTransposed } from "./adjoint-solve.ts";
import type { Bias, SolveFailure } from "./answers.ts";
import { addSource, factorAt, type Network, openNetwork, SLOPES } from "./network.ts";
import { type DeviceSlopes, deviceSlopes, type LawPairs, lawPairs } from "./sensitivity-law.ts";
import {
  addElements,
  addLaw,
  type Gradient,
  type NetVector,
  netVector,
  openGradient,
  readGradient,
  type Sensitivity,
} from "./sensitivity-values.ts";

export type BiasFigure =
  /** Volts of a net to ground or to another net. */
  | { readonly kind: "net-volts"; readonly net: Net; readonly against?: Net }
  | { readonly kind: "plate-amps"; readonly triode: string }
  | { readonly kind: "grid-amps"; readonly triode: string }
  /** Plate to cathode, as in TriodeBias. */
  | { readonly kind: "plate-volts"; readonly triode: string }
  | { readonly kind: "plate-watts"; readonly triode: string };

/** A bias made ready for any number of figures; holds work memory: one caller. */
export interface OpenSensitivity {
  readonly circuit: CompiledCircuit;
  readonly bias: Bias;
  /** Every device as its slopes. */
  readonly network: Network;
  /** Factors of the dc network: the network's own are lost at the next frequency. */
  readonly dc: {
    readonly re: Float64Array;
    readonly im: Float64Array;
    readonly inverseRe: Float64Array;
    readonly inverseIm: Float64Array;
  };
  /** Volts by net, the imaginary part zero. */
  readonly volts: NetVector;
  readonly pairs: LawPairs;
  readonly devices: readonly DeviceSlopes[];
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly w: NetVector;
  /** [net]: volts at the figure per volt of each net, and [6 device + output]: figure per unit of a law's output. */
  readonly weights: Float64Array;
  readonly lawWeights: Float64Array;
}

/** "singular" when the dc network has no unique solution at this bias. */
export function openSensitivity(circuit: CompiledCircuit, bias: Bias): Result<OpenSensitivity, SolveFailure> {
  const network = openNetwork(
    circuit,
    circuit.devices.map((device, i) => ({ device, slopes: bias.slopes.subarray(SLOPES * i, SLOPES * i + SLOPES) })),
  );
  if (!factorAt(network, 0)) return fail({ kind: "singular", net: circuit.map.nets[1] ?? "0" });
  const volts = netVector(circuit);
  for (const [i, net] of circuit.map.nets.entries()) volts.re[i] = bias.netVolts.get(net) ?? 0;
  const pairs = lawPairs(circuit);
  const n = circuit.program.n;
  return ok({
    circuit,
    bias,
    network,
    dc: {
      re: network.re.slice(),
      im: network.im.slice(),
      inverseRe: network.inverseRe.slice(),
      inverseIm: network.inverseIm.slice(),
    },
    volts,
    pairs,
    devices: deviceSlopes(circuit, volts.re, pairs),
    re: new Float64Array(n),
    im: new Float64Array(n),
    w: netVector(circuit),
    weights: new Float64Array(circuit.map.nets.length),
    lawWeights: new Float64Array(6 * circuit.devices.length),
  });
}

/** Puts weights by net on the unknowns they stand for. */
export function weigh(circuit: CompiledCircuit, weights: Float64Array, into: Float64Array): void {
  const { node } = circuit.map;
  for (let net = 0; net < weights.length; net++) {
    const at = node[net] as number;
    if (at >= 0) into[at] = (into[at] as number) + (weights[net] as number);
  }
}

/** A solution by unknown as one by net: what sources hold does not move. */
export function spread(circuit: CompiledCircuit, by: Float64Array, into: Float64Array): void {
  const { node } = circuit.map;
  for (let net = 0; net < into.length; net++) {
    const at = node[net] as number;
    into[net] = at >= 0 ? (by[at] as number) : 0;
  }
}

/** What one volt of source s adds to a weighted sum of nets where it holds them directly. */
export function heldBy(circuit: CompiledCircuit, source: number, weights: Float64Array): number {
  const { offsets } = circuit.map;
  let sum = 0;
  for (let net = 0; net < weights.length; net++) {
    const weight = weights[net] as number;
    if (weight === 0) continue;
    for (const offset of offsets[net] ?? []) if (offset.source === source) sum += offset.sign * weight;
  }
  return sum;
}

/** Adds what dc sources and sinks do, from w at dc, by net and by unknown, and the weights it was solved for. */
export function addDcValues(
  network: Network,
  w: Float64Array,
  byUnknown: Float64Array,
  weights: Float64Array,
  gradient: Gradient,
): void {
  const { circuit } = network;
  const { sources, sinks, map } = circuit;
  const nodes = new Float64Array(circuit.program.n);
  const none = new Float64Array(circuit.program.n);
  for (const [s, source] of sources.entries()) {
    if (source.kind !== "dc") continue;
    const across =
      (w[map.index.get(source.plus) as number] as number) - (w[map.index.get(source.minus) as number] as number);
    if (!source.ideal) {
      gradient.volts[s] = (gradient.volts[s] as number) + across * source.siemens;
      gradient.sourceSiemens[s] = (gradient.sourceSiemens[s] as number) + across * source.volts;
      continue;
    }
    nodes.fill(0);
    addSource(network, s, 1, 0, nodes, none);
    let sum = heldBy(circuit, s, weights);
    for (let i = 0; i < nodes.length; i++) sum += (byUnknown[i] as number) * (nodes[i] as number);
    gradient.volts[s] = (gradient.volts[s] as number) + sum;
  }
  for (const [i, { from, to }] of sinks.entries())
    gradient.sinkAmps[i] = (gradient.sinkAmps[i] as number) + (w[to] as number) - (w[from] as number);
}

/** Adds the gradient of the figure whose weights stand in `open.weights` and `open.lawWeights` (both left as they are). */
export function addBiasGradient(open: OpenSensitivity, gradient: Gradient): void {
  const { circuit, network, dc, re, im, w, weights, lawWeights } = open;
  re.fill(0);
  im.fill(0);
  weigh(circuit, weights, re);
  sparseSolveTransposed(circuit.program, dc.re, dc.im, dc.inverseRe, dc.inverseIm, re, im);
  spread(circuit, re, w.re);
  w.im.fill(0);
  addElements(circuit, 0, w, open.volts, gradient);
  addDcValues(network, w.re, re, weights, gradient);
  addDeviceCurrents(open.circuit, open.devices, w.re, lawWeights, gradient, () => true);
}

/** Law parameters: what they do to a device's currents leaves the network there; `lawWeights` is what counts beside that. */
export function addDeviceCurrents(
  circuit: CompiledCircuit,
  slopes: readonly DeviceSlopes[],
  w: Float64Array,
  lawWeights: Float64Array,
  gradient: Gradient,
  counts: (device: number) => boolean,
): void {
  const mine = new Float64Array(6);
  for (const [d, device] of circuit.devices.entries()) {
    if (!counts(d)) continue;
    mine.set(lawWeights.subarray(6 * d, 6 * d + 6));
    const back = w[device.cathode] as number;
    const plate = device.kind === "triode" ? device.plate : device.anode;
    mine[0] = (mine[0] as number) - (w[plate] as number) + back;
    if (device.kind === "triode") mine[3] = (mine[3] as number) - (w[device.grid] as number) + back;
    addLaw(gradient, d, mine, (slopes[d] as DeviceSlopes).byParameter);
  }
}

/** Sets the weights of a figure; answers its value, undefined when a name is unknown. */
function weighFigure(open: OpenSensitivity, figure: BiasFigure): number | undefined {
  const { circuit, bias, weights, lawWeights } = open;
  weights.fill(0);
  lawWeights.fill(0);
  const add = (net: number, weight: number) => {
    weights[net] = (weights[net] as number) + weight;
  };
  if (figure.kind === "net-volts") {
    const plus = circuit.map.index.get(figure.net);
    const minus = circuit.map.index.get(figure.against ?? "0");
    if (plus === undefined || minus === undefined) return undefined;
    add(plus, 1);
    add(minus, -1);
    return (open.volts.re[plus] as number) - (open.volts.re[minus] as number);
  }
  const d = circuit.devices.findIndex((device) => device.id === figure.triode && device.kind === "triode");
  const device = circuit.devices[d];
  const state = bias.triodes.get(figure.triode);
  if (device?.kind !== "triode" || state === undefined) return undefined;
  /** Adds `scale` times a law's current (output 0: plate, 3: grid) of the device. */
  const current = (output: 0 | 3, scale: number) => {
    const at = SLOPES * d + (output === 0 ? 0 : 2);
    const toGrid = scale * (bias.slopes[at] as number);
    const toPlate = scale * (bias.slopes[at + 1] as number);
    add(device.grid, toGrid);
    add(device.plate, toPlate);
    add(device.cathode, -toGrid - toPlate);
    lawWeights[6 * d + output] = scale;
  };
  switch (figure.kind) {
    case "plate-amps":
      current(0, 1);
      return state.plateAmps;
    case "grid-amps":
      current(3, 1);
      return state.gridAmps;
    case "plate-volts":
      add(device.plate, 1);
      add(device.cathode, -1);
      return state.plateVolts;
    case "plate-watts":
      current(0, state.plateVolts);
      add(device.plate, state.plateAmps);
      add(device.cathode, -state.plateAmps);
      return state.plateWatts;
  }
}

const nameOf = (figure: BiasFigure): string =>
  figure.kind === "net-volts"
    ? figure.against === undefined
      ? figure.net
      : `${figure.net} or ${figure.against}`
    : figure.triode;

/** One figure of a bias that was made ready; "unknown-name" when its net or triode does not exist. */
export function biasSensitivity(open: OpenSensitivity, figure: BiasFigure): Result<Sensitivity, SolveFailure> {
  const value = weighFigure(open, figure);
  if (value === undefined) return fail({ kind: "unknown-name", name: nameOf(figure) });
  const gradient = openGradient(open.circuit);
  addBiasGradient(open, gradient);
  return ok({
    value,
    byPart: readGradient(open.circuit, gradient),
    effort: { steps: 1, factorings: 0, lawCalls: 0, residual: 0 },
  });
}

/**
 * What every value of every part does to one figure of the bias, per neper. For several figures of one bias,
 * `openSensitivity` once and `biasSensitivity` for each. Failures: "unknown-name", "singular".
 */
export function solveBiasSensitivity(
  circuit: CompiledCircuit,
  bias: Bias,
  figure: BiasFigure,
): Result<Sensitivity, SolveFailure> {
  const open = openSensitivity(circuit, bias);
  if (!open.ok) return open;
  const answer = biasSensitivity(open.value, figure);
  if (!answer.ok) return answer;
  return ok({ ...answer.value, effort: openingEffort(circuit) });
}

/** A factoring, and the law calls of its derivatives: two for each parameter and for each control of every triode. */
export const openingEffort = (circuit: CompiledCircuit) => ({
  steps: 1,
  factorings: 1,
  lawCalls: circuit.devices.reduce((sum, device) => sum + (device.kind === "triode" ? 10 : 3), 0),
  residual: 0,
});
