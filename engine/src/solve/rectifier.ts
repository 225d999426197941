/**
 * Steady state of winding, rectifier and first capacitor under a load: volts, ripple, plate currents and the slope.
 *
 * Law     One pulse per period P (half a mains cycle full-wave, a whole one half-wave): C dv/dt = i(u) - load(v) while
 *         u = e(t) - v > 0, where i follows from u = vd(i) + Rs i; between pulses the capacitor feeds the load alone.
 * Method  Event form. Unknowns are the turn-on time and the length L of conduction, v(tOn) = e(tOn) by definition;
 *         t = tOn + L (3 s^2 - 2 s^3) removes the roots at both ends, so that equal Runge-Kutta steps in s keep their
 *         order; the off interval is exact. Residuals u(tOff) = 0 and v one period later; exact tangents carried along.
 *         Guess: the large-capacitor closed form with the tube's resistance at its own peak.
 * Limits  The load is a constant current or a resistance at the first capacitor; what follows it is ordinary circuit.
 *         An ideal switch without series resistance has its own closed form (rectifier-ideal.ts).
 * Sources docs/supply.md; closed forms checked in checks/rectifier.test.ts.
 */
import { fail, ok, type Result } from "../result.ts";
import type { RectifierLaw } from "../tubes/law.ts";
import { amps, ohms, volts } from "../units/quantities.ts";
import type { RectifierAnswer } from "./answers.ts";
import { solveIdealSwitch } from "./rectifier-ideal.ts";

export interface RectifierProblem {
  /** rms of one half of the winding, unloaded. */
  readonly rmsVolts: number;
  readonly hertz: number;
  /** Everything in series with one plate: half winding, reflected primary, added resistors. */
  readonly seriesOhms: number;
  readonly firstFarads: number;
  readonly circuit: "full-wave" | "half-wave";
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

/** The sentence of a failure. */
export function rectifierSentence(failure: RectifierFailure): string {
  switch (failure.kind) {
    case "bad-input":
      return `The rectifier's ${failure.field} is ${failure.given}; it must be ${failure.need}.`;
    case "load-too-heavy":
      return `The load of ${failure.dcAmps} A pulls the first capacitor to zero between pulses; less load or a larger capacitor is needed.`;
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
  if (problem.law.form === "ideal" && problem.seriesOhms === 0) return solveIdealSwitch(problem);
  const pulse = openPulse(problem);
  const guesses = [
    ...(options.start !== undefined && options.start.length === 2 ? [options.start] : []),
    ...[1, 1.25, 0.8, 1.6, 0.6].map((scale) => closedFormGuess(problem, scale)),
  ];
  let steps = 0;
  let worst = Infinity;
  for (const guess of guesses) {
    const shot = shoot(pulse, guess, limits);
    steps += shot.shots;
    if (shot.settled) return ok(describe(pulse, shot.tOn, shot.length, steps, limits));
    worst = Math.min(worst, shot.residual);
  }
  const mean = "amps" in problem.load ? problem.load.amps : (problem.rmsVolts * Math.SQRT2) / problem.load.ohms;
  const period = pulse.period;
  if ("amps" in problem.load && (mean * period) / problem.firstFarads > problem.rmsVolts * Math.SQRT2)
    return fail({ kind: "load-too-heavy", dcAmps: mean });
  return fail({ kind: "not-settled", steps, residualVolts: worst });
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
    peakInverseVolts: volts(2 * peak),
    conductionDegrees: 0,
  });
}

interface Pulse {
  readonly problem: RectifierProblem;
  readonly peak: number;
  readonly omega: number;
  readonly period: number;
  readonly constantAmps: number;
  readonly loadSiemens: number;
  /** Writes i(u) and di/du into out. */
  readonly current: (u: number, out: Float64Array) => void;
}

function openPulse(problem: RectifierProblem): Pulse {
  return {
    problem,
    peak: problem.rmsVolts * Math.SQRT2,
    omega: 2 * Math.PI * problem.hertz,
    period: (problem.circuit === "full-wave" ? 0.5 : 1) / problem.hertz,
    constantAmps: "amps" in problem.load ? problem.load.amps : 0,
    loadSiemens: "ohms" in problem.load ? 1 / problem.load.ohms : 0,
    current: seriesCurrent(problem.law, problem.seriesOhms),
  };
}

/** Current through the rectifier and its series resistance at u volts, with slope; zero for u <= 0. */
export function seriesCurrent(law: RectifierLaw, seriesOhms: number): (u: number, out: Float64Array) => void {
  if (law.form === "ideal") {
    return (u, out) => {
      out[0] = u > 0 ? u / seriesOhms : 0;
      out[1] = u > 0 ? 1 / seriesOhms : 0;
    };
  }
  if (law.form === "power") {
    const { K, p } = law;
    // The last drop is a good guess for the next step's.
    let lastU = 0;
    let lastVd = 0;
    return (u, out) => {
      if (!(u > 0)) {
        out[0] = out[1] = 0;
        return;
      }
      // vd + Rs K vd^p = u is rising and convex in vd: one Newton step from anywhere lands above the root, then it only falls.
      let vd =
        lastU > 0.5 * u && lastU < 2 * u
          ? lastVd
          : Math.min(u, Math.exp(Math.log(u / Math.max(seriesOhms * K, 1e-300)) / p));
      let i = 0;
      let slope = 0;
      for (let n = 0; n < 40; n++) {
        i = K * Math.exp(p * Math.log(vd));
        slope = (p * i) / vd;
        const step = (vd + seriesOhms * i - u) / (1 + seriesOhms * slope);
        vd = Math.max(vd - step, vd * 1e-3);
        // Quadratic: a step of 1e-8 leaves an error of 1e-16.
        if (Math.abs(step) <= 1e-8 * vd) break;
      }
      i = K * Math.exp(p * Math.log(vd));
      slope = (p * i) / vd;
      lastU = u;
      lastVd = vd;
      out[0] = i;
      out[1] = slope / (1 + seriesOhms * slope);
    };
  }
  const { Is, nVt } = law;
  return (u, out) => {
    if (!(u > 0)) {
      out[0] = out[1] = 0;
      return;
    }
    // In y = ln(1 + i/Is): nVt y + Rs Is (e^y - 1) = u, again rising and convex.
    let y = Math.min(u / nVt, Math.log1p(u / Math.max(seriesOhms * Is, 1e-300)));
    for (let n = 0; n < 60; n++) {
      const grown = Is * Math.exp(y);
      const step = (nVt * y + seriesOhms * (grown - Is) - u) / (nVt + seriesOhms * grown);
      y -= step;
      if (Math.abs(step) <= 1e-14 * (1 + y)) break;
    }
    const grown = Is * Math.exp(y);
    out[0] = grown - Is;
    out[1] = 1 / (nVt / grown + seriesOhms);
  };
}

/** Turn-on time and length from the large-capacitor closed form, the half-angle scaled. */
function closedFormGuess(problem: RectifierProblem, scale: number): Float64Array {
  const peak = problem.rmsVolts * Math.SQRT2;
  const pulses = problem.circuit === "full-wave" ? 2 : 1;
  let theta = 0.5;
  for (let pass = 0; pass < 8; pass++) {
    const dc = peak * Math.cos(theta);
    const idc = "amps" in problem.load ? problem.load.amps : dc / problem.load.ohms;
    const pulsePeak = (idc * Math.PI * 2) / (pulses * theta * (4 / 3));
    const resistance = problem.seriesOhms + tubeDrop(problem.law, pulsePeak) / pulsePeak;
    const wanted = (Math.PI * resistance * idc) / (pulses * Math.max(dc, peak * 0.05));
    theta = halfAngle(wanted);
  }
  theta = Math.min(1.45, theta * scale);
  const omega = 2 * Math.PI * problem.hertz;
  return Float64Array.of((Math.PI / 2 - theta) / omega, (2 * theta) / omega);
}

/** Solves tan(theta) - theta = x. */
function halfAngle(x: number): number {
  let theta = Math.min(1.4, Math.cbrt(3 * x));
  for (let n = 0; n < 50; n++) {
    const t = Math.tan(theta);
    const step = (t - theta - x) / (t * t);
    theta = Math.max(theta / 3, Math.min((theta + Math.PI / 2) / 2, theta - step));
    if (Math.abs(step) < 1e-13) break;
  }
  return theta;
}

function tubeDrop(law: RectifierLaw, current: number): number {
  switch (law.form) {
    case "ideal":
      return 0;
    case "power":
      return (current / law.K) ** (1 / law.p);
    case "exponential":
      return law.nVt * Math.log1p(current / law.Is);
  }
}

/** State carried over one conduction: v and tangents (to tOn, L, load), integral of v and tangents, integral of i^2. */
const WIDTH = 9;

interface Shot {
  readonly state: Float64Array;
  /** u at the end, v one period later minus v at turn-on; and their tangents to tOn, L, load. */
  readonly residual: readonly [number, number];
  readonly tangent: readonly number[];
}

function stagesFor(pulse: Pulse, length: number, tOn: number, limits: RectifierSolveLimits): number {
  const out = new Float64Array(2);
  const crest = pulse.peak - pulse.peak * Math.sin(pulse.omega * tOn);
  pulse.current(Math.max(1e-6, crest), out);
  const stiffness = (length * (out[1] as number)) / pulse.problem.firstFarads;
  return Math.min(6000, Math.max(limits.stages, Math.ceil(1.2 * stiffness)));
}

function fire(
  pulse: Pulse,
  tOn: number,
  length: number,
  stages: number,
  visit?: (s: number, v: number, slope: number) => void,
): Shot {
  const { peak, omega, period, constantAmps, loadSiemens, problem } = pulse;
  const C = problem.firstFarads;
  const start = peak * Math.sin(omega * tOn);
  const startSlope = peak * omega * Math.cos(omega * tOn);
  const y = new Float64Array(WIDTH);
  y[0] = start;
  y[1] = startSlope;
  const k1 = new Float64Array(WIDTH);
  const k2 = new Float64Array(WIDTH);
  const k3 = new Float64Array(WIDTH);
  const k4 = new Float64Array(WIDTH);
  const z = new Float64Array(WIDTH);
  const out = new Float64Array(2);
  const rate = (s: number, at: Float64Array, k: Float64Array) => {
    const q = s * s * (3 - 2 * s);
    const dq = 6 * s * (1 - s);
    const t = tOn + length * q;
    const angle = omega * t;
    const u = peak * Math.sin(angle) - (at[0] as number);
    pulse.current(u, out);
    const i = out[0] as number;
    const g = out[1] as number;
    const f = (i - constantAmps - loadSiemens * (at[0] as number)) / C;
    const ft = (g * peak * omega * Math.cos(angle)) / C;
    const fv = -(g + loadSiemens) / C;
    const w = length * dq;
    k[0] = w * f;
    k[1] = w * (fv * (at[1] as number) + ft);
    k[2] = w * (fv * (at[2] as number) + ft * q) + dq * f;
    k[3] = w * (fv * (at[3] as number) - 1 / C);
    k[4] = w * (at[0] as number);
    k[5] = w * (at[1] as number);
    k[6] = w * (at[2] as number) + dq * (at[0] as number);
    k[7] = w * (at[3] as number);
    k[8] = w * i * i;
  };
  const h = 1 / stages;
  for (let n = 0; n < stages; n++) {
    const s = n * h;
    rate(s, y, k1);
    visit?.(s, y[0] as number, k1[0] as number);
    for (let j = 0; j < WIDTH; j++) z[j] = (y[j] as number) + (h / 2) * (k1[j] as number);
    rate(s + h / 2, z, k2);
    for (let j = 0; j < WIDTH; j++) z[j] = (y[j] as number) + (h / 2) * (k2[j] as number);
    rate(s + h / 2, z, k3);
    for (let j = 0; j < WIDTH; j++) z[j] = (y[j] as number) + h * (k3[j] as number);
    rate(s + h, z, k4);
    for (let j = 0; j < WIDTH; j++)
      y[j] =
        (y[j] as number) +
        (h / 6) * ((k1[j] as number) + 2 * (k2[j] as number) + 2 * (k3[j] as number) + (k4[j] as number));
  }
  visit?.(1, y[0] as number, 0);
  const off = period - length;
  const tOff = tOn + length;
  const vOff = y[0] as number;
  const slopeOff = peak * omega * Math.cos(omega * tOff);
  const u = peak * Math.sin(omega * tOff) - vOff;
  // Off interval: exact decay into the resistance, or a ramp under constant current.
  const decay = Math.exp((-off * loadSiemens) / C);
  const end = vOff * decay - rampVolts(pulse, off);
  const fade = -(vOff * loadSiemens * decay) / C - (constantAmps * decayAfter(pulse, off)) / C;
  const tangent = [
    slopeOff - (y[1] as number),
    slopeOff - (y[2] as number),
    -(y[3] as number),
    (y[1] as number) * decay - startSlope,
    (y[2] as number) * decay - fade,
    (y[3] as number) * decay - rampVolts({ ...pulse, constantAmps: 1 }, off),
  ];
  return { state: y, residual: [u, end - start], tangent };
}

/** Volts lost to the constant current over `off` seconds (with the load resistance, if any, beside it). */
function rampVolts(pulse: Pulse, off: number): number {
  const { constantAmps, loadSiemens, problem } = pulse;
  if (loadSiemens === 0) return (constantAmps * off) / problem.firstFarads;
  return (constantAmps / loadSiemens) * (1 - Math.exp((-off * loadSiemens) / problem.firstFarads));
}

const decayAfter = (pulse: Pulse, off: number): number =>
  Math.exp((-off * pulse.loadSiemens) / pulse.problem.firstFarads);

function shoot(
  pulse: Pulse,
  guess: Float64Array,
  limits: RectifierSolveLimits,
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
    const [a, b, , c, d] = shot.tangent as [number, number, number, number, number, number];
    const determinant = a * d - b * c;
    const [r0, r1] = shot.residual;
    let dt = -(d * r0 - b * r1) / determinant;
    let dL = -(a * r1 - c * r0) / determinant;
    if (!Number.isFinite(dt) || !Number.isFinite(dL)) return { settled: false, tOn, length, shots, residual };
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

function describe(
  pulse: Pulse,
  tOn: number,
  length: number,
  shots: number,
  limits: RectifierSolveLimits,
): RectifierAnswer {
  const { peak, period, problem } = pulse;
  const stages = stagesFor(pulse, length, tOn, limits);
  const nodes: [number, number, number][] = [];
  const shot = fire(pulse, tOn, length, stages, (s, v, slope) => nodes.push([s, v, slope]));
  const y = shot.state;
  const off = period - length;
  const vOff = y[0] as number;
  const [area, areaOfVolts, areaOfOff, areaOfLoad] = offArea(pulse, vOff, off);
  const mean = ((y[4] as number) + area) / period;
  // Implicit: residuals stay zero as the load moves.
  const [a, b, p, c, d, q] = shot.tangent as [number, number, number, number, number, number];
  const determinant = a * d - b * c;
  const tByLoad = -(d * p - b * q) / determinant;
  const lengthByLoad = -(a * q - c * p) / determinant;
  const meanByLoad =
    ((y[5] as number) * tByLoad +
      (y[6] as number) * lengthByLoad +
      (y[7] as number) +
      areaOfVolts * ((y[1] as number) * tByLoad + (y[2] as number) * lengthByLoad + (y[3] as number)) -
      areaOfOff * lengthByLoad +
      areaOfLoad) /
    period;
  const crest = crestOf(pulse, tOn, length, nodes);
  const out = new Float64Array(2);
  pulse.current(crest.u, out);
  const inverse =
    problem.circuit === "full-wave"
      ? crest.inverse
      : peak + voltsAfter(pulse, vOff, 0.75 / problem.hertz - (tOn + length));
  return {
    dcVolts: volts(mean),
    ripplePeakToPeakVolts: volts(crest.highest - crest.lowest),
    platePeakAmps: amps(out[0] as number),
    plateRmsAmps: amps(Math.sqrt((y[8] as number) * problem.hertz)),
    peakInverseVolts: volts(inverse),
    conductionDegrees: length * problem.hertz * 360,
    slopeOhms: ohms(meanByLoad),
    effort: {
      steps: shots,
      factorings: 0,
      lawCalls: shots * stages * 4,
      residual: Math.max(Math.abs(shot.residual[0]), Math.abs(shot.residual[1])),
    },
    start: Float64Array.of(tOn, length),
  };
}

function voltsAfter(pulse: Pulse, vOff: number, seconds: number): number {
  return vOff * decayAfter(pulse, seconds) - rampVolts(pulse, seconds);
}

/** Integral of v over the off interval and its derivatives to v at its start, its length, the load current. */
function offArea(pulse: Pulse, vOff: number, off: number): readonly [number, number, number, number] {
  const { constantAmps, loadSiemens, problem } = pulse;
  const C = problem.firstFarads;
  const end = voltsAfter(pulse, vOff, off);
  if (loadSiemens === 0) return [vOff * off - (constantAmps * off * off) / (2 * C), off, end, -(off * off) / (2 * C)];
  const tau = C / loadSiemens;
  const decay = Math.exp(-off / tau);
  const byVolts = tau * (1 - decay);
  const byLoad = -(off - byVolts) / loadSiemens;
  return [vOff * byVolts + constantAmps * byLoad, byVolts, end, byLoad];
}

/** Where u, v and the inverse volts are largest, on the cubic through the steps' ends. */
function crestOf(
  pulse: Pulse,
  tOn: number,
  length: number,
  nodes: readonly (readonly [number, number, number])[],
): { u: number; highest: number; lowest: number; inverse: number } {
  const { peak, omega } = pulse;
  const h = 1 / (nodes.length - 1);
  const at = (s: number): readonly [number, number] => {
    const n = Math.min(nodes.length - 2, Math.max(0, Math.floor(s / h)));
    const [s0, v0, d0] = nodes[n] as readonly [number, number, number];
    const [, v1, d1] = nodes[n + 1] as readonly [number, number, number];
    const x = (s - s0) / h;
    const v =
      v0 * (1 + 2 * x) * (1 - x) ** 2 + h * d0 * x * (1 - x) ** 2 + v1 * x * x * (3 - 2 * x) - h * d1 * x * x * (1 - x);
    const e = peak * Math.sin(omega * (tOn + length * s * s * (3 - 2 * s)));
    return [v, e];
  };
  const largest = (score: (v: number, e: number) => number): number => {
    let best = 0;
    let top = -Infinity;
    for (const [n, [s, v]] of nodes.entries()) {
      const here = score(v, peak * Math.sin(omega * (tOn + length * s * s * (3 - 2 * s))));
      if (here > top) {
        top = here;
        best = n;
      }
    }
    let low = Math.max(0, (best - 1) * h);
    let high = Math.min(1, (best + 1) * h);
    for (let n = 0; n < 24; n++) {
      const l = low + (high - low) / 3;
      const r = high - (high - low) / 3;
      if (score(...at(l)) < score(...at(r))) low = l;
      else high = r;
    }
    return score(...at((low + high) / 2));
  };
  return {
    u: largest((v, e) => e - v),
    highest: largest((v) => v),
    lowest: -largest((v) => -v),
    inverse: largest((v, e) => v + e),
  };
}
