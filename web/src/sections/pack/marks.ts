/**
 * What a paper says, apart from how it is laid out: its figures by what they are of, and its other words. Two states of a
 * design are compared by these; revision, date and page numbers are no part of them.
 */
import { flatten, type Paper } from "@platewright/drawing";

export interface PaperMarks {
  readonly kind: string;
  readonly title: string;
  /** Of what, and as printed. */
  readonly figures: readonly (readonly [of: string, text: string])[];
  /** In order; a word is what stands between two blanks, so that a line that breaks elsewhere is no change. */
  readonly words: readonly string[];
}

export interface FigureChange {
  readonly of: string;
  /** Left out: it was not printed before, or is no more. */
  readonly was?: string;
  readonly now?: string;
}

export interface PaperChange {
  readonly kind: string;
  readonly what: "same" | "new" | "changed";
  readonly figures: readonly FigureChange[];
  readonly wordsGone: readonly string[];
  readonly wordsCome: readonly string[];
  /** Those of them that stood nowhere on it before. */
  readonly wordsNew: readonly string[];
}

const PAGE_CELL = /^\d+ of \d+$/;

export function marksOf({ kind, title, pages, figures }: Paper): PaperMarks {
  const words = pages
    .flatMap((page) => flatten(page.items))
    .flatMap((item) =>
      item.kind !== "text" || figureOfItem(item.ids) !== undefined || PAGE_CELL.test(item.text)
        ? []
        : item.text.split(/\s+/).filter((word) => word !== ""),
    );
  return { kind, title, figures: figures.map(({ of, text }) => [keyOf(of), text]), words };
}

/** What the ids of a printed figure's text begin with. */
export const figureOfItem = (ids: readonly string[] | undefined): string | undefined =>
  ids?.[0]?.startsWith("=") === true ? keyOf(ids[0].slice(1)) : undefined;

/** The condition that is a part's worst may be another one: its stress is still the same figure. */
const keyOf = (of: string): string => (of.startsWith("stress/") ? of.split("/").slice(0, 2).join("/") : of);

/** Every paper of now against the same paper as it was. */
export const compareMarks = (
  before: readonly PaperMarks[],
  now: readonly PaperMarks[],
): ReadonlyMap<string, PaperChange> =>
  new Map(
    now.map((one) => [
      one.kind,
      compareOne(
        before.find((other) => other.kind === one.kind),
        one,
      ),
    ]),
  );

function compareOne(before: PaperMarks | undefined, now: PaperMarks): PaperChange {
  if (before === undefined)
    return { kind: now.kind, what: "new", figures: [], wordsGone: [], wordsCome: [], wordsNew: [] };
  const [were, are] = [textsByFigure(before), textsByFigure(now)];
  const figures = [...new Set([...are.keys(), ...were.keys()])].flatMap((of): readonly FigureChange[] => {
    const [was, is] = [were.get(of), are.get(of)];
    return was === is ? [] : [{ of, ...(was === undefined ? {} : { was }), ...(is === undefined ? {} : { now: is }) }];
  });
  const wordsGone = without(before.words, now.words);
  const wordsCome = without(now.words, before.words);
  const known = new Set(before.words);
  const wordsNew = [...new Set(wordsCome)].filter((word) => !known.has(word));
  const same = figures.length === 0 && wordsGone.length === 0 && wordsCome.length === 0;
  return { kind: now.kind, what: same ? "same" : "changed", figures, wordsGone, wordsCome, wordsNew };
}

/** A figure may stand on a paper more than once, each time alike. */
function textsByFigure({ figures }: PaperMarks): ReadonlyMap<string, string> {
  const found = new Map<string, Set<string>>();
  for (const [of, text] of figures) {
    const texts = found.get(of) ?? new Set();
    texts.add(text);
    found.set(of, texts);
  }
  return new Map([...found].map(([of, texts]) => [of, [...texts].join(" and ")]));
}

/** What stands in `list` more often than in `other`. */
function without(list: readonly string[], other: readonly string[]): readonly string[] {
  const left = new Map<string, number>();
  for (const word of other) left.set(word, (left.get(word) ?? 0) + 1);
  return list.filter((word) => {
    const many = left.get(word) ?? 0;
    left.set(word, many - 1);
    return many <= 0;
  });
}
