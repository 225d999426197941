/**
 * The window of elevation: to which volts the heaters' reference may be lifted so that every section stays inside its
 * heater-cathode limits in every condition.
 *
 * Law     Signed, cathode minus heater. With the reference at f E in a condition (f: what the lifting source has there, over
 *         nominal), each limit bounds E from one side:
 *         dc positive   cathode - f E <= limit            peak positive  cathode + swing up + heater's own peak - f E <= limit
 *         dc negative   f E - cathode <= limit            peak negative  f E - cathode + swing down + own peak <= limit
 * Method  The highest lower bound and the lowest upper bound; every pair of sections that cross is named.
 * Limits  A section without a limit of one sign is not bounded on that side and is listed; a window that rests on a
 *         doubtful limit says so and is never better than "watch".
 * Sources Limits from the catalogue; judging as in docs/findings.md.
 */

import type { RatingSystem } from "@platewright/engine";

export type ElevationSign = "positive" | "negative";
export type ElevationMeasure = "dc" | "peak";

export interface ElevationLimit {
  readonly volts: number;
  /** As in the catalogue: how far a limit may be trusted. */
  readonly trust: "ok" | "ok-from-memory" | "watch-at-best";
  readonly source: string;
  /** Rating system of its row; left out: judged in every state. */
  readonly system?: RatingSystem;
}

/** One section in one condition; volts to ground. */
export interface ElevationState {
  readonly condition: string;
  /** Cathode at rest, the highest and lowest that tolerances allow. */
  readonly cathodeVoltsHigh: number;
  readonly cathodeVoltsLow: number;
  /** Peaks of the signal about rest at the largest input; 0 where there is none. */
  readonly swingUpVolts: number;
  readonly swingDownVolts: number;
  /** Peak of the heater's ends about its reference. */
  readonly heaterPeakVolts: number;
  /** Heaters on dc: the larger dc distance of an end from the reference; counts on dc limits too. */
  readonly heaterDcVolts?: number;
  /** Volts of the lifting source here over its nominal volts: 0 while it is not up, more than 1 with tubes cold. */
  readonly factor: number;
  /** Systems whose limits are judged in this state; left out: all. */
  readonly systems?: readonly RatingSystem[];
}

export interface ElevationSection {
  readonly id: string;
  readonly tube: string;
  readonly limits: { readonly [S in ElevationSign]: { readonly [M in ElevationMeasure]?: ElevationLimit } };
  readonly states: readonly ElevationState[];
  /** The cathode never stands below the heater (a rectifier): no limit of the other sign is missed. */
  readonly oneSided?: boolean;
}

/** One limit in one condition, as a bound on the nominal elevation. */
export interface ElevationBound {
  readonly section: string;
  readonly tube: string;
  readonly sign: ElevationSign;
  readonly measure: ElevationMeasure;
  readonly condition: string;
  readonly limit: ElevationLimit;
  readonly side: "at-least" | "at-most";
  readonly volts: number;
}

export interface ElevationConflict {
  readonly needsAtLeast: ElevationBound;
  readonly allowsAtMost: ElevationBound;
  readonly sentence: string;
}

export interface ElevationWindow {
  readonly kind: "window";
  /** Nominal volts of the reference. `low` may be 0 or less: then no lift is needed. */
  readonly low: number;
  readonly high: number;
  readonly setLow?: ElevationBound;
  readonly setHigh?: ElevationBound;
  /** The window lies inside what rests on verified limits alone; false: at best watch. */
  readonly verified: boolean;
  /** Sections of which no limit is known, by sign. */
  readonly unjudged: readonly { readonly section: string; readonly tube: string; readonly sign: ElevationSign }[];
}

export interface NoElevation {
  readonly kind: "empty";
  readonly conflicts: readonly ElevationConflict[];
  /** Limits that no elevation keeps: passed while the source is not up, or asking for volts below the lowest. */
  readonly hopeless: readonly ElevationBound[];
}

export interface ElevationOptions {
  /** Share of each limit that is used; 1 for the limit itself, 0.8 or 0.9 to stay clear of it. */
  readonly limitFraction?: number;
  /** The lowest volts that the reference can be put to; ground unless told. */
  readonly lowest?: number;
}

export function elevationWindow(
  sections: readonly ElevationSection[],
  options: ElevationOptions = {},
): ElevationWindow | NoElevation {
  const fraction = options.limitFraction ?? 1;
  const bounds: ElevationBound[] = [];
  const hopeless: ElevationBound[] = [];
  for (const section of sections)
    for (const state of section.states)
      for (const sign of ["positive", "negative"] as const)
        for (const measure of ["dc", "peak"] as const) {
          const limit = section.limits[sign][measure];
          if (limit === undefined || !applies(state, limit)) continue;
          const room = roomOf(state, sign, measure, limit.volts * fraction);
          const named = { section: section.id, tube: section.tube, sign, measure, condition: state.condition, limit };
          const side = sign === "positive" ? ("at-least" as const) : ("at-most" as const);
          if (state.factor > 0) bounds.push({ ...named, side, volts: room / state.factor });
          else if (sign === "positive" ? room > 0 : room < 0) hopeless.push({ ...named, side, volts: room });
        }
  const least = bounds.filter((one) => one.side === "at-least").sort((one, other) => other.volts - one.volts);
  const most = bounds.filter((one) => one.side === "at-most").sort((one, other) => one.volts - other.volts);
  const [setLow] = least;
  const [setHigh] = most;
  const floor = options.lowest ?? 0;
  if (setHigh !== undefined && setHigh.volts < floor) hopeless.push(setHigh);
  const conflicts = conflictsOf(least, most);
  if (hopeless.length > 0 || conflicts.length > 0) return { kind: "empty", conflicts, hopeless };
  const doubtful = [setLow, setHigh].some((one) => one?.limit.trust === "watch-at-best");
  const unjudged = sections.flatMap((section) =>
    (["positive", "negative"] as const)
      .filter((sign) => sign === "positive" || section.oneSided !== true)
      .filter((sign) => section.limits[sign].dc === undefined && section.limits[sign].peak === undefined)
      .map((sign) => ({ section: section.id, tube: section.tube, sign })),
  );
  const low = Math.max(floor, setLow?.volts ?? floor);
  const high = setHigh?.volts ?? Infinity;
  return {
    kind: "window",
    low,
    high,
    ...(setLow === undefined ? {} : { setLow }),
    ...(setHigh === undefined ? {} : { setHigh }),
    verified: !doubtful && unjudged.length === 0,
    unjudged,
  };
}

const applies = (state: ElevationState, limit: ElevationLimit): boolean =>
  state.systems === undefined || limit.system === undefined || state.systems.includes(limit.system);

/** The least (positive) or most (negative) volts of the reference in this state. */
function roomOf(state: ElevationState, sign: ElevationSign, measure: ElevationMeasure, limit: number): number {
  const direct = state.heaterDcVolts ?? 0;
  const ends = measure === "peak" ? Math.max(state.heaterPeakVolts, direct) : direct;
  const swing = measure === "peak" ? (sign === "positive" ? state.swingUpVolts : state.swingDownVolts) : 0;
  return sign === "positive"
    ? state.cathodeVoltsHigh + swing + ends - limit
    : state.cathodeVoltsLow - swing - ends + limit;
}

/** The worst pair of each two sections whose bounds cross. */
function conflictsOf(least: readonly ElevationBound[], most: readonly ElevationBound[]): readonly ElevationConflict[] {
  const seen = new Set<string>();
  const conflicts: ElevationConflict[] = [];
  for (const needsAtLeast of least)
    for (const allowsAtMost of most) {
      if (needsAtLeast.volts <= allowsAtMost.volts) break;
      const pair = `${needsAtLeast.section}/${allowsAtMost.section}`;
      if (seen.has(pair)) continue;
      seen.add(pair);
      conflicts.push({ needsAtLeast, allowsAtMost, sentence: conflictSentence(needsAtLeast, allowsAtMost) });
    }
  return conflicts;
}

/** Why there is no window, a sentence each. */
export const elevationSentences = (none: NoElevation): readonly string[] => [
  ...none.hopeless.map(
    (one) =>
      `${one.section} (${one.tube}, ${one.condition}, ${one.measure}): no elevation keeps it inside ${round(one.limit.volts)} from heater to cathode.`,
  ),
  ...none.conflicts.map((one) => one.sentence),
];

const round = (volts: number): string => `${Number(volts.toFixed(0))} V`;

function conflictSentence(low: ElevationBound, high: ElevationBound): string {
  const who = (one: ElevationBound) => `${one.section} (${one.tube}, ${one.condition}, ${one.measure})`;
  if (low.section === high.section)
    return `No elevation suits ${low.section} (${low.tube}): ${low.condition} it needs at least ${round(low.volts)}, ${high.condition} at most ${round(high.volts)}.`;
  return `${who(low)} needs at least ${round(low.volts)} of elevation, ${who(high)} allows at most ${round(high.volts)}: they cannot share one heater winding.`;
}
