/** Numbers and failures of the voicing as a builder reads them. */
import type { LoudnessFailure } from "@platewright/design";
import { dbu, printDecibels, printPercent, printValue } from "@platewright/engine";

const THIN = "\u202f";
/** Below this nothing is there to hear or to measure. */
const FLOOR_DECIBELS = -130;

/** Number and unit stay together. */
const thin = (text: string): string => text.replace(/\s/u, THIN);

/** "4.85 V", "50 kΩ". */
export const quantity = (value: number, unit: string): string => thin(printValue(value, unit));
/** "0.43 %" from a ratio. */
export const percentWords = (ratio: number): string => thin(printPercent(ratio));
/** "−62.1 dB". */
export const decibelWords = (value: number, places?: number): string => thin(printDecibels(value, places));

export const decibelsOf = (ratio: number): number => 20 * Math.log10(Math.abs(ratio));
const there = (ratio: number): boolean => decibelsOf(ratio) >= FLOOR_DECIBELS;

/** "0.43 %", and a dash for what is not there. */
export const percent = (ratio: number): string => (there(ratio) ? percentWords(Math.abs(ratio)) : "–");

/** "−47.3", to stand under a head that says dBc. */
export const dbc = (ratio: number): string => (there(ratio) ? signed(decibelsOf(ratio), false) : "–");

/** "+3.1", "−0.4". */
export function signed(value: number, plus = true, places = 1): string {
  const size = Math.abs(value).toFixed(places);
  return `${value < 0 && Number(size) !== 0 ? "−" : plus ? "+" : ""}${size}`;
}

/** "+4.0 dBu". */
export const inDbu = (volts: number): string => `${signed(dbu(volts))}${THIN}dBu`;

/** "+1.2 dB" of one ratio over another. */
export const apart = (ratio: number, from: number): string =>
  `${signed(decibelsOf(ratio) - decibelsOf(from))}${THIN}dB`;

/** "24 % lower", "the same". */
export function changeWords(now: number, was: number): string {
  const by = 100 * (Math.abs(now / was) - 1);
  return Math.abs(by) < 0.5 ? "the same" : `${Math.abs(by).toFixed(0)}${THIN}% ${by > 0 ? "higher" : "lower"}`;
}

export function pairWords(failure: LoudnessFailure): string {
  switch (failure.kind) {
    case "no-channel":
      return `There is no channel ${failure.instance}.`;
    case "bad-ask":
      return failure.field === "factor"
        ? "The pair differs by a factor above 1: 2 doubles H2."
        : "The input is a level above 0 V.";
    case "no-control":
      return `This channel has no ${failure.missing} control, so loudness and colour cannot be set apart.`;
    case "at-end":
      return `The ${failure.control} control (${failure.part.slice(failure.part.indexOf(".") + 1)}) would have to go beyond its ${failure.end === "up" ? "upper" : "lower"} end; try a smaller factor.`;
    case "harmonic-does-not-follow":
      return Number.isFinite(failure.reached)
        ? `Within reach of the drive H2 moves by no more than ${failure.reached.toFixed(1)} times.`
        : "No position of the drive moves H2 by that factor.";
    case "not-solved":
      return failure.sentence;
  }
}
