/** How far a rating may be trusted, by its status, its confidence and whether its rating system is known. */
import type { EffectiveLimit, Provenance, RatingSystem, Status } from "@platewright/engine";

export type Trust = EffectiveLimit["trust"];

const STATUS_ORDER: readonly Status[] = ["published", "measured", "quoted", "memory", "derived"];
const CONFIDENCE_ORDER = ["high", "medium", "low"] as const;
const TRUST_ORDER: readonly Trust[] = ["ok", "ok-from-memory", "watch-at-best"];

export const trustRank = (trust: Trust): number => TRUST_ORDER.indexOf(trust);

/** 0 is best: first the status, then, of remembered rows, the confidence. */
export const statusRank = (row: Pick<Provenance, "status" | "confidence">): number =>
  STATUS_ORDER.indexOf(row.status) * 4 + (row.confidence === undefined ? 0 : CONFIDENCE_ORDER.indexOf(row.confidence));

/**
 * A limit seen in a document, first or second hand, may say ok when its rating system is known. Remembered with high
 * confidence: ok, marked. Anything else (medium, low, derived, unknown system): at best watch.
 */
export function trustOf(row: Pick<Provenance, "status" | "confidence">, system: RatingSystem): Trust {
  if (system === "unknown" || row.status === "derived") return "watch-at-best";
  if (row.status !== "memory") return "ok";
  return row.confidence === "high" ? "ok-from-memory" : "watch-at-best";
}
