/**
 * An ask is a question that a screen puts to the bench: a pure function of what is on it and of its parameters, run in the
 * page's worker. Each section keeps its asks beside its screen; `home-asks.ts` and `more-asks.ts` are their lists.
 */
import type { Result } from "@platewright/engine";
import type { Bench } from "./bench.ts";

/** How far a long ask is; between two of these it can be stopped, and a newer edit goes first. */
export interface Progress<A> {
  readonly done: number;
  readonly total: number;
  /** What is known so far, when that is worth showing. */
  readonly soFar?: A;
}

/** Answers are plain data that can be copied to the page. A failure is one sentence. */
export type Answer<A> = Result<A, string>;

export interface Ask<P, A> {
  /**
   * "live" asks are answered first and while a value is dragged (milliseconds); "settled" ones after them (tens of
   * milliseconds); "long" ones when all else is answered, in steps.
   */
  readonly pace: "live" | "settled" | "long";
  readonly run: (bench: Bench, params: P) => Answer<A> | Generator<Progress<A>, Answer<A>>;
  /**
   * What its answer stands on, when that is not what is in hand. As long as these are the same an answer stands and a run
   * goes on through every edit, and nothing is run while something is in hand.
   */
  readonly reads?: (bench: Bench) => readonly unknown[];
  /** What it reads may be in hand: it is run then too, whenever that is no more the same. */
  readonly inHand?: boolean;
}

export const ask = <P, A>(
  pace: Ask<P, A>["pace"],
  run: (bench: Bench, params: P) => Answer<A> | Generator<Progress<A>, Answer<A>>,
  reads?: Ask<P, A>["reads"],
  inHand = false,
): Ask<P, A> => ({ pace, run, ...(reads === undefined ? {} : { reads }), ...(inHand ? { inHand } : {}) });
