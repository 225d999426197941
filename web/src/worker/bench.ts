/**
 * The bench: the proven unit and the unit in hand, solved when a screen first asks and kept as long as both stay as they
 * are. Every ask of one edit reads the same solutions.
 */
import {
  type ChassisJudged,
  type Difference,
  differencesOf,
  type Document,
  type Finding,
  frozenCatalogue,
  judgeDesign,
  judgedChassis,
  type Revision,
  type ShelfFile,
  solveDesign,
  type SolvedDesign,
  solveConditions,
  studySteps,
  studySupply,
  type SupplyStudy,
} from "@platewright/design";
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import { footprints } from "@platewright/library";
import { type Staged, stagedStudy } from "./staged-study.ts";

export interface BenchInput {
  /** The unit as it stands with what is in hand. */
  readonly document: Document;
  /** The unit as it is kept, when something is in hand. */
  readonly kept?: Document;
  /** What everything is compared with; the document itself when nothing is pinned. */
  readonly proven?: Revision;
  /** Tells one proven unit from another. */
  readonly provenKey: string;
  readonly shelf?: ShelfFile;
}

export interface Bench {
  readonly input: BenchInput;
  readonly catalogue: Catalogue;
  /** As it was when the proven revision was cut. */
  readonly provenCatalogue: Catalogue;
  readonly provenDocument: Document;
  /** The unit without what is in hand. */
  readonly kept: Document;
  /** Nominal mains, tubes running. */
  readonly now: () => Result<SolvedDesign, string>;
  /** `now` without its signal: a fraction of the work, for what follows a drag. */
  readonly standing: () => Result<SolvedDesign, string>;
  /** `now`, or else `standing`, when it was solved already: where the next edit starts from. */
  readonly solved: () => SolvedDesign | undefined;
  readonly proven: () => Result<SolvedDesign, string>;
  readonly differences: () => Result<readonly Difference[], string>;
  /** Every condition, single faults, hum, start-up; undefined inside when the design has no supply. */
  readonly study: () => Result<SupplyStudy | undefined, string>;
  /** The same in steps, up to a stage: an ask that yields them can be overtaken by a newer edit, and asks share them. */
  readonly studying: Staged["through"];
  /** Nominal and every other condition that ratings are judged in, signal and all. */
  readonly conditions: () => Result<readonly SolvedDesign[], string>;
  readonly provenStudy: () => Result<SupplyStudy | undefined, string>;
  /** What stands on the plate and which holes it wants; nothing is judged yet. Undefined: the design has no chassis. */
  readonly chassis: () => ChassisJudged | undefined;
  /** With Fixes. */
  readonly findings: () => Result<readonly Finding[], string>;
  /** Without: nobody mends the proven unit. */
  readonly provenFindings: () => Result<readonly Finding[], string>;
  /** The unit without its chassis, as text: what moves on the plate moves no volt. */
  readonly circuit: () => string;
  /** What an ask computes of the proven unit alone, made once as long as that unit stays. */
  readonly ofProven: <T>(name: string, make: () => T) => T;
  /** The same of the unit without what is in hand: made once for all that a hand tries. */
  readonly ofKept: <T>(name: string, make: () => T) => T;
}

/** What is known of the circuit of a bench. */
type Solutions = Pick<Bench, "now" | "standing" | "solved" | "study" | "studying" | "conditions">;

interface Once<T> {
  (): T;
  /** The value when it was made already. */
  readonly made: () => T | undefined;
}

/** Makes a value once, when first asked for. */
function once<T>(make: () => T): Once<T> {
  let held: { readonly value: T } | undefined;
  const get = () => (held ??= { value: make() }).value;
  return Object.assign(get, { made: () => held?.value });
}

/** Keeps what is made under a name. */
function keeper(): Bench["ofProven"] {
  const held = new Map<string, unknown>();
  return <T>(name: string, make: () => T): T => {
    if (!held.has(name)) held.set(name, make());
    return held.get(name) as T;
  };
}

/** `before` is the bench of the last edit: what did not change is kept, what changed starts from its solution. */
export function openBench(input: BenchInput, catalogue: Catalogue, before?: Bench): Bench {
  // Read at once: a bench that held the one before it would hold them all.
  const near = before?.solved();
  const same = before !== undefined && before.input.provenKey === input.provenKey && input.proven !== undefined;
  const carried = same
    ? {
        proven: before.proven,
        provenStudy: before.provenStudy,
        provenFindings: before.provenFindings,
        ofProven: before.ofProven,
      }
    : undefined;
  const provenCatalogue = same
    ? before.provenCatalogue
    : input.proven === undefined
      ? catalogue
      : frozenCatalogue(input.proven, catalogue);
  const provenDocument = input.proven?.document ?? input.document;
  const kept = input.kept ?? input.document;
  const ofKept = before !== undefined && before.kept === kept ? before.ofKept : keeper();
  const circuit = once(() => JSON.stringify({ ...input.document, chassis: undefined }));
  const sameCircuit = before !== undefined && before.circuit() === circuit();
  const solveOne = (
    document: Document,
    from: Catalogue,
    start?: SolvedDesign,
    options: { readonly detail?: "bias" } = {},
  ): Result<SolvedDesign, string> => {
    const answer = solveDesign(document, from, start === undefined ? options : { ...options, near: start });
    return answer.ok ? answer : fail(answer.failure.sentence);
  };
  const made = (one: Once<Result<SolvedDesign, string>>) => {
    const answer = one.made();
    return answer?.ok === true ? answer.value : undefined;
  };
  // Metal that moves leaves every solution as it is.
  const held: Solutions | undefined = sameCircuit
    ? {
        now: before.now,
        standing: before.standing,
        solved: before.solved,
        study: before.study,
        studying: before.studying,
        conditions: before.conditions,
      }
    : undefined;
  const proven = carried?.proven ?? once(() => solveOne(provenDocument, provenCatalogue));
  const studied = (
    document: Document,
    from: Catalogue,
    at: () => Result<SolvedDesign, string>,
  ): Result<SupplyStudy | undefined, string> => {
    if (document.supply === undefined) return ok(undefined);
    const nominal = at();
    if (!nominal.ok) return nominal;
    const study = studySupply(document, from, nominal.value);
    return study.ok ? study : fail(study.failure.sentence);
  };
  const judged = (
    document: Document,
    from: Catalogue,
    at: () => Result<SolvedDesign, string>,
    studyOf: () => Result<SupplyStudy | undefined, string>,
    conditionsIn: () => Result<readonly SolvedDesign[], string>,
    fixes: boolean,
  ): Result<readonly Finding[], string> => {
    const [solved, whole, among] = [at(), studyOf(), conditionsIn()];
    if (!solved.ok) return solved;
    if (!whole.ok) return whole;
    if (!among.ok) return among;
    return judgeDesign(document, from, solved.value, {
      fixes,
      footprints,
      conditions: among.value,
      ...(whole.value === undefined ? {} : { study: whole.value }),
    });
  };
  const conditionsOf = (
    document: Document,
    from: Catalogue,
    at: () => Result<SolvedDesign, string>,
  ): Result<readonly SolvedDesign[], string> => {
    const nominal = at();
    if (!nominal.ok) return nominal;
    const solved = solveConditions(document, from, nominal.value);
    return solved.ok ? ok([...solved.value.values()]) : fail(solved.failure.sentence);
  };
  const solveAnew = (): Solutions => {
    const biased = once(() => solveOne(input.document, catalogue, near, { detail: "bias" }));
    const now = once(() => solveOne(input.document, catalogue, made(biased) ?? near));
    const staged = stagedStudy(() => {
      if (input.document.supply === undefined) return ok(undefined);
      const nominal = now();
      return nominal.ok ? studySteps(input.document, catalogue, nominal.value) : nominal;
    });
    return {
      now,
      standing: () => now.made() ?? biased(),
      solved: () => made(now) ?? made(biased),
      study: staged.all,
      studying: staged.through,
      conditions: once(() => conditionsOf(input.document, catalogue, now)),
    };
  };
  const solutions = held ?? solveAnew();
  const { now, study, conditions } = solutions;
  const provenStudy = carried?.provenStudy ?? once(() => studied(provenDocument, provenCatalogue, proven));
  return {
    input,
    catalogue,
    ofProven: carried?.ofProven ?? keeper(),
    ofKept,
    provenCatalogue,
    provenDocument,
    kept,
    ...solutions,
    circuit,
    proven,
    differences: once(() => {
      const [was, is] = [proven(), now()];
      if (!was.ok) return fail(`The proven unit: ${was.failure}`);
      return is.ok ? ok(differencesOf(was.value, is.value, catalogue)) : is;
    }),
    provenStudy,
    chassis: once(() => judgedChassis({ document: input.document, footprints, catalogue, fixes: false })),
    findings: once(() => judged(input.document, catalogue, now, study, conditions, true)),
    provenFindings:
      carried?.provenFindings ??
      once(() =>
        judged(
          provenDocument,
          provenCatalogue,
          proven,
          provenStudy,
          () => conditionsOf(provenDocument, provenCatalogue, proven),
          false,
        ),
      ),
  };
}
