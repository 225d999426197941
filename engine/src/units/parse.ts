/**
 * Values as builders write them: "4k7", "0.47u", "470n", "1M", "2,2k", "820R", "60m", "1 1/8 in", "22 mm".
 * What cannot be read is a failure whose sentence says what would be.
 */
import { fail, ok, type Result } from "../result.ts";

export type Quantity =
  | "resistance"
  | "capacitance"
  | "inductance"
  | "voltage"
  | "current"
  | "power"
  | "frequency"
  | "length";

export interface ParseFailure {
  readonly kind: "not-a-value";
  readonly text: string;
  readonly sentence: string;
}

interface Grammar {
  readonly unit: RegExp;
  readonly say: string;
}

const GRAMMAR: Readonly<Record<Exclude<Quantity, "length">, Grammar>> = {
  resistance: { unit: /^(?:ohms?|Ω|Ω|R)$/i, say: "a resistance; write it like 47k, 4k7 or 1M5" },
  capacitance: { unit: /^(?:F|farads?|fd)$/i, say: "a capacitance; write it like 470n, 0.47u or 100p" },
  inductance: { unit: /^(?:H|henrys?|henries)$/i, say: "an inductance; write it like 10 or 150m" },
  voltage: { unit: /^(?:V|volts?)$/i, say: "a voltage; write it like 250 or 6.3 V" },
  current: { unit: /^(?:A|amps?|amperes?)$/i, say: "a current; write it like 60m or 0.3 A" },
  power: { unit: /^(?:W|watts?)$/i, say: "a power; write it like 2 W or 500m" },
  frequency: { unit: /^(?:Hz|hertz|c\/s)$/i, say: "a frequency; write it like 50, 1k or 50 Hz" },
};

const EXPONENT: Readonly<Record<string, number>> = {
  p: -12,
  n: -9,
  u: -6,
  µ: -6,
  μ: -6,
  m: -3,
  k: 3,
  K: 3,
  M: 6,
  G: 9,
};

/** Old spellings of capacitors: MFD is a microfarad, mmF and uuF a picofarad. */
function modern(text: string): string {
  return text.replace(/^(.*\d)\s*(?:mmf|mmfd|uuf|µµf|μμf|uufd)$/i, "$1pF").replace(/^(.*\d)\s*mfd?$/i, "$1uF");
}

/** Reads a value in SI units; negative, empty, infinite and malformed texts are failures. Zero is allowed where said. */
export function parseValue(
  quantity: Quantity,
  written: string,
  allow: { readonly zero?: boolean } = {},
): Result<number, ParseFailure> {
  const refuse = (say: string) =>
    fail<ParseFailure>({ kind: "not-a-value", text: written, sentence: `'${shown(written)}' is not ${say}.` });
  if (quantity === "length") return parseLength(written);
  const { unit, say } = GRAMMAR[quantity];
  const text = (quantity === "capacitance" ? modern(written.trim()) : written.trim()).replace(/,/g, ".");
  if (text.length > 24) return refuse(say);
  const plain = /^(\d+\.?\d*|\.\d+)(?:e([+-]?\d{1,3}))?\s*([pnuµμmkKMG]?)\s*([A-Za-zΩΩ/]*)$/.exec(text);
  const infix = /^(\d*)([pnuµμmkKMGR])(\d+)\s*([A-Za-zΩΩ]*)$/.exec(text);
  let value = Number.NaN;
  let rest = "";
  if (infix !== null && (infix[1] !== "" || infix[2] === "R")) {
    const prefix = infix[2] as string;
    if (prefix === "R" && quantity !== "resistance") return refuse(say);
    value = scaled(`${infix[1] || "0"}.${infix[3]}`, prefix === "R" ? 0 : (EXPONENT[prefix] as number));
    rest = infix[4] as string;
  } else if (plain !== null) {
    let prefix = plain[3] as string;
    rest = plain[4] as string;
    // "100 MHz", "10 mH" carry a prefix; a lone "m" before the unit's own letter is read by the pattern already.
    if (prefix === "" && rest.length > 1 && EXPONENT[rest[0] as string] !== undefined && unit.test(rest.slice(1))) {
      prefix = rest[0] as string;
      rest = rest.slice(1);
    }
    value = scaled(plain[1] as string, (prefix === "" ? 0 : (EXPONENT[prefix] as number)) + Number(plain[2] ?? 0));
  }
  if (rest !== "" && !unit.test(rest)) return refuse(say);
  if (!Number.isFinite(value) || value < 0 || (value === 0 && allow.zero !== true)) return refuse(say);
  return ok(value);
}

/** digits times ten to an exponent, correctly rounded: the decimal text decides, not a product of doubles. */
function scaled(digits: string, exponent: number): number {
  return Number(`${digits}e${exponent}`);
}

/** Metres from "22 mm", "7/8 in", '1 1/8"', "2.5 cm"; a unit must be there. */
function parseLength(written: string): Result<number, ParseFailure> {
  const refuse = () =>
    fail<ParseFailure>({
      kind: "not-a-value",
      text: written,
      sentence: `'${shown(written)}' is not a length; write it like 22 mm, 7/8 in or 1 1/8 in.`,
    });
  const match = /^(?:(\d+(?:\.\d+)?)(?:[ -](\d+)\/(\d+))?|(\d+)\/(\d+))\s*(mm|cm|m|in|inch|inches|"|″)$/i.exec(
    written.trim().replace(/,/g, "."),
  );
  if (match === null) return refuse();
  const whole = Number(match[1] ?? 0);
  const fraction =
    match[2] !== undefined
      ? Number(match[2]) / Number(match[3])
      : match[4] !== undefined
        ? Number(match[4]) / Number(match[5])
        : 0;
  const unit = (match[6] as string).toLowerCase();
  const number = whole + fraction;
  const metres =
    unit === "mm" ? number / 1000 : unit === "cm" ? number / 100 : unit === "m" ? number : (number * 254) / 10000;
  return Number.isFinite(metres) && metres > 0 ? ok(metres) : refuse();
}

const shown = (text: string): string => (text.length > 30 ? `${text.slice(0, 27)}...` : text);
