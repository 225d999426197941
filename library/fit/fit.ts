/**
 * Fit of the island law to a type's rows.
 *
 * Method  One table point gives G, mu and Vct by Newton with p, k, a and Vt at their priors; damped least squares on all
 *         rows from several starts of k and a; the best is refined with the two stage rows of each table, when there are.
 * Answer  The law with its posterior covariance, residuals and what the data left at its prior.
 */
import {
  type Capacitances,
  type CharacteristicPoint,
  compileTriode,
  type GridLaw,
  leastSquares,
  luFactor,
  luSolve,
  type TriodeLaw,
} from "@platewright/engine";
import {
  type Observation,
  type ObservedPoint,
  type ObservedStage,
  predictPoint,
  predictStage,
  voltsOf,
} from "./observations.ts";
import { type IslandLaw, type Prior, toLaw, toVector } from "./parameters.ts";

/** Grid current: a share of the perveance, with exponent and sharpness of three measured specimens (docs/laws.md). */
export const gridLawFor = (G: number): GridLaw => ({ form: "softplus", Gg: 0.3 * G, xi: 1.3, C: 10, Vg0: -0.4 });

export const withGrid = (space: IslandLaw): TriodeLaw => ({ space, grid: gridLawFor(space.G) });

/** G, mu and Vct so that current, slope and plate resistance of one point come out; undefined when Newton fails. */
export function solveOnePoint(point: CharacteristicPoint, k = 8, a = 0.16): IslandLaw | undefined {
  const at = voltsOf(point);
  const ia = point.plateAmps;
  const gm =
    point.siemens ?? (point.mu !== undefined && point.plateOhms !== undefined ? point.mu / point.plateOhms : undefined);
  const rp = point.plateOhms ?? (point.mu !== undefined && gm !== undefined ? point.mu / gm : undefined);
  if (at === undefined || ia === undefined || gm === undefined || rp === undefined) return undefined;
  const p = 1.42;
  const mu = 1.08 * gm * rp;
  const E = (p * ia) / gm;
  const Vct = E - at.gridVolts - at.plateVolts / mu;
  const x = Float64Array.of(Math.log(ia / E ** p), Math.log(mu), Vct);
  const lawAt = (y: Float64Array): IslandLaw => ({
    form: "island",
    G: Math.exp(y[0] as number),
    mu: Math.exp(y[1] as number),
    p,
    k,
    a,
    Vt: 0.18,
    Vct: y[2] as number,
  });
  const out = new Float64Array(6);
  const misses = (y: Float64Array): readonly number[] => {
    compileTriode({ space: lawAt(y), grid: { form: "none" } })(at.gridVolts, at.plateVolts, out);
    return [
      Math.log((out[0] as number) / ia),
      Math.log((out[1] as number) / gm),
      Math.log(1 / (out[2] as number) / rp),
    ];
  };
  const pivots = new Int32Array(3);
  for (let n = 0; n < 60; n++) {
    const r = misses(x);
    if (Math.max(...r.map(Math.abs)) < 1e-10) return lawAt(x);
    const J = new Float64Array(9);
    for (let j = 0; j < 3; j++) {
      const h = 1e-6;
      const up = Float64Array.from(x);
      const down = Float64Array.from(x);
      up[j] = (x[j] as number) + h;
      down[j] = (x[j] as number) - h;
      const [ru, rd] = [misses(up), misses(down)];
      for (let i = 0; i < 3; i++) J[i * 3 + j] = ((ru[i] as number) - (rd[i] as number)) / (2 * h);
    }
    const step = Float64Array.from(r, (value) => -value);
    if (!luFactor(J, 3, pivots)) return undefined;
    luSolve(J, 3, pivots, step);
    const longest = Math.max(...step.map(Math.abs));
    const share = longest > 0.3 ? 0.3 / longest : 1;
    for (let j = 0; j < 3; j++) x[j] = (x[j] as number) + share * (step[j] as number);
    if (!x.every(Number.isFinite)) return undefined;
  }
  return undefined;
}

export interface FitAsk {
  readonly points: readonly ObservedPoint[];
  readonly stages: readonly ObservedStage[];
  readonly priors: readonly (Prior | undefined)[];
  readonly start: IslandLaw;
  readonly capacitances: Capacitances | undefined;
}

export interface Fit {
  readonly x: Float64Array;
  readonly cost: number;
  readonly covariance: Float64Array;
  readonly starts: number;
}

const STARTS = [3, 6, 12, 25].flatMap((k) => [0.05, 0.3].map((a) => ({ k, a })));

/** Least squares from every start; undefined when none settles. */
export function fitIsland(ask: FitAsk): Fit | undefined {
  const residuals = (stages: readonly ObservedStage[]) => (x: Float64Array) => residualsOf(ask, stages, x);
  let best: Fit | undefined;
  let settled = 0;
  const begin = toVector(ask.start);
  for (const { k, a } of [{ k: ask.start.k, a: ask.start.a }, ...STARTS]) {
    const start = Float64Array.from(begin);
    start[3] = Math.log(k);
    start[4] = Math.log(a);
    const fit = leastSquares(residuals([]), start, { iterations: 300, stepTolerance: 1e-8, gradientTolerance: 1e-8 });
    if (!fit.ok) continue;
    settled++;
    if (best === undefined || fit.value.cost < best.cost)
      best = { x: fit.value.x, cost: fit.value.cost, covariance: fit.value.covariance, starts: settled };
  }
  if (best === undefined) return undefined;
  if (ask.stages.length === 0) return { ...best, starts: settled };
  const refined = leastSquares(residuals(ask.stages), best.x, {
    iterations: 60,
    stepTolerance: 1e-6,
    gradientTolerance: 1e-6,
    difference: 1e-4,
  });
  return refined.ok
    ? { x: refined.value.x, cost: refined.value.cost, covariance: refined.value.covariance, starts: settled }
    : { ...best, starts: settled };
}

function residualsOf(ask: FitAsk, stages: readonly ObservedStage[], x: Float64Array): Float64Array {
  const law = toLaw(x);
  const evaluate = compileTriode({ space: law, grid: { form: "none" } });
  const r: number[] = [];
  for (const point of ask.points) {
    const predicted = predictPoint(point, evaluate);
    for (const [i, observation] of point.observations.entries()) r.push(miss(observation, predicted[i] as number));
  }
  for (const stage of stages) {
    const predicted = predictStage(stage, withGrid(law), ask.capacitances);
    for (const [i, observation] of stage.observations.entries()) r.push(miss(observation, predicted[i] as number));
  }
  for (const [i, prior] of ask.priors.entries())
    if (prior !== undefined) r.push(((x[i] as number) - prior.mean) / prior.sd);
  return Float64Array.from(r);
}

function miss({ published, deviation, side }: Observation, predicted: number): number {
  const off = Math.log(predicted / published) / deviation;
  return side === "above" ? Math.max(0, off) : off;
}
