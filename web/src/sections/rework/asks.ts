/** What the Rework screen asks of the bench. */
import { ask } from "../../worker/ask.ts";

export const reworkAsks = {
  /** Every quantity, proven and now; nominal mains. */
  differences: ask("live", (bench, _params: Record<string, never>) => bench.differences()),
  /** Every judgement in every condition, with Fixes. */
  findings: ask("settled", (bench, _params: Record<string, never>) => bench.findings()),
};
