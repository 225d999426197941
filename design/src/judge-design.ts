/** Findings of a document: solved in every condition, every rule asked. The one call that check and rework share. */
import { type Catalogue, fail, type Footprints, type HarmonicLimits, ok, type Result } from "@platewright/engine";
import { chassisFindings } from "./chassis/chassis-findings.ts";
import { applyChanges } from "./document/change.ts";
import type { Document } from "./document/schema.ts";
import type { Change, Finding } from "./findings.ts";
import { findingsOf, worstFirst } from "./limits/all-findings.ts";
import { supplyFindings } from "./limits/supply.ts";
import { type SupplyStudy, studySupply } from "./supply/study.ts";
import { solveConditions, solveDesign } from "./solved/solve.ts";
import type { SolvedDesign } from "./solved/types.ts";

export interface JudgeHow {
  /** False: findings only, no fix is tried. */
  readonly fixes?: boolean;
  /** The supply's study, when the caller has it. */
  readonly study?: SupplyStudy;
  /** Every condition solved, when the caller has them. */
  readonly conditions?: readonly SolvedDesign[];
  /** False: the supply's study (discharge, hum, faults) is left out. */
  readonly supply?: boolean;
  /** Of parts on a chassis; left out: the chassis is not judged. */
  readonly footprints?: Footprints;
  /** Tail rule and largest K in the conditions, when not the engine's. */
  readonly harmonicLimits?: Partial<HarmonicLimits>;
}

export function judgeDesign(
  document: Document,
  catalogue: Catalogue,
  nominal: SolvedDesign,
  how: JudgeHow = {},
): Result<readonly Finding[], string> {
  const conditions =
    how.conditions === undefined
      ? solveConditions(document, catalogue, nominal, how.harmonicLimits)
      : ok(new Map(how.conditions.map((one) => [one.condition.id, one])));
  if (!conditions.ok) return fail(conditions.failure.sentence);
  const resolve = (changes: readonly Change[]): SolvedDesign | undefined => {
    const changed = applyChanges(document, changes);
    const solved = changed.ok ? solveDesign(changed.value, catalogue, { detail: "brief", near: nominal }) : undefined;
    return solved?.ok === true ? solved.value : undefined;
  };
  const study =
    how.study !== undefined
      ? ok(how.study)
      : how.supply === false || document.supply === undefined
        ? undefined
        : studySupply(document, catalogue, nominal);
  const ofSupply = study?.ok === true ? supplyFindings(study.value, catalogue, how.fixes !== false) : [];
  const ofChassis =
    how.footprints === undefined
      ? []
      : chassisFindings({
          document,
          catalogue,
          footprints: how.footprints,
          solved: nominal,
          ...(how.fixes === undefined ? {} : { fixes: how.fixes }),
        });
  return ok(
    worstFirst([
      ...findingsOf({
        document,
        catalogue,
        nominal,
        conditions: [...conditions.value.values()],
        ...(how.fixes === false ? {} : { resolve }),
      }),
      ...ofSupply,
      ...ofChassis,
    ]),
  );
}
