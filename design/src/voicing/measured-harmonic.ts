/** What a builder reads off his analyser, as he writes it. */
import { fail, ok, type Result } from "@platewright/engine";

const PERCENT = /^(\d+(?:[.,]\d+)?|[.,]\d+)\s*%$/u;
const DECIBELS = /^([-−+]?)\s*(\d+(?:[.,]\d+)?)\s*dB[cr]?(?:\s+down)?$/iu;

/**
 * "0.57 %", "-45 dB", "45 dB down", "45 dBc" to a ratio to the fundamental. A harmonic stands below its fundamental, so
 * decibels without a sign are taken as down; "+45 dB" and what is no number are refused in one sentence.
 */
export function readHarmonic(text: string): Result<number, string> {
  const written = text.trim();
  const percent = PERCENT.exec(written)?.[1];
  const ratio = percent === undefined ? decibelsDown(written) : Number(percent.replace(",", ".")) / 100;
  if (ratio === undefined || !(ratio > 0 && ratio < 1))
    return fail(`"${written}" is no harmonic: write it as "0.57 %" or "-45 dB", below the fundamental.`);
  return ok(ratio);
}

function decibelsDown(written: string): number | undefined {
  const [, sign, number] = DECIBELS.exec(written) ?? [];
  if (number === undefined || sign === "+") return undefined;
  return 10 ** (-Number(number.replace(",", ".")) / 20);
}
