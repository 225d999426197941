/** Text on paper: sizes, exact widths of the font that papers are printed in, and lines of words that fit. */
import type { Box } from "../bounds.ts";
import type { TextItem } from "../scene.ts";
import { CAP_EMS, DESCENT_EMS } from "../text/index.ts";
import WIDTHS from "./inter-widths.json" with { type: "json" };

/** Sizes of text on paper, millimetres; `text` is the floor: 9 pt. */
export const PAPER_SIZES = { text: 3.18, value: 3.7, head: 4.1, title: 7.4 } as const;

const REGULAR = new Map(Object.entries(WIDTHS.regular));
const BOLD = new Map(Object.entries(WIDTHS.bold));
/** For a character that the font lacks: wide enough for any. The writers refuse it. */
const UNKNOWN = 1400;

/**
 * Width of one line of text as printed, in the unit of `size` (the em).
 *
 * Method  Sum of the advance widths of our subset of Inter, figures of one width, no kerning: what the PDF does.
 * Sources `inter-widths.json`, written by `scripts/make-font.ts` with the font itself.
 */
export function letterWidth(text: string, size: number, bold = false): number {
  const table = bold ? BOLD : REGULAR;
  let thousandths = 0;
  for (const char of text) thousandths += table.get(char) ?? UNKNOWN;
  return (thousandths / 1000) * size;
}

/** Characters of a text that the papers' font has no shape for, control characters among them. */
export const missingLetters = (text: string): readonly string[] => [...text].filter((char) => !REGULAR.has(char));

/** A figure as printed, with where it comes from: what a test looks up again in the engine's own answers. */
export interface Figure {
  /** "volts/nominal/L.p1". */
  readonly of: string;
  /** SI. */
  readonly value: number;
  readonly unit: string;
  readonly text: string;
}

/** A piece of text in one look. */
export interface Run {
  readonly text: string;
  readonly bold?: boolean;
  /** Not broken within itself. */
  readonly figure?: Figure;
  /** Ids of what it shows. */
  readonly ids?: readonly string[];
}

export type Content = string | Run | Figure | readonly (string | Run | Figure)[];

/** Several contents one after the other. */
export const contentsOf = (contents: readonly Content[]): Content =>
  contents.flatMap((one): readonly (string | Run | Figure)[] => (isList(one) ? one : [one]));

const isList = (content: Content): content is readonly (string | Run | Figure)[] => Array.isArray(content);

/** What is written into a cell or a paragraph, as runs. */
export function runsOf(content: Content, bold = false): readonly Run[] {
  const list = isList(content) ? content : [content];
  return list.map((one) => {
    if (typeof one === "string") return { text: one, bold };
    if ("of" in one) return { text: one.text, bold, figure: one };
    return bold ? { ...one, bold: true } : one;
  });
}

export const boldly = (one: string | Figure): Run =>
  typeof one === "string" ? { text: one, bold: true } : { text: one.text, bold: true, figure: one };

export const plainText = (runs: readonly Run[]): string => runs.map((run) => run.text).join("");

export const runsWidth = (runs: readonly Run[], size: number): number =>
  runs.reduce((sum, run) => sum + letterWidth(run.text, size, run.bold), 0);

interface Word {
  readonly runs: readonly Run[];
  readonly width: number;
}

/** Words across runs: a word may change its look inside ("**a**b"), a figure is one word with what touches it. */
function wordsOf(runs: readonly Run[], size: number): readonly Word[] {
  const words: Run[][] = [];
  let open: Run[] | undefined;
  for (const run of runs) {
    const parts = run.figure === undefined ? run.text.split(/[ \t\r\n]+/) : [run.text];
    for (const [n, text] of parts.entries()) {
      if (n > 0) open = undefined;
      if (text === "") continue;
      if (open === undefined) {
        open = [];
        words.push(open);
      }
      open.push({ ...run, text });
    }
  }
  return words.map((one) => ({ runs: one, width: runsWidth(one, size) }));
}

/** Lines of runs that each fit `width`; a word that is too long alone is broken. Never empty. */
export function wrapRuns(runs: readonly Run[], width: number, size: number): readonly (readonly Run[])[] {
  const lines: Run[][] = [];
  let line: Run[] = [];
  let used = 0;
  const end = () => {
    if (line.length > 0) lines.push(joined(line));
    line = [];
    used = 0;
  };
  for (const word of wordsOf(runs, size)) {
    const bold = line[line.length - 1]?.bold === true && word.runs[0]?.bold === true;
    const space = line.length === 0 ? 0 : letterWidth(" ", size, bold);
    if (used + space + word.width <= width + 1e-9) {
      if (space > 0) line.push({ text: " ", ...(bold ? { bold } : {}) });
      line.push(...word.runs);
      used += space + word.width;
      continue;
    }
    end();
    if (word.width <= width + 1e-9) {
      line.push(...word.runs);
      used = word.width;
      continue;
    }
    for (const run of word.runs)
      for (const char of run.text) {
        const next = letterWidth(char, size, run.bold);
        if (used > 0 && used + next > width) end();
        line.push({ ...run, text: char });
        used += next;
      }
  }
  end();
  return lines.length === 0 ? [[]] : lines;
}

/** Neighbours of one look and one figure as one run. */
function joined(runs: readonly Run[]): Run[] {
  const out: Run[] = [];
  for (const run of runs) {
    const last = out[out.length - 1];
    const alike =
      last !== undefined &&
      (last.bold ?? false) === (run.bold ?? false) &&
      last.figure === run.figure &&
      last.ids === run.ids;
    if (alike) out[out.length - 1] = { ...last, text: last.text + run.text };
    else out.push(run);
  }
  return out;
}

/** Widths of the words, for counting lines quickly. */
export const wordWidths = (runs: readonly Run[], size: number): readonly number[] =>
  wordsOf(runs, size).map((word) => word.width);

/** The widest word: the least width of a column that breaks none. */
export const widestWord = (runs: readonly Run[], size: number): number =>
  Math.max(0, ...wordsOf(runs, size).map((word) => word.width));

/** The text, or as much of its beginning as fits before an ellipsis. */
export function shortened(text: string, width: number, size: number, bold = false): string {
  if (letterWidth(text, size, bold) <= width) return text;
  const chars = [...text];
  while (chars.length > 0 && letterWidth(`${chars.join("")}…`, size, bold) > width) chars.pop();
  return `${chars.join("").trimEnd()}…`;
}

/** Room that a text takes as printed. */
export function letterBox(item: TextItem): Box {
  const width = letterWidth(item.text, item.size, item.bold);
  const [x, y] = item.at;
  const left = item.anchor === "end" ? x - width : item.anchor === "middle" ? x - width / 2 : x;
  return { left, right: left + width, top: y - CAP_EMS * item.size, bottom: y + DESCENT_EMS * item.size };
}
