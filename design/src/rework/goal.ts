/** What a rework is to keep or reach, and how far a solved design is from it. */
import type { Expanded } from "../document/expanded.ts";
import type { SolvedChannel, SolvedDesign } from "../solved/types.ts";
import type { Standing } from "./strain.ts";

export type Goal =
  | { readonly kind: "keep-voicing" }
  /** Signed like the proven unit's; `ratio` is H2 over the fundamental at `inputVolts` rms. */
  | { readonly kind: "move-voicing"; readonly ratio: number; readonly inputVolts: number }
  | { readonly kind: "keep-current" };

/** Within this the goal is held: dB of H2, or the same share of current (12 %). */
export const HELD_DECIBELS = 1;

/** A harmonic of the other sign can sound like none or double: it is never near. */
const WRONG_SIGN_DECIBELS = 40;

/** Signed ratio of harmonic k (2, 3, ...) at a level of a channel; undefined when that level was not solved. */
export function signedRatio(channel: SolvedChannel, inputVolts: number, k: number): number | undefined {
  const point = channel.levels.find((level) => level.inputVolts === inputVolts);
  const ratio = point?.ratios[k - 2];
  return point === undefined || ratio === undefined ? undefined : ratio * (point.signs[k - 2] ?? 1);
}

/** Distance in dB between two signed ratios. */
export function voicingDistance(wanted: number, got: number): number {
  const apart = Math.abs(20 * Math.log10(Math.abs(got) / Math.abs(wanted)));
  return Math.sign(wanted) === Math.sign(got) ? apart : WRONG_SIGN_DECIBELS + apart;
}

/** Input levels that a goal needs solved. */
export function levelsFor(goal: Goal, voicingVolts: readonly number[]): readonly number[] {
  return goal.kind === "move-voicing"
    ? [...new Set([...voicingVolts, goal.inputVolts])].sort((a, b) => a - b)
    : voicingVolts;
}

/** Largest distance from the goal over channels and levels, dB; NaN when something was not solved. */
export function distance(goal: Goal, proven: SolvedDesign, now: SolvedDesign): number {
  let worst = 0;
  for (const channel of now.channels) {
    const before = proven.channels.find((one) => one.instance === channel.instance);
    if (before === undefined || channel.sameAs !== undefined) continue;
    const here =
      goal.kind === "keep-current"
        ? currentDistance(proven.bias, now.bias, now.expanded, channel.instance)
        : voicing(goal, before, channel);
    if (!(here <= worst)) worst = here;
  }
  return worst;
}

/** The signed H2 ratio that a voicing goal wants of a channel at a level; undefined when it asks nothing there. */
export function wantedRatio(goal: Goal, before: SolvedChannel, inputVolts: number): number | undefined {
  if (goal.kind === "keep-current") return undefined;
  if (goal.kind === "keep-voicing") return signedRatio(before, inputVolts, 2);
  if (inputVolts !== goal.inputVolts) return undefined;
  return goal.ratio * Math.sign(signedRatio(before, inputVolts, 2) ?? before.levels[0]?.signs[0] ?? 1);
}

function voicing(goal: Exclude<Goal, { kind: "keep-current" }>, before: SolvedChannel, channel: SolvedChannel): number {
  if (goal.kind === "move-voicing") {
    const wanted = wantedRatio(goal, before, goal.inputVolts);
    const got = signedRatio(channel, goal.inputVolts, 2);
    return wanted === undefined || got === undefined ? Number.NaN : voicingDistance(wanted, got);
  }
  let worst = 0;
  for (const level of before.levels) {
    const wanted = wantedRatio(goal, before, level.inputVolts);
    const got = signedRatio(channel, level.inputVolts, 2);
    const here = wanted === undefined || got === undefined ? Number.NaN : voicingDistance(wanted, got);
    if (!(here <= worst)) worst = here;
  }
  return worst;
}

/** Largest distance of an instance's plate currents from the proven ones, dB; NaN when one is missing. */
export function currentDistance(proven: Standing, now: Standing, expanded: Expanded, instance: string): number {
  let worst = 0;
  for (const triode of expanded.triodes) {
    if (triode.instance !== instance) continue;
    const wanted = proven.triodes.get(triode.id)?.plateAmps;
    const got = now.triodes.get(triode.id)?.plateAmps;
    const here = wanted === undefined || got === undefined ? Number.NaN : Math.abs(20 * Math.log10(got / wanted));
    if (!(here <= worst)) worst = here;
  }
  return worst;
}
