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
import { LAMP_STEPS, plainSituations, solveBehindLamp } from "./situations.ts";
import { type ConditionRow, conditionRow } from "./table.ts";

export interface SupplyStudy {
  readonly document: Document;
  readonly rows: readonly ConditionRow[];
  readonly solved: ReadonlyMap<string, SolvedDesign>;
  /** Lamp steps: volts that the lamp takes. */
  readonly lamp: readonly { readonly step: string; readonly lampVolts: number; readonly mainsAmps: number }[];
  readonly unsolved: readonly { readonly words: string; readonly sentence: string }[];
}

export function studySupply(
  document: Document,
  catalogue: Catalogue,
  nominal?: SolvedDesign,
): Result<SupplyStudy, DesignFailure> {
  const { supply } = document;
  if (supply === undefined)
    return fail({ sentence: "supply: the design has no supply; give it a transformer and a rectifier first." });
  const solved = new Map<string, SolvedDesign>();
  const unsolved: { words: string; sentence: string }[] = [];
  const first = nominal ?? solveDesign(document, catalogue, { detail: "bias" });
  const near = "ok" in first ? (first.ok ? first.value : undefined) : first;
  if (near === undefined) return fail("ok" in first && !first.ok ? first.failure : { sentence: "supply: not solved." });
  for (const situation of plainSituations(document)) {
    const answer =
      situation.id === "nominal" ? ok(near) : solveDesign(document, catalogue, { situation, detail: "bias", near });
    if (answer.ok) solved.set(situation.id, answer.value);
    else unsolved.push({ words: situation.words, sentence: answer.failure.sentence });
  }
  const lamp: { step: string; lampVolts: number; mainsAmps: number }[] = [];
  for (const step of LAMP_STEPS) {
    const answer = solveBehindLamp(document, supply, catalogue, step, near);
    if (!answer.ok) {
      unsolved.push({ words: step, sentence: answer.failure.sentence });
      continue;
    }
    solved.set(step, answer.value.solved);
    lamp.push({ step, lampVolts: answer.value.lampVolts, mainsAmps: answer.value.mainsAmps });
  }
  return ok({
    document,
    rows: [...solved.values()].map((one) => conditionRow(document, one)),
    solved,
    lamp,
    unsolved,
  });
}
