/**
 * A solved level made ready for sensitivities: nets by harmonic, slopes by sample, the transposed Jacobian factored.
 *
 * Method  The transposed Jacobian is dense over the rows that count (every plate, and the grids that conduct): one LU.
 *         The factors of the network at each harmonic are kept for the transposed solves.
 */
import type { Device } from "../circuit/compile.ts";
import { luFactor } from "../numerics/lu.ts";
import { fail, ok, type Result } from "../result.ts";
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
import { type DeviceSlopes, deviceSlopes, type LawPairs, lawPairs, parameterSlopes } from "./sensitivity-law.ts";
import { LAW_PARAMETERS, type NetVector, netVector } from "./sensitivity-values.ts";
import { openTransform, toHarmonics, toSamples } from "./transform.ts";

/** Harmonics at which sensitivities are taken, at the most. */
const MOST_HARMONICS = 32;
/** A grid that never passes this many amperes is left out. */
const SILENT_AMPS = 1e-17;
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
export interface Factors {
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
