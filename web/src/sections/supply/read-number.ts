import { parseValue, type Quantity } from "@platewright/engine";

type Read =
  | { readonly ok: true; readonly value: number | undefined }
  | { readonly ok: false; readonly failure: string };

/** The number of a text, with its sign; a sentence when it is none that is accepted. */
export function readNumber(quantity: Quantity, written: string, least: number, most: number, optional: boolean): Read {
  const text = written.trim().replace(/^−/, "-");
  if (text === "") return optional ? { ok: true, value: undefined } : { ok: false, failure: "Write a number." };
  const negative = text.startsWith("-");
  const read = parseValue(quantity, negative ? text.slice(1) : text, { zero: true });
  if (!read.ok) return { ok: false, failure: read.failure.sentence };
  const value = negative ? -read.value : read.value;
  if (value < least || value > most)
    return {
      ok: false,
      failure: `Write a number ${most === Infinity ? "above 0" : `from ${least} to ${most}`}.`,
    };
  return { ok: true, value };
}
