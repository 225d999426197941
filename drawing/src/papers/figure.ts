/** Figures as they are printed: the number, its unit, and the place in the engine's answers where it stands. */
import { digits, printValue } from "@platewright/engine";
import type { Figure } from "./letters.ts";

const THIN = "\u202f";

const narrow = (text: string): string => text.replaceAll(" ", THIN);

/** As a builder reads it: "4.7 kΩ", "7.6 mA". */
export const figure = (of: string, value: number, unit: string, significant = 3): Figure => ({
  of,
  value,
  unit,
  text: value === Infinity ? "open" : narrow(printValue(value, unit, significant)),
});

/** Direct volts as a meter shows them: no millivolts, two places below ten. */
export function meterFigure(of: string, value: number): Figure {
  const size = Math.abs(value);
  const places = size >= 99.95 ? 0 : size >= 9.995 ? 1 : 2;
  const text = Math.abs(value) < 0.005 ? "0.00" : `${value < 0 ? "−" : ""}${size.toFixed(places)}`;
  return { of, value, unit: "V", text: `${text}${THIN}V` };
}

/** "101 to 129 V": both ends of a band as figures. */
export function bandFigures(of: string, low: number, high: number): readonly (Figure | string)[] {
  const from = meterFigure(`${of}/low`, low);
  const to = meterFigure(`${of}/high`, high);
  return [{ ...from, text: from.text.slice(0, -2) }, "\u00a0to\u00a0", to];
}

export const percentFigure = (of: string, ratio: number, places = 0): Figure => ({
  of,
  value: ratio,
  unit: "%",
  text: `${ratio < 0 ? "−" : ""}${Math.abs(100 * ratio).toFixed(places)}${THIN}%`,
});

export const decibelFigure = (of: string, value: number, unit = "dB", places = 1): Figure => ({
  of,
  value,
  unit,
  text: `${value < 0 ? "−" : ""}${Math.abs(value).toFixed(places)}${THIN}${unit}`,
});

/** A bare number. */
export const countFigure = (of: string, value: number): Figure => ({ of, value, unit: "", text: String(value) });

export const factorFigure = (of: string, value: number): Figure => ({
  of,
  value,
  unit: "",
  text: `×${THIN}${value.toFixed(3)}`,
});

export const plainFigure = (of: string, value: number, unit: string, significant = 3): Figure => ({
  of,
  value,
  unit,
  text: `${digits(value, significant)}${unit === "" ? "" : THIN}${unit}`,
});

/** Money: two places, no unit. */
export const sumFigure = (of: string, value: number): Figure => ({ of, value, unit: "", text: value.toFixed(2) });
