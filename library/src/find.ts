/**
 * Finding tubes by words: "noval 6.3 V mu 20", "rectifier 6.3", "9A", "12bh7". Every word must fit.
 *
 * Method  Numbers with a unit or a leading name mean a quantity ("6.3 V" the heater, "mu 20", "5 mA/V"); a bare number with
 *         a point, or 2.5, 5, 6.3, 12.6, is taken as heater volts; anything else is part of a name, a socket, a basing or a kind.
 * Limits  mu within 15 %, transconductance within 25 % at any published point.
 */
import type { Catalogue, TubeRecord } from "@platewright/engine";
import { plainName } from "./names.ts";

export type Wish =
  | { readonly kind: "heater-volts"; readonly volts: number }
  | { readonly kind: "mu"; readonly mu: number }
  | { readonly kind: "siemens"; readonly siemens: number }
  | { readonly kind: "word"; readonly word: string };

const HEATER_VOLTS = new Set(["2.5", "5", "5.0", "6.3", "12.6"]);

/** Reads the words of a search; what it does not understand stays a word that names must contain. */
export function readWishes(text: string): readonly Wish[] {
  const words = text
    .trim()
    .replace(/([\d.]+)\s*mA\/V\b/gi, "$1mA/V")
    .replace(/([\d.]+)\s*V\b/gi, "$1V")
    .replace(/\bmu\s*=?\s*([\d.]+)/gi, "mu$1")
    .split(/\s+/)
    .filter((word) => word !== "");
  return words.map((word): Wish => {
    const mu = /^mu([\d.]+)$/i.exec(word);
    if (mu !== null) return { kind: "mu", mu: Number(mu[1]) };
    const slope = /^([\d.]+)mA\/V$/i.exec(word);
    if (slope !== null) return { kind: "siemens", siemens: Number(slope[1]) / 1e3 };
    const heater = /^([\d.]+)V$/i.exec(word);
    if (heater !== null) return { kind: "heater-volts", volts: Number(heater[1]) };
    return HEATER_VOLTS.has(word) ? { kind: "heater-volts", volts: Number(word) } : { kind: "word", word };
  });
}

const near = (value: number, wanted: number, fraction: number): boolean =>
  Math.abs(value - wanted) <= fraction * Math.abs(wanted);

const within = (text: string, word: string): boolean => plainName(text).includes(plainName(word));

/** True when a word is a socket ("noval", "octal"), a basing ("9A"), a kind, or a part of any of the tube's names. */
function fitsWord(tube: TubeRecord, word: string): boolean {
  if (/^(double|dual|twin)$/i.test(word)) return tube.kind === "triode" && tube.sections === 2;
  if (/^single$/i.test(word)) return tube.sections === 1;
  if (/^tubes?$/i.test(word)) return true;
  const basings = tube.bases.flatMap((base) => (base.basing === undefined ? [] : [plainName(base.basing)]));
  return (
    within(tube.kind, word) ||
    basings.includes(plainName(word)) ||
    tube.bases.some((base) => within(base.socket, word)) ||
    within(tube.type, word) ||
    tube.equivalents.some(({ name, how }) => how === "same" && within(name, word))
  );
}

export function fits(tube: TubeRecord, wish: Wish): boolean {
  switch (wish.kind) {
    case "heater-volts":
      return tube.heaters.some((heater) => near(heater.volts, wish.volts, 0.02));
    case "mu":
      return tube.points.some((point) => point.mu !== undefined && near(point.mu, wish.mu, 0.15));
    case "siemens":
      return tube.points.some((point) => point.siemens !== undefined && near(point.siemens, wish.siemens, 0.25));
    case "word":
      return fitsWord(tube, wish.word);
  }
}

/** Tubes that fit every word, a type named by a word first, then in the library's order. */
export function findTubes(catalogue: Catalogue, text: string): readonly TubeRecord[] {
  const wishes = readWishes(text);
  const found = catalogue.types.flatMap((type) => {
    const tube = catalogue.tube(type);
    return tube !== undefined && wishes.every((wish) => fits(tube, wish)) ? [tube] : [];
  });
  const named = (tube: TubeRecord): number =>
    wishes.some((wish) => wish.kind === "word" && catalogue.tube(wish.word)?.type === tube.type) ? 0 : 1;
  return [...found].sort((one, other) => named(one) - named(other));
}
