/**
 * Damped nonlinear least squares.
 *
 * Law     Minimises S(x) = sum r_i(x)^2.
 * Method  Levenberg-Marquardt with Nielsen's damping update; Jacobian by central differences unless given; normal
 *         equations by Cholesky, scaled by the diagonal.
 * Limits  Residuals must be finite at the start; a trial where they are not is a rejected step. The covariance is
 *         (J'J)^-1: right when residuals are divided by their standard deviations (priors as residuals included).
 * Sources Marquardt 1963; Madsen, Nielsen and Tingleff, Methods for Non-Linear Least Squares Problems, 2004 (memory).
 */
import { assert, fail, ok, type Result } from "../result.ts";

export type ResidualFunction = (x: Float64Array) => Float64Array;

export interface LeastSquares {
  /** "gradient": a stationary point; "small-step": steps below tolerance; both are minima to working precision. */
  readonly outcome: "gradient" | "small-step";
  readonly x: Float64Array;
  readonly residuals: Float64Array;
  readonly cost: number;
  /** Row-major n x n. */
  readonly covariance: Float64Array;
  readonly effort: { readonly iterations: number; readonly evaluations: number };
}

export type LeastSquaresFailure =
  | { readonly kind: "not-finite-at-start" }
  | { readonly kind: "degenerate"; readonly parameter: number }
  | { readonly kind: "not-settled"; readonly cost: number; readonly iterations: number };

export interface LeastSquaresOptions {
  readonly iterations?: number;
  readonly stepTolerance?: number;
  readonly gradientTolerance?: number;
  /** Relative step of the differences. */
  readonly difference?: number;
  readonly jacobian?: (x: Float64Array) => Float64Array;
}

/** Minimises from `start`; the answer carries residuals, covariance and effort. */
export function leastSquares(
  residualsAt: ResidualFunction,
  start: ArrayLike<number>,
  options: LeastSquaresOptions = {},
): Result<LeastSquares, LeastSquaresFailure> {
  const { iterations = 200, stepTolerance = 1e-10, gradientTolerance = 1e-10, difference = 1e-5 } = options;
  const n = start.length;
  let x = Float64Array.from(start);
  let r = residualsAt(x);
  let evaluations = 1;
  let cost = squares(r);
  if (!Number.isFinite(cost)) return fail({ kind: "not-finite-at-start" });
  const jacobianAt = (at: Float64Array, here: Float64Array): Float64Array => {
    if (options.jacobian !== undefined) return options.jacobian(at);
    evaluations += 2 * n;
    return centralDifferences(residualsAt, at, here.length, difference);
  };
  let J = jacobianAt(x, r);
  let damping = 1e-3;
  let growth = 2;
  const finish = (outcome: LeastSquares["outcome"], iteration: number): Result<LeastSquares, LeastSquaresFailure> => {
    const { normal } = normalEquations(J, r, n);
    const covariance = invertPositive(normal, n);
    if (typeof covariance === "number") return fail({ kind: "degenerate", parameter: covariance });
    return ok({ outcome, x, residuals: r, cost, covariance, effort: { iterations: iteration, evaluations } });
  };
  for (let iteration = 0; iteration < iterations; iteration++) {
    const { normal, gradient } = normalEquations(J, r, n);
    let steepest = 0;
    for (let i = 0; i < n; i++)
      steepest = Math.max(
        steepest,
        Math.abs(gradient[i] as number) /
          Math.sqrt(Math.max(1e-300, (normal[i * n + i] as number) * Math.max(cost, 1e-300))),
      );
    if (steepest <= gradientTolerance) return finish("gradient", iteration);
    for (let tries = 0; ; tries++) {
      const damped = Float64Array.from(normal);
      for (let i = 0; i < n; i++) damped[i * n + i] = (damped[i * n + i] as number) * (1 + damping) + 1e-300;
      const step = solvePositive(damped, gradient, n);
      if (step !== undefined) {
        const trial = x.map((v, i) => v - (step[i] as number));
        const rTrial = residualsAt(trial);
        evaluations++;
        const costTrial = squares(rTrial);
        let predicted = 0;
        for (let i = 0; i < n; i++)
          predicted +=
            (step[i] as number) *
            (damping * (normal[i * n + i] as number) * (step[i] as number) + (gradient[i] as number));
        const small = step.every((s, i) => Math.abs(s) <= stepTolerance * (Math.abs(x[i] as number) + stepTolerance));
        if (costTrial < cost) {
          const gain = (cost - costTrial) / Math.max(predicted, 1e-300);
          x = trial;
          r = rTrial;
          cost = costTrial;
          J = jacobianAt(x, r);
          damping *= Math.max(1 / 3, 1 - (2 * gain - 1) ** 3);
          growth = 2;
          if (small) return finish("small-step", iteration + 1);
          break;
        }
        if (small) return finish("small-step", iteration + 1);
      }
      damping *= growth;
      growth *= 2;
      if (tries > 60) return finish("small-step", iteration + 1);
    }
  }
  return fail({ kind: "not-settled", cost, iterations });
}

function squares(r: Float64Array): number {
  let sum = 0;
  for (const v of r) sum += v * v;
  return sum;
}

function centralDifferences(
  residualsAt: ResidualFunction,
  x: Float64Array,
  m: number,
  difference: number,
): Float64Array {
  const n = x.length;
  const J = new Float64Array(m * n);
  for (let j = 0; j < n; j++) {
    const h = difference * Math.max(1e-2, Math.abs(x[j] as number));
    const up = Float64Array.from(x);
    const down = Float64Array.from(x);
    up[j] = (x[j] as number) + h;
    down[j] = (x[j] as number) - h;
    const a = residualsAt(up);
    const b = residualsAt(down);
    assert(a.length === m && b.length === m, `leastSquares: ${a.length} residuals where ${m} were before`);
    for (let i = 0; i < m; i++) J[i * n + j] = ((a[i] as number) - (b[i] as number)) / (2 * h);
  }
  return J;
}

function normalEquations(
  J: Float64Array,
  r: Float64Array,
  n: number,
): { normal: Float64Array; gradient: Float64Array } {
  const normal = new Float64Array(n * n);
  const gradient = new Float64Array(n);
  for (let i = 0; i < r.length; i++) {
    for (let a = 0; a < n; a++) {
      const ja = J[i * n + a] as number;
      gradient[a] = (gradient[a] as number) + ja * (r[i] as number);
      for (let b = 0; b < n; b++) normal[a * n + b] = (normal[a * n + b] as number) + ja * (J[i * n + b] as number);
    }
  }
  return { normal, gradient };
}

/** Lower Cholesky factor of a symmetric matrix scaled to unit diagonal, or the first index where it fails. */
function cholesky(a: Float64Array, n: number): { L: Float64Array; scale: Float64Array } | number {
  const scale = Float64Array.from({ length: n }, (_, i) => 1 / Math.sqrt(Math.max(0, a[i * n + i] as number)));
  const L = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    if (!Number.isFinite(scale[i] as number)) return i;
    for (let j = 0; j <= i; j++) {
      let sum = (a[i * n + j] as number) * (scale[i] as number) * (scale[j] as number);
      for (let k = 0; k < j; k++) sum -= (L[i * n + k] as number) * (L[j * n + k] as number);
      if (i === j) {
        if (!(sum > 1e-13)) return i;
        L[i * n + i] = Math.sqrt(sum);
      } else L[i * n + j] = sum / (L[j * n + j] as number);
    }
  }
  return { L, scale };
}

function solvePositive(a: Float64Array, b: Float64Array, n: number): Float64Array | undefined {
  const factor = cholesky(a, n);
  if (typeof factor === "number") return undefined;
  const { L, scale } = factor;
  const y = b.map((v, i) => v * (scale[i] as number));
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) y[i] = (y[i] as number) - (L[i * n + k] as number) * (y[k] as number);
    y[i] = (y[i] as number) / (L[i * n + i] as number);
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) y[i] = (y[i] as number) - (L[k * n + i] as number) * (y[k] as number);
    y[i] = (y[i] as number) / (L[i * n + i] as number);
  }
  return y.map((v, i) => v * (scale[i] as number));
}

/** Inverse of a symmetric positive matrix, or the index of the parameter at which it is degenerate. */
function invertPositive(a: Float64Array, n: number): Float64Array | number {
  const bad = cholesky(a, n);
  if (typeof bad === "number") return bad;
  const inverse = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    const unit = new Float64Array(n);
    unit[j] = 1;
    const column = solvePositive(a, unit, n) as Float64Array;
    for (let i = 0; i < n; i++) inverse[i * n + j] = column[i] as number;
  }
  return inverse;
}
