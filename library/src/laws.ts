/** The fitted laws that `library/fit` wrote. */
import type { LawRecord } from "@platewright/engine";

export const fittedLaws: readonly LawRecord[] = [];
