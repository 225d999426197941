/**
 * An ideal switch without series resistance: the capacitor follows the sine while it conducts.
 *
 * Law     While on, v = e and i = C de/dt + load. Off when i falls to zero, on again where the decaying capacitor meets
 *         the next half-sine; the current then jumps. Load I + G v: phi = atan(G/(w C)) + asin(I/(E |G + j w C|)) after the crest.
 * Method  Closed form for the ends, one bracketed root for the meeting, Simpson's rule for the rms of a smooth pulse.
 */
import { findRoot } from "../numerics/roots.ts";
import { fail, ok, type Result } from "../result.ts";
import { lawElements } from "../tubes/diode-series.ts";
import { amps, ohms, volts, watts } from "../units/quantities.ts";
import type { RectifierAnswer } from "./answers.ts";
import type { RectifierFailure, RectifierProblem } from "./rectifier.ts";

/** The load at the capacitor: a constant current, a conductance, or (for the slope) both. */
interface Load {
  readonly amps: number;
  readonly siemens: number;
}

export function solveIdealSwitch(problem: RectifierProblem): Result<RectifierAnswer, RectifierFailure> {
  const { load } = problem;
  const amps = "amps" in load ? load.amps : 0;
  const siemens = "ohms" in load ? 1 / load.ohms : 0;
  const solved = figures(problem, { amps, siemens });
  if (!solved.ok) return solved;
  // One per mille more and less is drawn beside the load: the closed form is exact, so the difference is clean.
  const step = 1e-3 * (amps + siemens * solved.value.dcVolts);
  const heavier = figures(problem, { amps: amps + step, siemens });
  if (!heavier.ok) return heavier;
  const lighter = figures(problem, { amps: amps - step, siemens });
  if (!lighter.ok) return lighter;
  return ok({ ...solved.value, slopeOhms: ohms((heavier.value.dcVolts - lighter.value.dcVolts) / (2 * step)) });
}

function figures(problem: RectifierProblem, load: Load): Result<RectifierAnswer, RectifierFailure> {
  const E = problem.rmsVolts * Math.SQRT2;
  const w = 2 * Math.PI * problem.hertz;
  const pulses = problem.circuit === "half-wave" ? 1 : 2;
  const period = (2 * Math.PI) / pulses;
  /** Siemens of the capacitor: amperes per volt and radian. */
  const wC = w * problem.firstFarads;
  const drawn = (v: number) => load.amps + load.siemens * v;
  // Angles from the crest of the half-sine that conducts: v = E cos(x).
  const current = (x: number) => -wC * E * Math.sin(x) + drawn(E * Math.cos(x));
  const offAngle =
    Math.atan2(load.siemens, wC) + Math.asin(Math.min(1, load.amps / (E * Math.hypot(load.siemens, wC))));
  const vOff = E * Math.cos(offAngle);
  const after = (x: number) => {
    const decay = ((x - offAngle) * load.siemens) / wC;
    // (1 - exp(-decay))/decay, 1 without a conductance.
    const share = decay === 0 ? 1 : -Math.expm1(-decay) / decay;
    return vOff * Math.exp(-decay) - (load.amps * (x - offAngle) * share) / wC;
  };
  const meets = findRoot((x) => E * Math.cos(x - period) - after(x), period - Math.PI / 2, period, 1e-14);
  if (!meets.ok) return fail({ kind: "load-too-heavy", dcAmps: drawn(E) });
  const on = meets.value.x - period;
  const vOn = after(meets.value.x);
  if (vOn < 0) return fail({ kind: "load-too-heavy", dcAmps: drawn(E) });
  const off = meets.value.x - offAngle;
  // What the capacitor loses is what the load takes: charge, then energy.
  const lost = wC * (vOff - vOn);
  const spent = (wC * (vOff * vOff - vOn * vOn)) / 2;
  const areaOff =
    load.siemens === 0 ? vOff * off - (load.amps * off * off) / (2 * wC) : (lost - load.amps * off) / load.siemens;
  const areaOn = E * (Math.sin(offAngle) - Math.sin(on));
  const mean = (areaOn + areaOff) / period;
  const panels = 400;
  const h = (offAngle - on) / panels;
  let squares = 0;
  let given = 0;
  let taken = spent;
  for (let n = 0; n <= panels; n++) {
    const x = on + n * h;
    const weight = ((n === 0 || n === panels ? 1 : n % 2 === 1 ? 4 : 2) * h) / 3;
    const v = E * Math.cos(x);
    squares += weight * current(x) ** 2;
    given += weight * v * current(x);
    taken += weight * v * drawn(v);
  }
  const charge = wC * E * (Math.cos(offAngle) - Math.cos(on)) + load.amps * (offAngle - on) + load.siemens * areaOn;
  // While on, C de/dt alone flows into the capacitor; while off, the load's current flows out of it.
  const swing = (E * wC) ** 2 * ((offAngle - on) / 2 - (Math.sin(2 * offAngle) - Math.sin(2 * on)) / 4);
  const drain = load.siemens * spent + load.amps * lost;
  const pathRms = Math.sqrt(squares / (2 * Math.PI));
  // The jump at turn-on is the peak unless the smooth maximum comes later.
  const crest = -Math.atan2(wC, load.siemens);
  const peak = on < crest && crest < offAngle ? current(crest) : current(on);
  return ok({
    dcVolts: volts(mean),
    ripplePeakToPeakVolts: volts(E - E * Math.cos(on)),
    platePeakAmps: amps(peak),
    plateRmsAmps: amps(pathRms),
    windingRmsAmps: amps(problem.circuit === "bridge" ? Math.SQRT2 * pathRms : pathRms),
    capacitorRmsAmps: amps(Math.sqrt((swing + drain) / period)),
    rectifierWatts: watts(0),
    elementWatts: lawElements(problem.law).map(() => watts(0)),
    seriesWatts: watts(0),
    balance: {
      windingWatts: watts(given / period),
      heatWatts: watts(0),
      loadWatts: watts(taken / period),
      capacitorMeanAmps: amps(charge / period - drawn(mean)),
    },
    peakInverseVolts: volts(
      problem.circuit === "bridge" ? E : problem.circuit === "full-wave" ? 2 * E : E + after(Math.PI),
    ),
    conductionDegrees: ((offAngle - on) * 180) / Math.PI,
    slopeOhms: ohms(0),
    effort: { steps: meets.value.evaluations, factorings: 0, lawCalls: 0, residual: Math.abs(meets.value.residual) },
    start: Float64Array.of((on + Math.PI / 2) / w, (offAngle - on) / w),
  });
}
