import type { Finding, Level } from "@platewright/design";
import { levelRank } from "@platewright/design";

/** The worst level among findings of some rules; undefined when none of them was judged. */
export function worstOf(findings: readonly Finding[], rules: RegExp): Level | undefined {
  return findings
    .filter((one) => rules.test(one.rule))
    .reduce<Level | undefined>(
      (worst, { level }) => (worst === undefined || levelRank(level) > levelRank(worst) ? level : worst),
      undefined,
    );
}
