/**
 * What every part does to gain, response and impedance, small signal: directly, and through the bias by the slopes.
 *
 * Law     H = c . v, Y v = J. With w from Y^T w = (dF/dH) c: dF = -Re(w . dY v) for the parts in Y and for each slope s of each
 *         tube, which gives dF/ds; then dF/dp = sum dF/ds ds/dp, ds = s' dv at bias + ds/dtheta: a figure of the bias with
 *         weights dF/ds s' (sensitivity-bias.ts).
 * Method  One factoring, one solve and one transposed solve at the frequency, one transposed solve at dc. The slopes'
 *         own slopes by central differences (sensitivity-law.ts).
 * Limits  First order, small signals.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { fail, ok, type Result } from "../result.ts";
import type { Hertz } from "../units/quantities.ts";
import { sparseSolveTransposed } from "./adjoint-solve.ts";
import type { Bias, SolveFailure } from "./answers.ts";
import { addCurrent, addSource, factorAt, netVolts, SLOPES, solveInPlace } from "./network.ts";
import {
  addBiasGradient,
  openingEffort,
  type OpenSensitivity,
  openSensitivity,
  spread,
  weigh,
} from "./sensitivity-bias.ts";
import {
  addElements,
  type Gradient,
  netVector,
  openGradient,
  readGradient,
  type Sensitivity,
} from "./sensitivity-values.ts";

export type ResponseFigure =
  /** 20 log10 of the output per volt of the source's e.m.f.: gain, or the response at any frequency. */
  | {
      readonly kind: "response-decibels";
      readonly source: string;
      readonly output: Net;
      readonly against?: Net;
      readonly hertz: Hertz;
    }
  /** Magnitude of the impedance looking into a net against ground. */
  | { readonly kind: "impedance-ohms"; readonly net: Net; readonly hertz: Hertz };

const DECIBELS = 20 / Math.LN10;

/** One small-signal figure of a bias that was made ready. Failures: "unknown-name", "singular" (also: no output at all). */
export function responseSensitivity(open: OpenSensitivity, figure: ResponseFigure): Result<Sensitivity, SolveFailure> {
  const { circuit, network } = open;
  const { map, program } = circuit;
  const impedance = figure.kind === "impedance-ohms";
  const output = impedance ? figure.net : figure.output;
  const against = impedance ? "0" : (figure.against ?? "0");
  const plus = map.index.get(output);
  const minus = map.index.get(against);
  if (plus === undefined) return fail({ kind: "unknown-name", name: output });
  if (minus === undefined) return fail({ kind: "unknown-name", name: against });
  const source = impedance ? -1 : circuit.sources.findIndex((one) => one.id === figure.source && one.kind === "ac");
  if (!impedance && source < 0) return fail({ kind: "unknown-name", name: figure.source });
  const omega = 2 * Math.PI * figure.hertz;
  if (!factorAt(network, omega)) return fail({ kind: "singular", net: output });

  const re = new Float64Array(program.n);
  const im = new Float64Array(program.n);
  if (impedance) addCurrent(network, plus, 0, -1, re);
  else addSource(network, source, 1, omega, re, im);
  solveInPlace(network, re, im);
  const v = netVector(circuit);
  const driven = (s: number): number => (s === source ? 1 : 0);
  const nothing = (): number => 0;
  for (let net = 0; net < v.re.length; net++) {
    v.re[net] = netVolts(circuit, net, re, driven);
    v.im[net] = netVolts(circuit, net, im, nothing);
  }
  const hr = (v.re[plus] as number) - (v.re[minus] as number);
  const hi = (v.im[plus] as number) - (v.im[minus] as number);
  const size = Math.hypot(hr, hi);
  // A net that sources hold has no impedance and nothing moves it.
  if (size === 0) {
    if (!impedance) return fail({ kind: "singular", net: output });
    return ok({ value: 0, byPart: readGradient(circuit, openGradient(circuit)), effort: EFFORT });
  }
  // dF = Re(W dH): F = 20 log |H|: W = 20/ln 10 / H; F = |Z|: W = conj(Z) / |Z|.
  const scale = impedance ? 1 / size : DECIBELS / (size * size);
  const weightRe = hr * scale;
  const weightIm = -hi * scale;

  const weights = new Float64Array(map.nets.length);
  weights[plus] = 1;
  weights[minus] = (weights[minus] as number) - 1;
  const wr = new Float64Array(program.n);
  const wi = new Float64Array(program.n);
  weigh(circuit, weights, wr);
  for (let i = 0; i < wr.length; i++) {
    wi[i] = (wr[i] as number) * weightIm;
    wr[i] = (wr[i] as number) * weightRe;
  }
  sparseSolveTransposed(program, network.re, network.im, network.inverseRe, network.inverseIm, wr, wi);
  const w = netVector(circuit);
  spread(circuit, wr, w.re);
  spread(circuit, wi, w.im);

  const gradient = openGradient(circuit);
  addElements(circuit, omega, w, v, gradient);
  if (!impedance) addDriveValues(open.circuit, source, w, 1, 0, gradient);
  addThroughBias(open, slopeGradient(circuit, w, v), gradient);
  return ok({
    value: impedance ? size : DECIBELS * Math.log(size),
    byPart: readGradient(circuit, gradient),
    effort: EFFORT,
  });
}

const EFFORT = { steps: 2, factorings: 1, lawCalls: 0, residual: 0 } as const;

/** What the series resistance of a driving source injects: volts (complex) times its siemens. */
export function addDriveValues(
  circuit: CompiledCircuit,
  source: number,
  w: { readonly re: Float64Array; readonly im: Float64Array },
  voltsRe: number,
  voltsIm: number,
  gradient: Gradient,
): void {
  const one = circuit.sources[source];
  if (one === undefined || one.ideal) return;
  const a = circuit.map.index.get(one.plus) as number;
  const b = circuit.map.index.get(one.minus) as number;
  const re = (w.re[a] as number) - (w.re[b] as number);
  const im = (w.im[a] as number) - (w.im[b] as number);
  gradient.sourceSiemens[source] = (gradient.sourceSiemens[source] as number) + re * voltsRe - im * voltsIm;
}

/** -Re(w_out-back v_plus-minus) of every slope of every device, in the order of Bias.slopes. */
function slopeGradient(
  circuit: CompiledCircuit,
  w: { readonly re: Float64Array; readonly im: Float64Array },
  v: { readonly re: Float64Array; readonly im: Float64Array },
): Float64Array {
  const by = new Float64Array(SLOPES * circuit.devices.length);
  const product = (out: number, back: number, plus: number, minus: number): number =>
    ((w.im[out] as number) - (w.im[back] as number)) * ((v.im[plus] as number) - (v.im[minus] as number)) -
    ((w.re[out] as number) - (w.re[back] as number)) * ((v.re[plus] as number) - (v.re[minus] as number));
  for (const [d, device] of circuit.devices.entries()) {
    const { cathode } = device;
    if (device.kind === "diode") {
      by[SLOPES * d] = product(device.anode, cathode, device.anode, cathode);
      continue;
    }
    by[SLOPES * d] = product(device.plate, cathode, device.grid, cathode);
    by[SLOPES * d + 1] = product(device.plate, cathode, device.plate, cathode);
    by[SLOPES * d + 2] = product(device.grid, cathode, device.grid, cathode);
    by[SLOPES * d + 3] = product(device.grid, cathode, device.plate, cathode);
  }
  return by;
}

/** Output of the law that each slope of Bias.slopes is. */
const OUTPUT_OF_SLOPE = [1, 2, 4, 5] as const;

/** The slopes move with the bias, and the bias with every part. */
function addThroughBias(open: OpenSensitivity, bySlope: Float64Array, gradient: Gradient): void {
  const { circuit, weights, lawWeights, devices } = open;
  weights.fill(0);
  lawWeights.fill(0);
  const add = (net: number, weight: number) => {
    weights[net] = (weights[net] as number) + weight;
  };
  for (const [d, device] of circuit.devices.entries()) {
    const second = devices[d]?.second ?? new Float64Array(8);
    if (device.kind === "diode") {
      const weight = (bySlope[SLOPES * d] as number) * (second[0] as number);
      add(device.anode, weight);
      add(device.cathode, -weight);
      lawWeights[6 * d + 1] = bySlope[SLOPES * d] as number;
      continue;
    }
    let grid = 0;
    let plate = 0;
    for (let s = 0; s < SLOPES; s++) {
      const by = bySlope[SLOPES * d + s] as number;
      grid += by * (second[s] as number);
      plate += by * (second[4 + s] as number);
      lawWeights[6 * d + (OUTPUT_OF_SLOPE[s] as number)] = by;
    }
    add(device.grid, grid);
    add(device.plate, plate);
    add(device.cathode, -grid - plate);
  }
  addBiasGradient(open, gradient);
}

/**
 * What every value of every part does to one small-signal figure, per neper. For several figures of one bias,
 * `openSensitivity` once and `responseSensitivity` for each.
 */
export function solveResponseSensitivity(
  circuit: CompiledCircuit,
  bias: Bias,
  figure: ResponseFigure,
): Result<Sensitivity, SolveFailure> {
  const open = openSensitivity(circuit, bias);
  if (!open.ok) return open;
  const answer = responseSensitivity(open.value, figure);
  if (!answer.ok) return answer;
  const opening = openingEffort(circuit);
  return ok({ ...answer.value, effort: { ...opening, steps: 3, factorings: opening.factorings + 1 } });
}
