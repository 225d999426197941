/** The next value of a preferred series. */
import { nearestPreferred, partCode, type Quantity, type Series, stepPreferred } from "@platewright/engine";

const CODED = ["resistance", "capacitance", "inductance"] as const;

/** The next value of a series, as it would be written on the part. */
export function stepped(quantity: Quantity, value: number, by: number, series: Series): string {
  const next = stepPreferred(series, value, by);
  // A value between two of the series steps to its neighbour, not past it.
  const near = nearestPreferred(series, value);
  const to = by > 0 ? (near > value * 1.001 ? near : next) : near < value * 0.999 ? near : next;
  const coded = CODED.find((one) => one === quantity);
  return coded === undefined ? String(Number(to.toPrecision(3))) : partCode(to, coded);
}
