/**
 * How far a meter may read from the expected volts while nothing is wrong: part tolerances and the spread between specimens
 * of a tube, at the mains of the expected value.
 *
 * Law     First order: each tolerance times the sensitivity of the net's volts, added as squares. A part of ± t is taken
 *         evenly spread, so that nine of ten lie within 0.9 t; of a tube 1.645 standard deviations are taken.
 * Method  One transposed solve of the engine per net (docs/sensitivity.md); the supply as its tangent.
 * Limits  The winding's own volts are not known better than `WINDING_PERCENT` (common practice), a measured winding's than
 *         `MEASURED_PERCENT`. The meter's own error is not in it.
 */
import {
  biasSensitivity,
  fail,
  ok,
  openSensitivity,
  type Result,
  type Sensitivity,
  sentence,
} from "@platewright/engine";
import { toleranceOf } from "../solved/sensitivity-steps.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { SUPPLY_SOURCE } from "../supply/join.ts";

export const WINDING_PERCENT = 3;
export const MEASURED_PERCENT = 1;
const PART_SHARE = 0.9;
const TUBE_DEVIATIONS = 1.645;

export interface NetBand {
  readonly volts: number;
  /** Half-width: nine units of ten read within it. */
  readonly bandVolts: number;
}

/** Bands by net. Nets that sources hold have none of their own to speak of: zero. */
export function netBands(solved: SolvedDesign, nets: readonly string[]): Result<ReadonlyMap<string, NetBand>, string> {
  const opened = openSensitivity(solved.circuit, solved.bias);
  if (!opened.ok) return fail(sentence(opened.failure));
  const bands = new Map<string, NetBand>();
  for (const net of nets) {
    if (net === "0") continue;
    const answer = biasSensitivity(opened.value, { kind: "net-volts", net });
    if (!answer.ok) return fail(sentence(answer.failure));
    bands.set(net, { volts: answer.value.value, bandVolts: bandOf(solved, answer.value) });
  }
  return ok(bands);
}

function bandOf(solved: SolvedDesign, { byPart }: Sensitivity): number {
  let squares = 0;
  for (const part of solved.expanded.parts) {
    const tolerance = toleranceOf(part, solved.laws.get(part.id));
    const by = byPart.get(part.id);
    if (tolerance === undefined || by === undefined) continue;
    const share = part.kind === "triode" ? TUBE_DEVIATIONS : PART_SHARE;
    for (const { value, nepers } of tolerance.spans) squares += (share * (by[value] ?? 0) * nepers) ** 2;
  }
  const winding = byPart.get(SUPPLY_SOURCE)?.volts ?? 0;
  const measured = solved.document.supply?.transformer.measured !== undefined;
  squares += ((winding * (measured ? MEASURED_PERCENT : WINDING_PERCENT)) / 100) ** 2;
  return Math.sqrt(squares);
}
