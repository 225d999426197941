import { printQuantity } from "../plot/axis.ts";
import type { PlotMark } from "../plot/spec.ts";
import type { Trace, TraceMark } from "./time-figure.ts";

export type Quantity = "volts" | "amps";
export const UNITS = { volts: "V", amps: "A" } as const;

/** An end that is no farther from the peak than this share of it is no overshoot: there is no moment to mark. */
const SETTLED = 0.002;

/** The marks of one panel; none for a trace that has no such quantity. */
export function marksOf(
  times: readonly number[],
  traces: readonly Trace[],
  marks: readonly TraceMark[],
  quantity: Quantity,
): readonly PlotMark[] {
  return marks.flatMap((mark): readonly PlotMark[] => {
    const trace = traces.find((each) => each.label === mark.trace);
    const values = trace?.[quantity] ?? [];
    const n = mark.at === "peak" ? peakIndex(values) : nearestIndex(times, mark.at);
    const [x, y] = [times[n], values[n]];
    if (trace === undefined || x === undefined || y === undefined || !Number.isFinite(y)) return [];
    const role = mark.role ?? trace.role ?? "ink";
    const text = `${printQuantity(y, UNITS[quantity])} at ${printQuantity(x, "s")}`;
    return [{ x, y, text, role, hollow: role === "proven", ...(trace.ids === undefined ? {} : { ids: trace.ids }) }];
  });
}

/** Index of the value farthest from zero, which is what a rating is about; −1 when the trace only rises to its end. */
export function peakIndex(values: readonly number[]): number {
  let best = -1;
  let size = 0;
  values.forEach((value, n) => {
    if (Math.abs(value) > size) {
      best = n;
      size = Math.abs(value);
    }
  });
  return Math.abs(values.at(-1) ?? 0) >= size * (1 - SETTLED) && size > 0 && !cycles(values) ? -1 : best;
}

/** Whether a trace ends as it began, as one cycle does. */
function cycles(values: readonly number[]): boolean {
  const [first = 0, last = 0] = [values[0], values.at(-1)];
  return Math.abs(first - last) <= SETTLED * Math.max(Math.abs(first), Math.abs(last));
}

/** Index of the time nearest to the one asked for. */
function nearestIndex(times: readonly number[], seconds: number): number {
  return times.reduce(
    (best, time, n) => (Math.abs(time - seconds) < Math.abs((times[best] ?? 0) - seconds) ? n : best),
    0,
  );
}
