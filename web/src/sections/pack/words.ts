/** What the Pack screen says of papers and of what changed on them. */
import type { FigureChange, PaperChange } from "./marks.ts";

export const counted = (many: number, one: string, more = `${one}s`): string => `${many} ${many === 1 ? one : more}`;

/** Those whose second word says what is measured, not where. */
const PLAIN = /^(discharge|dischargeHot|fuse|findings|mains|rating|study|rectifier|panel)$/;
const CONDITION = /^(nominal|mains-|cold|without-|lamp-|pulled)/;

/** "volts/mains-low/L.p1" → "L.p1 volts, mains low": what a figure is of, in a builder's order. */
export function figureWords(of: string): string {
  const [head = "", ...rest] = of.split("/");
  if (PLAIN.test(head)) return [spaced(head), ...rest.map(spaced)].join(", ");
  // "hole/diameter/V3/body": what is measured stands before what has it.
  if (head.endsWith("hole")) return `${rest.slice(1).join(" ")} ${spaced(head)}, ${spaced(rest[0] ?? "")}`;
  const what = spaced(head);
  const where = rest.filter((part) => !CONDITION.test(part)).join(" ");
  const when = rest
    .filter((part) => CONDITION.test(part) && part !== "nominal")
    .map((part) => part.replaceAll("-", " "));
  return [`${where} ${what.replace(/^h(?=\d)/, "H")}`.trim(), ...when].join(", ");
}

const spaced = (word: string): string =>
  word.replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`).replaceAll("-", " ");

/** New words as they are told: without the signs around them; those with a digit (types, values) when there are any. */
export function newWords(words: readonly string[]): readonly string[] {
  const bare = words
    .map((word) => word.replace(/^[^\p{L}\p{N}]+|[^\p{L}\p{N}ΩµV%]+$/gu, ""))
    .filter((word) => word.length > 1);
  const telling = bare.filter((word) => /\d/.test(word));
  return [...new Set(telling.length > 0 ? telling : bare)];
}

/** "148 V → 115 V". */
export const wasNow = ({ was, now }: FigureChange): string =>
  was === undefined ? `${now ?? ""}, new` : now === undefined ? `${was}, no more` : `${was} → ${now}`;

/** "9 figures"; of a paper whose figures all stand, "2 words". */
export const changeWords = ({ figures, wordsGone, wordsCome }: PaperChange): string =>
  figures.length > 0
    ? counted(figures.length, "figure")
    : counted(Math.max(wordsGone.length, wordsCome.length), "word");
