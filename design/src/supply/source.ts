/**
 * Winding, rectifier and what follows it up to the first capacitor, as one source with a slope: capacitor input, or choke
 * input where the document names a choke.
 *
 * Method  solveRectifier or solveChokeInput; both answers in the one shape that the rest reads.
 * Limits  Plates of a choke input that conducts all the time are given 180 degrees; their overlap is not counted.
 */
import {
  type ChokeInputAnswer,
  chokeInputCycle,
  type ChokeInputProblem,
  chokeRippleLines,
  fail,
  ok,
  type RectifierAnswer,
  type RectifierFailure,
  type RectifierProblem,
  type Result,
  type RippleLine,
  rippleLines,
  solveChokeInput,
  solveRectifier,
} from "@platewright/engine";
import type { SolvedChoke } from "../solved/types.ts";

export interface SourceProblem extends Omit<RectifierProblem, "load"> {
  /** Between rectifier and first capacitor. */
  readonly choke?: { readonly henries: number; readonly ohms: number };
}

export interface SourceAnswer {
  readonly rectifier: RectifierAnswer;
  readonly choke?: SolvedChoke;
}

/** Steady state at `loadAmps`. `start` is of an earlier answer of the same kind. */
export function solveSource(
  problem: SourceProblem,
  loadAmps: number,
  start?: Float64Array,
): Result<SourceAnswer, RectifierFailure> {
  const choke = chokeProblem(problem, loadAmps);
  if (choke === undefined) {
    const answer = solveRectifier({ ...problem, load: { amps: loadAmps } }, start === undefined ? {} : { start });
    return answer.ok ? ok({ rectifier: answer.value }) : answer;
  }
  const answer = solveChokeInput(choke);
  if (!answer.ok) return fail(answer.failure);
  const { value } = answer;
  return ok({
    rectifier: asRectifier(choke, value),
    choke: {
      outcome: value.outcome,
      henries: choke.henries,
      criticalHenries: value.criticalHenries,
      leastAmps: value.chokeLeastAmps,
      peakAmps: value.chokePeakAmps,
      rmsAmps: value.chokeRmsAmps,
      watts: value.chokeWatts,
    },
  });
}

/** Lines of the first capacitor's ripple at a load. */
export function sourceRippleLines(
  problem: SourceProblem,
  loadAmps: number,
  count: number,
): Result<readonly RippleLine[], RectifierFailure> {
  const choke = chokeProblem(problem, loadAmps);
  if (choke !== undefined) {
    const answer = solveChokeInput(choke);
    return answer.ok ? ok(chokeRippleLines(choke, answer.value, count)) : answer;
  }
  const whole = { ...problem, load: { amps: loadAmps } };
  const answer = solveRectifier(whole);
  return answer.ok ? ok(rippleLines(whole, answer.value, count)) : answer;
}

/** The engine's problem of a choke input; undefined for a capacitor input. */
export function chokeProblem(problem: SourceProblem, loadAmps: number): ChokeInputProblem | undefined {
  const { choke, firstFarads, ...rest } = problem;
  if (choke === undefined) return undefined;
  return { ...rest, henries: choke.henries, chokeOhms: choke.ohms, farads: firstFarads, load: { amps: loadAmps } };
}

function asRectifier(problem: ChokeInputProblem, answer: ChokeInputAnswer): RectifierAnswer {
  return {
    dcVolts: answer.dcVolts,
    ripplePeakToPeakVolts: answer.ripplePeakToPeakVolts,
    platePeakAmps: answer.platePeakAmps,
    plateRmsAmps: answer.plateRmsAmps,
    windingRmsAmps: answer.windingRmsAmps,
    capacitorRmsAmps: answer.capacitorRmsAmps,
    rectifierWatts: answer.rectifierWatts,
    elementWatts: answer.elementWatts,
    seriesWatts: answer.seriesWatts,
    balance: answer.balance,
    peakInverseVolts: answer.peakInverseVolts,
    conductionDegrees: conducts(problem, answer),
    slopeOhms: answer.slopeOhms,
    effort: answer.effort,
    start: answer.start,
  };
}

/** Of one plate, to a degree. */
function conducts(problem: ChokeInputProblem, answer: ChokeInputAnswer): number {
  if (answer.outcome === "continuous") return 180;
  const [plate] = chokeInputCycle(problem, answer, 360).plateAmps;
  return plate?.reduce((sum, i) => sum + (i > 0 ? 1 : 0), 0) ?? 0;
}
