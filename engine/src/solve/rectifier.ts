/**
 * Steady state of winding, rectifier and first capacitor under a load: volts, ripple, plate currents and the slope.
 *
 * Law     One pulse per period P (half a mains cycle full-wave, a whole one half-wave): C dv/dt = i(u) - load(v) while
 *         u = e(t) - v > 0, where i follows from u = vd(i) + Rs i; between pulses the capacitor feeds the load alone.
 * Method  Event form. Unknowns are the turn-on time and the length L of conduction, v(tOn) = e(tOn) by definition;
 *         t = tOn + L (3 s^2 - 2 s^3) removes the roots at both ends, so that equal Runge-Kutta steps in s keep their
 *         order; the off interval is exact. Residuals u(tOff) = 0 and v one period later; exact tangents carried along.
 *         Guess: the large-capacitor closed form with the tube's resistance at its own peak, moved by half the droop.
 *         The whole pulse of the answer (rectifier-answer.ts) checks the last step of the shooting.
 * Limits  Both plates and both halves of the winding are alike. The load is a constant current or a resistance at the first
 *         capacitor; what follows it is ordinary circuit. An ideal switch without series resistance has its own closed form
 *         (rectifier-ideal.ts).
 * Sources docs/rectifiers.md; closed forms checked in checks/rectifier.test.ts.
 */
import { fail, ok, type Result } from "../result.ts";
import { simplifyLaw } from "../tubes/diode-series.ts";
import type { RectifierLaw } from "../tubes/law.ts";
import { amps, volts, watts } from "../units/quantities.ts";
import type { RectifierAnswer } from "./answers.ts";
import { describePulse } from "./rectifier-answer.ts";
import { closedFormGuess } from "./rectifier-guess.ts";
import { solveIdealSwitch } from "./rectifier-ideal.ts";
import { fire, openPulse, type Pulse, type Shot, stagesFor } from "./rectifier-pulse.ts";

/** "full-wave": a centre-tapped winding, one plate to each half. "bridge": one winding, two diodes in every path. */
export type RectifierCircuit = "full-wave" | "half-wave" | "bridge";

export interface RectifierProblem {
  /** rms, unloaded: of one half of a centre-tapped winding, of the whole winding otherwise. */
  readonly rmsVolts: number;
  readonly hertz: number;
  /** Everything in series with one plate: half winding, reflected primary, added resistors. Bridge: the whole winding. */
  readonly seriesOhms: number;
  readonly firstFarads: number;
  readonly circuit: RectifierCircuit;
  /** Of one path from winding to capacitor; for a bridge both its diodes (bridgePath in tubes/diode-series.ts). */
  readonly law: RectifierLaw;
  readonly load: { readonly amps: number } | { readonly ohms: number };
}

export type RectifierFailure =
  | { readonly kind: "bad-input"; readonly field: string; readonly given: number; readonly need: string }
  | { readonly kind: "load-too-heavy"; readonly dcAmps: number }
  | { readonly kind: "not-settled"; readonly steps: number; readonly residualVolts: number };

export interface RectifierSolveLimits {
  readonly residualVolts: number;
  readonly shots: number;
  /** Runge-Kutta steps over one conduction, at least. */
  readonly stages: number;
}
export const RECTIFIER_LIMITS: RectifierSolveLimits = { residualVolts: 1e-7, shots: 60, stages: 16 };

/** Of the first guess's half-angle, in the order they are tried. */
const SCALES = [1, 1.25, 0.8, 1.6, 0.6];

/** Below this residual the next Newton step is taken unfired and left to the answer's own check. */
const PREDICTED_VOLTS = 1e-3;

/** A time constant of resistance and capacitor below which there is no resistance: it would drop a few millivolts. */
const NO_RESISTANCE_SECONDS = 1e-7;

/** A load that takes this many times what the capacitor holds, from pulse to pulse: it empties at every crossing. */
const HOPELESS = 50;

/** The sentence of a failure. */
export function rectifierSentence(failure: RectifierFailure): string {
  switch (failure.kind) {
    case "bad-input":
      return `The rectifier's ${failure.field} is ${failure.given}; it must be ${failure.need}.`;
    case "load-too-heavy":
      return `The load of ${Number(failure.dcAmps.toPrecision(3))} A is more than winding and rectifier can give, or pulls the first capacitor to zero between pulses; less load, less resistance or a larger capacitor is needed.`;
    case "not-settled":
      return `The rectifier did not settle in ${failure.steps} shots (${failure.residualVolts} V left); nothing is shown for it.`;
  }
}

/** Solves the steady state. `start` is an earlier answer's, for a warm start. */
export function solveRectifier(
  problem: RectifierProblem,
  options: { readonly start?: Float64Array; readonly limits?: RectifierSolveLimits } = {},
): Result<RectifierAnswer, RectifierFailure> {
  const bad = badInput(problem);
  if (bad !== undefined) return fail(bad);
  const limits = options.limits ?? RECTIFIER_LIMITS;
  if ("amps" in problem.load && problem.load.amps === 0) return unloaded(problem, limits);
  if (simplifyLaw(problem.law).form === "ideal" && problem.seriesOhms * problem.firstFarads < NO_RESISTANCE_SECONDS)
    return solveIdealSwitch(problem);
  const pulse = openPulse(problem);
  // Shots at such a capacitor would take millions of steps to say the same.
  if (pulse.constantAmps * pulse.period > HOPELESS * pulse.peak * problem.firstFarads)
    return fail({ kind: "load-too-heavy", dcAmps: pulse.constantAmps });
  if (problem.seriesOhms > 0 && problem.seriesOhms * problem.firstFarads < NO_RESISTANCE_SECONDS)
    return fail({
      kind: "bad-input",
      field: "first capacitor",
      given: problem.firstFarads,
      need: `above ${Number((NO_RESISTANCE_SECONDS / problem.seriesOhms).toPrecision(2))} F, as it would else follow the winding`,
    });
  const { start } = options;
  const warm = start !== undefined && start.length === 2;
  let steps = 0;
  let worst = Infinity;
  // A warm start first, then the half-angle of the closed form as it is, then scaled.
  for (const scale of warm ? [0, ...SCALES] : SCALES) {
    let from = scale === 0 && warm ? start : closedFormGuess(problem, scale);
    // The last step of a shoot is not fired again: the whole pulse of the answer is its check. One that fails goes on.
    for (const exact of [false, true]) {
      const shot = shoot(pulse, from, limits, exact);
      steps += shot.shots;
      worst = Math.min(worst, shot.residual);
      if (!shot.settled) break;
      const answer = describePulse(pulse, shot.tOn, shot.length, steps, limits);
      if (exact || answer.effort.residual <= limits.residualVolts) return ok(answer);
      from = answer.start;
    }
  }
  // More than an empty capacitor would be charged with, or than a full one holds from pulse to pulse.
  if (pulse.constantAmps > mostAmps(pulse) || pulse.constantAmps * pulse.period > pulse.peak * problem.firstFarads)
    return fail({ kind: "load-too-heavy", dcAmps: pulse.constantAmps });
  return fail({ kind: "not-settled", steps, residualVolts: worst });
}

/** Mean current into a capacitor held at 0 V: at any other voltage less flows, so no constant load above it can last. */
function mostAmps({ peak, pulses, current }: Pulse): number {
  const out = new Float64Array(2);
  const points = 200;
  let sum = 0;
  for (let n = 0; n < points; n++) {
    current(peak * Math.sin((Math.PI * (n + 0.5)) / points), out);
    sum += out[0] as number;
  }
  return (sum / points) * (pulses / 2);
}

function badInput(problem: RectifierProblem): RectifierFailure | undefined {
  const positive = { rmsVolts: problem.rmsVolts, hertz: problem.hertz, firstFarads: problem.firstFarads };
  for (const [field, given] of Object.entries(positive))
    if (!(given > 0 && given < Infinity)) return { kind: "bad-input", field, given, need: "finite and above 0" };
  if (!(problem.seriesOhms >= 0 && problem.seriesOhms < Infinity))
    return { kind: "bad-input", field: "seriesOhms", given: problem.seriesOhms, need: "finite and not negative" };
  if ("amps" in problem.load && !(problem.load.amps >= 0 && problem.load.amps < Infinity))
    return { kind: "bad-input", field: "load amps", given: problem.load.amps, need: "finite and not negative" };
  if ("ohms" in problem.load && !(problem.load.ohms > 0))
    return { kind: "bad-input", field: "load ohms", given: problem.load.ohms, need: "above 0" };
  return undefined;
}

/** No load: the capacitor stands at the peak; the slope is that of a microampere. */
function unloaded(problem: RectifierProblem, limits: RectifierSolveLimits): Result<RectifierAnswer, RectifierFailure> {
  const peak = problem.rmsVolts * Math.SQRT2;
  const trickle = solveRectifier({ ...problem, load: { amps: 1e-5 } }, { limits });
  if (!trickle.ok) return trickle;
  return ok({
    ...trickle.value,
    dcVolts: volts(peak),
    ripplePeakToPeakVolts: volts(0),
    platePeakAmps: amps(0),
    plateRmsAmps: amps(0),
    windingRmsAmps: amps(0),
    capacitorRmsAmps: amps(0),
    rectifierWatts: watts(0),
    elementWatts: trickle.value.elementWatts.map(() => watts(0)),
    seriesWatts: watts(0),
    balance: { windingWatts: watts(0), heatWatts: watts(0), loadWatts: watts(0), capacitorMeanAmps: amps(0) },
    peakInverseVolts: volts(problem.circuit === "bridge" ? peak : 2 * peak),
    conductionDegrees: 0,
  });
}

function shoot(
  pulse: Pulse,
  guess: Float64Array,
  limits: RectifierSolveLimits,
  exact: boolean,
): { settled: boolean; tOn: number; length: number; shots: number; residual: number } {
  const quarter = Math.PI / 2 / pulse.omega;
  let tOn = guess[0] as number;
  let length = guess[1] as number;
  const size = (shot: Shot) => Math.max(Math.abs(shot.residual[0]), Math.abs(shot.residual[1]));
  const fireAt = (t: number, L: number) => fire(pulse, t, L, stagesFor(pulse, L, t, limits));
  let shot = fireAt(tOn, length);
  let shots = 1;
  while (shots < limits.shots) {
    const residual = size(shot);
    if (!Number.isFinite(residual)) return { settled: false, tOn, length, shots, residual: Infinity };
    if (residual <= limits.residualVolts) return { settled: true, tOn, length, shots, residual };
    const [a, c] = shot.byOn;
    const [b, d] = shot.byLength;
    const determinant = a * d - b * c;
    const [r0, r1] = shot.residual;
    let dt = -(d * r0 - b * r1) / determinant;
    let dL = -(a * r1 - c * r0) / determinant;
    if (!Number.isFinite(dt) || !Number.isFinite(dL)) return { settled: false, tOn, length, shots, residual };
    // Newton squares the relative error: from a millivolt the next residual is below a nanovolt.
    if (!exact && residual < PREDICTED_VOLTS)
      return { settled: true, tOn: tOn + dt, length: length + dL, shots, residual };
    // Stay on the rising quarter, end after the crest and before the sine is back at zero.
    let fraction = 1;
    const legal = (f: number) => {
      const t = tOn + f * dt;
      const L = length + f * dL;
      return t > -1e-12 && t < quarter && L > 0.02 * length && t + L < 2 * quarter + 1e-12;
    };
    while (!legal(fraction) && fraction > 1e-6) fraction /= 1.5;
    let next = fireAt(tOn + fraction * dt, length + fraction * dL);
    shots++;
    while (!(size(next) < residual * (1 - 1e-4 * fraction)) && fraction > 1e-3 && shots < limits.shots) {
      fraction /= 2.5;
      next = fireAt(tOn + fraction * dt, length + fraction * dL);
      shots++;
    }
    if (!(size(next) < residual)) {
      // At rounding, or stuck.
      if (residual < 1e-6) return { settled: true, tOn, length, shots, residual };
      return { settled: false, tOn, length, shots, residual };
    }
    dt *= fraction;
    dL *= fraction;
    tOn += dt;
    length += dL;
    shot = next;
  }
  return { settled: false, tOn, length, shots, residual: size(shot) };
}
