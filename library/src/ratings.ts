/**
 * Which limit counts when sources differ (docs/library.md, "Ratings").
 *
 * Law     Within one variant and one rating system the lowest source counts; systems and variants are never mixed in one
 *         number. Of several systems the one with the best known row is used (trust, then status, then the lower value);
 *         a row whose system is unknown may belong to any, so when it is lower it counts, at best "watch".
 * Method  Rows of the asked variant; if none of them rates the quantity, rows of the version it superseded (at best
 *         "ok-from-memory"), then of any other variant of the type (at best "watch-at-best").
 * Limits  Undefined when no row of the type rates the quantity.
 */
import type { EffectiveLimit, LimitName, RatingRow, RatingSystem, Sourced } from "@platewright/engine";
import { statusRank, trustOf, trustRank, type Trust } from "./trust.ts";

/** A dc heater-cathode volt is part of the total, so a peak rating of the same direction bounds it too. */
const BOUND_BY: { readonly [N in LimitName]?: LimitName } = {
  cathodePositiveDcVolts: "cathodePositivePeakVolts",
  cathodeNegativeDcVolts: "cathodeNegativePeakVolts",
};

interface Claim extends Sourced<number> {
  readonly system: RatingSystem;
  readonly variant: string;
}

function claimsOf(rows: readonly RatingRow[], name: LimitName): readonly Claim[] {
  const bound = BOUND_BY[name];
  return rows.flatMap((row) => {
    const own: Sourced<number> | undefined = row.limits[name];
    const peak: Sourced<number> | undefined = bound === undefined ? undefined : row.limits[bound];
    const common = { system: row.system, variant: row.variant };
    if (own !== undefined && own.value <= (peak?.value ?? Infinity)) return { ...own, ...common };
    if (peak === undefined) return [];
    const remark = "peak rating; dc is part of it";
    return { ...peak, ...common, note: peak.note === undefined ? remark : `${peak.note}; ${remark}` };
  });
}

/** Lower value first; of equal values the better known source. */
const lowestFirst = (one: Claim, other: Claim): number =>
  one.value - other.value || statusRank(one) - statusRank(other);

/** A known system before an unknown one, then trust, then status. */
const bestKnownFirst = (one: Claim, other: Claim): number =>
  Number(one.system === "unknown") - Number(other.system === "unknown") ||
  trustRank(trustOf(one, one.system)) - trustRank(trustOf(other, other.system)) ||
  statusRank(one) - statusRank(other);

function strictest(claims: readonly Claim[], name: LimitName, cap: Trust): EffectiveLimit | undefined {
  const systems = [...new Set(claims.map((claim) => claim.system))].flatMap((system) => {
    const inSystem = claims.filter((claim) => claim.system === system);
    const [bestKnown] = [...inSystem].sort(bestKnownFirst);
    const [lowest, ...others] = inSystem.sort(lowestFirst);
    return lowest === undefined || bestKnown === undefined ? [] : { lowest, others, bestKnown };
  });
  // A system ranks by its best known row, so that a doubtful lower row added to it cannot drive the choice elsewhere.
  const [best] = [...systems].sort(
    (one, other) => bestKnownFirst(one.bestKnown, other.bestKnown) || one.lowest.value - other.lowest.value,
  );
  if (best === undefined) return undefined;
  const unknown = systems.find(({ lowest }) => lowest.system === "unknown");
  const used = unknown !== undefined && unknown.lowest.value < best.lowest.value ? unknown : best;
  const { value, system, variant, ...provenance } = used.lowest;
  const trust = trustOf(provenance, system);
  return {
    name,
    value,
    system,
    variant,
    provenance,
    disagreements: used.others
      .filter((claim) => claim.value !== value)
      .map(({ value: other, system: _system, variant: _variant, ...from }) => ({ value: other, provenance: from })),
    trust: trustRank(trust) < trustRank(cap) ? cap : trust,
  };
}

/**
 * The limit that counts. `variant` is the version asked for; `superseded` the versions it may stand in for, whose limits
 * it takes where its own sheets give none.
 */
export function effectiveLimit(
  rows: readonly RatingRow[],
  name: LimitName,
  variant: string,
  superseded: readonly string[] = [],
): EffectiveLimit | undefined {
  const claims = (belongs: (row: RatingRow) => boolean): readonly Claim[] => claimsOf(rows.filter(belongs), name);
  return (
    strictest(
      claims((row) => row.variant === variant),
      name,
      "ok",
    ) ??
    strictest(
      claims((row) => superseded.includes(row.variant)),
      name,
      "ok-from-memory",
    ) ??
    strictest(
      claims(() => true),
      name,
      "watch-at-best",
    )
  );
}
