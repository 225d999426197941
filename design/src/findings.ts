/** Findings, Fixes, Differences, Candidates and Changes: the words the design rooms and the screens share. */
import type { Provenance, RatingSystem } from "@platewright/engine";

export type Level = "ok" | "watch" | "stop";

/**
 * A serialisable edit addressed by id. `target` is a path whose array members are named by their id
 * ("blocks.channel.parts[R3].value", "instances[L].overrides", "envelopes[V1].type", "supply.rectifier.seriesOhms");
 * `undefined` (absent in JSON) means the field is not there. The inverse swaps; a stale `before` is a conflict.
 */
export interface Change {
  readonly target: string;
  readonly before?: unknown;
  readonly after?: unknown;
}

export interface Fix {
  /** In the builder's words: "Rk 1 kΩ → 1.2 kΩ brings the plate to 71 % of 3.5 W". */
  readonly title: string;
  readonly changes: readonly Change[];
}

export interface Finding {
  /** Stable: rule, then where: "plate-watts/L.V1a". */
  readonly id: string;
  readonly rule: string;
  readonly level: Level;
  readonly title: string;
  /** The judged number and its limit in SI; `unit` names it. null where a rule has no number (a wrong pin). */
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string;
  /** "below": value must stay below the limit; "above": must exceed it; "within": a band given by `limit` ± . */
  readonly sense: "below" | "above" | "none";
  /** "running, mains nominal", "cold, mains high" ... always said. */
  readonly condition: string;
  readonly ratingSystem?: RatingSystem;
  readonly source: string;
  readonly provenance?: Provenance;
  /** Id of the part, envelope, or net it is about. */
  readonly where: string;
  readonly channel?: string;
  readonly fixes: readonly Fix[];
}

/** One quantity, proven and now, with the change in the unit a builder thinks in. SI values. */
export interface Difference {
  /** Stable: "L.plateAmps/V1a", "L.h2/1V", "supply.volts/B1" ... */
  readonly id: string;
  readonly label: string;
  readonly channel?: string;
  readonly proven: number | null;
  readonly now: number | null;
  readonly unit: string;
  /** Half-width of the 90 % band of `now` in the same unit (dB for harmonics), when there is one. */
  readonly band?: number;
}

export interface Candidate {
  readonly tube: string;
  /** The envelopes it was tried in: "V1, V2". */
  readonly where: string;
  readonly onShelf: number;
  readonly level: Level;
  readonly reason: string;
  readonly changes: readonly Change[];
  /** Distance to the proven voicing, dB (largest over the kept levels); null when not solvable. */
  readonly voicingErrorDecibels: number | null;
  readonly figures: Readonly<Record<string, number | null>>;
}
