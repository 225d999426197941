/** Findings about what the model itself does not know: a law on one point, capacitances that no source gives. */
import type { ExpandedTriode } from "../document/expanded.ts";
import type { Finding } from "../findings.ts";
import { ASSUMED_CAPACITANCES, capacitancesOf } from "../solved/circuit.ts";
import { finding } from "./build.ts";
import type { Judged } from "./judged.ts";
import { say } from "./say.ts";

/** One finding per type, not per section. */
export function knowledgeFindings(judged: Judged, triodes: readonly ExpandedTriode[]): readonly Finding[] {
  const findings: Finding[] = [];
  const seen = new Set<string>();
  for (const triode of triodes) {
    if (seen.has(triode.type)) continue;
    seen.add(triode.type);
    const law = judged.nominal.laws.get(triode.id);
    if (law?.basis === "one point")
      findings.push(
        finding({
          rule: "law-basis",
          where: triode.type,
          level: "watch",
          title: `${triode.type}: its law rests on one point of a sheet, so H2 is known to ±${law.h2BandDecibels.toFixed(0)} dB; measure one before a batch`,
          value: law.h2BandDecibels,
          unit: "dB",
          condition: "any",
          source: law.fittedBy,
        }),
      );
    if (capacitancesOf(judged.catalogue, triode) === undefined)
      findings.push(
        finding({
          rule: "capacitances-unknown",
          where: triode.type,
          level: "watch",
          title: `${triode.type}: no source gives its capacitances; ${say(ASSUMED_CAPACITANCES.gridPlateFarads, "F")} grid to plate is assumed, so the treble corner is a guess`,
          condition: "any",
          source: "assumed",
        }),
      );
  }
  return findings;
}
