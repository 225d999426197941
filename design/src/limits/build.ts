/** Puts a Finding together: one sentence with the numbers, the limit, the condition and the source. */
import type { Catalogue, Provenance, RatingSystem } from "@platewright/engine";
import type { Finding, Fix, Level } from "../findings.ts";
import { judge, worseOf, type Limit } from "./judge.ts";
import type { Judged, Reading } from "./judged.ts";
import { percent, say } from "./say.ts";

/** "EZ80 sheet, Mazda (published)", "remembered, confidence medium", "common practice". */
export function sourceWords(catalogue: Catalogue, from: Provenance | undefined, otherwise = ""): string {
  if (from === undefined) return otherwise;
  const title = catalogue.source(from.source)?.title ?? from.source;
  const status = from.status === "memory" ? `from memory, confidence ${from.confidence ?? "unknown"}` : from.status;
  return `${title} (${status})`;
}

export const channelWord = (where: string): string | undefined =>
  where.includes(".") ? where.slice(0, where.indexOf(".")) : undefined;

export interface Draft {
  readonly rule: string;
  readonly where: string;
  readonly level: Level;
  readonly title: string;
  readonly condition: string;
  readonly source: string;
  readonly value?: number | null;
  readonly limit?: number | null;
  readonly unit?: string;
  readonly sense?: Finding["sense"];
  readonly ratingSystem?: RatingSystem;
  readonly provenance?: Provenance;
  readonly fixes?: readonly Fix[];
  readonly channel?: string;
}

export function finding(draft: Draft): Finding {
  const channel = draft.channel ?? channelWord(draft.where);
  const finite = (n: number | null | undefined): number | null =>
    n !== null && n !== undefined && Number.isFinite(n) ? n : null;
  return {
    id: `${draft.rule}/${draft.where}`,
    rule: draft.rule,
    level: draft.level,
    title: draft.title,
    value: finite(draft.value),
    limit: finite(draft.limit),
    unit: draft.unit ?? "",
    sense: draft.sense ?? "none",
    condition: draft.condition,
    ...(draft.ratingSystem === undefined ? {} : { ratingSystem: draft.ratingSystem }),
    source: draft.source,
    ...(draft.provenance === undefined ? {} : { provenance: draft.provenance }),
    where: draft.where,
    ...(channel === undefined ? {} : { channel }),
    fixes: draft.fixes ?? [],
  };
}

export interface Against {
  readonly rule: string;
  readonly where: string;
  /** What is judged, as the middle of the sentence: "plate dissipation". */
  readonly what: string;
  readonly reading: Pick<Reading, "value" | "words" | "missing">;
  readonly limit: Limit | undefined;
  readonly unit: string;
  readonly houseFraction: number;
  readonly sense?: "below" | "above";
  /** Holds the level down or up for a reason the number does not show. */
  readonly atLeast?: { readonly level: Level; readonly remark: string };
  readonly fixes?: readonly Fix[];
  readonly channel?: string;
}

/** A quantity against a limit: the shape of most findings. */
export function against(judged: Judged, ruled: Against): Finding {
  const { reading, limit, unit, sense = "below" } = ruled;
  const verdict = judge(reading.value, limit, ruled.houseFraction, sense);
  const remarks = [verdict.remark];
  let level = verdict.level;
  if (reading.missing.length > 0) {
    level = worseOf(level, "watch");
    remarks.push(`not solved: ${reading.missing.join("; ")}`);
  }
  if (ruled.atLeast !== undefined) {
    level = worseOf(level, ruled.atLeast.level);
    remarks.push(ruled.atLeast.remark);
  }
  const others = limit?.disagreements ?? [];
  if (others.length > 0) remarks.push(`other sources: ${others.map((one) => say(one.value, unit)).join(", ")}`);
  const number =
    limit === undefined
      ? say(reading.value, unit)
      : sense === "below"
        ? `${say(reading.value, unit)} of ${say(limit.value, unit)} (${percent(reading.value, limit.value)})`
        : `${say(reading.value, unit)}, at least ${say(limit.value, unit)} wanted`;
  const tail = remarks.filter((remark) => remark !== "").join("; ");
  return finding({
    rule: ruled.rule,
    where: ruled.where,
    level,
    title: `${ruled.where} ${ruled.what} ${number}, ${reading.words}${tail === "" ? "" : `: ${tail}`}`,
    value: reading.value,
    limit: limit?.value ?? null,
    unit,
    sense,
    condition: reading.words,
    ...(limit?.system === undefined ? {} : { ratingSystem: limit.system }),
    source: sourceWords(judged.catalogue, limit?.provenance, limit?.says ?? "no source known"),
    ...(limit?.provenance === undefined ? {} : { provenance: limit.provenance }),
    ...(ruled.fixes === undefined || level === "ok" ? {} : { fixes: ruled.fixes }),
    ...(ruled.channel === undefined ? {} : { channel: ruled.channel }),
  });
}

/** The quantity could not be read at all: never ok. */
export const unsolved = (rule: string, where: string, what: string, condition: string): Finding =>
  finding({
    rule,
    where,
    level: "stop",
    title: `${where} ${what} could not be computed, ${condition}: it is not judged, so treat it as not allowed`,
    condition,
    source: "no solve",
  });
