/**
 * The circuit in time: node volts from a start, under given source volts, heater warm-up and breaks.
 *
 * Law     Charges of the linear network driven by sources, sinks and port currents (transient-modes.ts); tubes, diodes and
 *         given one-ports are memoryless, inductors carry their current.
 * Method  L-stable ESDIRK of order 4 with an embedded order 3 (transient-tableau.ts) in modal form: each stage is diagonal,
 *         only the port volts are implicit (transient-ports.ts). The estimate is passed through the stage's own matrix;
 *         steps follow it by a proportional-integral rule. Records come from dense output of order 4.
 * Limits  The largest estimated error of a step, over all nets, is at most absoluteVolts + relativeVolts |v|. A function of
 *         time may jump only at a break; there its value from the right counts. Ideal sources may jump: charges are kept.
 *         Between steps a net without capacitance is interpolated to order 3 only; at the ends of steps it is as good as
 *         the others.
 * Sources docs/transient.md.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import { fail, ok, type Result } from "../result.ts";
import { openModes } from "./transient-modes.ts";
import { openPorts, portsOfTransient, spanOf } from "./transient-ports.ts";
import {
  badTransient,
  TRANSIENT_LIMITS,
  type TransientAnswer,
  type TransientFailure,
  type TransientLimits,
  type TransientProblem,
} from "./transient-problem.ts";
import { openRecorder, type Recorder } from "./transient-record.ts";
import { effortOf, openRun, type Run, stateOf } from "./transient-run.ts";
import { openStepper } from "./transient-step.ts";

export type { OnePort } from "./transient-ports.ts";
export {
  type PeakOfNet,
  TRANSIENT_LIMITS,
  type TransientAnswer,
  type TransientEffort,
  type TransientFailure,
  type TransientLimits,
  type TransientProblem,
  type TransientState,
  transientSentence,
} from "./transient-problem.ts";

/** Solves the circuit in time. */
export function solveTransient(
  circuit: CompiledCircuit,
  problem: TransientProblem,
  limits: Partial<TransientLimits> = {},
): Result<TransientAnswer, TransientFailure> {
  const bounds: TransientLimits = { ...TRANSIENT_LIMITS, ...limits };
  const bad = badTransient(circuit, problem, bounds);
  if (bad !== undefined) return fail(bad);
  const ports = portsOfTransient(circuit, problem.ports ?? [], problem.emission ?? new Map());
  const modes = openModes(circuit, ports.map(spanOf));
  if (!modes.ok) return modes;
  const run = openRun(circuit, problem, bounds, modes.value, openPorts(modes.value, ports));
  const recorder = openRecorder(run, problem.record);
  const failure = integrate(run, recorder);
  if (failure !== undefined) return fail(failure);
  return ok({ ...recorder.answer(), end: stateOf(run), effort: effortOf(run) });
}

/** The error a step aims at, in tolerances. */
const AIM = 0.25;
/** Exponents of the rule for the next step, and the most by which the logarithm of the error is believed to fall. */
const INTEGRAL = 0.03;
const PROPORTIONAL = 0.1;
const MOST_FALL = 0.8;
const MOST_GROWTH = 5;
const LEAST_SHRINK = 0.1;

/** Steps from 0 to the end. */
function integrate(run: Run, recorder: Recorder): TransientFailure | undefined {
  const { problem, limits } = run;
  const stepper = openStepper(run);
  const controlled = limits.fixedSeconds === 0;
  for (const end of segmentEnds(problem)) {
    run.latest = end < problem.seconds ? before(end) : end;
    if (!stepper.settle(run.seconds)) return failed(run, "stuck");
    recorder.begin(run.seconds);
    // Volts may move by a few tolerances in the first step.
    let h = controlled ? Math.min((end - run.seconds) / 200, 10 / stepper.rate()) : limits.fixedSeconds;
    let logBefore = Math.log(AIM);
    let afterReject = false;
    let climbing = true;
    while (run.seconds < end) {
      if (run.steps + run.rejected >= limits.mostSteps) return failed(run, "too-many-steps");
      const left = end - run.seconds;
      let step = Math.min(h, limits.longestSeconds);
      if (step > 0.999999 * left) step = left;
      else if (controlled && step > 0.5 * left) step = 0.5 * left;
      const solved = stepper.advance(run.seconds, step);
      const judged = solved ? stepper.judge(step) : Infinity;
      const over = solved && !controlled ? 0 : judged;
      if (!(over <= 1)) {
        run.rejected++;
        stepper.reject();
        h = step * (over < Infinity ? Math.max(LEAST_SHRINK, (AIM / over) ** 0.25) : 0.2);
        afterReject = true;
        climbing = false;
        if (!controlled || run.seconds + 0.1 * h === run.seconds) return failed(run, "stuck");
        continue;
      }
      const from = run.seconds;
      run.steps++;
      run.seconds = step === left ? end : from + step;
      recorder.step(from, step);
      stepper.accept(step);
      if (!controlled) continue;
      const log = Math.log(Math.max(over, 1e-6));
      let growth: number;
      if (climbing) {
        // From the smallest step of a segment up to where the error counts.
        growth = Math.min(MOST_GROWTH, (AIM / Math.max(over, 1e-6)) ** 0.25);
        climbing = over < AIM / 4;
        logBefore = log;
      } else {
        // Smooth: where the estimate passes through zero the error does not.
        const seen = Math.max(log, logBefore - MOST_FALL);
        growth = Math.exp(INTEGRAL * (Math.log(AIM) - seen) + PROPORTIONAL * (logBefore - seen));
        logBefore = seen;
      }
      const bounded = Math.min(afterReject ? 1 : MOST_GROWTH, Math.max(LEAST_SHRINK, growth));
      // A step that was cut short by the end of a segment says nothing against the longer one.
      h = step < h && bounded >= 1 ? Math.max(h, step * bounded) : step * bounded;
      afterReject = false;
    }
  }
  return undefined;
}

/** The largest number below x. */
function before(x: number): number {
  return x - Math.max(Math.abs(x) * 2 ** -52, Number.MIN_VALUE);
}

function segmentEnds(problem: TransientProblem): readonly number[] {
  const inside = (problem.breaks ?? []).filter((at) => at > 0 && at < problem.seconds);
  return [...new Set(inside)].sort((a, b) => a - b).concat(problem.seconds);
}

function failed(run: Run, kind: "stuck" | "too-many-steps"): TransientFailure {
  const { circuit, system } = run;
  if (kind === "stuck") {
    for (const { source, of } of run.driven)
      if (!Number.isFinite(of(system.clock[0] as number)))
        return { kind: "not-finite", name: circuit.sources[source]?.id ?? "", seconds: run.seconds };
    for (const [p, port] of system.ports.entries())
      if (!Number.isFinite(system.law[system.firstCurrent[p] as number]))
        return { kind: "not-finite", name: port.id, seconds: run.seconds };
  }
  const net = circuit.map.nets[circuit.map.node.indexOf(run.worst)] ?? "0";
  return { kind, seconds: run.seconds, net, effort: effortOf(run) };
}
