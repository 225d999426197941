/**
 * The one rule that turns a number and its limit into a level; every rule of this folder goes through it.
 *
 * Law     Not a finite number: stop. Past the limit: stop. Past the house fraction of it: watch. No limit known: watch.
 *         A limit that is unverified: watch at best. A limit remembered with high confidence: ok, marked "from memory".
 * Limits  For `sense: "above"` the value must exceed the limit, and limit / house fraction to be ok.
 * Sources House fractions are common practice (docs/findings.md) and may be changed in the document.
 */
import type { EffectiveLimit, Provenance, RatedLimit, RatingSystem, Status } from "@platewright/engine";
import type { Level } from "../findings.ts";

export type Trust = EffectiveLimit["trust"];

/** A limit as the rule needs it, wherever it comes from. */
export interface Limit {
  readonly value: number;
  readonly trust: Trust;
  readonly system?: RatingSystem;
  readonly provenance?: Provenance;
  /** For limits that no document gives: "common practice", "rating of the part". */
  readonly says?: string;
  /** Other sources of the same variant and system. */
  readonly disagreements?: EffectiveLimit["disagreements"];
}

export interface Verdict {
  readonly level: Level;
  /** Why, when it is not plainly ok: "over the limit", "above the house 80 %", "unverified" ... */
  readonly remark: string;
}

const RANK: { readonly [L in Level]: number } = { ok: 0, watch: 1, stop: 2 };
export const levelRank = (level: Level): number => RANK[level];
export const worseOf = (one: Level, other: Level): Level => (RANK[one] >= RANK[other] ? one : other);

/** Percent without needless digits: 0.8 → "80 %". */
const wholePercent = (fraction: number): string => `${Math.round(fraction * 100)} %`;

export function judge(
  value: number,
  limit: Limit | undefined,
  houseFraction: number,
  sense: "below" | "above" = "below",
): Verdict {
  if (!Number.isFinite(value)) return { level: "stop", remark: "not computed, so not judged" };
  if (limit === undefined) return { level: "watch", remark: "no published limit" };
  if (!Number.isFinite(limit.value)) return { level: "watch", remark: "the limit is not a number" };
  const past = sense === "below" ? value > limit.value : value < limit.value;
  if (past) return { level: "stop", remark: sense === "below" ? "over the limit" : "short of the limit" };
  const near = sense === "below" ? value > limit.value * houseFraction : value < limit.value / houseFraction;
  const unverified = limit.trust === "watch-at-best" ? ["limit unverified"] : [];
  if (near) {
    const why = sense === "below" ? `above the house ${wholePercent(houseFraction)}` : "with little margin";
    return { level: "watch", remark: [why, ...unverified].join(", ") };
  }
  if (limit.trust === "watch-at-best") return { level: "watch", remark: "limit unverified" };
  return { level: "ok", remark: limit.trust === "ok-from-memory" ? "limit from memory" : "" };
}

export const fromEffective = (limit: EffectiveLimit | undefined): Limit | undefined =>
  limit === undefined
    ? undefined
    : {
        value: limit.value,
        trust: limit.trust,
        system: limit.system,
        provenance: limit.provenance,
        disagreements: limit.disagreements,
      };

/** A rule of the trade, without a document behind it. It may say ok: it is a habit, not a maker's limit. */
export const practice = (value: number, says = "common practice"): Limit => ({ value, trust: "ok", says });

/** The rating written on the part in the document. */
export const partRating = (value: number): Limit => ({ value, trust: "ok", says: "rating of the part" });

const STATUS_ORDER: readonly Status[] = ["published", "measured", "quoted", "memory", "derived"];
const CONFIDENCE_ORDER = ["high", "medium", "low"] as const;

/** How far one source may be trusted: the same scale as `EffectiveLimit.trust`. */
export function trustOf(from: Pick<Provenance, "status" | "confidence">, system: RatingSystem): Trust {
  if (system === "unknown" || from.status === "derived") return "watch-at-best";
  if (from.status !== "memory") return "ok";
  return from.confidence === "high" ? "ok-from-memory" : "watch-at-best";
}

const statusRank = (from: Pick<Provenance, "status" | "confidence">): number =>
  STATUS_ORDER.indexOf(from.status) * 4 +
  (from.confidence === undefined ? 0 : CONFIDENCE_ORDER.indexOf(from.confidence));

/**
 * Which of a rectifier's limits counts at a winding voltage. Entries that reach only to a lower voltage do not apply; of
 * those that fall with the winding, the nearest that still covers it does. A known system before an unknown one, the
 * better source before the worse, then the lower value; a row of unknown system counts where it is lower.
 */
export function ratedLimit(
  entries: readonly RatedLimit<number>[] | undefined,
  rmsVoltsPerPlate: number,
): Limit | undefined {
  const covering = (entries ?? []).filter((one) => rmsVoltsPerPlate <= (one.upToRmsVoltsPerPlate ?? Infinity));
  const applying = covering.filter(
    (one) =>
      one.upToRmsVoltsPerPlate === undefined ||
      !covering.some(
        (other) =>
          other.system === one.system &&
          other.source === one.source &&
          (other.upToRmsVoltsPerPlate ?? Infinity) < (one.upToRmsVoltsPerPlate ?? Infinity),
      ),
  );
  const byQuality = [...applying].sort(
    (one, other) =>
      Number(one.system === "unknown") - Number(other.system === "unknown") ||
      statusRank(one) - statusRank(other) ||
      one.value - other.value,
  );
  const [bestKnown] = byQuality;
  if (bestKnown === undefined) return undefined;
  // Within the system of the best known row the lowest counts, and a lower row of unknown system goes before it.
  const [used = bestKnown] = applying
    .filter((one) => one.system === bestKnown.system || one.system === "unknown")
    .sort((one, other) => one.value - other.value || statusRank(one) - statusRank(other));
  const { value, system, upToRmsVoltsPerPlate: _covered, ...provenance } = used;
  return { value, system, trust: trustOf(provenance, system), provenance };
}
