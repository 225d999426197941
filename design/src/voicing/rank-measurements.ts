/**
 * What to measure on the proven unit first: how far each reading would narrow the band of H2 of the unit now.
 *
 * Law     Linear and Gaussian. Unknown are the parameters of both laws (posterior covariance of their records), the
 *         specimens' departures (spread of the records), and what of the recorded band neither explains: the law's own
 *         miss of H2, which no voltage shows. Readings and H2 move with the parameters by the slopes of law-slopes.ts.
 *         Errors of the two laws correlate as calibrate.ts has it: the factors of their covariances, taken from the
 *         shape parameters downward to the perveance, correlate one by one; so do the own misses.
 * Answer  In the order to be measured in: first what narrows most alone, then what narrows most besides what is known by
 *         then. No reading's value is needed: a Gaussian band narrows by the same whatever is read.
 */
import { fail, ok, type Result } from "@platewright/engine";
import type { SolvedDesign } from "../solved/types.ts";
import { lawCorrelation, POINT_DECIBELS } from "./calibrate.ts";
import { type GaussianState, NINETY, observe, varianceOf } from "./gaussian.ts";
import {
  explainedDecibels,
  type LawSlopes,
  lawSlopes,
  READABLES,
  type Readable,
  specimenSpread,
} from "./law-slopes.ts";

/**
 * 90 % half-widths of what a bench reads, dB: volts 3 % (meter, resistors of 1 % and mains that moves), gain 0.2 dB, H2
 * 0.5 dB. Common practice; the builder may know his better.
 */
export const USUAL_METERS: { readonly [R in Readable]: number } = {
  "cathode-volts": 0.26,
  "plate-volts": 0.26,
  gain: 0.2,
  h2: 0.5,
};

export interface RankAsk {
  readonly proven: SolvedDesign;
  readonly now: SolvedDesign;
  readonly instance: string;
  /** V rms at the jack at which H2 is read, and wanted. */
  readonly inputVolts: number;
  readonly sameBottle: boolean;
  /** The gain stage stands at the same point with the same load in both. */
  readonly sameStage?: boolean;
  readonly meters?: Partial<{ readonly [R in Readable]: number }>;
}

export interface RankedMeasurement {
  readonly quantity: Readable;
  readonly words: string;
  /** What is expected on the proven unit: V, a factor, or a ratio. */
  readonly expected: number;
  readonly meterDecibels: number;
  /** 90 % half-width of H2 of the unit now, dB: after this reading alone; after it and all before it in the list. */
  readonly aloneDecibels: number;
  readonly togetherDecibels: number;
}

export interface Ranking {
  readonly bandDecibels: number;
  readonly measurements: readonly RankedMeasurement[];
}

export function rankMeasurements(ask: RankAsk): Result<Ranking, string> {
  const proven = lawSlopes(ask.proven, ask.instance, ask.inputVolts);
  if (!proven.ok) return fail(`Proven: ${proven.failure}`);
  const now = lawSlopes(ask.now, ask.instance, ask.inputVolts);
  if (!now.ok) return fail(`Now: ${now.failure}`);
  return ok(rankBySlopes(proven.value, now.value, ask));
}

/** The same from slopes that are known already. */
export function rankBySlopes(
  proven: LawSlopes,
  now: LawSlopes,
  ask: Pick<RankAsk, "inputVolts" | "sameBottle" | "sameStage" | "meters">,
): Ranking {
  const { state, weightsOf } = jointState(proven, now, ask.sameBottle, ask.sameStage === true);
  const target = weightsOf("now", "h2");
  const bandOf = (one: GaussianState) => NINETY * Math.sqrt(varianceOf(one, target));
  const meterOf = (which: Readable) => ask.meters?.[which] ?? USUAL_METERS[which];
  const after = (one: GaussianState, which: Readable) =>
    observe(one, weightsOf("proven", which), 0, (meterOf(which) / NINETY) ** 2).state;
  const waiting = new Set<Readable>(READABLES);
  const measurements: RankedMeasurement[] = [];
  let known: GaussianState = state;
  while (waiting.size > 0) {
    const tried = [...waiting].map((which) => ({ which, state: after(known, which) }));
    const best = tried.reduce((a, b) => (bandOf(b.state) < bandOf(a.state) ? b : a));
    waiting.delete(best.which);
    known = best.state;
    const decibels = proven.at[best.which];
    measurements.push({
      quantity: best.which,
      words: wordsOf(best.which, proven.triode, ask.inputVolts),
      expected: 10 ** (decibels / 20),
      meterDecibels: meterOf(best.which),
      aloneDecibels: bandOf(after(state, best.which)),
      togetherDecibels: bandOf(known),
    });
  }
  return { bandDecibels: bandOf(state), measurements };
}

function wordsOf(which: Readable, triode: string, inputVolts: number): string {
  switch (which) {
    case "cathode-volts":
      return `volts from the cathode of ${triode} to ground`;
    case "plate-volts":
      return `volts from the plate of ${triode} to ground`;
    case "gain":
      return "gain from input to output jack at 1 kHz";
    case "h2":
      return `second harmonic at ${inputVolts} V in`;
  }
}

interface Side {
  readonly factor: Float64Array;
  readonly specimens: readonly number[];
  readonly miss: number;
  readonly count: number;
}

/** Unknowns: proven's parameters, specimens, miss; then the same of now. */
function jointState(proven: LawSlopes, now: LawSlopes, sameBottle: boolean, sameStage: boolean) {
  const sides = [sideOf(proven), sideOf(now)] as const;
  const [a, b] = sides;
  const sizes = sides.map(({ count }) => 2 * count + 1) as [number, number];
  const n = sizes[0] + sizes[1];
  const covariance = new Float64Array(n * n);
  const put = (i: number, j: number, value: number) => {
    covariance[i * n + j] = value;
    covariance[j * n + i] = value;
  };
  for (const [s, side] of sides.entries()) {
    const at = s === 0 ? 0 : sizes[0];
    for (let i = 0; i < side.count; i++) {
      for (let j = 0; j <= i; j++) put(at + i, at + j, product(side, i, side, j));
      put(at + side.count + i, at + side.count + i, (side.specimens[i] as number) ** 2);
    }
    put(at + 2 * side.count, at + 2 * side.count, side.miss ** 2);
  }
  const rho = lawCorrelation(
    { type: proven.record.type, form: proven.record.law.space.form },
    { type: now.record.type, form: now.record.law.space.form },
  );
  const at = sizes[0];
  if (a.count === b.count)
    for (let i = 0; i < a.count; i++) {
      for (let j = 0; j < b.count; j++) put(i, at + j, rho * product(a, i, b, j));
      if (sameBottle) put(a.count + i, at + b.count + i, (a.specimens[i] as number) * (b.specimens[i] as number));
    }
  // Of the misses, what belongs to the working point carries over only with the stage.
  const shared = (miss: number) => Math.sqrt(miss * miss - POINT_DECIBELS ** 2);
  put(2 * a.count, at + 2 * b.count, rho * shared(a.miss) * shared(b.miss) + (sameStage ? POINT_DECIBELS ** 2 : 0));
  const weightsOf = (which: "proven" | "now", reading: Readable): Float64Array => {
    const weights = new Float64Array(n);
    const [from, slopes, count] = which === "proven" ? [0, proven.slopes, a.count] : [at, now.slopes, b.count];
    slopes.forEach((slope, i) => {
      weights[from + i] = slope[reading];
      weights[from + count + i] = slope[reading];
    });
    if (reading === "h2") weights[from + 2 * count] = 1;
    return weights;
  };
  return { state: { mean: new Float64Array(n), covariance }, weightsOf };
}

function sideOf(slopes: LawSlopes): Side {
  const { record } = slopes;
  const count = record.parameters.length;
  const least = POINT_DECIBELS ** 2;
  const miss = Math.sqrt(Math.max(least, (record.h2BandDecibels / NINETY) ** 2 - explainedDecibels(slopes) ** 2));
  return { factor: upperFactor(record.covariance, count), specimens: specimenSpread(record), count, miss };
}

/** Element (i, j) of U V^T for the factors of two sides. */
function product(a: Pick<Side, "factor" | "count">, i: number, b: Pick<Side, "factor" | "count">, j: number): number {
  let sum = 0;
  for (let k = 0; k < a.count; k++)
    sum += (a.factor[i * a.count + k] as number) * (b.factor[j * b.count + k] as number);
  return sum;
}

/**
 * Upper triangular U with U U^T = S: Cholesky from the last unknown upward. A pivot that rounding took below zero (stored
 * covariances have a few digits) counts as zero, with its column.
 */
export function upperFactor(s: readonly number[], n: number): Float64Array {
  const u = new Float64Array(n * n);
  for (let j = n - 1; j >= 0; j--) {
    let pivot = s[j * n + j] as number;
    for (let k = j + 1; k < n; k++) pivot -= (u[j * n + k] as number) ** 2;
    const root = pivot > 1e-12 * (s[j * n + j] as number) ? Math.sqrt(pivot) : 0;
    u[j * n + j] = root;
    if (root === 0) continue;
    for (let i = 0; i < j; i++) {
      let sum = s[i * n + j] as number;
      for (let k = j + 1; k < n; k++) sum -= (u[i * n + k] as number) * (u[j * n + k] as number);
      u[i * n + j] = sum / root;
    }
  }
  return u;
}
