import { assert, digits, printValue } from "@platewright/engine";

/** What a plot is drawn over. Values are in the plain SI unit; prefixes appear only in print ("100 ms"). */
export interface Axis {
  readonly from: number;
  readonly to: number;
  /** "V", "A", "s", "Hz", "Ω", "%", "dB" … */
  readonly unit: string;
  readonly scale?: "linear" | "log";
  readonly label?: string;
}

export interface Tick {
  readonly value: number;
  /** Empty for a line of the grid without a number. */
  readonly text: string;
}

const STEPS = [1, 2, 5, 10] as const;
const PREFIX_FACTORS: Readonly<Record<string, number>> = { M: 1e-6, k: 1e-3, m: 1e3, µ: 1e6, n: 1e9, p: 1e12 };
/** Narrow no-break space, between a number and its unit. */
export const THIN = "\u202f";

/** As the engine prints it; seconds below one are spoken of in milliseconds or microseconds. */
export function printQuantity(value: number, unit: string, significant = 3): string {
  if (unit !== "s" || value === 0 || !Number.isFinite(value))
    return printValue(value, unit, significant).trimEnd().replace(/\s/u, THIN);
  const size = Math.abs(Number(value.toPrecision(significant)));
  const [factor, prefix] = size >= 1 ? [1, ""] : size >= 1e-3 ? [1e3, "m"] : [1e6, "µ"];
  return `${digits(value * factor, significant)}${THIN}${prefix}s`;
}

/** Throws unless the axis runs upward between finite numbers, positive ones on a logarithmic axis. */
export function checkAxis(axis: Axis): void {
  const { from, to } = axis;
  assert(Number.isFinite(from) && Number.isFinite(to) && from < to, `an axis runs from ${from} to ${to} ${axis.unit}`);
  assert(axis.scale !== "log" || from > 0, `a logarithmic axis starts at ${from} ${axis.unit}`);
}

/** Where a value stands on its axis: 0 at `from`, 1 at `to`, beyond that outside; NaN where it has no place. */
export function fraction(axis: Axis, value: number): number {
  if (axis.scale !== "log") return (value - axis.from) / (axis.to - axis.from);
  return value > 0 ? Math.log(value / axis.from) / Math.log(axis.to / axis.from) : Number.NaN;
}

/**
 * Numbers along an axis at steps of 1, 2 or 5, no closer than `spacing` millimetres on an axis of `length` millimetres.
 * On a linear axis the unit stands with the last number alone; on a logarithmic one with each, as the prefix changes.
 */
export function ticksOf(axis: Axis, length: number, spacing: number): readonly Tick[] {
  checkAxis(axis);
  return axis.scale === "log" ? logTicks(axis, length, spacing) : linearTicks(axis, length, spacing);
}

/** The smallest 1, 2 or 5 times a power of ten that is not below `least`. */
export function roundStep(least: number): number {
  const decade = 10 ** Math.floor(Math.log10(least));
  return decade * (STEPS.find((step) => step * decade >= least * (1 - 1e-9)) ?? 10);
}

function linearTicks(axis: Axis, length: number, spacing: number): readonly Tick[] {
  const step = roundStep(((axis.to - axis.from) * spacing) / length);
  const first = Math.ceil(axis.from / step - 1e-9);
  const last = Math.floor(axis.to / step + 1e-9);
  const largest = Math.max(Math.abs(first), Math.abs(last)) * step;
  const [, prefixed = axis.unit] = printQuantity(largest, axis.unit, 6).split(THIN);
  const factor = PREFIX_FACTORS[prefixed.slice(0, prefixed.length - axis.unit.length)] ?? 1;
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, index) => {
    const count = first + index;
    const text = digits(count * step * factor, 9);
    return { value: count * step, text: count === last && prefixed !== "" ? `${text}${THIN}${prefixed}` : text };
  });
}

function logTicks(axis: Axis, length: number, spacing: number): readonly Tick[] {
  const perDecade = length / Math.log10(axis.to / axis.from);
  const first = Math.floor(Math.log10(axis.from) + 1e-9);
  const last = Math.ceil(Math.log10(axis.to) - 1e-9);
  const every = Math.max(1, Math.ceil(spacing / perDecade));
  // From 5 to 10 is the shortest of the steps 1, 2, 5: 0.30 of a decade.
  const named = perDecade * Math.log10(2) >= spacing ? [1, 2, 5] : [1];
  const ticks: Tick[] = [];
  for (let decade = first; decade <= last; decade++)
    for (const step of perDecade > 12 ? [1, 2, 3, 4, 5, 6, 7, 8, 9] : [1]) {
      const value = Number(`${step}e${decade}`);
      if (value < axis.from * (1 - 1e-9) || value > axis.to * (1 + 1e-9)) continue;
      const isNamed = named.includes(step) && (decade - first) % every === 0;
      ticks.push({ value, text: isNamed ? printQuantity(value, axis.unit) : "" });
    }
  return ticks;
}

/**
 * A linear axis that holds all the (finite) values and ends at round numbers; from zero when they are all on one side.
 * `headroom` is kept free beyond the largest, as a share of the range.
 */
export function axisOver(values: Iterable<number>, unit: string, headroom = 0.05): Axis {
  let low = 0;
  let high = 0;
  for (const value of values)
    if (Number.isFinite(value)) {
      low = Math.min(low, value);
      high = Math.max(high, value);
    }
  const range = high - low;
  if (!(range > 0)) return { from: 0, to: 1, unit };
  const step = roundStep(range / 10);
  const up = high === 0 ? 0 : Math.ceil((high + headroom * range) / step - 1e-9) * step;
  const down = low === 0 ? 0 : Math.floor((low - headroom * range) / step + 1e-9) * step;
  return { from: down, to: up, unit };
}
