/** What the rules read: a document solved in its conditions; and how one number is read out of them by rating system. */
import type { Catalogue, RatingSystem, TriodeBias } from "@platewright/engine";
import type { Document } from "../document/schema.ts";
import type { ExpandedPart, ExpandedTriode } from "../document/expanded.ts";
import type { Change } from "../findings.ts";
import type { JudgedCondition, SolvedChannel, SolvedDesign, SolvedHeater } from "../solved/types.ts";

export interface Judged {
  readonly document: Document;
  readonly catalogue: Catalogue;
  readonly nominal: SolvedDesign;
  /** Every condition that was solved; `nominal` may be among them or not. */
  readonly conditions: readonly SolvedDesign[];
  /** Solves the document with changes, nominal, so that a Fix can say what it brings. Left out: a first-order estimate. */
  readonly resolve?: (changes: readonly Change[]) => SolvedDesign | undefined;
}

/** Defaults are common practice; `houseRules` of the document go before them. */
export const ratingFraction = (judged: Judged): number => judged.document.houseRules?.ratingFraction ?? 0.8;
export const resistorFraction = (judged: Judged): number => judged.document.houseRules?.resistorFraction ?? 0.5;

type ConditionId = JudgedCondition;

export function solvedIn(judged: Judged, id: ConditionId): SolvedDesign | undefined {
  return judged.conditions.find((one) => one.condition.id === id) ?? (id === "nominal" ? judged.nominal : undefined);
}

/** What a rating system asks to be allowed on top of the solve. */
export interface Allowance {
  /** Worst case of the part tolerances. */
  readonly tolerance: boolean;
  /** A strong specimen instead of an average tube. */
  readonly specimen: boolean;
}

const ALLOWANCES: { readonly [S in RatingSystem]: Allowance } = {
  "design-centre": { tolerance: false, specimen: false },
  "design-maximum": { tolerance: true, specimen: false },
  absolute: { tolerance: true, specimen: true },
  unknown: { tolerance: true, specimen: true },
};

export interface Reading {
  readonly value: number;
  /** "running, mains high, part tolerances, strong tube". */
  readonly words: string;
  readonly solved: SolvedDesign;
  /** Words of conditions that the system asks for and that were not solved. */
  readonly missing: readonly string[];
}

const WORDS: { readonly [I in ConditionId]: string } = {
  nominal: "running, mains nominal",
  "mains-low": "running, mains low",
  "mains-high": "running, mains high",
  cold: "cold, mains nominal",
  "cold-mains-high": "cold, mains high",
};

/** Which conditions a system is judged in. Without a supply in the document there is no mains to vary. */
function conditionsFor(judged: Judged, system: RatingSystem, state: "running" | "cold"): readonly ConditionId[] {
  const mains = judged.document.supply !== undefined && system !== "design-centre";
  if (state === "cold") return mains ? ["cold", "cold-mains-high"] : ["cold"];
  return mains ? ["nominal", "mains-low", "mains-high"] : ["nominal"];
}

/**
 * The largest of a quantity over the conditions of a rating system (docs/findings.md). A number that is not finite in one
 * of them makes the reading not finite. Undefined when none of the conditions was solved or the quantity is not there.
 */
export function readWorst(
  judged: Judged,
  system: RatingSystem,
  state: "running" | "cold",
  measure: (solved: SolvedDesign, allowance: Allowance) => number | undefined,
): Reading | undefined {
  const allowance = ALLOWANCES[system];
  const asked = conditionsFor(judged, system, state);
  const missing: string[] = [];
  let worst: { readonly value: number; readonly solved: SolvedDesign } | undefined;
  for (const id of asked) {
    const solved = solvedIn(judged, id);
    const value = solved === undefined ? undefined : measure(solved, allowance);
    if (solved === undefined || value === undefined) missing.push(WORDS[id]);
    else if (worst === undefined || Number.isNaN(value) || value > worst.value) worst = { value, solved };
    if (worst !== undefined && Number.isNaN(worst.value)) break;
  }
  if (worst === undefined) return undefined;
  const words = [
    worst.solved.condition.words,
    ...(allowance.tolerance && state === "running" ? ["part tolerances"] : []),
    ...(allowance.specimen && state === "running" ? ["strong tube"] : []),
  ].join(", ");
  return { value: worst.value, words, solved: worst.solved, missing };
}

export const netVolts = (solved: SolvedDesign, net: string): number | undefined =>
  net === "0" ? 0 : solved.bias.netVolts.get(net);

export function channelOf(solved: SolvedDesign, instance: string): SolvedChannel | undefined {
  return solved.channels.find((one) => one.instance === instance);
}

export const biasOf = (solved: SolvedDesign, triode: ExpandedTriode): TriodeBias | undefined =>
  solved.bias.triodes.get(triode.id);

export type TriodeSignal =
  SolvedChannel["largest"]["answer"]["triodes"] extends ReadonlyMap<string, infer S> ? S : never;

/** What a section does at the largest input. Equal channels share one set of figures, kept under the first one's names. */
export function signalOf(solved: SolvedDesign, triode: ExpandedTriode): TriodeSignal | undefined {
  const channel = channelOf(solved, triode.instance);
  const signals = channel?.largest.answer.triodes;
  return signals?.get(triode.id) ?? signals?.get(`${channel?.sameAs ?? ""}.${triode.part}`);
}

/** The heater winding that lights an envelope, as solved. */
export const heaterOf = (solved: SolvedDesign, envelope: string): SolvedHeater | undefined =>
  solved.heaters.find((one) => one.envelopes.some((served) => served.envelope === envelope));

export const partsOn = (solved: SolvedDesign, net: string): readonly ExpandedPart[] =>
  solved.expanded.parts.filter((part) => Object.values<string>(part.written.pins).includes(net));

/** Tolerance as a fraction: what the document says, else common practice for the kind. */
export function toleranceOf(part: ExpandedPart): number {
  const fallback = part.kind === "capacitor" ? 20 : 5;
  return (part.written.tolerancePercent ?? fallback) / 100;
}
