/**
 * One pulse of a rectifier in event form: conduction by Runge-Kutta in s, t = tOn + L (3 s^2 - 2 s^3), the off interval
 * exact. `fire` carries what shooting needs; `fireWhole` what the answer is made of as well. See rectifier.ts.
 */
import { seriesCurrent, type SeriesCurrent } from "../tubes/diode-series.ts";
import type { RectifierProblem, RectifierSolveLimits } from "./rectifier.ts";

export interface Pulse {
  readonly problem: RectifierProblem;
  readonly peak: number;
  readonly omega: number;
  /** Pulses per mains cycle, and the time from one to the next. */
  readonly pulses: 1 | 2;
  readonly period: number;
  readonly constantAmps: number;
  readonly loadSiemens: number;
  /** Writes i(u) and di/du into out. */
  readonly current: SeriesCurrent;
}

export function openPulse(problem: RectifierProblem): Pulse {
  const pulses = problem.circuit === "half-wave" ? 1 : 2;
  return {
    problem,
    peak: problem.rmsVolts * Math.SQRT2,
    omega: 2 * Math.PI * problem.hertz,
    pulses,
    period: 1 / (pulses * problem.hertz),
    constantAmps: "amps" in problem.load ? problem.load.amps : 0,
    loadSiemens: "ohms" in problem.load ? 1 / problem.load.ohms : 0,
    current: seriesCurrent(problem.law, problem.seriesOhms),
  };
}

/** Steps beyond which a junction's own steepness asks for no more; a resistance may, so that every step stays stable. */
const MOST_STAGES = 6000;

/** Runge-Kutta steps for a conduction: at least the limit's, more when the capacitor follows faster than the pulse. */
export function stagesFor(pulse: Pulse, length: number, tOn: number, limits: RectifierSolveLimits): number {
  const { seriesOhms, firstFarads } = pulse.problem;
  const out = new Float64Array(2);
  const crest = pulse.peak - pulse.peak * Math.sin(pulse.omega * tOn);
  pulse.current(Math.max(1e-6, crest), out);
  const stiffness = (length * (out[1] as number)) / firstFarads;
  // No slope is above 1/Rs. A step of 1.5 L/n in time is stable up to 2.78 time constants.
  const stable = seriesOhms > 0 ? Math.ceil((0.6 * length) / (seriesOhms * firstFarads)) : 0;
  return Math.min(Math.max(MOST_STAGES, stable), Math.max(limits.stages, Math.ceil(1.2 * stiffness)));
}

/** Residuals u(tOff) and v one period later minus v(tOn), with their tangents to tOn, L and (whole only) the load. */
export interface Shot {
  readonly residual: readonly [number, number];
  readonly byOn: readonly [number, number];
  readonly byLength: readonly [number, number];
}

export function fire(pulse: Pulse, tOn: number, length: number, stages: number): Shot {
  const { peak, omega, constantAmps, loadSiemens, problem } = pulse;
  const perFarad = 1 / problem.firstFarads;
  const out = new Float64Array(2);
  // Rates of v and of its tangents to tOn and L.
  const k = new Float64Array(3);
  const rate = (s: number, v: number, byOn: number, byLength: number) => {
    const q = s * s * (3 - 2 * s);
    const dq = 6 * s * (1 - s);
    const angle = omega * (tOn + length * q);
    pulse.current(peak * Math.sin(angle) - v, out);
    const g = out[1] as number;
    const f = ((out[0] as number) - constantAmps - loadSiemens * v) * perFarad;
    const ft = g * peak * omega * Math.cos(angle) * perFarad;
    const fv = -(g + loadSiemens) * perFarad;
    const w = length * dq;
    k[0] = w * f;
    k[1] = w * (fv * byOn + ft);
    k[2] = w * (fv * byLength + ft * q) + dq * f;
  };
  let v = peak * Math.sin(omega * tOn);
  let a = peak * omega * Math.cos(omega * tOn);
  let b = 0;
  const start = v;
  const startSlope = a;
  const h = 1 / stages;
  for (let n = 0; n < stages; n++) {
    const s = n * h;
    rate(s, v, a, b);
    const v1 = k[0] as number;
    const a1 = k[1] as number;
    const b1 = k[2] as number;
    rate(s + h / 2, v + (h / 2) * v1, a + (h / 2) * a1, b + (h / 2) * b1);
    const v2 = k[0] as number;
    const a2 = k[1] as number;
    const b2 = k[2] as number;
    rate(s + h / 2, v + (h / 2) * v2, a + (h / 2) * a2, b + (h / 2) * b2);
    const v3 = k[0] as number;
    const a3 = k[1] as number;
    const b3 = k[2] as number;
    rate(s + h, v + h * v3, a + h * a3, b + h * b3);
    v += (h / 6) * (v1 + 2 * v2 + 2 * v3 + (k[0] as number));
    a += (h / 6) * (a1 + 2 * a2 + 2 * a3 + (k[1] as number));
    b += (h / 6) * (b1 + 2 * b2 + 2 * b3 + (k[2] as number));
  }
  return closeShot(pulse, tOn, length, { v, byOn: a, byLength: b, start, startSlope });
}

function closeShot(
  pulse: Pulse,
  tOn: number,
  length: number,
  end: {
    readonly v: number;
    readonly byOn: number;
    readonly byLength: number;
    readonly start: number;
    readonly startSlope: number;
  },
): Shot {
  const { peak, omega, period, constantAmps, loadSiemens, problem } = pulse;
  const off = period - length;
  const angle = omega * (tOn + length);
  const slopeOff = peak * omega * Math.cos(angle);
  const decay = Math.exp((-off * loadSiemens) / problem.firstFarads);
  const fade = -(decay * (end.v * loadSiemens + constantAmps)) / problem.firstFarads;
  return {
    residual: [peak * Math.sin(angle) - end.v, voltsAfter(pulse, end.v, off) - end.start],
    byOn: [slopeOff - end.byOn, end.byOn * decay - end.startSlope],
    byLength: [slopeOff - end.byLength, end.byLength * decay - fade],
  };
}

/** Places in the state of `fireWhole`. */
export const V = 0;
export const V_ON = 1;
export const V_LENGTH = 2;
export const V_LOAD = 3;
/** Integrals over the conduction: of v and its tangents (4 to 7), of i^2, i, e i, v^2. */
export const AREA = 4;
export const SQUARES = 8;
export const CHARGE = 9;
export const GIVEN = 10;
export const VOLT_SQUARES = 11;
const WIDTH = 12;

/** v, dv/ds and i at a step's end. */
export interface PulseNode {
  readonly s: number;
  readonly volts: number;
  readonly slope: number;
  readonly amps: number;
}

export interface WholeShot extends Shot {
  readonly byLoad: readonly [number, number];
  readonly state: Float64Array;
  readonly nodes: readonly PulseNode[];
}

export function fireWhole(pulse: Pulse, tOn: number, length: number, stages: number): WholeShot {
  const { peak, omega, constantAmps, loadSiemens, problem } = pulse;
  const C = problem.firstFarads;
  const start = peak * Math.sin(omega * tOn);
  const startSlope = peak * omega * Math.cos(omega * tOn);
  const y = new Float64Array(WIDTH);
  y[V] = start;
  y[V_ON] = startSlope;
  const k = [0, 1, 2, 3].map(() => new Float64Array(WIDTH)) as [Float64Array, Float64Array, Float64Array, Float64Array];
  const [k1, k2, k3, k4] = k;
  const z = new Float64Array(WIDTH);
  const out = new Float64Array(2);
  const rate = (s: number, at: Float64Array, into: Float64Array) => {
    const q = s * s * (3 - 2 * s);
    const dq = 6 * s * (1 - s);
    const angle = omega * (tOn + length * q);
    const e = peak * Math.sin(angle);
    const v = at[V] as number;
    pulse.current(e - v, out);
    const i = out[0] as number;
    const g = out[1] as number;
    const f = (i - constantAmps - loadSiemens * v) / C;
    const ft = (g * peak * omega * Math.cos(angle)) / C;
    const fv = -(g + loadSiemens) / C;
    const w = length * dq;
    into[V] = w * f;
    into[V_ON] = w * (fv * (at[V_ON] as number) + ft);
    into[V_LENGTH] = w * (fv * (at[V_LENGTH] as number) + ft * q) + dq * f;
    into[V_LOAD] = w * (fv * (at[V_LOAD] as number) - 1 / C);
    into[AREA] = w * v;
    into[AREA + 1] = w * (at[V_ON] as number);
    into[AREA + 2] = w * (at[V_LENGTH] as number) + dq * v;
    into[AREA + 3] = w * (at[V_LOAD] as number);
    into[SQUARES] = w * i * i;
    into[CHARGE] = w * i;
    into[GIVEN] = w * e * i;
    into[VOLT_SQUARES] = w * v * v;
  };
  const nodes: PulseNode[] = [];
  const h = 1 / stages;
  for (let n = 0; n < stages; n++) {
    const s = n * h;
    rate(s, y, k1);
    nodes.push({ s, volts: y[V] as number, slope: k1[V] as number, amps: n === 0 ? 0 : (out[0] as number) });
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
  nodes.push({ s: 1, volts: y[V] as number, slope: 0, amps: 0 });
  const off = pulse.period - length;
  const shot = closeShot(pulse, tOn, length, {
    v: y[V] as number,
    byOn: y[V_ON] as number,
    byLength: y[V_LENGTH] as number,
    start,
    startSlope,
  });
  const byLoad = y[V_LOAD] as number;
  return {
    ...shot,
    byLoad: [-byLoad, byLoad * decayAfter(pulse, off) - rampVolts(loadSiemens, 1, C, off)],
    state: y,
    nodes,
  };
}

/** Volts lost to a constant current over `seconds` (with the load conductance, if any, beside it). */
function rampVolts(loadSiemens: number, constantAmps: number, C: number, seconds: number): number {
  if (loadSiemens === 0) return (constantAmps * seconds) / C;
  return (constantAmps / loadSiemens) * -Math.expm1((-seconds * loadSiemens) / C);
}

const decayAfter = (pulse: Pulse, seconds: number): number =>
  Math.exp((-seconds * pulse.loadSiemens) / pulse.problem.firstFarads);

/** Volts of the first capacitor `seconds` after the rectifier let go at `vOff`. */
export const voltsAfter = (pulse: Pulse, vOff: number, seconds: number): number =>
  vOff * decayAfter(pulse, seconds) -
  rampVolts(pulse.loadSiemens, pulse.constantAmps, pulse.problem.firstFarads, seconds);

/** Integral of v over the off interval and its derivatives to v at its start, its length, the load current. */
export function offArea(pulse: Pulse, vOff: number, off: number): readonly [number, number, number, number] {
  const { constantAmps, loadSiemens, problem } = pulse;
  const C = problem.firstFarads;
  const end = voltsAfter(pulse, vOff, off);
  if (loadSiemens === 0) return [vOff * off - (constantAmps * off * off) / (2 * C), off, end, -(off * off) / (2 * C)];
  const tau = C / loadSiemens;
  const byVolts = -tau * Math.expm1(-off / tau);
  const byLoad = -(off - byVolts) / loadSiemens;
  return [vOff * byVolts + constantAmps * byLoad, byVolts, end, byLoad];
}

/** The capacitor on the cubic through the ends of the step around s, with its slope in s. */
export function voltsOnPulse(nodes: readonly PulseNode[], s: number): readonly [number, number] {
  const steps = nodes.length - 1;
  const n = Math.min(steps - 1, Math.max(0, Math.floor(s * steps)));
  const from = nodes[n] as PulseNode;
  const to = nodes[n + 1] as PulseNode;
  const h = 1 / steps;
  const x = (s - from.s) * steps;
  const rise = to.volts - from.volts;
  const a = h * from.slope - rise;
  const b = rise - h * to.slope;
  // v = v0 (1-x) + v1 x + x (1-x) (a (1-x) + b x)
  const v = from.volts + rise * x + x * (1 - x) * (a * (1 - x) + b * x);
  const slope = rise + (1 - 2 * x) * (a * (1 - x) + b * x) + x * (1 - x) * (b - a);
  return [v, slope * steps];
}
