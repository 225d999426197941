/**
 * Steady state of winding, rectifier, choke and first capacitor under a load: volts, currents, heat and the slope.
 *
 * Law     L di/dt = k(e, i) - Rc i - v, C dv/dt = i - load, where k is the volts behind the rectifier while it carries i:
 *         |e| - Rs i - d(i) on one path, and less while both paths share the current near the winding's zero (overlap).
 *         Where i falls to zero it stays there until |e| passes v: discontinuous conduction.
 * Method  Runge-Kutta 4 over one pulse, a step cut short where the overlap begins or ends, so that the order holds.
 *         Continuous: Newton on (i, v) at the winding's zero with tangents by differences (the map is nearly linear, two
 *         or three shots). Its least current decides: at or below zero, conduction is discontinuous, and the volts at
 *         turn-on are bracketed and found by Brent's method. Half-wave is always discontinuous.
 * Limits  No leakage inductance, no saturation of the core; a hybrid bridge's overlap is taken as if its two paths were
 *         alike in each element. The volts across the choke when the load is cut are no part of a steady state.
 * Sources Ideal limits 0.9 Vrms, form factor 1 and L = R/(3 w): textbook (memory); checked in checks/rectifier-choke.test.ts.
 */
import { findRoot } from "../numerics/roots.ts";
import { fail, ok, type Result } from "../result.ts";
import { dropVolts } from "../tubes/diode-series.ts";
import type { RectifierLaw } from "../tubes/law.ts";
import {
  type Amps,
  amps,
  type Henries,
  henries,
  type Ohms,
  ohms,
  type Volts,
  volts,
  type Watts,
  watts,
} from "../units/quantities.ts";
import type { Effort, RectifierBalance } from "./answers.ts";
import {
  type ChokePulse,
  type ChokeTally,
  emptyTally,
  openChoke,
  runConduction,
  runOff,
  type Summing,
} from "./choke-input-pulse.ts";
import type { RectifierCircuit, RectifierFailure } from "./rectifier.ts";

export interface ChokeInputProblem {
  /** rms, unloaded: of one half of a centre-tapped winding, of the whole winding otherwise. */
  readonly rmsVolts: number;
  readonly hertz: number;
  /** In series with one plate; bridge: the whole winding. */
  readonly seriesOhms: number;
  readonly henries: number;
  readonly chokeOhms: number;
  /** Of the first capacitor, after the choke. */
  readonly farads: number;
  readonly circuit: RectifierCircuit;
  /** Of one path from winding to choke; for a bridge both its diodes. */
  readonly law: RectifierLaw;
  readonly load: { readonly amps: number } | { readonly ohms: number };
}

export interface ChokeInputAnswer {
  /** "continuous": the choke's current never falls to zero; "discontinuous": below the critical inductance. */
  readonly outcome: "continuous" | "discontinuous";
  /** At the first capacitor, after the choke's own resistance. */
  readonly dcVolts: Volts;
  readonly ripplePeakToPeakVolts: Volts;
  readonly chokeLeastAmps: Amps;
  readonly chokePeakAmps: Amps;
  readonly chokeRmsAmps: Amps;
  readonly platePeakAmps: Amps;
  readonly plateRmsAmps: Amps;
  readonly windingRmsAmps: Amps;
  readonly capacitorRmsAmps: Amps;
  readonly rectifierWatts: Watts;
  readonly elementWatts: readonly Watts[];
  readonly seriesWatts: Watts;
  readonly chokeWatts: Watts;
  readonly balance: RectifierBalance;
  readonly peakInverseVolts: Volts;
  /** Below it conduction is discontinuous at this load: ideal closed form, Infinity half-wave (criticalHenries). */
  readonly criticalHenries: Henries;
  readonly slopeOhms: Ohms;
  readonly effort: Effort;
  /** Continuous: choke amperes and capacitor volts at the winding's zero; discontinuous: the volts at turn-on. */
  readonly start: Float64Array;
}

export interface ChokeInputLimits {
  readonly residualVolts: number;
  readonly shots: number;
  /** Runge-Kutta steps per half-cycle of the mains. */
  readonly steps: number;
}
export const CHOKE_INPUT_LIMITS: ChokeInputLimits = { residualVolts: 1e-7, shots: 20, steps: 64 };

/** (sqrt(1 - 4/pi^2) - 1 + (2/pi) asin(2/pi)): the trough of the ideal choke's current under its mean, in E/(w L). */
const TROUGH = Math.sqrt(1 - 4 / Math.PI ** 2) - 1 + (2 / Math.PI) * Math.asin(2 / Math.PI);

/**
 * The inductance at which the current of an ideal full-wave choke input just touches zero at `dcAmps`:
 * 0.2105 E/(w I), with a resistive load 0.3307 R/w. The common rule R/(3 w) = R/(6 pi f) keeps the second harmonic alone
 * and asks 0.8 % more.
 */
export function criticalHenries(rmsVolts: number, hertz: number, dcAmps: number): number {
  return (TROUGH * rmsVolts * Math.SQRT2) / (2 * Math.PI * hertz * dcAmps);
}

export function solveChokeInput(
  problem: ChokeInputProblem,
  limits: ChokeInputLimits = CHOKE_INPUT_LIMITS,
): Result<ChokeInputAnswer, RectifierFailure> {
  const bad = badChoke(problem);
  if (bad !== undefined) return fail(bad);
  if ("amps" in problem.load && problem.load.amps === 0) return unloaded(problem, limits);
  const pulse = openChoke(problem, chokeSteps(problem, limits));
  if (pulse.pulses === 2) {
    const continuous = shootContinuous(pulse, limits);
    if (continuous !== undefined && continuous.tally.lowestAmps > 0) {
      if (continuous.tally.area <= 0)
        return fail({ kind: "load-too-heavy", dcAmps: continuous.tally.charge / pulse.period });
      return ok(describe(pulse, continuous));
    }
  }
  return solveDiscontinuous(pulse, limits);
}

/** The inductance at which this very circuit (drops, resistances, capacitor) just keeps its current above zero. */
export function solveCriticalHenries(
  problem: ChokeInputProblem,
  limits: ChokeInputLimits = CHOKE_INPUT_LIMITS,
): Result<Henries, RectifierFailure> {
  const bad = badChoke(problem);
  if (bad !== undefined) return fail(bad);
  if (problem.circuit === "half-wave") return ok(henries(Infinity));
  const load = "amps" in problem.load ? problem.load.amps : (0.9 * problem.rmsVolts) / problem.load.ohms;
  // The trough under the mean goes as 1/L, but for a little: each pass scales L by how deep it was against how deep it may be.
  let L = 1.2 * criticalHenries(problem.rmsVolts, problem.hertz, load);
  let apart = Infinity;
  for (let pass = 1; pass <= 30; pass++) {
    const settled = shootContinuous(openChoke({ ...problem, henries: L }, chokeSteps(problem, limits)), limits);
    if (settled === undefined) return fail({ kind: "not-settled", steps: pass, residualVolts: Number.NaN });
    const mean = settled.tally.charge * problem.hertz * 2;
    const scale = (mean - settled.tally.lowestAmps) / mean;
    apart = Math.abs(scale - 1);
    L *= scale;
    if (apart < 1e-8) return ok(henries(L));
  }
  return fail({ kind: "not-settled", steps: 30, residualVolts: apart });
}

function badChoke(problem: ChokeInputProblem): RectifierFailure | undefined {
  const positive = {
    rmsVolts: problem.rmsVolts,
    hertz: problem.hertz,
    henries: problem.henries,
    farads: problem.farads,
    ...("ohms" in problem.load ? { "load ohms": problem.load.ohms } : {}),
  };
  for (const [field, given] of Object.entries(positive))
    if (!(given > 0 && given < Infinity)) return { kind: "bad-input", field, given, need: "finite and above 0" };
  const notNegative = {
    seriesOhms: problem.seriesOhms,
    chokeOhms: problem.chokeOhms,
    ...("amps" in problem.load ? { "load amps": problem.load.amps } : {}),
  };
  for (const [field, given] of Object.entries(notNegative))
    if (!(given >= 0 && given < Infinity)) return { kind: "bad-input", field, given, need: "finite and not negative" };
  return undefined;
}

/** No load: the capacitor stands at the peak; the slope is that of ten microamperes. */
function unloaded(problem: ChokeInputProblem, limits: ChokeInputLimits): Result<ChokeInputAnswer, RectifierFailure> {
  const trickle = solveChokeInput({ ...problem, load: { amps: 1e-5 } }, limits);
  if (!trickle.ok) return trickle;
  const peak = problem.rmsVolts * Math.SQRT2;
  const still = amps(0);
  const cold = watts(0);
  return ok({
    ...trickle.value,
    dcVolts: volts(peak),
    ripplePeakToPeakVolts: volts(0),
    chokePeakAmps: still,
    chokeRmsAmps: still,
    platePeakAmps: still,
    plateRmsAmps: still,
    windingRmsAmps: still,
    capacitorRmsAmps: still,
    rectifierWatts: cold,
    elementWatts: trickle.value.elementWatts.map(() => cold),
    seriesWatts: cold,
    chokeWatts: cold,
    balance: { windingWatts: cold, heatWatts: cold, loadWatts: cold, capacitorMeanAmps: still },
    peakInverseVolts: volts(problem.circuit === "bridge" ? peak : 2 * peak),
    criticalHenries: henries(Infinity),
  });
}

/** Enough steps for the choke's own time constant against all resistance in its way, up to a few thousand. */
export function chokeSteps(problem: ChokeInputProblem, limits: ChokeInputLimits): number {
  const some = "amps" in problem.load ? problem.load.amps : problem.rmsVolts / problem.load.ohms;
  const resistance = problem.seriesOhms + problem.chokeOhms + dropVolts(problem.law, some) / some;
  return Math.min(4000, Math.max(limits.steps, Math.ceil(resistance / (2 * problem.hertz * problem.henries))));
}

interface Settled {
  readonly outcome: ChokeInputAnswer["outcome"];
  readonly tally: ChokeTally;
  readonly start: Float64Array;
  readonly slope: number;
  readonly residual: number;
  readonly runs: number;
}

/** Undefined when Newton did not settle. A least current at or below zero says that the answer is not one. */
function shootContinuous(pulse: ChokePulse, limits: ChokeInputLimits): Settled | undefined {
  const { problem, peak } = pulse;
  const mean = (2 * peak) / Math.PI;
  let i =
    "amps" in problem.load ? problem.load.amps : mean / (problem.load.ohms + problem.chokeOhms + problem.seriesOhms);
  let v = "ohms" in problem.load ? i * problem.load.ohms : mean - (problem.chokeOhms + problem.seriesOhms) * i;
  v -= dropVolts(problem.law, i);
  const run = (at: ChokePulse, i0: number, v0: number, tally?: Summing) =>
    runConduction(at, { t: 0, i: i0, v: v0 }, at.period, false, tally);
  const di = 1e-4 * i;
  const dv = 1e-4 * peak;
  let runs = 0;
  for (let shot = 0; shot < limits.shots; shot++) {
    const tally = emptyTally(pulse);
    const base = run(pulse, i, v, tally);
    const byAmps = { area: 0 };
    const byVolts = { area: 0 };
    const one = run(pulse, i + di, v, byAmps);
    const other = run(pulse, i, v + dv, byVolts);
    runs += 3;
    const r0 = base.i - i;
    const r1 = base.v - v;
    const a = (one.i - base.i) / di - 1;
    const c = (one.v - base.v) / di;
    const b = (other.i - base.i) / dv;
    const d = (other.v - base.v) / dv - 1;
    const determinant = a * d - b * c;
    const residual = Math.max(Math.abs(r1), (Math.abs(r0) * peak) / Math.max(i, 1e-9) / 10);
    if (!Number.isFinite(residual)) return undefined;
    if (residual <= limits.residualVolts) {
      const load = 1e-3 * Math.max(1e-6, i);
      const heavier = { area: 0 };
      const under = run({ ...pulse, constantAmps: pulse.constantAmps + load }, i, v, heavier);
      const p = (under.i - base.i) / load;
      const q = (under.v - base.v) / load;
      const iByLoad = -(d * p - b * q) / determinant;
      const vByLoad = -(a * q - c * p) / determinant;
      const slope =
        ((heavier.area - tally.area) / load +
          ((byAmps.area - tally.area) / di) * iByLoad +
          ((byVolts.area - tally.area) / dv) * vByLoad) /
        pulse.period;
      return { outcome: "continuous", tally, start: Float64Array.of(i, v), slope, residual, runs: runs + 1 };
    }
    i -= (d * r0 - b * r1) / determinant;
    v -= (a * r1 - c * r0) / determinant;
  }
  return undefined;
}

/** From turn-on at v0 = e to the same instant of the next pulse: volts then, and the current still left. */
function pulseFrom(pulse: ChokePulse, v0: number, tally?: Summing): { readonly v: number; readonly left: number } {
  const tOn = Math.asin(v0 / pulse.peak) / pulse.omega;
  const end = runConduction(pulse, { t: tOn, i: 0, v: v0 }, tOn + pulse.period, true, tally);
  const rest = tOn + pulse.period - end.t;
  if (rest <= 1e-9 * pulse.period) return { v: end.v, left: Math.max(0, end.i) };
  return { v: runOff(pulse, end.v, rest, tally), left: 0 };
}

function solveDiscontinuous(pulse: ChokePulse, limits: ChokeInputLimits): Result<ChokeInputAnswer, RectifierFailure> {
  const { peak, problem } = pulse;
  let runs = 0;
  const gain = (at: ChokePulse) => (v0: number) => {
    runs++;
    const { v, left } = pulseFrom(at, v0);
    // What is left in the choke has yet to reach the capacitor: a pulse that outlasts its period feeds too much.
    return v - v0 + left * Math.sqrt(problem.henries / problem.farads);
  };
  const low = 1e-6 * peak;
  const fed = gain(pulse);
  if (!(fed(low) > 0))
    return fail({
      kind: "load-too-heavy",
      dcAmps: "amps" in problem.load ? problem.load.amps : low / problem.load.ohms,
    });
  const root = findRoot(fed, low, peak * (1 - 1e-12), 0.01 * limits.residualVolts);
  if (!root.ok) return fail({ kind: "not-settled", steps: runs, residualVolts: Number.NaN });
  const v0 = root.value.x;
  const tally = emptyTally(pulse);
  const last = pulseFrom(pulse, v0, tally);
  const residual = Math.abs(last.v - v0);
  // Just at the critical inductance the pulse's end jumps by the length of a step that is not there.
  if (!(residual <= Math.max(1e-7 * peak, limits.residualVolts)))
    return fail({ kind: "not-settled", steps: runs, residualVolts: residual });
  // Slope: v0 moves so that the pulse still closes under a little more load.
  // At a light load the pulse is what the capacitor lacks of the peak: the step goes with it.
  const dv = -1e-4 * (peak - v0);
  const load = 1e-3 * Math.max(1e-6, tally.charge / pulse.period);
  const byVolts = { area: 0 };
  const byLoad = { area: 0 };
  const moved = pulseFrom(pulse, v0 + dv, byVolts).v - last.v;
  const under = pulseFrom({ ...pulse, constantAmps: pulse.constantAmps + load }, v0, byLoad).v - last.v;
  const vByLoad = under / load / (1 - moved / dv);
  const slope = ((byLoad.area - tally.area) / load + ((byVolts.area - tally.area) / dv) * vByLoad) / pulse.period;
  return ok(
    describe(pulse, { outcome: "discontinuous", tally, start: Float64Array.of(v0), slope, residual, runs: runs + 3 }),
  );
}

function describe(pulse: ChokePulse, settled: Settled): ChokeInputAnswer {
  const { problem, period, peak, pulses } = pulse;
  const { tally } = settled;
  const mean = tally.area / period;
  const dcAmps = pulse.constantAmps + pulse.loadSiemens * mean;
  const chargeMean = tally.charge / period;
  const pathSquares = tally.pathSquares * problem.hertz;
  const windingSquares = problem.circuit === "bridge" ? tally.windingSquares / period : pathSquares;
  const elementWatts = Array.from(tally.elements, (sum) => watts(sum * problem.hertz));
  const rectifierWatts = elementWatts.reduce((sum, one) => sum + one, 0);
  const seriesWatts = problem.seriesOhms * windingSquares;
  const chokeWatts = (problem.chokeOhms * tally.chokeSquares) / period;
  const windings = problem.circuit === "full-wave" ? 2 : 1;
  const steps = Math.round(period / pulse.step);
  return {
    outcome: settled.outcome,
    dcVolts: volts(mean),
    ripplePeakToPeakVolts: volts(tally.highestVolts - tally.lowestVolts),
    chokeLeastAmps: amps(settled.outcome === "continuous" ? tally.lowestAmps : 0),
    chokePeakAmps: amps(tally.highestAmps),
    chokeRmsAmps: amps(Math.sqrt(tally.chokeSquares / period)),
    platePeakAmps: amps(tally.pathPeak),
    plateRmsAmps: amps(Math.sqrt(pathSquares)),
    windingRmsAmps: amps(Math.sqrt(windingSquares)),
    capacitorRmsAmps: amps(Math.sqrt(tally.capacitorSquares / period)),
    rectifierWatts: watts(rectifierWatts),
    elementWatts,
    seriesWatts: watts(seriesWatts),
    chokeWatts: watts(chokeWatts),
    balance: {
      windingWatts: watts(tally.given / period),
      heatWatts: watts(pulses * rectifierWatts + windings * seriesWatts + chokeWatts),
      loadWatts: watts(pulse.constantAmps * mean + (pulse.loadSiemens * tally.voltSquares) / period),
      capacitorMeanAmps: amps(chargeMean - dcAmps),
    },
    peakInverseVolts: volts(
      problem.circuit === "bridge" ? peak : problem.circuit === "full-wave" ? tally.inverse : peak + tally.highestVolts,
    ),
    criticalHenries: henries(pulses === 1 ? Infinity : criticalHenries(problem.rmsVolts, problem.hertz, dcAmps)),
    slopeOhms: ohms(settled.slope),
    effort: {
      steps: settled.runs,
      factorings: 0,
      lawCalls: settled.runs * steps * 4,
      residual: settled.residual,
    },
    start: settled.start,
  };
}
