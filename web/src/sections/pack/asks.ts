/** What the Pack screen asks: the papers of the design as it is kept, or of a revision, and what those of a revision say. */
import { type DesignFile, type PriceBook, readPriceBook, type Revision, type SupplyStudy } from "@platewright/design";
import {
  carrierDrawings,
  dateWords,
  type PackAsk,
  type PackMade,
  packSteps,
  packSubject,
  type PackSubject,
  type PageSize,
  type Scene,
} from "@platewright/drawing";
import { fail, ok, type Result } from "@platewright/engine";
import { footprints } from "@platewright/library";
import { type Answer, ask, type Progress } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { marksOf, type PaperMarks } from "./marks.ts";

export interface PaperAsk {
  /** Left out: what the line holds now. A revision that this equals is given as that revision. */
  readonly revision?: Revision;
  readonly size: PageSize;
  /** "2026-11-25". */
  readonly date: string;
  readonly prices?: PriceBook;
}

export interface PaperAnswer extends PaperMarks {
  readonly pages: readonly Scene[];
}

export interface PackAnswer {
  /** "B", or "draft": what stands on the papers. */
  readonly revision: string;
  readonly dated: string;
  readonly papers: readonly PaperAnswer[];
  /** What the workshop cuts besides the plate: "ring-v3"; undefined: the design has no chassis. */
  readonly carriers: readonly string[] | undefined;
  /** Titles of what was found at stop. */
  readonly stops: readonly string[];
}

type Steps = Generator<Progress<never>, Result<PackMade, string>>;

export const packAsks = {
  packPapers: ask(
    "long",
    function* (bench, wanted: PaperAsk): Generator<Progress<PackAnswer>, Answer<PackAnswer>> {
      const subject = subjectOf(bench, wanted.revision);
      if (!subject.ok) return fail(sentence(subject.failure));
      const made = yield* madeOn(bench, subject.value, wanted);
      if (!made.ok) return made;
      const { input, papers } = made.value;
      return ok({
        revision: input.revision,
        dated: dateWords(input.date),
        papers: papers.map((paper) => ({ ...marksOf(paper), pages: paper.pages })),
        carriers: input.chassis === undefined ? undefined : carrierDrawings(input.chassis).map((one) => one.name),
        stops: input.findings.filter((one) => one.level === "stop").map((one) => one.title),
      });
    },
    ({ kept, input }) => [kept, input.provenKey, input.shelf],
  ),
  /**
   * What the papers of a revision would say under the name and date of others, and compared with the same proven unit, so
   * that only what is really another figure or word differs. Without a revision: nothing.
   */
  packMarks: ask(
    "long",
    function* (
      bench,
      { as, ...wanted }: PaperAsk & { readonly as: string },
    ): Generator<Progress<readonly PaperMarks[]>, Answer<readonly PaperMarks[]>> {
      if (wanted.revision === undefined) return ok([]);
      const subject = subjectOf(bench, wanted.revision);
      if (!subject.ok) return fail(sentence(subject.failure));
      const { proven } = bench.input;
      const made = yield* madeOn(
        bench,
        {
          ...subject.value,
          revision: as,
          ...(proven === undefined ? {} : { proven: { revision: proven.id, document: proven.document } }),
        },
        wanted,
      );
      return made.ok ? ok(made.value.papers.map(marksOf)) : made;
    },
    ({ input }) => [input.provenKey, input.shelf],
  ),
  /** A price book from the text of a file. */
  readPrices: ask("settled", (_bench, { text }: { readonly text: string }) => readPriceBook(text)),
};

function subjectOf(bench: Bench, revision: Revision | undefined): Result<PackSubject, string> {
  const { proven } = bench.input;
  const revisions = [revision, proven?.id === revision?.id ? undefined : proven].filter((one) => one !== undefined);
  const file: Pick<DesignFile, "now" | "revisions" | "proven"> = {
    now: bench.kept,
    revisions,
    ...(proven === undefined ? {} : { proven: proven.id }),
  };
  return packSubject(file, { catalogue: bench.catalogue, footprints }, revision?.id);
}

/** What is on the bench already is not solved again. */
function* madeOn(bench: Bench, subject: PackSubject, { size, date, prices }: PaperAsk): Steps {
  const { shelf } = bench.input;
  const wanted: PackAsk = {
    ...subject,
    size,
    date,
    ...(shelf === undefined ? {} : { shelf }),
    ...(prices === undefined ? {} : { prices }),
  };
  const onBench = subject.document === bench.input.document && subject.catalogue === bench.catalogue;
  if (!onBench) return yield* packSteps(wanted);
  const solved = bench.now();
  if (!solved.ok) return solved;
  const study: Result<SupplyStudy | undefined, string> = yield* bench.studying();
  if (!study.ok) return study;
  const findings = bench.findings();
  if (!findings.ok) return findings;
  return yield* packSteps({
    ...wanted,
    solved: solved.value,
    ...(study.value === undefined ? {} : { study: study.value }),
    findings: findings.value,
  });
}

const sentence = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
