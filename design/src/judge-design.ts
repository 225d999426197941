/** Findings of a document: solved in every condition, every rule asked. The one call that check and rework share. */
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import { applyChanges } from "./document/change.ts";
import type { Document } from "./document/schema.ts";
import type { Change, Finding } from "./findings.ts";
import { findingsOf } from "./limits/all-findings.ts";
import { solveConditions, solveDesign } from "./solved/solve.ts";
import type { SolvedDesign } from "./solved/types.ts";

export interface JudgeHow {
  /** False: findings only, no fix is tried. */
  readonly fixes?: boolean;
}

export function judgeDesign(
  document: Document,
  catalogue: Catalogue,
  nominal: SolvedDesign,
  how: JudgeHow = {},
): Result<readonly Finding[], string> {
  const conditions = solveConditions(document, catalogue, nominal);
  if (!conditions.ok) return fail(conditions.failure.sentence);
  const resolve = (changes: readonly Change[]): SolvedDesign | undefined => {
    const changed = applyChanges(document, changes);
    const solved = changed.ok ? solveDesign(changed.value, catalogue, { detail: "brief", near: nominal }) : undefined;
    return solved?.ok === true ? solved.value : undefined;
  };
  return ok(
    findingsOf({
      document,
      catalogue,
      nominal,
      conditions: [...conditions.value.values()],
      ...(how.fixes === false ? {} : { resolve }),
    }),
  );
}
