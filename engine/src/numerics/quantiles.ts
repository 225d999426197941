/**
 * Quantiles of samples, plain and weighted.
 *
 * Law     Plain: linear between order statistics, sample i (0 to n - 1) standing at probability i / (n - 1) (Hyndman and
 *         Fan's type 7). Weighted: sample i of the sorted list stands at (W_i - w_i/2) / W, where W_i is the sum of weights
 *         up to and with it; linear between, the extremes held outside (type 5 when the weights are equal).
 * Limits  An empty list, a value that is not a number or a weight below 0 breaks the caller's promise and throws.
 * Sources Hyndman and Fan, The American Statistician 50(4), 1996 (memory).
 */
import { assert } from "../result.ts";

/** The quantile at `probability` (0 to 1) of `values`, in any order. */
export function quantile(values: ArrayLike<number>, probability: number): number {
  return quantileSorted(sortedCopy(values), probability);
}

/** The same of values already in ascending order, for several quantiles of one list. */
export function quantileSorted(sorted: ArrayLike<number>, probability: number): number {
  assert(sorted.length > 0, "quantile: no values");
  assert(probability >= 0 && probability <= 1, `quantile: probability ${probability} is not within 0 to 1`);
  const place = probability * (sorted.length - 1);
  const below = Math.floor(place);
  const low = sorted[below] as number;
  const high = sorted[Math.min(below + 1, sorted.length - 1)] as number;
  return low + (place - below) * (high - low);
}

/** The quantile at `probability` of values that count by weight; a weight of 0 leaves its value out. */
export function weightedQuantile(values: ArrayLike<number>, weights: ArrayLike<number>, probability: number): number {
  assert(values.length === weights.length, "weightedQuantile: as many weights as values");
  assert(probability >= 0 && probability <= 1, `weightedQuantile: probability ${probability} is not within 0 to 1`);
  const order: number[] = [];
  let total = 0;
  for (let i = 0; i < values.length; i++) {
    const weight = weights[i] as number;
    assert(weight >= 0 && weight < Infinity, `weightedQuantile: weight ${weight}`);
    assert(!Number.isNaN(values[i] as number), "weightedQuantile: a value is not a number");
    if (weight > 0) order.push(i);
    total += weight;
  }
  assert(total > 0, "weightedQuantile: no weight");
  order.sort((a, b) => (values[a] as number) - (values[b] as number));
  const wanted = probability * total;
  let sum = 0;
  let lastPlace = -Infinity;
  let lastValue = values[order[0] as number] as number;
  for (const i of order) {
    const weight = weights[i] as number;
    const place = sum + weight / 2;
    const value = values[i] as number;
    if (wanted <= place)
      return lastPlace === -Infinity
        ? value
        : lastValue + ((wanted - lastPlace) / (place - lastPlace)) * (value - lastValue);
    sum += weight;
    lastPlace = place;
    lastValue = value;
  }
  return lastValue;
}

function sortedCopy(values: ArrayLike<number>): Float64Array {
  const sorted = Float64Array.from(values);
  for (const value of sorted) assert(!Number.isNaN(value), "quantile: a value is not a number");
  return sorted.sort();
}
