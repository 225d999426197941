/** The page's words for what the asks answer. */
import type { Help } from "@platewright/design";
import { digits, printPercent, printValue } from "@platewright/engine";
import type { ValueOf } from "../../worker/asks.ts";

export type StageAnswer = ValueOf<"curvesStage">;
export type FamilyAnswer = ValueOf<"curvesFamily">;
export type MakersPoint = FamilyAnswer["points"][number];

const THIN = "\u202f";

/** Volts as they are spoken of at a tube: never in thousandths, and nothing below what a meter shows. */
export function voltsWords(volts: number): string {
  const size = Math.abs(volts);
  return `${digits(size < 5e-3 ? 0 : volts, size >= 1 ? 3 : 2)}${THIN}V`;
}
/** As a limit is printed. */
export const limitWatts = (watts: number): string => `${digits(watts, 3)}${THIN}W`;
export const wattsWords = (watts: number): string => `${digits(watts, 2, false)}${THIN}W`;

export const pointWords = ({ plateVolts, plateAmps }: { readonly plateVolts: number; readonly plateAmps: number }) =>
  `${voltsWords(plateVolts)}, ${printValue(plateAmps, "A")}`;

export const decibels = (gain: number): number => 20 * Math.log10(gain);

/** "89 to 127 V"; whole from 20 V up. */
export function spanWords(low: number, high: number): string {
  const [from, to] = [low, high].map((volts) => (volts >= 20 ? Math.round(volts) : volts)) as [number, number];
  return `${digits(from, 3)} to ${voltsWords(to)}`;
}

const STATUS: Readonly<Record<string, string>> = { memory: "from memory" };

/** "published", "from memory, medium confidence". */
export const statusWords = ({ status, confidence }: MakersPoint): string =>
  `${STATUS[status] ?? status}${confidence === undefined ? "" : `, ${confidence} confidence`}`;

/** Where in its document a row stands, and how finely it was read where it was read off a curve. */
export function whereWords({ title, note, reading, readTo }: MakersPoint): string {
  const fineness =
    readTo?.fraction !== undefined
      ? `±${printPercent(readTo.fraction, 1)}`
      : readTo?.plateAmps !== undefined
        ? `±${printValue(readTo.plateAmps, "A")}`
        : readTo?.plateVolts !== undefined
          ? `±${voltsWords(readTo.plateVolts)}`
          : "";
  const read = reading === "curve" ? `read off a curve${fineness === "" ? "" : ` to ${fineness}`}` : "";
  return [title, note, read].filter((part) => part !== undefined && part !== "").join("; ");
}

export const conditionWords = ({ plateVolts, gridVolts, plateAmps }: MakersPoint): string =>
  `${voltsWords(plateVolts)}, ${voltsWords(gridVolts)}: ${printValue(plateAmps, "A")}`;

export const lawWords = ({ lawAmps, lawHigherBy }: MakersPoint): string =>
  `the law gives ${printValue(lawAmps, "A")} here, ${lawHigherBy < 0 ? "−" : "+"}${printPercent(Math.abs(lawHigherBy))}`;

/** What a parameter of the law is in a builder's words. */
const PARAMETER_WORDS: Readonly<Record<string, string>> = {
  G: "How much current it passes",
  mu: "mu with little bias",
  p: "How fast current grows",
  k: "How sharply it cuts off",
  a: "How far mu falls with bias",
  Vt: "The tail before cut-off",
  Vct: "The grid’s own volts",
};
export const parameterWords = (name: string): string => PARAMETER_WORDS[name] ?? name;

export const spreadWords = (name: string, spread: number): string =>
  name === "Vct"
    ? `±${voltsWords(spread)}`
    : spread > 0.9
      ? `factor ${digits(Math.exp(spread), 2)}`
      : `±${printPercent(spread, 2)}`;

/** The one reading that would help, with what it would make of the open decibels. */
export function helpWords(help: Help | undefined, inputVolts: number): string {
  if (help === undefined) return "no single reading; more of the maker’s curves";
  const share = printPercent(help.leaves, 2);
  switch (help.reading) {
    case "h2":
      return `H2 at ${voltsWords(inputVolts)} in: ${share}`;
    case "gain":
      return `gain at 1${THIN}kHz: ${share}`;
    case "plate-current":
      return `current at ${voltsWords(help.plateVolts)}, ${voltsWords(help.gridVolts)} (about ${printValue(help.plateAmps, "A", 2)}): ${share}`;
  }
}
