/**
 * An ideal switch without series resistance: the capacitor follows the sine while it conducts.
 *
 * Law     While on, v = e and i = C de/dt + load. Off when i falls to zero, on again where the decaying capacitor meets
 *         the next half-sine; the current then jumps. Resistive load: tan(phi) = 1/(w C R) after the crest.
 * Method  Closed form for the ends, one bracketed root for the meeting, Simpson's rule for the rms of a smooth pulse.
 */
import { findRoot } from "../numerics/roots.ts";
import { fail, ok, type Result } from "../result.ts";
import { lawElements } from "../tubes/diode-series.ts";
import { amps, ohms, volts, watts } from "../units/quantities.ts";
import type { RectifierAnswer } from "./answers.ts";
import type { RectifierFailure, RectifierProblem } from "./rectifier.ts";

export function solveIdealSwitch(problem: RectifierProblem): Result<RectifierAnswer, RectifierFailure> {
  const solved = figures(problem);
  if (!solved.ok) return solved;
  const { load } = problem;
  const mean = solved.value.dcVolts;
  // Slope by a one per mille change of load: the closed form is exact, so the difference is clean.
  const idc = "amps" in load ? load.amps : mean / load.ohms;
  const heavier = figures({
    ...problem,
    load: "amps" in load ? { amps: load.amps * 1.001 } : { ohms: load.ohms / 1.001 },
  });
  if (!heavier.ok) return heavier;
  const idcHeavier = "amps" in load ? load.amps * 1.001 : (heavier.value.dcVolts * 1.001) / load.ohms;
  return ok({ ...solved.value, slopeOhms: ohms((heavier.value.dcVolts - mean) / (idcHeavier - idc)) });
}

function figures(problem: RectifierProblem): Result<RectifierAnswer, RectifierFailure> {
  const E = problem.rmsVolts * Math.SQRT2;
  const w = 2 * Math.PI * problem.hertz;
  const C = problem.firstFarads;
  const pulses = problem.circuit === "half-wave" ? 1 : 2;
  const period = (2 * Math.PI) / pulses;
  const load = problem.load;
  const drawn = (v: number) => ("amps" in load ? load.amps : v / load.ohms);
  // Angles from the crest of the half-sine that conducts: v = E cos(x).
  const current = (x: number) => -w * C * E * Math.sin(x) + drawn(E * Math.cos(x));
  const offAngle =
    "amps" in load ? Math.asin(Math.min(1, load.amps / (w * C * E))) : Math.atan(1 / (w * C * load.ohms));
  const vOff = E * Math.cos(offAngle);
  const after = (x: number) =>
    "amps" in load
      ? vOff - (load.amps * (x - offAngle)) / (w * C)
      : vOff * Math.exp(-(x - offAngle) / (w * C * load.ohms));
  const meets = findRoot((x) => E * Math.cos(x - period) - after(x), period - Math.PI / 2, period, 1e-14);
  if (!meets.ok) return fail({ kind: "load-too-heavy", dcAmps: drawn(E) });
  const on = meets.value.x - period;
  if (after(meets.value.x) < 0) return fail({ kind: "load-too-heavy", dcAmps: drawn(E) });
  const off = meets.value.x - offAngle;
  const areaOff =
    "amps" in load
      ? vOff * off - (load.amps * off * off) / (2 * w * C)
      : (vOff - after(meets.value.x)) * w * C * load.ohms;
  const areaOn = E * (Math.sin(offAngle) - Math.sin(on));
  const mean = (areaOn + areaOff) / period;
  const panels = 400;
  const h = (offAngle - on) / panels;
  let squares = 0;
  let given = 0;
  let taken = 0;
  for (let n = 0; n <= panels; n++) {
    const x = on + n * h;
    const weight = ((n === 0 || n === panels ? 1 : n % 2 === 1 ? 4 : 2) * h) / 3;
    const v = E * Math.cos(x);
    squares += weight * current(x) ** 2;
    given += weight * v * current(x);
    taken += weight * v * drawn(v);
  }
  const vOn = after(meets.value.x);
  taken += "amps" in load ? load.amps * areaOff : ((vOff * vOff - vOn * vOn) * w * C) / 2;
  const loadMean = "amps" in load ? load.amps : mean / load.ohms;
  const charge =
    w * C * E * (Math.cos(offAngle) - Math.cos(on)) +
    ("amps" in load ? load.amps * (offAngle - on) : areaOn / load.ohms);
  // While on, C de/dt alone flows into the capacitor; while off, the load's current flows out of it.
  const swing = (E * w * C) ** 2 * ((offAngle - on) / 2 - (Math.sin(2 * offAngle) - Math.sin(2 * on)) / 4);
  const drain = "amps" in load ? load.amps ** 2 * off : ((vOff * vOff - vOn * vOn) * w * C) / (2 * load.ohms);
  const pathRms = Math.sqrt(squares / (2 * Math.PI));
  // The jump at turn-on is the peak unless the smooth maximum comes later.
  const crest = "ohms" in load ? -Math.atan(w * C * load.ohms) : -Math.PI / 2;
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
      capacitorMeanAmps: amps(charge / period - loadMean),
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
