/**
 * A-weighting of a level, from its analytic form.
 *
 * Law     A(f) = f4^2 f^4 / ((f^2 + f1^2) sqrt((f^2 + f2^2)(f^2 + f3^2)) (f^2 + f4^2)), divided by A(1 kHz). The four pole
 *         frequencies follow from 1 kHz, the C-weighting's half-power points 10^1.5 and 10^3.9 Hz, and the A-weighting's
 *         low corner 10^2.45 Hz.
 * Sources IEC 61672-1:2013 Annex E (memory); checked against the values of its Table 3.
 */
import type { Hertz } from "../units/quantities.ts";

const REFERENCE = 1000;
const LOW = 10 ** 1.5;
const HIGH = 10 ** 3.9;
const CORNER = 10 ** 2.45;

/** The four poles in Hz: the first and last double. */
export const A_WEIGHTING_POLES: readonly [number, number, number, number] = polesOf();

function polesOf(): [number, number, number, number] {
  const d = Math.SQRT1_2;
  const c = (LOW * HIGH) ** 2;
  const b = (REFERENCE ** 2 + c / REFERENCE ** 2 - d * (LOW ** 2 + HIGH ** 2)) / (1 - d);
  const root = Math.sqrt(b * b - 4 * c);
  return [
    Math.sqrt((-b - root) / 2),
    ((3 - Math.sqrt(5)) / 2) * CORNER,
    ((3 + Math.sqrt(5)) / 2) * CORNER,
    Math.sqrt((-b + root) / 2),
  ];
}

/** A to the second power before it is set to one at 1 kHz. */
function rawPower(f: number): number {
  const [f1, f2, f3, f4] = A_WEIGHTING_POLES;
  const s = f * f;
  const numerator = f4 ** 4 * s ** 4;
  return numerator / ((s + f1 * f1) ** 2 * (s + f2 * f2) * (s + f3 * f3) * (s + f4 * f4) ** 2);
}

const REFERENCE_POWER = rawPower(REFERENCE);

/** Power gain (a ratio) of the A-weighting at a frequency; 1 at 1 kHz, 0 at 0 Hz. */
export const aWeightingPower = (hertz: Hertz): number => rawPower(hertz) / REFERENCE_POWER;

/** The A-weighting in dB; -Infinity at 0 Hz. */
export const aWeightingDecibels = (hertz: Hertz): number => 10 * Math.log10(aWeightingPower(hertz));
