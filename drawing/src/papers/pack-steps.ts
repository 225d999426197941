/**
 * A pack in steps: the design solved and judged once, then one paper after the other, so that whoever makes it can listen
 * between two. Whoever has the solutions already gives them in.
 */
import {
  type Finding,
  judgeDesign,
  judgedChassis,
  type PriceBook,
  type ShelfFile,
  solveDesign,
  type SolvedDesign,
  studySteps,
  type SupplyStudy,
  tubeVerdicts,
} from "@platewright/design";
import { fail, ok, type Result } from "@platewright/engine";
import { cutDrawing } from "../cut/index.ts";
import { PAPERS } from "./pack.ts";
import type { PackInput } from "./pack-input.ts";
import type { PackSubject } from "./pack-subject.ts";
import type { PageSize, Paper } from "./page.ts";

export interface PackAsk extends PackSubject {
  /** "2026-11-25". */
  readonly date: string;
  readonly size: PageSize;
  readonly shelf?: ShelfFile;
  readonly prices?: PriceBook;
  readonly solved?: SolvedDesign;
  readonly study?: SupplyStudy;
  readonly findings?: readonly Finding[];
}

export interface PackMade {
  readonly input: PackInput;
  readonly papers: readonly Paper[];
}

export interface PackStep {
  readonly done: number;
  readonly total: number;
}

/** Solving, judging and the tubes count as much as a paper each; the study as three. */
const BEFORE = 6;

export function* packSteps(ask: PackAsk): Generator<PackStep, Result<PackMade, string>> {
  const total = BEFORE + PAPERS.length;
  const prepared = yield* prepare(ask, total);
  if (!prepared.ok) return prepared;
  const input = prepared.value;
  const papers: Paper[] = [];
  for (const [n, make] of PAPERS.entries()) {
    yield { done: BEFORE + n, total };
    const paper = make(input);
    if (paper !== undefined) papers.push(paper);
  }
  return ok({ input, papers });
}

/** The same at once. */
export function makePack(ask: PackAsk): Result<PackMade, string> {
  const steps = packSteps(ask);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}

/** Everything that the papers are made from. */
function* prepare(ask: PackAsk, total: number): Generator<PackStep, Result<PackInput, string>> {
  const { document, catalogue, footprints } = ask;
  const solved = ask.solved === undefined ? solveDesign(document, catalogue) : ok(ask.solved);
  if (!solved.ok) return fail(solved.failure.sentence);
  yield { done: 1, total };
  const study = yield* studied(ask, solved.value, total);
  if (study?.ok === false) return study;
  yield { done: 4, total };
  const findings =
    ask.findings === undefined
      ? judgeDesign(document, catalogue, solved.value, {
          fixes: false,
          footprints,
          ...(study === undefined ? {} : { study: study.value }),
        })
      : ok(ask.findings);
  if (!findings.ok) return findings;
  yield { done: 5, total };
  const chassis = judgedChassis({ document, catalogue, footprints, solved: solved.value });
  // Metal that cannot be drawn: no paper is made, none is half.
  const drawn = chassis === undefined ? undefined : cutDrawing(chassis, { face: "top" });
  if (drawn?.ok === false) return fail(`the chassis cannot be drawn: ${drawn.failure.sentence}`);
  const { revision, date, proven, shelf, prices, size } = ask;
  return ok({
    document,
    revision,
    date,
    ...(proven === undefined ? {} : { proven }),
    solved: solved.value,
    ...(study === undefined ? {} : { study: study.value }),
    findings: findings.value,
    ...(chassis === undefined ? {} : { chassis }),
    tubes: tubeVerdicts(document, solved.value, catalogue, findings.value),
    catalogue,
    ...(shelf === undefined ? {} : { shelf }),
    ...(prices === undefined ? {} : { prices }),
    size,
  });
}

/** undefined: the design has no supply. */
function* studied(
  { document, catalogue, study }: PackAsk,
  solved: SolvedDesign,
  total: number,
): Generator<PackStep, Result<SupplyStudy, string> | undefined> {
  if (document.supply === undefined) return undefined;
  if (study !== undefined) return ok(study);
  const steps = studySteps(document, catalogue, solved);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value.ok ? ok(step.value.value) : fail(step.value.failure.sentence);
    yield { done: 1 + (3 * step.value.done) / step.value.total, total };
  }
}
