/**
 * Periodic steady state of a circuit driven by one sine: harmonics at the output, grid conduction included.
 *
 * Law     R(i) = i - f(v0 - z * i) = 0 on 2K + 1 samples of every device current (collocation.ts).
 * Method  Newton; each step solved by preconditioned iterations to as small a share of the residual as it pays for
 *         (harmonics-step.ts), factors kept across levels and edits until they cost too many iterations. Steps that let
 *         the residual grow are halved. A level that does not settle from where it starts is reached by raising the
 *         drive. K is raised from answer to answer until the tail rule holds; each K starts from the one below.
 * Limits  Settled when max |R| is below 1e-9 of the largest current swing (or at rounding, 1e-13 of the largest
 *         current). "tail-not-reached": settled, but the last two harmonics are above the rule at the largest K allowed;
 *         the tail is in the answer. Which K answers depends on circuit and level only, never on the start.
 * Sources docs/solves.md; piecewise harmonic balance, Nakhla and Vlach 1976; forcing terms, Eisenstat and Walker 1996
 *         (both from memory).
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { fail, ok, type Result } from "../result.ts";
import type { Hertz, Volts } from "../units/quantities.ts";
import type { Bias, Effort, HarmonicAnswer, SolveFailure } from "./answers.ts";
import { type Collocation, openCollocation } from "./collocation.ts";
import { describe } from "./harmonics-answer.ts";
import { openLocal } from "./harmonics-local.ts";
import { NEWTON_LIMITS, newton, type Spent, type NewtonLimits } from "./harmonics-newton.ts";
import { openStepper, type Stepper } from "./harmonics-step.ts";
import { type PortModel, portModel } from "./ports.ts";
import { signalOrder } from "./signal-order.ts";
import { openTransform, type Transform, toHarmonics, toSamples } from "./transform.ts";

export interface HarmonicLimits extends NewtonLimits {
  /** Last two harmonics over the fundamental. */
  readonly tailDecibels: number;
  readonly firstHarmonics: number;
  readonly mostHarmonics: number;
  /** Drive levels that continuation may try. */
  readonly ramps: number;
}

export const HARMONIC_LIMITS: HarmonicLimits = {
  ...NEWTON_LIMITS,
  tailDecibels: -150,
  firstHarmonics: 8,
  mostHarmonics: 128,
  ramps: 60,
};

/** From so many harmonics on the preconditioner is the local one (harmonics-local.ts) as long as it serves. */
const LOCAL_FROM = 28;

const LADDER = [8, 12, 16, 24, 32, 48, 64, 96, 128] as const;

export interface HarmonicOptions {
  /** Id of the ac source that drives. */
  readonly source: string;
  readonly hertz: Hertz;
  readonly output: Net;
  /** Ids of tubes replaced by their slopes at bias. */
  readonly linear?: readonly string[];
  readonly limits?: Partial<HarmonicLimits>;
  /** The problem before an edit of values: its work memory and factors are taken over. Do not use it afterwards. */
  readonly after?: HarmonicProblem;
}

/** A circuit with its bias, source and output chosen: holds work memory and factors that levels share. One caller. */
export interface HarmonicProblem {
  readonly circuit: CompiledCircuit;
  readonly bias: Bias;
  readonly source: string;
  readonly hertz: Hertz;
  readonly output: Net;
  readonly linear: readonly string[];
  readonly limits: HarmonicLimits;
  readonly byHarmonics: Map<number, Solver>;
  readonly transforms: Map<number, Transform>;
  /** Solvers of the problem before an edit, by K, whose factors are still worth having. */
  readonly inherited: Map<number, Solver>;
}

interface Solver {
  readonly work: Collocation;
  readonly stepper: Stepper;
}

export function harmonicProblem(circuit: CompiledCircuit, bias: Bias, ask: HarmonicOptions): HarmonicProblem {
  return {
    circuit,
    bias,
    source: ask.source,
    hertz: ask.hertz,
    output: ask.output,
    linear: ask.linear ?? [],
    limits: { ...HARMONIC_LIMITS, ...ask.limits },
    byHarmonics: new Map(),
    transforms: ask.after?.transforms ?? new Map<number, Transform>(),
    inherited: new Map([...(ask.after?.inherited ?? []), ...(ask.after?.byHarmonics ?? [])]),
  };
}

export interface LevelAsk {
  readonly sourceVoltsPeak: Volts;
  /** Samples of an earlier answer (any K, same devices). */
  readonly start?: readonly Float64Array[];
  /** This K and no other. */
  readonly harmonics?: number;
  /** Stop raising K here (the answer may then be "tail-not-reached"). */
  readonly mostHarmonics?: number;
}

/** Solves one level. The tail rule raises K from `firstHarmonics`. */
export function solveHarmonics(problem: HarmonicProblem, ask: LevelAsk): Result<HarmonicAnswer, SolveFailure> {
  const { limits } = problem;
  const spent: Spent = { steps: 0, factorings: 0, lawCalls: 0, residual: Infinity };
  if (!Number.isFinite(ask.sourceVoltsPeak))
    return fail({ kind: "not-settled", effort: effortOf(spent), what: `a drive of ${ask.sourceVoltsPeak} V` });
  const most = Math.min(limits.mostHarmonics, ask.mostHarmonics ?? limits.mostHarmonics);
  let K = ask.harmonics ?? Math.min(most, limits.firstHarmonics);
  let below: Solver | undefined;
  for (;;) {
    const last = ask.harmonics !== undefined || K >= most;
    const solver = solverFor(problem, K);
    if (!solver.ok) return solver;
    const { work } = solver.value;
    if (settle(problem, solver.value, ask, below, spent)) {
      const answer = describe(work, ask.sourceVoltsPeak, effortOf(spent));
      if (!Number.isFinite(answer.output.real[1] ?? Number.NaN))
        return fail({ kind: "not-settled", effort: effortOf(spent), what: "the output is not a number" });
      if (answer.tailDecibels <= limits.tailDecibels) return ok(answer);
      if (last) return ok({ ...answer, outcome: "tail-not-reached" });
      below = solver.value;
      K = nextHarmonics(K, answer.tailDecibels, limits.tailDecibels, most);
      continue;
    }
    // Too few samples can make a clipped wave hard to settle; the next K decides.
    if (last) {
      const what = `harmonics at ${ask.sourceVoltsPeak} V peak, K = ${K}`;
      return fail({ kind: "not-settled", effort: effortOf(spent), what });
    }
    K = LADDER.find((rung) => rung > K && rung >= 24) ?? most;
    if (K > most) K = most;
  }
}

const effortOf = (spent: Spent): Effort => ({ ...spent });

/** The smallest rung that should reach the rule if the tail goes on falling as it did up to K (dB per harmonic). */
function nextHarmonics(K: number, tail: number, rule: number, most: number): number {
  const needed = tail < -1 ? (K * rule) / tail : most;
  const rung = LADDER.find((r) => r > K && r >= needed) ?? most;
  return Math.min(rung, most);
}

function solverFor(problem: HarmonicProblem, K: number): Result<Solver, SolveFailure> {
  const known = problem.byHarmonics.get(K);
  if (known !== undefined) return ok(known);
  const cathodes = problem.circuit.devices.flatMap((device) =>
    device.kind === "triode" && !problem.linear.includes(device.id)
      ? [problem.circuit.map.nets[device.cathode] ?? "0"]
      : [],
  );
  const others = [...problem.byHarmonics].map(([, solver]) => solver.work.model);
  const largest = others.reduce<PortModel | undefined>(
    (most, one) => (most === undefined || one.harmonics > most.harmonics ? one : most),
    undefined,
  );
  const model = portModel(problem.circuit, {
    source: problem.source,
    hertz: problem.hertz,
    harmonics: K,
    observers: [problem.output, ...cathodes],
    linear: problem.linear,
    bias: problem.bias,
    ...(largest === undefined ? {} : { known: largest }),
  });
  if (!model.ok) return model;
  const old = problem.inherited.get(K);
  const groups =
    old?.stepper.blocks.map((block) => block.currents) ?? signalOrder(model.value, problem.circuit, problem.bias, 1);
  const fits = old !== undefined && old.work.model.currents === model.value.currents;
  const work = openCollocation(model.value, groups.flat(), transformFor(problem, K));
  const stepper = openStepper(work, groups, fits ? old.stepper : undefined);
  if (!fits && K >= LOCAL_FROM) stepper.local = openLocal(work);
  const solver: Solver = { work, stepper };
  problem.byHarmonics.set(K, solver);
  return ok(solver);
}

function transformFor(problem: HarmonicProblem, K: number): Transform {
  const known = problem.transforms.get(K);
  if (known !== undefined) return known;
  const made = openTransform(K);
  problem.transforms.set(K, made);
  return made;
}

/** Brings `work.current` to the solution at a drive: from the start or bias, by continuation in drive if needed. */
function settle(
  problem: HarmonicProblem,
  solver: Solver,
  ask: LevelAsk,
  below: Solver | undefined,
  spent: Spent,
): boolean {
  const { work, stepper } = solver;
  const calls = work.lawCalls;
  const given = setStart(problem, work, ask.start, below?.work);
  let done = newton(work, stepper, problem.limits, ask.sourceVoltsPeak, spent);
  if (!done && given) {
    setBias(problem, work);
    done = newton(work, stepper, problem.limits, ask.sourceVoltsPeak, spent);
  }
  if (!done) done = rampDrive(problem, solver, ask.sourceVoltsPeak, spent);
  spent.lawCalls += work.lawCalls - calls;
  return done;
}

/** Drive continuation with a secant predictor: strides grow where it is easy and shrink where a level fails. */
function rampDrive(problem: HarmonicProblem, { work, stepper }: Solver, peakVolts: number, spent: Spent): boolean {
  setBias(problem, work);
  let level = 0;
  let before = 0;
  let stride = 0.1;
  let good = Float64Array.from(work.current);
  let previous = good;
  for (let ramp = 0; ramp < problem.limits.ramps; ramp++) {
    const next = Math.min(1, level + stride);
    const ahead = level > before ? (next - level) / (level - before) : 0;
    for (let m = 0; m < good.length; m++)
      work.current[m] = (good[m] as number) + ahead * ((good[m] as number) - (previous[m] as number));
    if (newton(work, stepper, problem.limits, peakVolts * next, spent)) {
      if (next === 1) return true;
      before = level;
      level = next;
      stride *= 1.6;
      previous = good;
      good = Float64Array.from(work.current);
      continue;
    }
    stride /= 3;
    if (stride < 1e-4) return false;
  }
  return false;
}

function setBias(problem: HarmonicProblem, work: Collocation): void {
  const N = work.samples;
  let q = 0;
  let known = 0;
  for (const device of problem.circuit.devices) {
    const count = device.kind === "triode" ? 2 : 1;
    if (work.model.devices.includes(device))
      for (let i = 0; i < count; i++, q++)
        work.current.fill(problem.bias.unknowns[known + i] as number, q * N, (q + 1) * N);
    known += count;
  }
}

/** Low harmonics from the solution at the K below, the others from the start; false: neither is there, bias instead. */
function setStart(
  problem: HarmonicProblem,
  work: Collocation,
  start: readonly Float64Array[] | undefined,
  below: Collocation | undefined,
): boolean {
  const { samples: N, transform, current } = work;
  const Q = work.model.currents;
  const fits = start !== undefined && start.length === Q && (start[0]?.length ?? 0) % 2 === 1;
  if (!fits && below === undefined) {
    setBias(problem, work);
    return false;
  }
  for (let q = 0; q < Q; q++) {
    const row = start?.[q];
    if (fits && row !== undefined && row.length === N && below === undefined) {
      current.set(row, q * N);
      continue;
    }
    const startK = fits && row !== undefined ? (row.length - 1) >> 1 : 0;
    const size = Math.max(work.model.harmonics, startK, below?.model.harmonics ?? 0) + 1;
    const re = new Float64Array(size);
    const im = new Float64Array(size);
    if (fits && row !== undefined) toHarmonics(transformFor(problem, startK), row, 0, re, im, 0);
    if (below !== undefined) toHarmonics(below.transform, below.current, q * below.samples, re, im, 0);
    toSamples(transform, re, im, 0, current, q * N);
  }
  return true;
}
