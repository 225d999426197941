/** A joint Gaussian state, updated by scalar observations. Plain arrays: tens of unknowns, not thousands. */

export interface GaussianState {
  readonly mean: Float64Array;
  /** Row-major, n by n. */
  readonly covariance: Float64Array;
}

/** Standard deviations in the half-width of a 90 % band, as the records of the laws count it (docs/laws.md). */
export const NINETY = 1.65;

/** Variance of a weighted sum of the state. */
export function varianceOf({ mean, covariance }: GaussianState, weights: ArrayLike<number>): number {
  const n = mean.length;
  let sum = 0;
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++)
      sum += (weights[i] as number) * (weights[j] as number) * (covariance[i * n + j] as number);
  return Math.max(0, sum);
}

export interface Update {
  readonly state: GaussianState;
  /** Observed less expected, over the deviation expected of that difference. */
  readonly deviations: number;
}

/**
 * The state after `observed` = weights · state + noise of `variance`. Joseph's form of the covariance update, so that
 * no variance ever rises nor falls below zero but by rounding. An observation that tells nothing leaves the state.
 */
export function observe(state: GaussianState, weights: ArrayLike<number>, observed: number, variance: number): Update {
  const { mean, covariance } = state;
  const n = mean.length;
  const carried = new Float64Array(n);
  let expected = 0;
  for (let i = 0; i < n; i++) {
    expected += (weights[i] as number) * (mean[i] as number);
    for (let j = 0; j < n; j++)
      carried[i] = (carried[i] as number) + (covariance[i * n + j] as number) * (weights[j] as number);
  }
  let total = variance;
  for (let i = 0; i < n; i++) total += (weights[i] as number) * (carried[i] as number);
  const miss = observed - expected;
  if (!(total > 0)) return { state, deviations: 0 };
  const gain = carried.map((c) => c / total);
  const next = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++)
      next[i * n + j] =
        (covariance[i * n + j] as number) -
        (gain[i] as number) * (carried[j] as number) -
        (carried[i] as number) * (gain[j] as number) +
        (gain[i] as number) * (gain[j] as number) * total;
  return {
    state: { mean: mean.map((m, i) => m + (gain[i] as number) * miss), covariance: next },
    deviations: miss / Math.sqrt(total),
  };
}
