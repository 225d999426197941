/**
 * A settled rectifier over one mains cycle, for plots, and the ripple of its first capacitor as lines, for hum.
 *
 * Law     During conduction v on the cubic through the Runge-Kutta ends and i = i(e - v); between pulses the exact decay.
 *         Lines: C dv/dt + G v = i - I gives V_k = I_k / (G + j k w C), and I_k needs the conduction alone.
 * Method  The answer's own turn-on and length, fired once more with finer steps; no new solve.
 * Limits  Both plates and both halves alike: no line at the mains frequency itself full-wave. Phases count from the
 *         upward zero crossing of the winding that feeds the first plate.
 */
import { hertz, type Hertz } from "../units/quantities.ts";
import type { RectifierAnswer } from "./answers.ts";
import type { RectifierProblem } from "./rectifier.ts";
import { fireWhole, openPulse, type Pulse, type PulseNode, voltsAfter, voltsOnPulse } from "./rectifier-pulse.ts";

export interface RectifierCycle {
  /** From the upward zero crossing of the winding, one mains cycle, equally spaced. */
  readonly seconds: Float64Array;
  readonly firstCapacitorVolts: Float64Array;
  /** One array per plate or per path of a bridge. */
  readonly plateAmps: readonly Float64Array[];
  /** Through the winding: of one half (the first plate's) with a centre tap; both ways in a bridge. */
  readonly windingAmps: Float64Array;
}

/** v(t) = mean + sum of real cos(w t) - imaginary sin(w t), peak volts. */
export interface RippleLine {
  readonly hertz: Hertz;
  readonly real: number;
  readonly imaginary: number;
}

const STEPS = 96;

interface Unfolded {
  readonly pulse: Pulse;
  readonly tOn: number;
  readonly length: number;
  /** Volts and amperes at a share s of the conduction. */
  readonly during: (s: number) => readonly [number, number];
  readonly vOff: number;
}

/** Undefined without a load: nothing flows and the capacitor stands at the peak. */
function unfold(problem: RectifierProblem, answer: RectifierAnswer): Unfolded | undefined {
  const pulse = openPulse(problem);
  const tOn = answer.start[0];
  const length = answer.start[1];
  if (tOn === undefined || length === undefined || answer.conductionDegrees === 0) return undefined;
  const { peak, omega } = pulse;
  const angleAt = (s: number) => omega * (tOn + length * s * s * (3 - 2 * s));
  if (answer.elementWatts.every((one) => one === 0) && answer.seriesWatts === 0) {
    // An ideal switch without resistance: the capacitor is the winding while it conducts.
    const during = (s: number): readonly [number, number] => {
      const v = peak * Math.sin(angleAt(s));
      const flow = problem.firstFarads * peak * omega * Math.cos(angleAt(s));
      return [v, Math.max(0, flow + pulse.constantAmps + pulse.loadSiemens * v)];
    };
    return { pulse, tOn, length, during, vOff: during(1)[0] };
  }
  const stages = Math.max(STEPS, Math.ceil(answer.effort.lawCalls / (4 * (answer.effort.steps + 1))));
  const { nodes } = fireWhole(pulse, tOn, length, stages);
  const out = new Float64Array(2);
  const during = (s: number): readonly [number, number] => {
    const [v] = voltsOnPulse(nodes, s);
    pulse.current(peak * Math.sin(angleAt(s)) - v, out);
    return [v, out[0] as number];
  };
  return { pulse, tOn, length, during, vOff: (nodes.at(-1) as PulseNode).volts };
}

/** Share s of the conduction at which a share q of its time is over: 3 s^2 - 2 s^3 = q. */
const shareAt = (q: number): number => 0.5 - Math.sin(Math.asin(1 - 2 * Math.min(1, Math.max(0, q))) / 3);

/** One mains cycle of a settled answer at `samples` equally spaced times. */
export function rectifierCycle(problem: RectifierProblem, answer: RectifierAnswer, samples: number): RectifierCycle {
  const count = Math.max(2, Math.floor(samples));
  const cycle = 1 / problem.hertz;
  const seconds = Float64Array.from({ length: count }, (_, n) => (n * cycle) / count);
  const firstCapacitorVolts = new Float64Array(count).fill(answer.dcVolts);
  const windingAmps = new Float64Array(count);
  const plateAmps = Array.from({ length: problem.circuit === "half-wave" ? 1 : 2 }, () => new Float64Array(count));
  const unfolded = unfold(problem, answer);
  if (unfolded === undefined) return { seconds, firstCapacitorVolts, plateAmps, windingAmps };
  const { pulse, tOn, length, during, vOff } = unfolded;
  for (let n = 0; n < count; n++) {
    // Pulses since the first turn-on of the cycle; before it the last of the cycle before is decaying.
    const since = (seconds[n] as number) - tOn;
    const which = Math.floor(since / pulse.period);
    const into = since - which * pulse.period;
    if (into > length) {
      firstCapacitorVolts[n] = voltsAfter(pulse, vOff, into - length);
      continue;
    }
    const [v, i] = during(shareAt(into / length));
    firstCapacitorVolts[n] = v;
    const plate = (which + pulse.pulses) % pulse.pulses;
    (plateAmps[plate] as Float64Array)[n] = i;
    if (plate === 0) windingAmps[n] = i;
    else if (problem.circuit === "bridge") windingAmps[n] = -i;
  }
  return { seconds, firstCapacitorVolts, plateAmps, windingAmps };
}

/** Fourier lines of the first capacitor's ripple at the first `count` multiples of the pulse frequency. */
export function rippleLines(problem: RectifierProblem, answer: RectifierAnswer, count = 6): readonly RippleLine[] {
  const unfolded = unfold(problem, answer);
  const rate = (problem.circuit === "half-wave" ? 1 : 2) * problem.hertz;
  const lines = Array.from({ length: count }, (_, n) => ({ hertz: hertz((n + 1) * rate), real: 0, imaginary: 0 }));
  if (unfolded === undefined) return lines;
  const { pulse, tOn, length, during } = unfolded;
  const panels = 4 * STEPS;
  const samples = Array.from({ length: panels + 1 }, (_, n) => {
    const s = n / panels;
    // Simpson's rule; its ends vanish with s (1 - s).
    const weight = (n % 2 === 1 ? 4 : 2) / (3 * panels);
    return { at: tOn + length * s * s * (3 - 2 * s), charge: weight * length * 6 * s * (1 - s) * during(s)[1] };
  });
  return lines.map((line) => {
    const w = 2 * Math.PI * line.hertz;
    let real = 0;
    let imaginary = 0;
    for (const { at, charge } of samples) {
      real += (2 / pulse.period) * charge * Math.cos(w * at);
      imaginary -= (2 / pulse.period) * charge * Math.sin(w * at);
    }
    const G = pulse.loadSiemens;
    const B = w * problem.firstFarads;
    const square = G * G + B * B;
    return { ...line, real: (real * G + imaginary * B) / square, imaginary: (imaginary * G - real * B) / square };
  });
}
