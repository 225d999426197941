/**
 * What the trade knows of small mains transformers, as numbers: used where a label or a reading does not say.
 *
 * Sources Primary ohms by VA, weight, copper drop, share of VA for a capacitor input: common practice of builders.
 *         Core area: 26 A² VA at 50 Hz, A in square inches (Golborne Vintage Radio forum, thread 29783), and 0.64 A² VA,
 *         A in cm² (audiokit, "The Transformer"); both are A²/16 000 in mm² within 3 %. 60 Hz iron carries 1.2 times that.
 *         DC for an rms rating: a winder, "Design Guide for Rectifier Use" (centre tap 1.00, bridge 0.62, half-wave 0.28);
 *         another, "Method of Determining Secondary Current Ratings in D.C. Circuits" (1/1.2, 1/1.8, 1/2.6).
 */

/** Lowest and highest. */
export type Range = readonly [number, number];

export const rangeMiddle = ([low, high]: Range): number => Math.sqrt(low * high);
export const scaleRange = ([low, high]: Range, factor: number): Range => [low * factor, high * factor];
export const spreadOf = (value: number, fraction: number): Range => [value / (1 + fraction), value * (1 + fraction)];
export const overlap = (one: Range, other: Range): Range | undefined => {
  const low = Math.max(one[0], other[0]);
  const high = Math.min(one[1], other[1]);
  return low <= high ? [low, high] : undefined;
};
export const hull = (one: Range, other: Range): Range => [Math.min(one[0], other[0]), Math.max(one[1], other[1])];

/** Primary dc ohms at 120 V by rated VA. */
const PRIMARY_OHMS: readonly { readonly voltAmps: number; readonly ohms: Range }[] = [
  { voltAmps: 30, ohms: [30, 40] },
  { voltAmps: 50, ohms: [13, 16] },
  { voltAmps: 80, ohms: [7, 9] },
  { voltAmps: 120, ohms: [5, 6] },
  { voltAmps: 160, ohms: [2.5, 3.5] },
];
const TABLE_VOLTS = 120;

/** Straight lines in log-log; beyond the table the end line goes on. `x` falls or rises through the table. */
function logInterpolate(points: readonly (readonly [number, number])[], x: number): number {
  const ordered = [...points].sort((one, other) => one[0] - other[0]);
  let n = ordered.findIndex(([at]) => at >= x);
  n = n === -1 ? ordered.length - 1 : Math.max(1, n);
  const [x0, y0] = ordered[n - 1] as readonly [number, number];
  const [x1, y1] = ordered[n] as readonly [number, number];
  return y0 * (y1 / y0) ** (Math.log(x / x0) / Math.log(x1 / x0));
}

/** Primary dc ohms that iron of `voltAmps` usually has, wound for `primaryVolts`. */
export function usualPrimaryOhms(voltAmps: number, primaryVolts: number): number {
  const points = PRIMARY_OHMS.map((row) => [row.voltAmps, rangeMiddle(row.ohms)] as const);
  return logInterpolate(points, voltAmps) * (primaryVolts / TABLE_VOLTS) ** 2;
}

/** VA that a primary of `ohms`, wound for `primaryVolts`, usually belongs to: along both edges of the table. */
export function voltAmpsByPrimaryOhms(ohms: number, primaryVolts: number): Range {
  const at120 = ohms * (TABLE_VOLTS / primaryVolts) ** 2;
  const along = (edge: 0 | 1) =>
    logInterpolate(
      PRIMARY_OHMS.map((row) => [row.ohms[edge], row.voltAmps] as const),
      at120,
    );
  return [Math.min(along(0), along(1)), Math.max(along(0), along(1))];
}

/** The table's own ends; beyond them the answer is drawn out and says so. */
export const PRIMARY_TABLE_VOLT_AMPS: Range = [30, 160];

/** Full-load regulation (unloaded over loaded, minus 1) by VA: twice the primary's share, windings loaded alike. */
export function usualRegulation(voltAmps: number): number {
  const share = (usualPrimaryOhms(voltAmps, TABLE_VOLTS) * voltAmps) / TABLE_VOLTS ** 2;
  return Math.min(REGULATION_BOUNDS[1], Math.max(REGULATION_BOUNDS[0], 2 * share));
}
/** 40 % is what the smallest and oldest reach. */
const REGULATION_BOUNDS: Range = [0.05, 0.4];
/** How far a single transformer of a size may stand from the usual regulation, as a factor: assumed. */
export const REGULATION_SPREAD = 0.5;

/** VA by cross-section of the tongue; steel and flux differ between makers by about as much as the spread: assumed. */
export function voltAmpsByCore(squareMillimetres: number, hertz: number): Range {
  return spreadOf(squareMillimetres ** 2 / (hertz < 55 ? 16_000 : 13_400), 0.3);
}

/** 20 W a pound. */
export function voltAmpsByWeight(kilograms: number): Range {
  return spreadOf(20 * (kilograms / 0.45359237), 0.3);
}

/** Amperes of a half winding by the drop in its own copper: about 4 %, 3 to 5.5 % taken. */
export function ampsByCopperDrop(voltsPerHalf: number, ohmsPerHalf: number): Range {
  return [(0.03 * voltsPerHalf) / ohmsPerHalf, (0.055 * voltsPerHalf) / ohmsPerHalf];
}

/** Of the VA a capacitor input leaves this much as watts. */
export const CAPACITOR_INPUT_SHARE = 0.65;

export type RectifierKind = "centre-tap" | "bridge" | "half-wave";

/** DC after a capacitor input for 1 A rms of winding rating, from two makers' guides, the lower first. */
export const DC_PER_RMS: { readonly [K in RectifierKind]: Range } = {
  "centre-tap": [1 / 1.2, 1],
  bridge: [1 / 1.8, 0.62],
  "half-wave": [0.28, 1 / 2.6],
};

/** Copper: resistance by temperature (NBS Handbook 100, 1966). */
export const COPPER_PER_KELVIN = 0.00393;
/** A winding in use is some 40 K above the bench it was measured on: common practice. */
export const WINDING_RISE_KELVIN = 40;
export const HOT_COPPER = 1 + COPPER_PER_KELVIN * WINDING_RISE_KELVIN;
