/**
 * Lengths as a builder writes them, in millimetres: "22", "22 mm", "7/8 in", "no. 30", "letter F".
 *
 * Sources  Number and letter drills from memory, in thousandths of an inch; a drill that is measured goes before its name.
 */
import { parseValue } from "@platewright/engine";

export type Read<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: string };

/** No. 1 to no. 60. */
const NUMBERS = [
  228, 221, 213, 209, 205.5, 204, 201, 199, 196, 193.5, 191, 189, 185, 182, 180, 177, 173, 169.5, 166, 161, 159, 157,
  154, 152, 149.5, 147, 144, 140.5, 136, 128.5, 120, 116, 113, 111, 110, 106.5, 104, 101.5, 99.5, 98, 96, 93.5, 89, 86,
  82, 81, 78.5, 76, 73, 70, 67, 63.5, 59.5, 55, 52, 46.5, 43, 42, 41, 40,
] as const;
/** A to Z. */
const LETTERS = [
  234, 238, 242, 246, 250, 257, 261, 266, 272, 277, 281, 290, 295, 302, 316, 323, 332, 339, 348, 358, 368, 377, 386,
  397, 404, 413,
] as const;
const THOUSANDTH = 0.0254;
/** What is not nought. */
export const SMALLEST = 0.001;

/** What is written, in millimetres to a thousandth; a bare number is millimetres. */
export function readLength(
  written: string,
  least = 0,
  most = Infinity,
  allow: { readonly negative?: boolean } = {},
): Read<number> {
  const text = written.trim().replace(/,/g, ".").replace(/^−/, "-");
  const negative = text.startsWith("-");
  const value = millimetresOf(negative ? text.slice(1) : text);
  if (value === undefined)
    return { ok: false, failure: `'${shown(text)}' is not a length; write it like 22, 7/8 in or no. 30.` };
  const signed = (negative ? -1 : 1) * Math.round(value * 1e3) * 1e-3;
  const exact = Number(signed.toFixed(3));
  if ((negative && allow.negative !== true) || exact < least || exact > most)
    return { ok: false, failure: rangeWords(least, most) };
  return { ok: true, value: exact };
}

const rangeWords = (least: number, most: number): string => {
  const above = least > 0 && least <= SMALLEST;
  if (most === Infinity) return above ? "Write a length above 0." : `Write a length of ${least} mm or more.`;
  return above ? `Write a length above 0, up to ${most} mm.` : `Write a length from ${least} to ${most} mm.`;
};

function millimetresOf(text: string): number | undefined {
  if (/^\d*\.?\d+$|^\d+\.$/.test(text)) return Number(text);
  const numbered = /^(?:no\.?|#)\s*(\d{1,2})(?:\s*drill)?$/i.exec(text);
  if (numbered !== null) return scaled(NUMBERS[Number(numbered[1]) - 1]);
  // A letter alone is a slip of the hand.
  const lettered = /^(?:letter\s+([a-z])(?:\s+drill)?|([a-z])\s+drill)$/i.exec(text);
  const letter = lettered?.[1] ?? lettered?.[2];
  if (letter !== undefined) return scaled(LETTERS[letter.toUpperCase().charCodeAt(0) - 65]);
  const read = parseValue("length", text);
  return read.ok ? read.value * 1e3 : undefined;
}

const scaled = (thousandths: number | undefined): number | undefined =>
  thousandths === undefined ? undefined : thousandths * THOUSANDTH;

const shown = (text: string): string => (text.length > 24 ? `${text.slice(0, 21)}...` : text);

/** Hundredths of a millimetre, without a needless nought, with a true minus. */
export const mm = (millimetres: number): string => String(Math.round(millimetres * 100) / 100).replace("-", "−");

/** The same in inches: "0.866 in". */
export const inches = (millimetres: number): string => `${(millimetres / 25.4).toFixed(3)} in`.replace("-", "−");

/** Two figures at most of what is not known better: "0.35". */
export const about = (millimetres: number): string =>
  millimetres >= 10 ? String(Math.ceil(millimetres)) : String(Math.ceil(millimetres * 20) / 20);

/** Several sizes, or "4 to 30": what a tool cuts. */
export function readCuts(written: string): Read<readonly number[] | { readonly from: number; readonly to: number }> {
  const range = /^(.+?)\s*(?:to|–|\.\.\.?|…)\s*(.+)$/i.exec(written.trim());
  if (range?.[1] !== undefined && range[2] !== undefined) {
    const [from, to] = [readLength(unitFrom(range[1], range[2]), SMALLEST, 2000), readLength(range[2], SMALLEST, 2000)];
    if (!from.ok) return from;
    if (!to.ok) return to;
    return from.value <= to.value
      ? { ok: true, value: { from: from.value, to: to.value } }
      : { ok: false, failure: `${mm(from.value)} is more than ${mm(to.value)}; a range runs from less to more.` };
  }
  const cuts: number[] = [];
  for (const one of written.split(/[;]|,(?=\s)|\s,/)) {
    if (one.trim() === "") continue;
    const read = readLength(one, SMALLEST, 2000);
    if (!read.ok) return read;
    cuts.push(read.value);
  }
  if (cuts.length === 0) return { ok: false, failure: "Write what it cuts: sizes like 16; 20; 22.5, or 4 to 30." };
  if (cuts.length > 60) return { ok: false, failure: "At most 60 sizes; write a range." };
  return { ok: true, value: [...new Set(cuts)].sort((one, other) => one - other) };
}

/** "1/2 to 1 in": the unit of the second holds for the first. */
function unitFrom(first: string, second: string): string {
  const unit = /(mm|cm|in|inch|inches|"|″)\s*$/i.exec(second)?.[1];
  return unit === undefined || /[a-z"″]/i.test(first) ? first : `${first} ${unit}`;
}

export const cutsWords = (cuts: readonly number[] | { readonly from: number; readonly to: number }): string =>
  "from" in cuts ? `${mm(cuts.from)} to ${mm(cuts.to)}` : cuts.map(mm).join("; ");
