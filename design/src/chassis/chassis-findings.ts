/** Every rule of the chassis over a document: worst first, each with its number, its limit and where it comes from. */
import type { Finding } from "../findings.ts";
import { worstFirst } from "../limits/all-findings.ts";
import { type ChassisAsk, judgedChassis } from "./context.ts";
import { coverFindings, outsideFindings, overlapFindings, roomFindings } from "./rules-bodies.ts";
import { heatFindings } from "./rules-heat.ts";
import { mainsFindings } from "./rules-mains.ts";
import { edgeFindings, holeFindings, thicknessFindings, webFindings } from "./rules-metal.ts";
import { partsFindings } from "./rules-parts.ts";
import { signalFindings } from "./rules-signal.ts";

/** Findings of the chassis; none when the document has no chassis. Of a rule that nothing breaks, the tightest is shown. */
export function chassisFindings(ask: ChassisAsk): readonly Finding[] {
  const judged = judgedChassis(ask);
  if (judged === undefined) return [];
  return worstFirst([
    ...partsFindings(judged),
    ...holeFindings(judged),
    ...overlapFindings(judged),
    ...outsideFindings(judged),
    ...webFindings(judged),
    ...edgeFindings(judged),
    ...thicknessFindings(judged),
    ...roomFindings(judged),
    ...coverFindings(judged),
    ...heatFindings(judged),
    ...signalFindings(judged),
    ...mainsFindings(judged),
  ]);
}
