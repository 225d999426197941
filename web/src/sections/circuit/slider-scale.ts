/** The values that a slider runs over: a preferred series around where it stands, evenly spread in ratio. */
import { preferredBetween, type Series } from "@platewright/engine";

export interface SliderScale {
  readonly values: readonly number[];
  /** 0 at the first value, 1 at the last. */
  readonly shareOf: (value: number) => number;
  readonly nearest: (share: number) => number;
}

/** Half a decade to each side. */
const REACH = 10 ** 0.5;

export function sliderScale(around: number, series: Series): SliderScale {
  const values = preferredBetween(series, around / REACH, around * REACH);
  const [low = around, high = around] = [values[0], values.at(-1)];
  const span = Math.log(high / low) || 1;
  const shareOf = (value: number) => Math.log(value / low) / span;
  return {
    values,
    shareOf,
    nearest: (share) =>
      values.reduce(
        (best, value) => (Math.abs(shareOf(value) - share) < Math.abs(shareOf(best) - share) ? value : best),
        low,
      ),
  };
}
