/** Preferred values, tabulated as in IEC 60063 (from memory): E24 is not the exact geometric series. */

export const E12 = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82] as const;
export const E24 = [
  10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
] as const;
export const E96 = [
  100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147, 150, 154, 158, 162, 165, 169,
  174, 178, 182, 187, 191, 196, 200, 205, 210, 215, 221, 226, 232, 237, 243, 249, 255, 261, 267, 274, 280, 287, 294,
  301, 309, 316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412, 422, 432, 442, 453, 464, 475, 487, 499, 511,
  523, 536, 549, 562, 576, 590, 604, 619, 634, 649, 665, 681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887,
  909, 931, 953, 976,
] as const;

export type Series = "E12" | "E24" | "E96";
const TABLES: Readonly<Record<Series, readonly number[]>> = { E12, E24, E96 };

/** Value number `index` of a series, counted through all decades; exact to the digits printed on the part. */
function valueAt(series: Series, index: number): number {
  const table = TABLES[series];
  const decade = Math.floor(index / table.length);
  const digits = table[index - decade * table.length] as number;
  return Number(`${digits}e${decade - (series === "E96" ? 2 : 1)}`);
}

/** The index whose value lies nearest in ratio. */
function indexNear(series: Series, value: number): number {
  const length = TABLES[series].length;
  let best = Math.floor(Math.log10(value)) * length;
  for (let i = best; i <= best + length; i++)
    if (Math.abs(Math.log(valueAt(series, i) / value)) < Math.abs(Math.log(valueAt(series, best) / value))) best = i;
  return best;
}

/** The preferred value nearest in ratio. `value` above 0. */
export function nearestPreferred(series: Series, value: number): number {
  return valueAt(series, indexNear(series, value));
}

/** `steps` preferred values up (or down, negative) from the preferred value nearest to `value`. */
export function stepPreferred(series: Series, value: number, steps: number): number {
  return valueAt(series, indexNear(series, value) + steps);
}

/** All preferred values from `low` to `high`, both counted in. */
export function preferredBetween(series: Series, low: number, high: number): readonly number[] {
  const values: number[] = [];
  for (let i = indexNear(series, low) - 1; valueAt(series, i) <= high * (1 + 1e-9); i++)
    if (valueAt(series, i) >= low * (1 - 1e-9)) values.push(valueAt(series, i));
  return values;
}
