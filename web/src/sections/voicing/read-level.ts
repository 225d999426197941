/** A level at a jack as it is written. */
import { DBU_VOLTS, fromDecibels, parseValue } from "@platewright/engine";

const DBU = /^\s*([-−+]?\d+(?:[.,]\d+)?)\s*dBu\s*$/iu;
const DBV = /^\s*([-−+]?\d+(?:[.,]\d+)?)\s*dBV\s*$/iu;
const LEAST_VOLTS = 0.001;
const MOST_VOLTS = 100;

/** "1 V", "316m", "+4 dBu", "-10 dBV" to V rms; undefined for what is none of these. */
export function readLevel(written: string): number | undefined {
  const decibels = (pattern: RegExp, volts: number) => {
    const number = pattern.exec(written)?.[1];
    return number === undefined ? undefined : volts * fromDecibels(Number(number.replace("−", "-").replace(",", ".")));
  };
  const level = decibels(DBU, DBU_VOLTS) ?? decibels(DBV, 1);
  if (level !== undefined) return inRange(level);
  const plain = parseValue("voltage", written);
  return plain.ok ? inRange(plain.value) : undefined;
}

const inRange = (volts: number): number | undefined =>
  volts >= LEAST_VOLTS && volts <= MOST_VOLTS ? volts : undefined;
