/** What the Rework screen asks of the bench. */
import {
  bottleGroups,
  type BoardAsk,
  candidateTries,
  type Change,
  diffDocuments,
  distance,
  expand,
  fit,
  type Goal,
  HELD_DECIBELS,
  itemWords,
  judgeDesign,
  levelsFor,
  onShelf,
  reworkItems,
  solveDesign,
  type SolvedDesign,
} from "@platewright/design";
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import { type Answer, ask, type Progress } from "../../worker/ask.ts";
import type { Bench } from "../../worker/bench.ts";
import { boardOf, type CandidateRow, candidateRow } from "./candidates.ts";
import { findingWords } from "./words.ts";

/** Bottles that change together, and what could stand there. */
export interface Bottles {
  readonly kind: "signal" | "rectifier";
  readonly where: string;
  readonly standing: string;
  readonly choices: readonly { readonly type: string; readonly onShelf: number }[];
}

/** What values would have to change for the goal, with the tubes as they stand. */
export interface GoalAnswer {
  /** dB from the goal, as it stands and as it would be; null when it could not be solved. */
  readonly nowDecibels: number | null;
  readonly thenDecibels: number | null;
  readonly held: boolean;
  readonly heldNow: boolean;
  readonly title: string;
  readonly changes: readonly Change[];
  readonly values: readonly string[];
  /** What keeps it from being held. */
  readonly strain: string | null;
  /** What would not be allowed with these values. */
  readonly stops: readonly string[];
}

export interface BoardAnswer {
  readonly where: string;
  readonly rows: readonly CandidateRow[];
}

interface BoardParams {
  readonly where: string;
  readonly goal: Goal;
  readonly library: boolean;
  /** Another number asks again, after it was stopped. */
  readonly again: number;
}

/** What stands on the kept unit, the proven one and the shelf. */
const kept = (bench: Bench) => [bench.kept, bench.input.provenKey, bench.input.proven, bench.input.shelf];

export const reworkAsks = {
  /** Every quantity, proven and now; nominal mains. */
  differences: ask("live", (bench, _params: Record<string, never>) => bench.differences()),
  /** Every judgement in every condition, with Fixes. */
  findings: ask("settled", function* (bench, _params: Record<string, never>) {
    yield* bench.studying();
    return bench.findings();
  }),
  /** The same of the proven unit. */
  provenFindings: ask(
    "settled",
    (bench, _params: Record<string, never>) => bench.provenFindings(),
    (bench) => [bench.input.provenKey, bench.input.proven],
  ),
  /** Which bottles there are, and which types could stand in them: the shelf's first. */
  bottles: ask("settled", (bench, _params: Record<string, never>) => bottlesOf(bench), kept),
  /** Every type tried in the bottles named, the shelf's first, its values re-chosen for the goal. */
  candidates: ask(
    "long",
    (bench, params: BoardParams) => board(bench, params.where, params.goal, params.library),
    kept,
  ),
  /** One type put in, with or without re-choosing values. */
  putIn: ask(
    "long",
    (bench, params: { readonly where: string; readonly type: string; readonly goal: Goal; readonly choose: boolean }) =>
      putIn(bench, params.where, params.type, params.goal, params.choose),
    kept,
  ),
  /** Values re-chosen for the goal, tubes as they stand. */
  goalValues: ask("long", (bench, { goal }: { readonly goal: Goal }) => goalValues(bench, goal), kept),
};

function bottlesOf({ kept: document, catalogue, input }: Bench): Result<readonly Bottles[], string> {
  const expanded = expand(document);
  if (!expanded.ok) return fail(expanded.failure.sentence);
  return ok(
    bottleGroups(document, expanded.value).map((group) => ({
      kind: group.kind,
      where: group.envelopes.join(", "),
      standing: document.envelopes.find((one) => one.id === group.envelopes[0])?.type ?? "",
      choices: candidateTries(catalogue, typesOf(catalogue, input.shelf, true), [group]).map(({ type }) => ({
        type,
        onShelf: onShelf(input.shelf, catalogue, type),
      })),
    })),
  );
}

/** Types by the names on the shelf, then, when asked, those of the library that are not there. */
function typesOf(catalogue: Catalogue, shelf: Bench["input"]["shelf"], library: boolean): readonly string[] {
  const own = (shelf?.tubes ?? []).filter((entry) => entry.count > 0).map((entry) => entry.type);
  const known = new Set<string>();
  return [...own, ...(library ? catalogue.types : [])].filter((type) => {
    const record = catalogue.tube(type)?.type ?? type;
    if (known.has(record)) return false;
    known.add(record);
    return true;
  });
}

/**
 * What the goal is measured against, solved at the levels it asks: the proven unit, or, with nothing pinned, the unit as it
 * is kept.
 */
function referenceOf(bench: Bench, goal: Goal): Result<SolvedDesign, string> {
  const pinned = bench.input.proven !== undefined;
  const document = pinned ? bench.provenDocument : bench.kept;
  const { voicingVolts } = document.targets;
  const levels = levelsFor(goal, voicingVolts);
  if (pinned && levels.length === voicingVolts.length) return bench.proven();
  const solved = solveDesign(document, bench.provenCatalogue, { levels });
  return solved.ok ? solved : fail(solved.failure.sentence);
}

function boardAsk(bench: Bench, goal: Goal): Result<BoardAsk, string> {
  const proven = referenceOf(bench, goal);
  if (!proven.ok) return fail(`The proven unit: ${proven.failure}`);
  const expanded = expand(bench.kept);
  if (!expanded.ok) return fail(expanded.failure.sentence);
  const { catalogue, input } = bench;
  return ok({
    document: bench.kept,
    expanded: expanded.value,
    proven: proven.value,
    catalogue,
    goal,
    shelf: input.shelf,
    judge: (document, nominal, how) => judgeDesign(document, catalogue, nominal, how),
  });
}

const groupAt = (asked: BoardAsk, where: string) =>
  bottleGroups(asked.document, asked.expanded).find((group) => group.envelopes.join(", ") === where);

function* board(
  bench: Bench,
  where: string,
  goal: Goal,
  library: boolean,
): Generator<Progress<BoardAnswer>, Answer<BoardAnswer>> {
  const asked = boardAsk(bench, goal);
  if (!asked.ok) return asked;
  const group = groupAt(asked.value, where);
  if (group === undefined) return fail(`There are no bottles ${where} in this design.`);
  const tries = candidateTries(bench.catalogue, typesOf(bench.catalogue, bench.input.shelf, library), [group]);
  const rows: CandidateRow[] = [];
  yield { done: 0, total: tries.length };
  const shared = boardOf(asked.value);
  for (const one of tries) {
    rows.push(candidateRow(shared, one));
    yield { done: rows.length, total: tries.length, soFar: { where, rows: [...rows] } };
  }
  return ok({ where, rows });
}

function putIn(bench: Bench, where: string, type: string, goal: Goal, choose: boolean): Result<CandidateRow, string> {
  const asked = boardAsk(bench, goal);
  if (!asked.ok) return asked;
  const group = groupAt(asked.value, where);
  if (group === undefined) return fail(`There are no bottles ${where} in this design.`);
  return ok(candidateRow(boardOf({ ...asked.value, ...(choose ? {} : { solves: 0 }) }), { group, type }));
}

export function goalValues(bench: Bench, goal: Goal): Result<GoalAnswer, string> {
  const asked = boardAsk(bench, goal);
  if (!asked.ok) return asked;
  const now = solveDesign(bench.kept, bench.catalogue, {
    levels: levelsFor(goal, bench.kept.targets.voicingVolts),
    detail: "levels",
    near: asked.value.proven,
  });
  if (!now.ok) return fail(now.failure.sentence);
  const then = fit(asked.value, []);
  if (!then.ok) return fail(then.failure.sentence);
  const items = reworkItems(bench.kept, then.value.document);
  const judged =
    items.length === 0
      ? ok([])
      : asked.value.judge(then.value.document, then.value.solved, { fixes: false, supply: false });
  if (!judged.ok) return judged;
  const nowDecibels = finite(distance(goal, asked.value.proven, now.value));
  return ok({
    nowDecibels,
    thenDecibels: finite(then.value.distanceDecibels),
    held: then.value.held,
    heldNow: nowDecibels !== null && nowDecibels <= HELD_DECIBELS,
    title: items
      .map((item) => `${item.where} ${item.before} → ${item.after}`)
      .join(", ")
      .slice(0, 200),
    changes: diffDocuments(bench.kept, then.value.document),
    values: items.map(itemWords),
    strain: then.value.worstStrain ?? then.value.strainUnchanged,
    stops: judged.value.filter((one) => one.level === "stop").map((one) => findingWords(one).head),
  });
}

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);
