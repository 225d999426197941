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
import { luSolve } from "../numerics/lu.ts";
import { fail, ok, type Result } from "../result.ts";
import { sparseSolveTransposed } from "./adjoint-solve.ts";
import type { HarmonicAnswer, SolveFailure } from "./answers.ts";
import type { HarmonicProblem } from "./harmonics.ts";
import { addSource, controlsOf, type Network } from "./network.ts";
import { addDcValues, addDeviceCurrents, heldBy, spread, weigh } from "./sensitivity-bias.ts";
import { addDriveValues } from "./sensitivity-response.ts";
import {
  type Factors,
  harmonicOpeningEffort,
  type OpenHarmonicSensitivity,
  openHarmonicSensitivity,
} from "./sensitivity-steady.ts";
import {
  addElements,
  type Gradient,
  LAW_PARAMETERS,
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

/** A harmonic smaller than this share of the fundamental is what the solve's residual makes of it. */
const ROUNDING = 1e-11;
const DECIBELS = 20 / Math.LN10;

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
