/** One pulse of a choke-input rectifier in time: the volts behind the rectifier, steps, and what is summed on the way. */
import { findRoot } from "../numerics/roots.ts";
import {
  dropOhms,
  dropVolts,
  lawElements,
  type SeriesCurrent,
  seriesCurrent,
  simplifyLaw,
} from "../tubes/diode-series.ts";
import type { RectifierLaw } from "../tubes/law.ts";
import type { ChokeInputProblem } from "./choke-input.ts";

export interface ChokePulse {
  readonly problem: ChokeInputProblem;
  readonly law: RectifierLaw;
  readonly elements: readonly RectifierLaw[];
  readonly peak: number;
  readonly omega: number;
  readonly pulses: 1 | 2;
  readonly period: number;
  /** Resistance that the two paths' difference meets, over `seriesOhms`: a bridge's winding is common to both. */
  readonly overlapShare: 1 | 2;
  readonly constantAmps: number;
  readonly loadSiemens: number;
  readonly step: number;
  /** The shortest step, near the ends of a discontinuous pulse. */
  readonly leastStep: number;
  /** Below this current the drop is taken as a resistance, the largest that such a step bears (L over the step). */
  readonly softAmps: number;
  /** Current and slope of one path at its own drop, without resistance. */
  readonly joined: SeriesCurrent;
}

/** Volts across one path at a current, made fit for steps near zero. */
function drop(pulse: ChokePulse, i: number): number {
  if (!(i > 0)) return 0;
  return i < pulse.softAmps ? (i * pulse.problem.henries) / pulse.leastStep : dropVolts(pulse.law, i);
}

export function openChoke(problem: ChokeInputProblem, steps: number): ChokePulse {
  const pulses = problem.circuit === "half-wave" ? 1 : 2;
  const period = 1 / (pulses * problem.hertz);
  const law = simplifyLaw(problem.law);
  const step = period / (steps * (pulses === 1 ? 2 : 1));
  const leastStep = step / 32;
  // d(i)/i falls with i: the fixed point of i = d(i) step/L, from above.
  let softAmps = 1;
  for (let n = 0; n < 60; n++) softAmps = (dropVolts(law, softAmps) * leastStep) / problem.henries;
  return {
    problem,
    law,
    elements: lawElements(problem.law),
    peak: problem.rmsVolts * Math.SQRT2,
    omega: 2 * Math.PI * problem.hertz,
    pulses,
    period,
    overlapShare: problem.circuit === "bridge" ? 2 : 1,
    constantAmps: "amps" in problem.load ? problem.load.amps : 0,
    loadSiemens: "ohms" in problem.load ? 1 / problem.load.ohms : 0,
    step,
    leastStep,
    softAmps,
    joined: seriesCurrent(law, 0),
  };
}

/** Of the winding as its conducting path sees it: its size full-wave, signed half-wave. */
export function windingVolts(pulse: ChokePulse, t: number): number {
  const e = pulse.peak * Math.sin(pulse.omega * t);
  return pulse.pulses === 2 ? Math.abs(e) : e;
}

/** Above zero one path carries all; below, the other path joins (near the winding's zero). */
function aloneBy(pulse: ChokePulse, e: number, i: number): number {
  if (pulse.pulses === 1 || i <= 0) return 1;
  return 2 * e - pulse.overlapShare * pulse.problem.seriesOhms * i - drop(pulse, i);
}

/** Writes the volts behind the rectifier and the share of the current in the path that the winding favours. */
export function behind(pulse: ChokePulse, e: number, i: number, out: Float64Array): void {
  const { problem } = pulse;
  const Rs = problem.seriesOhms;
  if (aloneBy(pulse, e, i) >= 0) {
    out[0] = e - Rs * i - drop(pulse, i);
    out[1] = i;
    return;
  }
  const x = i - joining(pulse, e, i);
  const copper = problem.circuit === "bridge" ? 0 : Rs * i;
  out[0] = -(copper + drop(pulse, x) + drop(pulse, i - x)) / 2;
  out[1] = x;
}

const JOIN_STEPS = 20;

/**
 * Current of the joining path in the overlap, from 2e = share Rs (i - 2y) + d(i - y) - d(y). In the volts d(y) of that path the
 * equation is rising and convex, so Newton only falls from the bound that the favoured path's drop sets.
 */
function joining(pulse: ChokePulse, e: number, i: number): number {
  const { law, overlapShare, problem } = pulse;
  const R = overlapShare * problem.seriesOhms;
  if (law.form === "ideal") return R > 0 ? i / 2 - e / R : 0;
  const out = new Float64Array(2);
  let d = Math.min(R * i + dropVolts(law, i) - 2 * e, dropVolts(law, i / 2));
  for (let n = 0; n < JOIN_STEPS; n++) {
    pulse.joined(d, out);
    const y = Math.min(out[0] as number, i / 2);
    const value = 2 * e - R * (i - 2 * y) - dropVolts(law, i - y) + d;
    const slope = 1 + (2 * R + dropOhms(law, i - y)) * (out[1] as number);
    const step = value / slope;
    d = Math.max(d - step, d * 1e-3);
    if (Math.abs(step) <= 1e-9 * d) break;
  }
  pulse.joined(d, out);
  return Math.min(out[0] as number, i / 2);
}

/** Means over a pulse are these over the period. */
export interface ChokeTally {
  area: number;
  voltSquares: number;
  charge: number;
  chokeSquares: number;
  pathSquares: number;
  windingSquares: number;
  given: number;
  capacitorSquares: number;
  readonly elements: Float64Array;
  highestVolts: number;
  lowestVolts: number;
  highestAmps: number;
  lowestAmps: number;
  pathPeak: number;
  inverse: number;
  lawCalls: number;
}

/** A run that only wants the mean sums no more than the area. */
export type Summing = ChokeTally | { area: number };

export const emptyTally = (pulse: ChokePulse): ChokeTally => ({
  area: 0,
  voltSquares: 0,
  charge: 0,
  chokeSquares: 0,
  pathSquares: 0,
  windingSquares: 0,
  given: 0,
  capacitorSquares: 0,
  elements: new Float64Array(pulse.elements.length),
  highestVolts: -Infinity,
  lowestVolts: Infinity,
  highestAmps: -Infinity,
  lowestAmps: Infinity,
  pathPeak: 0,
  inverse: 0,
  lawCalls: 0,
});

/** A step's end: current and volts with their rates. */
export interface ChokePoint {
  t: number;
  i: number;
  v: number;
  di: number;
  dv: number;
}

function rates(pulse: ChokePulse, at: ChokePoint, out: Float64Array): void {
  const { problem } = pulse;
  behind(pulse, windingVolts(pulse, at.t), at.i, out);
  at.di = ((out[0] as number) - problem.chokeOhms * at.i - at.v) / problem.henries;
  at.dv = (at.i - pulse.constantAmps - pulse.loadSiemens * at.v) / problem.farads;
}

/** One Runge-Kutta step from a point whose rates are known; the rates at its end are known as well. */
function advance(pulse: ChokePulse, from: ChokePoint, h: number, out: Float64Array): ChokePoint {
  const at: ChokePoint = {
    t: from.t + h / 2,
    i: from.i + (h / 2) * from.di,
    v: from.v + (h / 2) * from.dv,
    di: 0,
    dv: 0,
  };
  rates(pulse, at, out);
  let di = from.di + 2 * at.di;
  let dv = from.dv + 2 * at.dv;
  at.i = from.i + (h / 2) * at.di;
  at.v = from.v + (h / 2) * at.dv;
  rates(pulse, at, out);
  di += 2 * at.di;
  dv += 2 * at.dv;
  at.t = from.t + h;
  at.i = from.i + h * at.di;
  at.v = from.v + h * at.dv;
  rates(pulse, at, out);
  at.i = from.i + (h / 6) * (di + at.di);
  at.v = from.v + (h / 6) * (dv + at.dv);
  rates(pulse, at, out);
  return at;
}

/** Cuts a step where `value` of its end changes sign. */
function cutStep(
  pulse: ChokePulse,
  from: ChokePoint,
  h: number,
  value: (end: ChokePoint) => number,
  out: Float64Array,
): ChokePoint {
  const root = findRoot((share) => value(advance(pulse, from, share * h, out)), 1e-9, 1, 1e-11);
  return advance(pulse, from, (root.ok ? root.value.x : 1) * h, out);
}

export interface ChokeEnd {
  readonly t: number;
  readonly i: number;
  readonly v: number;
}

/** From `start` until `until`, or (stopAtZero) until the current falls to zero. Adds to the tally where one is given. */
export function runConduction(
  pulse: ChokePulse,
  start: ChokeEnd,
  until: number,
  stopAtZero: boolean,
  tally?: Summing,
  visit?: (from: ChokePoint, to: ChokePoint) => void,
): ChokeEnd {
  const out = new Float64Array(2);
  const alone = (one: ChokePoint) => aloneBy(pulse, windingVolts(pulse, one.t), one.i);
  let at: ChokePoint = { ...start, di: 0, dv: 0 };
  rates(pulse, at, out);
  let single = alone(at) >= 0;
  // A discontinuous pulse begins and ends where a drop has its root: short steps there.
  for (let n = 0; n < 20000 && at.t < until - 1e-12 * pulse.period; n++) {
    // In the overlap the joining path's current goes as a power of time: shorter steps.
    let h = Math.min(single ? pulse.step : pulse.step / 4, until - at.t);
    if (stopAtZero) {
      h = Math.min(h, Math.max(pulse.leastStep, (at.t - start.t) / 2));
      if (at.di < 0) h = Math.min(h, Math.max(pulse.leastStep, (-0.5 * at.i) / at.di));
      // The winding's own corner is a step's end.
      const zero = pulse.period * (Math.floor(at.t / pulse.period + 1e-9) + 1);
      if (pulse.pulses === 2 && at.t + h > zero) h = zero - at.t;
    }
    let next = advance(pulse, at, h, out);
    const fallen = stopAtZero && next.i < 0 && at.t > start.t;
    if (fallen) next = cutStep(pulse, at, h, (end) => end.i, out);
    else if (alone(next) >= 0 !== single) {
      next = cutStep(pulse, at, h, alone, out);
      single = !single;
    }
    if (tally !== undefined) {
      const h = next.t - at.t;
      tally.area += (h / 2) * (at.v + next.v) + ((h * h) / 12) * (at.dv - next.dv);
      if ("elements" in tally) tallyStep(pulse, at, next, tally);
    }
    visit?.(at, next);
    at = next;
    if (fallen || (stopAtZero && at.i < 0)) break;
  }
  return { t: at.t, i: at.i, v: at.v };
}

/** Simpson's rule on the cubic through the step's ends. */
function tallyStep(pulse: ChokePulse, from: ChokePoint, to: ChokePoint, tally: ChokeTally): void {
  const h = to.t - from.t;
  const middle: ChokePoint = {
    t: from.t + h / 2,
    i: (from.i + to.i) / 2 + (h / 8) * (from.di - to.di),
    v: (from.v + to.v) / 2 + (h / 8) * (from.dv - to.dv),
    di: 0,
    dv: 0,
  };
  const out = new Float64Array(2);
  const add = (at: ChokePoint, weight: number) => {
    const e = windingVolts(pulse, at.t);
    behind(pulse, e, at.i, out);
    const x = out[1] as number;
    const y = at.i - x;
    tally.voltSquares += weight * at.v * at.v;
    tally.charge += weight * at.i;
    tally.chokeSquares += weight * at.i * at.i;
    tally.pathSquares += weight * (x * x + y * y);
    tally.windingSquares += weight * (x - y) * (x - y);
    tally.given += weight * e * (x - y);
    const flow = at.i - pulse.constantAmps - pulse.loadSiemens * at.v;
    tally.capacitorSquares += weight * flow * flow;
    for (let n = 0; n < pulse.elements.length; n++) {
      const law = pulse.elements[n] as RectifierLaw;
      tally.elements[n] = (tally.elements[n] as number) + weight * (dropVolts(law, x) * x + dropVolts(law, y) * y);
    }
    tally.pathPeak = Math.max(tally.pathPeak, x);
    tally.inverse = Math.max(tally.inverse, Math.abs(e) + (out[0] as number));
  };
  add(from, h / 6);
  add(middle, (4 * h) / 6);
  add(to, h / 6);
  tally.lawCalls += 7;
  const [i, v] = [extremes(from.i, to.i, h * from.di, h * to.di), extremes(from.v, to.v, h * from.dv, h * to.dv)];
  tally.lowestAmps = Math.min(tally.lowestAmps, i[0]);
  tally.highestAmps = Math.max(tally.highestAmps, i[1]);
  tally.lowestVolts = Math.min(tally.lowestVolts, v[0]);
  tally.highestVolts = Math.max(tally.highestVolts, v[1]);
}

/** Least and largest of the cubic with these ends and slopes (per step). */
function extremes(a: number, b: number, slopeA: number, slopeB: number): readonly [number, number] {
  if (slopeA * slopeB >= 0) return [Math.min(a, b), Math.max(a, b)];
  // The slope is nearly linear over a step: its zero by one false position.
  const x = slopeA / (slopeA - slopeB);
  const rise = b - a;
  const top = a + rise * x + x * (1 - x) * ((slopeA - rise) * (1 - x) + (rise - slopeB) * x);
  return [Math.min(a, b, top), Math.max(a, b, top)];
}

/** The capacitor feeds the load alone for `seconds`: exact. A problem's load is a current or a resistance; a slope asks both. */
export function runOff(pulse: ChokePulse, v: number, seconds: number, tally?: Summing): number {
  const { constantAmps: I, loadSiemens: G, problem } = pulse;
  const C = problem.farads;
  const tau = C / G;
  const fade = G === 0 ? 0 : -Math.expm1(-seconds / tau);
  const end = G === 0 ? v - (I * seconds) / C : v * (1 - fade) - (I / G) * fade;
  if (tally === undefined) return end;
  tally.area += G === 0 ? ((v + end) / 2) * seconds : tau * v * fade - (I / G) * (seconds - tau * fade);
  if (!("elements" in tally)) return end;
  const squares = G === 0 ? ((v * v + v * end + end * end) / 3) * seconds : (tau / 2) * (v * v - end * end);
  tally.voltSquares += squares;
  tally.capacitorSquares += G === 0 ? I * I * seconds : G * G * squares;
  tally.lowestVolts = Math.min(tally.lowestVolts, end);
  tally.lowestAmps = 0;
  return end;
}
