/** What the Revisions screen asks: two states of the design against each other, and what the library says differently today. */
import {
  differencesOf,
  type Document,
  frozenCatalogue,
  newerData,
  type Revision,
  solveDesign,
} from "@platewright/design";
import { fail, ok } from "@platewright/engine";
import { ask } from "../../worker/ask.ts";

/** A document as it stands now, or as it was frozen. */
export type Side =
  | { readonly kind: "now" }
  | { readonly kind: "revision"; readonly revision: Revision }
  | { readonly kind: "document"; readonly document: Document };

export const revisionsAsks = {
  /** Each side is solved with its own data: a revision with what was frozen in it. */
  compareTwo: ask("settled", (bench, { one, two }: { readonly one: Side; readonly two: Side }) => {
    const solvedOf = (side: Side) => {
      if (side.kind === "now") return bench.now();
      const [document, catalogue] =
        side.kind === "revision"
          ? [side.revision.document, frozenCatalogue(side.revision, bench.catalogue)]
          : [side.document, bench.catalogue];
      const solved = solveDesign(document, catalogue);
      return solved.ok ? solved : fail(solved.failure.sentence);
    };
    const [before, after] = [solvedOf(one), solvedOf(two)];
    if (!before.ok) return fail(`The first: ${before.failure}`);
    if (!after.ok) return fail(`The second: ${after.failure}`);
    return ok(differencesOf(before.value, after.value, bench.catalogue));
  }),
  /** Laws and limits that the library has corrected since the proven unit was cut, and what that does to its figures. */
  newerThanProven: ask("settled", (bench, _params: Record<string, never>) => {
    const { proven } = bench.input;
    if (proven === undefined) return ok({ newer: [], differences: [] });
    const newer = newerData(proven, bench.catalogue).map(({ type, what, name, frozen, present }) => ({
      type,
      what,
      name,
      frozen: typeof frozen === "number" ? frozen : null,
      present: typeof present === "number" ? present : null,
    }));
    if (newer.length === 0) return ok({ newer, differences: [] });
    const [then, today] = [bench.proven(), solveDesign(proven.document, bench.catalogue)];
    if (!then.ok) return then;
    if (!today.ok) return fail(today.failure.sentence);
    const moved = differencesOf(then.value, today.value, bench.catalogue).filter((one) => one.proven !== one.now);
    return ok({ newer, differences: moved });
  }),
};
