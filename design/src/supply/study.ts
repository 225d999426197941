/**
 * The supply's study: every condition of a document, solved, in rows; what the rest of this folder works out from them.
 *
 * Answer  Rows in the order of printing; a condition that cannot be solved is named with its sentence, never left out
 *         silently and never shown as a number.
 */
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import type { Document } from "../document/schema.ts";
import { type DesignFailure, solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { type FaultAnswer, faultsOf, solveFault } from "./faults.ts";
import { chooseFuse, mainsAmps } from "./fuse.ts";
import { type Hum, solveHum } from "./hum.ts";
import { type Discharge, solveDischarge, solveStartUp, type StartUp, surgeAmps } from "./start-up.ts";
import { windingCircuit } from "./rectifier-problem.ts";
import { resolveTransformer } from "./transformer.ts";
import type { ResolvedTransformer } from "./transformer-resolved.ts";
import { transformerSentence } from "./transformer-failures.ts";
import { type CopperLoss, copperLoss } from "./transformer-loss.ts";
import { LAMP_STEPS, plainSituations, solveBehindLamp } from "./situations.ts";
import { type ConditionRow, conditionRow, windingCurrents } from "./table.ts";

export interface SupplyStudy {
  readonly document: Document;
  readonly rows: readonly ConditionRow[];
  readonly solved: ReadonlyMap<string, SolvedDesign>;
  /** Lamp steps: volts that the lamp takes. */
  readonly lamp: readonly { readonly step: string; readonly lampVolts: number; readonly mainsAmps: number }[];
  readonly unsolved: readonly { readonly words: string; readonly sentence: string }[];
  /** With mains high, the rectifier early and the signal tubes late. */
  readonly startUp?: StartUp;
  /** Signal tubes not drawing, mains high: what a hand must wait for. */
  readonly discharge?: Discharge;
  /** From running, cathodes still hot. */
  readonly dischargeHot?: Discharge;
  readonly hum?: Hum;
  readonly faults: readonly FaultAnswer[];
  /** Primary current, rms, mains high; the fuse that suits it. */
  readonly mainsAmps: number;
  readonly transformer?: ResolvedTransformer;
  readonly copper?: CopperLoss;
  readonly suggestedFuseAmps: number;
  /** The winding's crest into an empty first capacitor, mains high. */
  readonly surgeAmps?: number;
}

/** How far a study is, and what of it is known so far. */
export interface StudyStep {
  readonly done: number;
  readonly total: number;
  /** What this step was about. */
  readonly stage: StudyStage;
  /** The stage is whole with it. */
  readonly isLast: boolean;
  readonly soFar: SupplyStudy;
}

/** Stages in their order: what a builder asks first comes first. */
export const STUDY_STAGES = ["conditions", "discharge", "hum", "start-up", "lamp", "faults"] as const;
export type StudyStage = (typeof STUDY_STAGES)[number];

export function studySupply(
  document: Document,
  catalogue: Catalogue,
  nominal?: SolvedDesign,
): Result<SupplyStudy, DesignFailure> {
  const steps = studySteps(document, catalogue, nominal);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}

/** The same study in steps of one solve each, so that a page can show what is known and let something else go first. */
export function* studySteps(
  document: Document,
  catalogue: Catalogue,
  nominal?: SolvedDesign,
): Generator<StudyStep, Result<SupplyStudy, DesignFailure>> {
  const { supply } = document;
  if (supply === undefined)
    return fail({ sentence: "supply: the design has no supply; give it a transformer and a rectifier first." });
  const first = nominal ?? solveDesign(document, catalogue, { detail: "bias" });
  const near = "ok" in first ? (first.ok ? first.value : undefined) : first;
  if (near === undefined) return fail("ok" in first && !first.ok ? first.failure : { sentence: "supply: not solved." });

  const solved = new Map<string, SolvedDesign>();
  const unsolved: { words: string; sentence: string }[] = [];
  const lamp: { step: string; lampVolts: number; mainsAmps: number }[] = [];
  const faults: FaultAnswer[] = [];
  const resolved = resolveTransformer(supply, { circuit: windingCircuit(supply) });
  if (!resolved.ok) unsolved.push({ words: "transformer", sentence: transformerSentence(resolved.failure) });
  const copper = resolved.ok ? copperLoss(resolved.value, windingCurrents(near)) : undefined;
  const row = (one: SolvedDesign): ConditionRow =>
    conditionRow(document, one, { catalogue, ...(resolved.ok ? { transformer: resolved.value } : {}) });
  const rows: ConditionRow[] = [];
  const keep = (id: string, one: SolvedDesign) => {
    solved.set(id, one);
    rows.push(row(one));
  };
  let rest: Pick<SupplyStudy, "startUp" | "discharge" | "dischargeHot" | "hum" | "surgeAmps"> = {};
  const soFar = (): SupplyStudy => {
    const running = mainsAmps(solved.get("mains-high") ?? near, supply);
    return {
      document,
      ...(resolved.ok ? { transformer: resolved.value } : {}),
      ...(copper === undefined ? {} : { copper }),
      ...rest,
      faults: [...faults],
      mainsAmps: running,
      suggestedFuseAmps: chooseFuse(running),
      rows: [...rows],
      solved: new Map(solved),
      lamp: [...lamp],
      unsolved: [...unsolved],
    };
  };
  const kept = <T>(words: string, answer: Result<T, string>): T | undefined => {
    if (answer.ok) return answer.value;
    unsolved.push({ words, sentence: answer.failure });
    return undefined;
  };

  const situations = plainSituations(document);
  const questions = faultsOf(near);
  const total = situations.length + 4 + LAMP_STEPS.length + questions.length;
  let done = 0;
  const step = (stage: StudyStage, isLast = true): StudyStep => ({
    done: ++done,
    total,
    stage,
    isLast,
    soFar: soFar(),
  });

  for (const [n, situation] of situations.entries()) {
    const answer =
      situation.id === "nominal" ? ok(near) : solveDesign(document, catalogue, { situation, detail: "bias", near });
    if (answer.ok) keep(situation.id, answer.value);
    else unsolved.push({ words: situation.words, sentence: answer.failure.sentence });
    yield step("conditions", n === situations.length - 1);
  }
  const high = solved.get("mains-high") ?? near;
  const cold = solved.get("cold-mains-high") ?? near;
  const surge = kept("surge", surgeAmps(document, supply, catalogue, high.condition.mainsFactor));
  if (surge !== undefined) rest = { ...rest, surgeAmps: surge };
  const discharge = kept(
    "discharge",
    solveDischarge(document, catalogue, cold, "signal tubes not drawing, mains high"),
  );
  if (discharge !== undefined) rest = { ...rest, discharge };
  yield step("discharge", false);
  const dischargeHot = kept("discharge", solveDischarge(document, catalogue, near, "switched off while running"));
  if (dischargeHot !== undefined) rest = { ...rest, dischargeHot };
  yield step("discharge");
  const hum = kept("hum", solveHum(document, supply, catalogue, near));
  if (hum !== undefined) rest = { ...rest, hum };
  yield step("hum");
  const startUp = kept("start-up", solveStartUp(document, supply, catalogue, near, high.condition.mainsFactor));
  if (startUp !== undefined) rest = { ...rest, startUp };
  yield step("start-up");
  for (const [n, one] of LAMP_STEPS.entries()) {
    const answer = solveBehindLamp(document, supply, catalogue, one, near);
    if (answer.ok) {
      keep(one, answer.value.solved);
      lamp.push({ step: one, lampVolts: answer.value.lampVolts, mainsAmps: answer.value.mainsAmps });
    } else unsolved.push({ words: one, sentence: answer.failure.sentence });
    yield step("lamp", n === LAMP_STEPS.length - 1);
  }
  for (const [n, fault] of questions.entries()) {
    faults.push(solveFault(document, catalogue, near, fault));
    yield step("faults", n === questions.length - 1);
  }
  return ok(soFar());
}
