/**
 * What every part does to a harmonic at one level, by the transposed Jacobian of the periodic steady state.
 *
 * Law     R(i) = i - f(v) = 0 on 2K + 1 samples of every device current, v_c = v0_c - z_cq * i_q. lambda from J^T lambda = dF/di;
 *         mu_c(n) = sum_q lambda_q(n) df_q/dv_c; M_c(k) = sum_n mu_c(n) e^(j k theta_n); at each harmonic Y^T w = sum_c M_c c + W_k o,
 *         W_k = dF/dV_k of the output. Then dF/dp = -sum_k Re(w . dY v) + sum lambda df/dp. k = 0 carries the shift of the bias, so
 *         no slope of a slope is needed and nothing is small-signal: clipping and grid current are in it.
 * Method  One dense LU of the rows that count, (2K + 1) of each; per figure one solve with it and one transposed solve
 *         per harmonic.
 * Limits  K = 32 at the most: an answer of more harmonics is solved again there, warm, and `harmonics` says so. Tubes
 *         that stand as slopes in the problem move the bias of the others, but their slopes are taken as fixed.
 * Sources docs/sensitivity.md; the method's figures there are against differences of full solves.
 */
import type { Device } from "../circuit/compile.ts";
import { luFactor, luSolve } from "../numerics/lu.ts";
import { fail, ok, type Result } from "../result.ts";
import { sparseSolveTransposed } from "./adjoint-solve.ts";
import type { Effort, HarmonicAnswer, SolveFailure } from "./answers.ts";
import { type HarmonicProblem, solveHarmonics } from "./harmonics.ts";
import {
  addCurrent,
  addSource,
  controlsOf,
  factorAt,
  type Network,
  netVolts,
  openNetwork,
  portsOf,
  SLOPES,
  solveInPlace,
} from "./network.ts";
import { type PortModel, portModel } from "./ports.ts";
import { addDcValues, addDeviceCurrents, heldBy, spread, weigh } from "./sensitivity-bias.ts";
import { type DeviceSlopes, deviceSlopes, type LawPairs, lawPairs, parameterSlopes } from "./sensitivity-law.ts";
import { addDriveValues } from "./sensitivity-response.ts";
import {
  addElements,
  type Gradient,
  LAW_PARAMETERS,
  type NetVector,
  netVector,
  openGradient,
  readGradient,
  type Sensitivity,
} from "./sensitivity-values.ts";
import { openTransform, toHarmonics, toSamples } from "./transform.ts";

export type HarmonicFigure =
  /** Harmonic over the fundamental, 20 log10; -Infinity's slope is not asked for: see "harmonic-signed". */
  | { readonly kind: "harmonic-decibels"; readonly harmonic: number }
  /**
   * Harmonic over the fundamental with its sign, as a static curve would give it: Re(V_k / V_1^k |V_1|^(k-1)). It goes through
   * zero where two stages cancel.
   */
  | { readonly kind: "harmonic-signed"; readonly harmonic: number }
  /** The fundamental at the output, 20 log10 of its peak volts. */
  | { readonly kind: "fundamental-decibels" };

export interface HarmonicSensitivity extends Sensitivity {
  /** K of the solve it was taken at. */
  readonly harmonics: number;
}

/** Harmonics at which sensitivities are taken, at the most. */
const MOST_HARMONICS = 32;
/** A grid that never passes this many amperes is left out. */
const SILENT_AMPS = 1e-17;
/** A harmonic smaller than this share of the fundamental is what the solve's residual makes of it. */
const ROUNDING = 1e-11;
const DECIBELS = 20 / Math.LN10;

/** A level made ready for any number of figures; holds work memory: one caller. */
export interface OpenHarmonicSensitivity {
  readonly problem: HarmonicProblem;
  readonly answer: HarmonicAnswer;
  readonly network: Network;
  readonly model: PortModel;
  /** Volts of every net by harmonic, and the factors of the network there. */
  readonly volts: readonly NetVector[];
  readonly factors: readonly Factors[];
  /** Per current q three rows from 3 q N on: f, its slopes to the first and second control. */
  readonly law: Float64Array;
  /** Rows that count; each stands for N unknowns. */
  readonly live: readonly number[];
  /** First control of each current, and how many its device has. */
  readonly first: Int32Array;
  readonly count: Int32Array;
  /** The transposed Jacobian, factored. */
  readonly matrix: Float64Array;
  readonly pivots: Int32Array;
  /** d f / d parameter of every current that counts, [(a * LAW_PARAMETERS + p) N + n]. */
  readonly byParameter: Float64Array;
  readonly devices: readonly DeviceSlopes[];
}

/** LU factors of the network at one harmonic. */
interface Factors {
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly inverseRe: Float64Array;
  readonly inverseIm: Float64Array;
}

/** Failures: "singular", "unknown-name", and those of a level solved again. */
export function openHarmonicSensitivity(
  problem: HarmonicProblem,
  given: HarmonicAnswer,
): Result<OpenHarmonicSensitivity, SolveFailure> {
  let answer = given;
  if (answer.harmonics > MOST_HARMONICS) {
    const again = solveHarmonics(problem, {
      sourceVoltsPeak: answer.sourceVoltsPeak,
      start: answer.samples,
      harmonics: MOST_HARMONICS,
    });
    if (!again.ok) return again;
    answer = again.value;
  }
  const { circuit, bias } = problem;
  const K = answer.harmonics;
  const N = 2 * K + 1;
  const known = problem.byHarmonics.get(K)?.work.model;
  const modelled =
    known === undefined
      ? portModel(circuit, {
          source: problem.source,
          hertz: problem.hertz,
          harmonics: K,
          observers: [problem.output],
          linear: problem.linear,
          bias,
        })
      : ok(known);
  if (!modelled.ok) return modelled;
  const model = modelled.value;
  const { currents: Q } = model;
  const first = new Int32Array(Q);
  const count = new Int32Array(Q);
  const live: number[] = [];
  let q = 0;
  for (const device of model.devices) {
    const controls = device.kind === "triode" ? 2 : 1;
    for (let i = 0; i < controls; i++) {
      first[q + i] = q;
      count[q + i] = controls;
      if (i === 0 || (answer.samples[q + i] ?? []).some((x) => Math.abs(x) > SILENT_AMPS)) live.push(q + i);
    }
    q += controls;
  }
  const network = openNetwork(
    circuit,
    circuit.devices.flatMap((device, i) =>
      problem.linear.includes(device.id)
        ? [{ device, slopes: bias.slopes.subarray(SLOPES * i, SLOPES * i + SLOPES) }]
        : [],
    ),
  );
  const factors: Factors[] = [];
  const volts = netSpectra(problem, network, model, answer, factors);
  if (volts === undefined) return fail({ kind: "singular", net: problem.output });
  const control = controlSamples(model.devices, volts, K);
  const law = lawSamples(model.devices, control, N);
  const matrix = transposedJacobian(model, law, live, first, count);
  const pivots = new Int32Array(live.length * N);
  if (!luFactor(matrix, live.length * N, pivots)) return fail({ kind: "singular", net: problem.output });
  const pairs = lawPairs(circuit);
  const atBias = Float64Array.from(circuit.map.nets, (net) => bias.netVolts.get(net) ?? 0);
  return ok({
    problem,
    answer,
    network,
    model,
    volts,
    factors,
    law,
    live,
    first,
    count,
    matrix,
    pivots,
    byParameter: parameterRows(problem, model, live, control, law, pairs),
    devices: deviceSlopes(circuit, atBias, pairs),
  });
}

/** Every net at every harmonic, from the currents of the answer; the mean as a shift from the bias. */
function netSpectra(
  problem: HarmonicProblem,
  network: Network,
  model: PortModel,
  answer: HarmonicAnswer,
  factors: Factors[],
): readonly NetVector[] | undefined {
  const { circuit, bias } = problem;
  const K = answer.harmonics;
  const transform = openTransform(K);
  const ports = portsOf(model.devices);
  const currentRe = new Float64Array(ports.length * (K + 1));
  const currentIm = new Float64Array(ports.length * (K + 1));
  for (const [q, samples] of answer.samples.entries())
    toHarmonics(transform, samples, 0, currentRe, currentIm, q * (K + 1));
  const resting = restingAmps(problem, model);
  const source = circuit.sources.findIndex((one) => one.id === problem.source && one.kind === "ac");
  const peak = answer.sourceVoltsPeak;
  const nothing = (): number => 0;
  const driven = (s: number): number => (s === source ? peak : 0);
  const re = new Float64Array(circuit.program.n);
  const im = new Float64Array(circuit.program.n);
  const spectra: NetVector[] = [];
  for (let k = 0; k <= K; k++) {
    const omega = 2 * Math.PI * problem.hertz * k;
    if (!factorAt(network, omega)) return undefined;
    factors.push({
      re: network.re.slice(),
      im: network.im.slice(),
      inverseRe: network.inverseRe.slice(),
      inverseIm: network.inverseIm.slice(),
    });
    re.fill(0);
    im.fill(0);
    if (k === 1) addSource(network, source, peak, omega, re, im);
    for (const [q, { out, back }] of ports.entries()) {
      const rest = k === 0 ? (resting[q] as number) : 0;
      addCurrent(network, out, back, (currentRe[q * (K + 1) + k] as number) - rest, re);
      if (k > 0) addCurrent(network, out, back, currentIm[q * (K + 1) + k] as number, im);
    }
    solveInPlace(network, re, im);
    const v = netVector(circuit);
    for (const [net, name] of circuit.map.nets.entries()) {
      v.re[net] =
        netVolts(circuit, net, re, k === 1 ? driven : nothing) + (k === 0 ? (bias.netVolts.get(name) ?? 0) : 0);
      v.im[net] = k === 0 ? 0 : netVolts(circuit, net, im, nothing);
    }
    spectra.push(v);
  }
  return spectra;
}

/** The bias currents of the devices that are not slopes. */
function restingAmps({ circuit, bias, linear }: HarmonicProblem, model: PortModel): readonly number[] {
  const amps: number[] = [];
  let at = 0;
  for (const device of circuit.devices) {
    const count = device.kind === "triode" ? 2 : 1;
    for (let i = 0; i < count; i++) if (!linear.includes(device.id)) amps.push(bias.unknowns[at + i] as number);
    at += count;
  }
  if (amps.length !== model.currents) throw new Error("sensitivity: the answer is of another circuit");
  return amps;
}

function controlSamples(devices: readonly Device[], volts: readonly NetVector[], K: number): Float64Array {
  const transform = openTransform(K);
  const N = 2 * K + 1;
  const controls = controlsOf(devices);
  const control = new Float64Array(controls.length * N);
  const re = new Float64Array(K + 1);
  const im = new Float64Array(K + 1);
  for (const [c, { plus, minus }] of controls.entries()) {
    for (const [k, v] of volts.entries()) {
      re[k] = (v.re[plus] as number) - (v.re[minus] as number);
      im[k] = (v.im[plus] as number) - (v.im[minus] as number);
    }
    toSamples(transform, re, im, 0, control, c * N);
  }
  return control;
}

function lawSamples(devices: readonly Device[], control: Float64Array, N: number): Float64Array {
  const law = new Float64Array(3 * control.length);
  const out = new Float64Array(2);
  let q = 0;
  for (const device of devices) {
    if (device.kind === "triode") {
      device.evaluate.samples(control, q * N, (q + 1) * N, N, law, 3 * q * N, N);
      q += 2;
      continue;
    }
    for (let n = 0; n < N; n++) {
      device.evaluate(control[q * N + n] as number, out);
      law[3 * q * N + n] = out[0] as number;
      law[(3 * q + 1) * N + n] = out[1] as number;
    }
    q += 1;
  }
  return law;
}

/** J^T, row-major: J = 1 + sum_c df_p/dv_c z_cq(n - m) for currents p, q that count. */
function transposedJacobian(
  model: PortModel,
  law: Float64Array,
  live: readonly number[],
  first: Int32Array,
  count: Int32Array,
): Float64Array {
  const { harmonics: K, controls: C, currents: Q } = model;
  const N = 2 * K + 1;
  const size = live.length * N;
  const matrix = new Float64Array(size * size);
  const transform = openTransform(K);
  const re = new Float64Array(K + 1);
  const im = new Float64Array(K + 1);
  const kernel = new Float64Array(N);
  for (const [b, q] of live.entries())
    for (let c = 0; c < C; c++) {
      // What one sample of q does to control c, N samples long: its spectrum is z times that of a unit sample.
      for (let k = 0; k <= K; k++) {
        const at = (k * C + c) * Q + q;
        re[k] = ((k === 0 ? 1 : 2) / N) * (model.impedanceReal[at] as number);
        im[k] = k === 0 ? 0 : (2 / N) * (model.impedanceImaginary[at] as number);
      }
      toSamples(transform, re, im, 0, kernel, 0);
      for (const [a, p] of live.entries()) {
        const which = c - (first[p] as number);
        if (which < 0 || which >= (count[p] as number)) continue;
        const slopes = (3 * p + 1 + which) * N;
        for (let m = 0; m < N; m++) {
          const row = (b * N + m) * size + a * N;
          for (let n = 0; n < N; n++) {
            const shift = n >= m ? n - m : n - m + N;
            matrix[row + n] = (matrix[row + n] as number) + (law[slopes + n] as number) * (kernel[shift] as number);
          }
        }
      }
    }
  for (let i = 0; i < size; i++) matrix[i * size + i] = (matrix[i * size + i] as number) + 1;
  return matrix;
}

interface Weights {
  readonly value: number;
  /** dF = Re(sum W_k dV_k) of the output. */
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** Value and W_k of a figure; undefined when the harmonic is beyond K or only rounding, or the output is silent. */
function weightsOf({ volts, problem, answer }: OpenHarmonicSensitivity, figure: HarmonicFigure): Weights | undefined {
  const K = answer.harmonics;
  const out = problem.circuit.map.index.get(problem.output) as number;
  const at = (k: number) => ({ re: volts[k]?.re[out] ?? 0, im: volts[k]?.im[out] ?? 0 });
  const one = at(1);
  const size = Math.hypot(one.re, one.im);
  const re = new Float64Array(K + 1);
  const im = new Float64Array(K + 1);
  // Without a drive what stands there is rounding.
  if (!(size > 0) || answer.sourceVoltsPeak === 0) return undefined;
  /** W of scale * ln |V_k|: scale / V_k. */
  const logarithm = (k: number, scale: number) => {
    const v = at(k);
    const square = v.re * v.re + v.im * v.im;
    re[k] = (re[k] as number) + (scale * v.re) / square;
    im[k] = (im[k] as number) - (scale * v.im) / square;
  };
  if (figure.kind === "fundamental-decibels") {
    logarithm(1, DECIBELS);
    return { value: DECIBELS * Math.log(size), re, im };
  }
  const h = figure.harmonic;
  if (!(Number.isInteger(h) && h >= 2 && h <= K)) return undefined;
  const v = at(h);
  if (figure.kind === "harmonic-decibels") {
    const ratio = Math.hypot(v.re, v.im) / size;
    if (!(ratio > ROUNDING)) return undefined;
    logarithm(h, DECIBELS);
    logarithm(1, -DECIBELS);
    return { value: DECIBELS * Math.log(ratio), re, im };
  }
  // s = Re(V_h u^-h) / |V_1| with u = V_1 / |V_1| = e^(j a): dV_h counts for e^(-j h a) / |V_1|; ln |V_1| for -s; a for h Im(...).
  const angle = Math.atan2(one.im, one.re);
  const cosine = Math.cos(h * angle);
  const sine = -Math.sin(h * angle);
  const signed = (v.re * cosine - v.im * sine) / size;
  const quadrature = (v.re * sine + v.im * cosine) / size;
  re[h] = cosine / size;
  im[h] = sine / size;
  // d ln V_1 = d ln |V_1| + j da: -s d ln|V_1| + h quadrature da = Re((-s - j h quadrature) dV_1 / V_1).
  const a = -signed;
  const b = -h * quadrature;
  re[1] = (a * one.re + b * one.im) / (size * size);
  im[1] = (b * one.re - a * one.im) / (size * size);
  return { value: signed, re, im };
}

/**
 * One figure of a level that was made ready. "unknown-name" when the harmonic is not in the answer, is only rounding, or there is no output;
 * "singular" when the network is.
 */
export function harmonicSensitivity(
  open: OpenHarmonicSensitivity,
  figure: HarmonicFigure,
): Result<HarmonicSensitivity, SolveFailure> {
  const { problem, answer, network, model, live, first, count, law, matrix, pivots } = open;
  const { circuit } = problem;
  const { program, map } = circuit;
  const weights = weightsOf(open, figure);
  if (weights === undefined)
    return fail({
      kind: "unknown-name",
      name: figure.kind === "fundamental-decibels" ? problem.output : `H${figure.harmonic}`,
    });
  const K = answer.harmonics;
  const N = 2 * K + 1;
  const { currents: Q } = model;
  const O = model.observers.length;
  const transform = openTransform(K);

  // dF/di_q(m) = -(2/N) Re sum_k W_k Z_oq(k) e^(-j k theta_m), as samples of the conjugate spectrum.
  const lambda = new Float64Array(live.length * N);
  const re = new Float64Array(K + 1);
  const im = new Float64Array(K + 1);
  for (const [b, q] of live.entries()) {
    for (let k = 0; k <= K; k++) {
      const at = k * O * Q + q;
      const zr = model.observerImpedanceReal[at] as number;
      const zi = model.observerImpedanceImaginary[at] as number;
      const scale = (k === 0 ? -1 : -2) / N;
      re[k] = scale * ((weights.re[k] as number) * zr - (weights.im[k] as number) * zi);
      im[k] = k === 0 ? 0 : -scale * ((weights.re[k] as number) * zi + (weights.im[k] as number) * zr);
    }
    toSamples(transform, re, im, 0, lambda, b * N);
  }
  luSolve(matrix, live.length * N, pivots, lambda);

  // mu_c(n), and its harmonics M_c(k) = sum_n mu_c(n) e^(+j k theta_n).
  const controls = controlsOf(model.devices);
  const controlRe = new Float64Array(controls.length * (K + 1));
  const controlIm = new Float64Array(controls.length * (K + 1));
  const mu = new Float64Array(controls.length * N);
  for (const [a, p] of live.entries())
    for (let which = 0; which < (count[p] as number); which++) {
      const slopes = (3 * p + 1 + which) * N;
      const to = ((first[p] as number) + which) * N;
      for (let n = 0; n < N; n++)
        mu[to + n] = (mu[to + n] as number) + (lambda[a * N + n] as number) * (law[slopes + n] as number);
    }
  for (let c = 0; c < controls.length; c++) {
    toHarmonics(transform, mu, c * N, controlRe, controlIm, c * (K + 1));
    for (let k = 0; k <= K; k++) {
      const i = c * (K + 1) + k;
      controlRe[i] = (controlRe[i] as number) * (k === 0 ? N : N / 2);
      controlIm[i] = (controlIm[i] as number) * -(N / 2);
    }
  }

  const gradient = openGradient(circuit);
  const netRe = new Float64Array(map.nets.length);
  const netIm = new Float64Array(map.nets.length);
  const wr = new Float64Array(program.n);
  const wi = new Float64Array(program.n);
  const w = netVector(circuit);
  const out = map.index.get(problem.output) as number;
  const source = circuit.sources.findIndex((one) => one.id === problem.source && one.kind === "ac");
  for (let k = 0; k <= K; k++) {
    const omega = 2 * Math.PI * problem.hertz * k;
    netRe.fill(0);
    netIm.fill(0);
    for (const [c, { plus, minus }] of controls.entries()) {
      const i = c * (K + 1) + k;
      netRe[plus] = (netRe[plus] as number) + (controlRe[i] as number);
      netRe[minus] = (netRe[minus] as number) - (controlRe[i] as number);
      if (k === 0) continue;
      netIm[plus] = (netIm[plus] as number) + (controlIm[i] as number);
      netIm[minus] = (netIm[minus] as number) - (controlIm[i] as number);
    }
    netRe[out] = (netRe[out] as number) + (weights.re[k] as number);
    netIm[out] = (netIm[out] as number) + (weights.im[k] as number);
    wr.fill(0);
    wi.fill(0);
    weigh(circuit, netRe, wr);
    weigh(circuit, netIm, wi);
    const at = open.factors[k] as Factors;
    sparseSolveTransposed(program, at.re, at.im, at.inverseRe, at.inverseIm, wr, wi);
    spread(circuit, wr, w.re);
    spread(circuit, wi, w.im);
    const v = open.volts[k];
    if (v !== undefined) addElements(circuit, omega, w, v, gradient);
    if (k === 0) {
      addDcValues(network, w.re, wr, netRe, gradient);
      addDeviceCurrents(circuit, open.devices, w.re, NO_WEIGHTS(circuit.devices.length), gradient, (d) =>
        problem.linear.includes(circuit.devices[d]?.id ?? ""),
      );
    }
    if (k === 1) {
      addDriveValues(circuit, source, w, answer.sourceVoltsPeak, 0, gradient);
      gradient.volts[source] = answer.sourceVoltsPeak * perVolt(network, source, omega, wr, wi, netRe);
    }
  }
  addParameters(open, lambda, gradient);
  return ok({
    value: weights.value,
    byPart: readGradient(circuit, gradient),
    harmonics: K,
    effort: { steps: 1, factorings: 0, lawCalls: 0, residual: answer.effort.residual },
  });
}

const NO_WEIGHTS = (devices: number): Float64Array => new Float64Array(6 * devices);

/** One factoring per harmonic and one of the samples; two law calls per parameter and sample, one for the slopes. */
export function harmonicOpeningEffort({ answer, model }: OpenHarmonicSensitivity): Effort {
  const K = answer.harmonics;
  return {
    steps: 1,
    factorings: K + 2,
    lawCalls: (2 * LAW_PARAMETERS + 1) * model.devices.length * (2 * K + 1),
    residual: answer.effort.residual,
  };
}

/** d figure per volt of the driving source, in phase. */
function perVolt(
  network: Network,
  source: number,
  omega: number,
  wr: Float64Array,
  wi: Float64Array,
  netRe: Float64Array,
): number {
  const re = new Float64Array(wr.length);
  const im = new Float64Array(wr.length);
  addSource(network, source, 1, omega, re, im);
  let sum = heldBy(network.circuit, source, netRe);
  for (let i = 0; i < re.length; i++)
    sum += (wr[i] as number) * (re[i] as number) - (wi[i] as number) * (im[i] as number);
  return sum;
}

/** d f / d parameter of every current that counts, sample by sample. */
function parameterRows(
  { circuit }: HarmonicProblem,
  model: PortModel,
  live: readonly number[],
  control: Float64Array,
  law: Float64Array,
  pairs: LawPairs,
): Float64Array {
  const N = 2 * model.harmonics + 1;
  const rows = new Float64Array(live.length * LAW_PARAMETERS * N);
  const out = new Float64Array(6 * N);
  const spare = new Float64Array(6 * N);
  let q = 0;
  for (const device of model.devices) {
    const row = live.indexOf(q);
    const gridRow = live.indexOf(q + 1);
    if (device.kind === "diode") {
      // A regulator's volts move its law sideways.
      const part = circuit.parts.find((one) => one.id === device.id);
      const knee = part?.kind === "diode" && part.law.form === "knee" ? part.law.volts : 0;
      for (let n = 0; n < N; n++) rows[row * LAW_PARAMETERS * N + n] = -knee * (law[(3 * q + 1) * N + n] as number);
      q += 1;
      continue;
    }
    for (let p = 0; p < LAW_PARAMETERS; p++) {
      const pair = pairs[circuit.devices.indexOf(device)]?.[p];
      if (pair === undefined) continue;
      parameterSlopes(pair, control, q * N, (q + 1) * N, N, out, spare);
      rows.set(out.subarray(0, N), (row * LAW_PARAMETERS + p) * N);
      if (gridRow >= 0) rows.set(out.subarray(3 * N, 4 * N), (gridRow * LAW_PARAMETERS + p) * N);
    }
    q += 2;
  }
  return rows;
}

/** sum_n lambda_q(n) df_q(n)/dp of the devices that are solved whole. */
function addParameters(open: OpenHarmonicSensitivity, lambda: Float64Array, gradient: Gradient): void {
  const { problem, model, live, byParameter } = open;
  const N = 2 * model.harmonics + 1;
  let q = 0;
  for (const device of model.devices) {
    const currents = device.kind === "triode" ? 2 : 1;
    const at = LAW_PARAMETERS * problem.circuit.devices.indexOf(device);
    for (const [a, row] of live.entries()) {
      if (row < q || row >= q + currents) continue;
      for (let p = 0; p < LAW_PARAMETERS; p++) {
        const from = (a * LAW_PARAMETERS + p) * N;
        let sum = 0;
        for (let n = 0; n < N; n++) sum += (lambda[a * N + n] as number) * (byParameter[from + n] as number);
        gradient.law[at + p] = (gradient.law[at + p] as number) + sum;
      }
    }
    q += currents;
  }
}

/**
 * What every value of every part does to one harmonic figure of a solved level, per neper (`level`: of the drive). For several
 * figures of one level, `openHarmonicSensitivity` once and `harmonicSensitivity` for each.
 */
export function solveHarmonicSensitivity(
  problem: HarmonicProblem,
  answer: HarmonicAnswer,
  figure: HarmonicFigure,
): Result<HarmonicSensitivity, SolveFailure> {
  const open = openHarmonicSensitivity(problem, answer);
  if (!open.ok) return open;
  const found = harmonicSensitivity(open.value, figure);
  return found.ok ? ok({ ...found.value, effort: harmonicOpeningEffort(open.value) }) : found;
}
