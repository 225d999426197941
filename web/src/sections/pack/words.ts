/** What the Pack screen says of papers and of what changed on them. */
import type { FigureChange, PaperChange } from "./marks.ts";

export const counted = (many: number, one: string, more = `${one}s`): string => `${many} ${many === 1 ? one : more}`;

const CONDITION = /^(nominal|mains-|cold|without-|lamp-|pulled)/;

/** "volts/mains-low/L.p1" → "L.p1 volts, mains low": what a figure is of, in a builder's order. */
export function figureWords(of: string): string {
  const [head = "", ...rest] = of.split("/");
  const what = head
    .replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`)
    .replaceAll("-", " ");
  const where = rest.filter((part) => !CONDITION.test(part)).join(" ");
  const when = rest
    .filter((part) => CONDITION.test(part) && part !== "nominal")
    .map((part) => part.replaceAll("-", " "));
  return [`${where} ${what.replace(/^h(?=\d)/, "H")}`.trim(), ...when].join(", ");
}

/** "148 V → 115 V". */
export const wasNow = ({ was, now }: FigureChange): string =>
  was === undefined ? `${now ?? ""}, new` : now === undefined ? `${was}, no more` : `${was} → ${now}`;

/** Short, for the list: "as Rev A", "changed: 9 figures". */
export function changeWords(change: PaperChange, revision: string): string {
  if (change.what === "same") return `as Rev ${revision}`;
  if (change.what === "new") return `new since Rev ${revision}`;
  const words = Math.max(change.wordsGone.length, change.wordsCome.length);
  return `changed: ${[
    ...(change.figures.length === 0 ? [] : [counted(change.figures.length, "figure")]),
    ...(words === 0 ? [] : [counted(words, "word")]),
  ].join(", ")}`;
}
