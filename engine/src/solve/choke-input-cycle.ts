/**
 * A settled choke input over one mains cycle, for plots, and the ripple of its first capacitor as lines, for hum.
 *
 * Method  The answer's own start, run once more; between its steps the cubic through their ends. Lines from the choke's
 *         current: V_k = I_k / (G + j k w C), Simpson's rule on each step.
 */
import { hertz } from "../units/quantities.ts";
import {
  CHOKE_INPUT_LIMITS,
  type ChokeInputAnswer,
  type ChokeInputLimits,
  type ChokeInputProblem,
  chokeSteps,
} from "./choke-input.ts";
import {
  behind,
  type ChokePoint,
  type ChokePulse,
  openChoke,
  runConduction,
  runOff,
  windingVolts,
} from "./choke-input-pulse.ts";
import type { RippleLine } from "./rectifier-cycle.ts";

export interface ChokeInputCycle {
  /** From the upward zero crossing of the winding, one mains cycle, equally spaced. */
  readonly seconds: Float64Array;
  readonly firstCapacitorVolts: Float64Array;
  readonly chokeAmps: Float64Array;
  /** One array per plate or per path of a bridge. */
  readonly plateAmps: readonly Float64Array[];
}

type Step = readonly [ChokePoint, ChokePoint];

interface Unfolded {
  readonly pulse: ChokePulse;
  readonly steps: readonly Step[];
  readonly from: number;
  readonly until: number;
  readonly vOff: number;
}

function unfold(problem: ChokeInputProblem, answer: ChokeInputAnswer, limits: ChokeInputLimits): Unfolded | undefined {
  if (answer.chokeRmsAmps === 0) return undefined;
  const pulse = openChoke(problem, chokeSteps(problem, limits));
  const steps: Step[] = [];
  const visit = (one: ChokePoint, other: ChokePoint) => steps.push([{ ...one }, { ...other }]);
  const [first = 0, second = 0] = answer.start;
  const from = answer.outcome === "continuous" ? 0 : Math.asin(first / pulse.peak) / pulse.omega;
  const start = answer.outcome === "continuous" ? { t: 0, i: first, v: second } : { t: from, i: 0, v: first };
  const end = runConduction(pulse, start, from + pulse.period, answer.outcome === "discontinuous", undefined, visit);
  return { pulse, steps, from, until: end.t, vOff: end.v };
}

/** Current and volts at a share x of a step, on the cubic through its ends. */
function onStep([one, other]: Step, x: number): readonly [number, number] {
  const h = other.t - one.t;
  const cubic = (a: number, b: number, slopeA: number, slopeB: number) =>
    a + (b - a) * x + x * (1 - x) * ((h * slopeA - (b - a)) * (1 - x) + (b - a - h * slopeB) * x);
  return [cubic(one.i, other.i, one.di, other.di), cubic(one.v, other.v, one.dv, other.dv)];
}

export function chokeInputCycle(
  problem: ChokeInputProblem,
  answer: ChokeInputAnswer,
  samples: number,
  limits: ChokeInputLimits = CHOKE_INPUT_LIMITS,
): ChokeInputCycle {
  const count = Math.max(2, Math.floor(samples));
  const seconds = Float64Array.from({ length: count }, (_, n) => n / (count * problem.hertz));
  const firstCapacitorVolts = new Float64Array(count).fill(answer.dcVolts);
  const chokeAmps = new Float64Array(count);
  const plateAmps = Array.from({ length: problem.circuit === "half-wave" ? 1 : 2 }, () => new Float64Array(count));
  const unfolded = unfold(problem, answer, limits);
  if (unfolded === undefined) return { seconds, firstCapacitorVolts, chokeAmps, plateAmps };
  const { pulse, steps, from, until, vOff } = unfolded;
  const out = new Float64Array(2);
  for (let n = 0; n < count; n++) {
    const t = seconds[n] as number;
    const which = Math.floor((t - from) / pulse.period);
    const into = t - which * pulse.period;
    if (into > until) {
      firstCapacitorVolts[n] = runOff(pulse, vOff, into - until);
      continue;
    }
    let low = 0;
    let high = steps.length - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (into > (steps[middle] as Step)[1].t) low = middle + 1;
      else high = middle;
    }
    const step = steps[low] as Step;
    const [i, v] = onStep(step, Math.min(1, Math.max(0, (into - step[0].t) / (step[1].t - step[0].t))));
    chokeAmps[n] = Math.max(0, i);
    firstCapacitorVolts[n] = v;
    behind(pulse, windingVolts(pulse, into), i, out);
    const favoured = out[1] as number;
    if (pulse.pulses === 1) (plateAmps[0] as Float64Array)[n] = favoured;
    else {
      // The favoured path is the one whose half of the cycle it is.
      const half = Math.floor(t / pulse.period + 1e-12) % 2;
      (plateAmps[half] as Float64Array)[n] = favoured;
      (plateAmps[1 - half] as Float64Array)[n] = i - favoured;
    }
  }
  return { seconds, firstCapacitorVolts, chokeAmps, plateAmps };
}

/** Fourier lines of the first capacitor's ripple at the first `count` multiples of the pulse frequency. */
export function chokeRippleLines(
  problem: ChokeInputProblem,
  answer: ChokeInputAnswer,
  count = 6,
  limits: ChokeInputLimits = CHOKE_INPUT_LIMITS,
): readonly RippleLine[] {
  const unfolded = unfold(problem, answer, limits);
  const rate = (problem.circuit === "half-wave" ? 1 : 2) * problem.hertz;
  return Array.from({ length: count }, (_, n) => {
    const w = 2 * Math.PI * (n + 1) * rate;
    const line = { hertz: hertz((n + 1) * rate), real: 0, imaginary: 0 };
    if (unfolded === undefined) return line;
    let real = 0;
    let imaginary = 0;
    for (const step of unfolded.steps) {
      const [one, other] = step;
      const h = other.t - one.t;
      for (const [x, weight] of SIMPSON) {
        const share = weight * h * onStep(step, x)[0];
        real += share * Math.cos(w * (one.t + x * h));
        imaginary -= share * Math.sin(w * (one.t + x * h));
      }
    }
    const { pulse } = unfolded;
    const scale = 2 / pulse.period;
    const G = pulse.loadSiemens;
    const B = w * problem.farads;
    const square = (G * G + B * B) / scale;
    return { ...line, real: (real * G + imaginary * B) / square, imaginary: (imaginary * G - real * B) / square };
  });
}

const SIMPSON = [
  [0, 1 / 6],
  [0.5, 4 / 6],
  [1, 1 / 6],
] as const;
