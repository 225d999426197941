/**
 * Findings in the order a builder takes them: what has a number to decide about, what is only unverified, what a single
 * fault would do, what is ok.
 *
 * Law     "Unverified" is a watch whose number lies well inside its limit, and whose limit alone is in doubt: from memory
 *         without high confidence, or of a sheet that names no rating system. It is never ok, and never counted as ok.
 * Limits  "Well inside" is the house fraction of ratings, whatever fraction the rule itself asks: when in doubt a finding
 *         stands with those to decide.
 */
import type { Document } from "../document/schema.ts";
import type { Finding } from "../findings.ts";
import { levelRank, trustOf } from "../limits/judge.ts";

/** Findings that say the same of several places, as one. */
export interface FindingRow {
  readonly finding: Finding;
  /** Every place it is said of, the finding's own first. */
  readonly where: readonly string[];
}

export interface FindingGroups {
  /** Stop and watch, worst first. */
  readonly decide: readonly FindingRow[];
  readonly unverified: readonly FindingRow[];
  /** What one part failing would do, and is worth knowing. */
  readonly faults: readonly FindingRow[];
  readonly ok: readonly FindingRow[];
}

export function findingGroups(findings: readonly Finding[], document: Document): FindingGroups {
  const fraction = document.houseRules?.ratingFraction ?? 0.8;
  const worst = findings.toSorted((a, b) => levelRank(b.level) - levelRank(a.level));
  const of = (kind: keyof FindingGroups) => merged(worst.filter((one) => kindOf(one, fraction) === kind));
  return { decide: of("decide"), unverified: of("unverified"), faults: of("faults"), ok: of("ok") };
}

function kindOf(finding: Finding, fraction: number): keyof FindingGroups {
  if (finding.level === "ok") return "ok";
  if (finding.level === "stop") return "decide";
  if (finding.rule === "single-fault") return "faults";
  return onlyUnverified(finding, fraction) ? "unverified" : "decide";
}

/** Nothing but the limit's source keeps this watch from being ok. */
function onlyUnverified(finding: Finding, fraction: number): boolean {
  const { rule, value, limit, sense, provenance, ratingSystem, fixes, title } = finding;
  // The heater's elevation is inside every limit that bounds it, and says that one of them is in doubt.
  if (rule === "elevation") return fixes.length === 0 && title.endsWith("a limit in it is unverified");
  if (value === null || limit === null || sense === "none" || provenance === undefined || fixes.length > 0)
    return false;
  if (trustOf(provenance, ratingSystem ?? "unknown") !== "watch-at-best") return false;
  // A condition that was not solved is a reason of its own.
  if (title.includes("not solved")) return false;
  return sense === "below" ? value <= fraction * limit : value >= limit / fraction;
}

/** One row for the findings of a rule whose numbers, limit and words are the same but for the place. */
function merged(findings: readonly Finding[]): readonly FindingRow[] {
  const rows = new Map<string, { finding: Finding; where: string[] }>();
  for (const finding of findings) {
    const { rule, level, value, limit, title, where } = finding;
    const number = value === null ? "" : value.toPrecision(4);
    const key = [rule, level, number, limit, title.replaceAll(where, "")].join("|");
    const row = rows.get(key) ?? { finding, where: [] };
    row.where.push(where);
    rows.set(key, row);
  }
  return [...rows.values()];
}
