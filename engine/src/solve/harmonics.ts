/**
 * Periodic steady state of a circuit driven by one sine: harmonics at the output, grid conduction included.
 *
 * Law     R(i) = i - f(v0 - z * i) = 0 on 2K + 1 samples of every device current (collocation.ts).
 * Method  Steps block lower triangular by device in signal order with kept factors: refreshed when a step gains less
 *         than a factor of 20, rejected when it doubles the residual, one merged block when contraction stays poor.
 *         Drive continuation when a level does not settle from where it starts. K is raised until the tail rule holds.
 * Limits  Settled when max |R| is below 1e-9 of the largest current swing (or at rounding). "tail-not-reached": settled,
 *         but the last two harmonics are above the rule at the largest K allowed; the tail is in the answer.
 * Sources docs/solves.md; piecewise harmonic balance, Nakhla and Vlach 1976 (from memory).
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { fail, ok, type Result } from "../result.ts";
import { amps, type Hertz, type Volts, volts } from "../units/quantities.ts";
import type { Bias, HarmonicAnswer, SolveFailure } from "./answers.ts";
import {
  type Block,
  type Collocation,
  evaluate,
  factorBlocks,
  harmonicOf,
  openBlocks,
  openCollocation,
  resample,
  setDrive,
  solveStep,
} from "./collocation.ts";
import { type PortModel, portModel } from "./ports.ts";

export interface HarmonicLimits {
  /** Of the largest current swing. */
  readonly residualFraction: number;
  /** Corrections per drive level before continuation takes over. */
  readonly steps: number;
  /** Last two harmonics over the fundamental. */
  readonly tailDecibels: number;
  readonly firstHarmonics: number;
  readonly mostHarmonics: number;
  /** Drive levels that continuation may spend. */
  readonly ramps: number;
}

export const HARMONIC_LIMITS: HarmonicLimits = {
  residualFraction: 1e-9,
  steps: 40,
  tailDecibels: -150,
  firstHarmonics: 12,
  mostHarmonics: 128,
  ramps: 60,
};

const LADDER = [8, 12, 16, 24, 32, 48, 64, 96, 128] as const;

/** A circuit with its bias, source and output chosen: holds the kernels and factors that levels share. One caller. */
export interface HarmonicProblem {
  readonly circuit: CompiledCircuit;
  readonly bias: Bias;
  readonly source: string;
  readonly hertz: Hertz;
  readonly output: Net;
  readonly linear: readonly string[];
  readonly limits: HarmonicLimits;
  readonly byHarmonics: Map<number, Solver>;
}

interface Solver {
  readonly work: Collocation;
  blocks: Block[];
  merged: boolean;
  factored: boolean;
  rhs: Float64Array;
}

export function harmonicProblem(
  circuit: CompiledCircuit,
  bias: Bias,
  ask: {
    readonly source: string;
    readonly hertz: Hertz;
    readonly output: Net;
    readonly linear?: readonly string[];
    readonly limits?: Partial<HarmonicLimits>;
  },
): HarmonicProblem {
  return {
    circuit,
    bias,
    source: ask.source,
    hertz: ask.hertz,
    output: ask.output,
    linear: ask.linear ?? [],
    limits: { ...HARMONIC_LIMITS, ...ask.limits },
    byHarmonics: new Map(),
  };
}

/** Solves one level. `start` are the samples of an earlier answer (any K); the tail rule raises K from `firstHarmonics`. */
export function solveHarmonics(
  problem: HarmonicProblem,
  ask: { readonly sourceVoltsPeak: Volts; readonly start?: readonly Float64Array[]; readonly harmonics?: number },
): Result<HarmonicAnswer, SolveFailure> {
  const { limits } = problem;
  const rungs = LADDER.filter((k) => k >= limits.firstHarmonics && k <= limits.mostHarmonics);
  const ladder = ask.harmonics !== undefined ? [ask.harmonics] : rungs.length > 0 ? rungs : [limits.mostHarmonics];
  let start = ask.start;
  let steps = 0;
  let factorings = 0;
  let lawCalls = 0;
  for (const [r, K] of ladder.entries()) {
    const solver = solverFor(problem, K);
    if (!solver.ok) return solver;
    const spent = settle(problem, solver.value, ask.sourceVoltsPeak, start);
    steps += spent.steps;
    factorings += spent.factorings;
    lawCalls += spent.lawCalls;
    const effort = { steps, factorings, lawCalls, residual: spent.residual };
    if (!spent.settled)
      return fail({ kind: "not-settled", effort, what: `harmonics at ${ask.sourceVoltsPeak} V peak, K = ${K}` });
    const answer = describe(problem, solver.value.work, ask.sourceVoltsPeak, effort);
    const last = r === ladder.length - 1;
    if (answer.tailDecibels <= limits.tailDecibels || last) {
      const outcome = answer.tailDecibels <= limits.tailDecibels ? "settled" : "tail-not-reached";
      return ok({ ...answer, outcome });
    }
    start = answer.samples;
  }
  return fail({ kind: "not-settled", effort: { steps, factorings, lawCalls, residual: Infinity }, what: "harmonics" });
}

function solverFor(problem: HarmonicProblem, K: number): Result<Solver, SolveFailure> {
  const known = problem.byHarmonics.get(K);
  if (known !== undefined) return ok(known);
  const cathodes = problem.circuit.devices.flatMap((device) =>
    device.kind === "triode" && !problem.linear.includes(device.id)
      ? [problem.circuit.map.nets[device.cathode] ?? "0"]
      : [],
  );
  const model = portModel(problem.circuit, {
    source: problem.source,
    hertz: problem.hertz,
    harmonics: K,
    observers: [problem.output, ...cathodes],
    linear: problem.linear,
    bias: problem.bias,
  });
  if (!model.ok) return model;
  const work = openCollocation(model.value);
  const solver: Solver = {
    work,
    blocks: openBlocks(
      work,
      signalOrder(model.value, problem).map((d) => [d]),
    ),
    merged: false,
    factored: false,
    rhs: new Float64Array(work.samples * model.value.currents),
  };
  problem.byHarmonics.set(K, solver);
  return ok(solver);
}

/**
 * Devices in the order in which the signal passes them: next is always the one least driven by those still waiting
 * (coupling: slope of its grid times the impedance from the other's plate current at the fundamental).
 */
function signalOrder(model: PortModel, problem: HarmonicProblem): readonly number[] {
  const { controls: C, currents: Q, devices } = model;
  const first: number[] = [];
  let q = 0;
  for (const device of devices) {
    first.push(q);
    q += device.kind === "triode" ? 2 : 1;
  }
  const slope = devices.map((device) => {
    const at = problem.circuit.devices.indexOf(device);
    return Math.abs(problem.bias.slopes[4 * at] as number);
  });
  const coupling = (to: number, from: number) => {
    const at = (C + (first[to] as number)) * Q + (first[from] as number);
    return (slope[to] as number) * Math.hypot(model.impedanceReal[at] as number, model.impedanceImaginary[at] as number);
  };
  const waiting = devices.map((_, d) => d);
  const order: number[] = [];
  while (waiting.length > 0) {
    const incoming = (d: number) => waiting.reduce((sum, other) => sum + (other === d ? 0 : coupling(d, other)), 0);
    let best = 0;
    for (let w = 1; w < waiting.length; w++)
      if (incoming(waiting[w] as number) < incoming(waiting[best] as number)) best = w;
    order.push(...waiting.splice(best, 1));
  }
  return order;
}

interface Spent {
  settled: boolean;
  steps: number;
  factorings: number;
  lawCalls: number;
  residual: number;
}

/** Brings `work.current` to the solution at a drive: from `start` (or bias), by continuation in drive if needed. */
function settle(
  problem: HarmonicProblem,
  solver: Solver,
  peakVolts: number,
  start: readonly Float64Array[] | undefined,
): Spent {
  const { work } = solver;
  const spent: Spent = { settled: false, steps: 0, factorings: 0, lawCalls: 0, residual: Infinity };
  const calls = work.lawCalls;
  if (start !== undefined && start.length === work.current.length)
    start.forEach((samples, q) => work.current[q]?.set(resample(samples, work.samples)));
  else setBias(problem, work);
  let done = correct(solver, problem.limits, peakVolts, spent);
  if (!done && start !== undefined) {
    setBias(problem, work);
    solver.factored = false;
    done = correct(solver, problem.limits, peakVolts, spent);
  }
  if (!done) done = rampDrive(problem, solver, peakVolts, spent);
  spent.settled = done;
  spent.lawCalls = work.lawCalls - calls;
  return spent;
}

/** Drive continuation with a secant predictor: strides grow where it is easy and shrink where a level fails. */
function rampDrive(problem: HarmonicProblem, solver: Solver, peakVolts: number, spent: Spent): boolean {
  const { work } = solver;
  setBias(problem, work);
  solver.factored = false;
  let level = 0;
  let before = 0;
  let stride = 0.1;
  let good = work.current.map((row) => Float64Array.from(row));
  let previous = good;
  for (let ramp = 0; ramp < problem.limits.ramps; ramp++) {
    const next = Math.min(1, level + stride);
    const ahead = level > before ? (next - level) / (level - before) : 0;
    work.current.forEach((row, q) => {
      const a = good[q] as Float64Array;
      const b = previous[q] as Float64Array;
      for (let m = 0; m < row.length; m++) row[m] = (a[m] as number) + ahead * ((a[m] as number) - (b[m] as number));
    });
    if (correct(solver, problem.limits, peakVolts * next, spent)) {
      if (next === 1) return true;
      before = level;
      level = next;
      stride *= 1.6;
      previous = good;
      good = work.current.map((row) => Float64Array.from(row));
      continue;
    }
    solver.factored = false;
    stride /= 3;
    if (stride < 1e-4) return false;
  }
  return false;
}

function setBias(problem: HarmonicProblem, work: Collocation): void {
  let q = 0;
  let known = 0;
  for (const device of problem.circuit.devices) {
    const count = device.kind === "triode" ? 2 : 1;
    if (work.model.devices.includes(device))
      for (let i = 0; i < count; i++) work.current[q++]?.fill(problem.bias.unknowns[known + i] as number);
    known += count;
  }
}

/** Refresh when a step gains less than this. */
const GAIN = 0.05;

/** Newton with kept factors at one drive, from `work.current`; true when settled. */
function correct(solver: Solver, limits: HarmonicLimits, peakVolts: number, spent: Spent): boolean {
  const { work } = solver;
  setDrive(work, peakVolts);
  let residual = evaluate(work, work.current);
  let fraction = 1;
  let fresh = false;
  let poor = 0;
  for (let step = 0; step <= limits.steps; step++) {
    spent.residual = residual;
    if (!(residual < 1e3)) return false;
    if (residual <= tolerance(work, limits)) return true;
    if (step === limits.steps) return false;
    if (!solver.factored) {
      spent.factorings++;
      if (!factorBlocks(work, solver.blocks)) return false;
      solver.factored = true;
      fresh = true;
    }
    solveStep(work, solver.blocks, solver.rhs);
    spent.steps++;
    const before = residual;
    for (;;) {
      move(work, fraction);
      residual = evaluate(work, work.trial);
      if (residual < 2 * before || (residual < 1e3 && residual <= tolerance(work, limits))) break;
      if (!fresh) {
        // The kept factors mislead here: evaluate where we stand and factor anew.
        residual = evaluate(work, work.current);
        solver.factored = false;
        break;
      }
      fraction /= 2;
      if (fraction < 1e-4) return false;
    }
    if (!solver.factored) continue;
    swap(work);
    if (fraction < 1) {
      fraction = Math.min(1, fraction * 2);
      solver.factored = false;
    } else if (residual > GAIN * before) {
      if (fresh && residual > 0.3 * before) poor++;
      if (poor >= 2 && !solver.merged && solver.blocks.length > 1) merge(solver);
      solver.factored = false;
    }
    fresh = false;
  }
  return false;
}

/** All devices in one block: for loops around stages and for later grids that conduct. */
function merge(solver: Solver): void {
  solver.merged = true;
  solver.blocks = openBlocks(solver.work, [solver.work.model.devices.map((_, d) => d)]);
}

function move(work: Collocation, fraction: number): void {
  const { current, trial, step } = work;
  for (let q = 0; q < current.length; q++) {
    const from = current[q] as Float64Array;
    const to = trial[q] as Float64Array;
    const by = step[q] as Float64Array;
    for (let m = 0; m < from.length; m++) to[m] = (from[m] as number) + fraction * (by[m] as number);
  }
}

function swap(work: Collocation): void {
  for (let q = 0; q < work.current.length; q++) (work.current[q] as Float64Array).set(work.trial[q] as Float64Array);
}

function tolerance(work: Collocation, limits: HarmonicLimits): number {
  let swing = 0;
  let size = 0;
  for (let q = 0; q < work.current.length; q++) {
    const row = work.current[q] as Float64Array;
    let low = row[0] as number;
    let high = low;
    for (let m = 1; m < row.length; m++) {
      const x = row[m] as number;
      if (x < low) low = x;
      else if (x > high) high = x;
    }
    if (high - low > swing) swing = high - low;
    if (Math.abs(high) > size) size = Math.abs(high);
  }
  return Math.max(limits.residualFraction * swing, 1e-12 * size, 1e-18);
}

function describe(
  problem: HarmonicProblem,
  work: Collocation,
  peakVolts: number,
  effort: HarmonicAnswer["effort"],
): HarmonicAnswer {
  const { model } = work;
  const { harmonics: K, currents: Q, observers } = model;
  const O = observers.length;
  const spectra = work.current.map((row, q) => {
    if (work.isGrid[q] === 1 && row.every((x) => Math.abs(x) < 1e-18)) return undefined;
    const re = new Float64Array(K + 1);
    const im = new Float64Array(K + 1);
    for (let k = 0; k <= K; k++) [re[k], im[k]] = harmonicOf(work, row, k) as [number, number];
    return { re, im };
  });
  const observed = observers.map((_, o) => {
    const real = new Float64Array(K + 1);
    const imaginary = new Float64Array(K + 1);
    for (let k = 0; k <= K; k++) {
      let re = k === 0 ? (model.observerDc[o] as number) : 0;
      let im = 0;
      if (k === 1) {
        re += peakVolts * (model.observerSourceReal[O + o] as number);
        im += peakVolts * (model.observerSourceImaginary[O + o] as number);
      }
      for (let q = 0; q < Q; q++) {
        const spectrum = spectra[q];
        if (spectrum === undefined) continue;
        const at = (k * O + o) * Q + q;
        const zr = model.observerImpedanceReal[at] as number;
        const zi = model.observerImpedanceImaginary[at] as number;
        const ir = spectrum.re[k] as number;
        const ii = spectrum.im[k] as number;
        re -= zr * ir - zi * ii;
        im -= zr * ii + zi * ir;
      }
      real[k] = re;
      imaginary[k] = im;
    }
    return { real, imaginary };
  });
  const output = observed[0] as { real: Float64Array; imaginary: Float64Array };
  const size = (k: number) => Math.hypot(output.real[k] as number, output.imaginary[k] as number);
  const tail = Math.max(size(K), size(K - 1)) / size(1);
  return {
    outcome: "settled",
    harmonics: K,
    tailDecibels: tail > 0 ? 20 * Math.log10(tail) : -400,
    sourceVoltsPeak: volts(peakVolts),
    output,
    triodes: triodeExtremes(work, observed.slice(1)),
    effort,
    samples: work.current.map((row) => Float64Array.from(row)),
  };
}

function triodeExtremes(
  work: Collocation,
  cathodes: readonly { readonly real: Float64Array; readonly imaginary: Float64Array }[],
): HarmonicAnswer["triodes"] {
  const triodes = new Map<string, HarmonicAnswer["triodes"] extends ReadonlyMap<string, infer T> ? T : never>();
  let q = 0;
  let t = 0;
  for (const device of work.model.devices) {
    if (device.kind === "diode") {
      q += 1;
      continue;
    }
    const cathode = range(synthesise(work, cathodes[t++] as { real: Float64Array; imaginary: Float64Array }));
    const plate = work.current[q] as Float64Array;
    const grid = work.current[q + 1] as Float64Array;
    const [lowAmps, highAmps] = range(plate);
    triodes.set(device.id, {
      meanPlateAmps: amps(mean(plate)),
      meanGridAmps: amps(mean(grid)),
      peakPlateVolts: volts(range(work.control[q + 1] as Float64Array)[1]),
      peakGridVolts: volts(range(work.control[q] as Float64Array)[1]),
      minimumPlateAmps: amps(lowAmps),
      maximumPlateAmps: amps(highAmps),
      cathodeVoltsHigh: volts(cathode[1]),
      cathodeVoltsLow: volts(cathode[0]),
    });
    q += 2;
  }
  return triodes;
}

function synthesise(
  work: Collocation,
  spectrum: { readonly real: Float64Array; readonly imaginary: Float64Array },
): Float64Array {
  const { samples: N, cosine, sine } = work;
  const x = new Float64Array(N).fill(spectrum.real[0] as number);
  for (let k = 1; k < spectrum.real.length; k++) {
    const re = spectrum.real[k] as number;
    const im = spectrum.imaginary[k] as number;
    for (let n = 0, j = 0; n < N; n++) {
      x[n] = (x[n] as number) + re * (cosine[j] as number) - im * (sine[j] as number);
      j += k;
      if (j >= N) j -= N;
    }
  }
  return x;
}

const mean = (x: Float64Array): number => x.reduce((sum, v) => sum + v, 0) / x.length;

function range(x: Float64Array): readonly [number, number] {
  let low = Infinity;
  let high = -Infinity;
  for (const v of x) {
    if (v < low) low = v;
    if (v > high) high = v;
  }
  return [low, high];
}
