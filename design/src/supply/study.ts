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
import { type FaultAnswer, solveFaults } from "./faults.ts";
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
  const kept = <T>(words: string, answer: Result<T, string>): T | undefined => {
    if (answer.ok) return answer.value;
    unsolved.push({ words, sentence: answer.failure });
    return undefined;
  };
  const high = solved.get("mains-high") ?? near;
  const cold = solved.get("cold-mains-high") ?? near;
  const startUp = kept("start-up", solveStartUp(document, supply, catalogue, near, high.condition.mainsFactor));
  const discharge = kept(
    "discharge",
    solveDischarge(document, catalogue, cold, "signal tubes not drawing, mains high"),
  );
  const dischargeHot = kept("discharge", solveDischarge(document, catalogue, near, "switched off while running"));
  const hum = kept("hum", solveHum(document, supply, catalogue, near));
  const surge = kept("surge", surgeAmps(document, supply, catalogue, high.condition.mainsFactor));
  const running = mainsAmps(high, supply);
  const resolved = resolveTransformer(supply, { circuit: windingCircuit(supply) });
  if (!resolved.ok) unsolved.push({ words: "transformer", sentence: transformerSentence(resolved.failure) });
  const copper = resolved.ok ? copperLoss(resolved.value, windingCurrents(near)) : undefined;
  return ok({
    document,
    ...(resolved.ok ? { transformer: resolved.value } : {}),
    ...(copper === undefined ? {} : { copper }),
    ...(startUp === undefined ? {} : { startUp }),
    ...(discharge === undefined ? {} : { discharge }),
    ...(dischargeHot === undefined ? {} : { dischargeHot }),
    ...(hum === undefined ? {} : { hum }),
    ...(surge === undefined ? {} : { surgeAmps: surge }),
    faults: solveFaults(document, catalogue, near),
    mainsAmps: running,
    suggestedFuseAmps: chooseFuse(running),
    rows: [...solved.values()].map((one) =>
      conditionRow(document, one, { catalogue, ...(resolved.ok ? { transformer: resolved.value } : {}) }),
    ),
    solved,
    lamp,
    unsolved,
  });
}
