/**
 * Values re-chosen from preferred values or from the shelf, so that the goal holds with the fewest changed parts.
 *
 * Method  "Change nothing" first; then one part, two, three: for each set a walk downhill on the grid of available values
 *         until no neighbour is better, over quick trials (trials.ts). The first size of set that holds the goal without
 *         strain, when solved whole, ends the search.
 * Limits  At most `solves` trials; what was best by then is the answer, and says whether it holds.
 */
import type { Catalogue, HarmonicLimits } from "@platewright/engine";
import { partCode } from "@platewright/engine";
import type { Document } from "../document/schema.ts";
import { onsetsUpTo } from "../solved/channel.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { setPart } from "../document/set-part.ts";
import { distance, type Goal, HELD_DECIBELS, levelsFor } from "./goal.ts";
import { costOf, openTrials, type Trial } from "./trials.ts";
import { openQuickTrials } from "./quick-trials.ts";
import { subsets, type Variable, variablesOf } from "./variables.ts";
import { strainOf } from "./strain.ts";

/** Of the unchanged design, from which trials start; what is chosen is solved to the full rule. */
const SEARCH_LIMITS = { tailDecibels: -70, mostHarmonics: 16 } as const;

/** Cost by which a place may seem worse than the best and still be it: unstrained, and per unit of strain. */
const UNSTRAINED_MARGIN = 0.05;
const STRAINED_MARGIN = 0.6;
/** So many of them are solved once more. */
const RIVALS = 3;

export interface SearchAsk {
  readonly proven: SolvedDesign;
  readonly document: Document;
  readonly catalogue: Catalogue;
  readonly goal: Goal;
  /** Resistances on hand, ascending. */
  readonly available: readonly number[];
  /** Instances whose values may change. */
  readonly instances: readonly string[];
  /** Triodes that the strain is asked of. */
  readonly triodes: readonly string[];
  readonly solves?: number;
  /** Tail rule and largest K of the answer, when not the engine's. */
  readonly harmonicLimits?: Partial<HarmonicLimits>;
}

export interface SearchAnswer {
  readonly document: Document;
  /** Solved whole: corners, onsets and levels. */
  readonly solved: SolvedDesign;
  readonly distanceDecibels: number;
  readonly strain: number;
  readonly worstStrain: string | null;
  readonly held: boolean;
  readonly changedParts: readonly string[];
  /** What was strained before any value changed. */
  readonly strainUnchanged: string | null;
  readonly solves: number;
}

interface Place {
  readonly indices: readonly number[];
  readonly trial: Trial;
}

/** Finds values; undefined when not even the unchanged document can be solved (the sentence says why). */
export function searchValues(ask: SearchAsk): SearchAnswer | { readonly sentence: string } {
  const most = ask.solves ?? 600;
  const levels = levelsFor(ask.goal, ask.document.targets.voicingVolts);
  const unchanged = solveDesign(ask.document, ask.catalogue, {
    levels: [Math.min(...levels)],
    detail: "levels",
    harmonicLimits: SEARCH_LIMITS,
    near: ask.proven,
  });
  if (!unchanged.ok) return unchanged.failure;
  const variables = variablesOf(ask, unchanged.value);
  const trialAsk = { ...ask, unchanged: unchanged.value };
  const quick = openQuickTrials(
    trialAsk,
    variables.map((variable) => variable.partId),
  );
  const tryValues = quick?.attempt ?? openTrials(trialAsk);
  if (tryValues === undefined)
    return { sentence: "No values can be tried: the proven design lacks a channel of this one." };
  const upTo = onsetsUpTo(ask.document.targets.largestInputVolts);
  let solves = 0;
  const memo = new Map<string, Trial>();
  const valuesAt = (indices: readonly number[]): ReadonlyMap<string, number> => {
    const values = new Map<string, number>();
    for (const [v, { partId, values: ohms, fitted }] of variables.entries())
      if (indices[v] !== fitted) values.set(partId, ohms[indices[v] as number] as number);
    return values;
  };
  const attempt = (indices: readonly number[], atMost: number): Trial => {
    const key = indices.join(",");
    const known = memo.get(key);
    if (known !== undefined && (known.whole || known.cost >= atMost)) return known;
    solves++;
    const trial = tryValues(valuesAt(indices), atMost);
    memo.set(key, trial);
    return trial;
  };
  const fitted = variables.map((variable) => variable.fitted);
  const atRest: Place = { indices: fitted, trial: attempt(fitted, Infinity) };
  const chosen = (place: Place) => variables.filter((variable, v) => place.indices[v] !== variable.fitted);
  // What a trial promises is solved whole before it is believed; what does not keep its promise counts as it is.
  let answer: SearchAnswer | { readonly sentence: string } | undefined;
  const documentAt = (place: Place): Document => {
    let document = ask.document;
    for (const variable of chosen(place)) {
      const ohms = variable.values[place.indices[variables.indexOf(variable)] as number] as number;
      document = setPart(document, variable.instances, variable.partId, { value: partCode(ohms, "resistance") });
    }
    return document;
  };
  // Where tubes cut off or grids conduct, trials cannot tell the last few places apart: these are solved once more.
  const closest = (place: Place): Place => {
    const { cost, strain } = place.trial;
    const margin = UNSTRAINED_MARGIN + STRAINED_MARGIN * strain;
    const rivals = [...memo]
      .filter(([, trial]) => trial.cost <= cost + margin)
      .sort(([, a], [, b]) => a.cost - b.cost)
      .slice(0, RIVALS)
      .map(([key, trial]) => ({ indices: key.split(",").map(Number), trial }));
    if (rivals.length < 2) return place;
    const solvedAgain = rivals.map((rival) => {
      const solved = solveDesign(documentAt(rival), ask.catalogue, {
        levels,
        detail: "levels",
        harmonicLimits: SEARCH_LIMITS,
        near: unchanged.value,
      });
      return { rival, cost: judge(ask, solved.ok ? solved.value : undefined).cost };
    });
    return solvedAgain.reduce((a, b) => (b.cost < a.cost ? b : a)).rival;
  };
  const confirm = (place: Place): boolean => {
    const document = documentAt(place);
    const solved = solveDesign(document, ask.catalogue, {
      levels,
      near: unchanged.value,
      // With no limits asked the answer is to the last digit what the document's own solve gives.
      ...(ask.harmonicLimits === undefined
        ? {}
        : {
            harmonicLimits: ask.harmonicLimits,
            ...(quick === undefined ? {} : { onsetsNear: quick.onsets(valuesAt(place.indices), upTo) }),
          }),
    });
    const trial = judge(ask, solved.ok ? solved.value : undefined);
    memo.set(place.indices.join(","), trial);
    answer = !solved.ok
      ? solved.failure
      : {
          document,
          solved: solved.value,
          distanceDecibels: trial.distanceDecibels,
          strain: trial.strain,
          worstStrain: trial.worstStrain,
          held: holds(trial),
          changedParts: chosen(place).map((variable) => variable.partId),
          strainUnchanged: atRest.trial.worstStrain,
          solves,
        };
    return holds(trial);
  };
  if (holds(atRest.trial) && confirm(atRest) && answer !== undefined) return answer;
  let best = atRest;
  const walked: Place[] = [atRest];
  const changes = (place: Place, v: number) => place.indices[v] !== fitted[v];
  for (const size of [1, 2, 3]) {
    let bestHere: Place | undefined;
    // Each set starts from the best place known inside it; sets go in the order of the variables.
    const starts = [...subsets(variables.length, size)].map((set) => {
      const inside = walked.filter((place) => fitted.every((_, v) => set.includes(v) || !changes(place, v)));
      return { set, from: inside.reduce((a, b) => (b.trial.cost < a.trial.cost ? b : a), atRest) };
    });
    for (const { set, from } of starts) {
      if (solves >= most) break;
      const place = walk(variables, attempt, set, from, () => solves >= most);
      walked.push(place);
      if (bestHere === undefined || place.trial.cost < bestHere.trial.cost) bestHere = place;
    }
    if (bestHere !== undefined && bestHere.trial.cost < best.trial.cost - 1e-9) best = bestHere;
    if (!holds(best.trial)) continue;
    if (confirm(best)) break;
    best = { indices: best.indices, trial: attempt(best.indices, Infinity) };
  }
  if (answer === undefined || !("held" in answer) || !answer.held) confirm(closest(best));
  return answer ?? { sentence: "No values could be tried." };
}

const holds = (trial: Trial): boolean => trial.strain === 0 && trial.distanceDecibels <= HELD_DECIBELS;

function judge(ask: SearchAsk, solved: SolvedDesign | undefined): Trial {
  if (solved === undefined)
    return { distanceDecibels: Infinity, strain: Infinity, worstStrain: null, cost: Infinity, whole: true };
  const strain = strainOf(solved, ask.catalogue, ask.triodes);
  const away = distance(ask.goal, ask.proven, solved);
  return {
    distanceDecibels: away,
    strain: strain.amount,
    worstStrain: strain.worst,
    cost: costOf(strain.amount, away),
    whole: true,
  };
}

/**
 * Goes downhill in the variables of `set` until no neighbour is better: one variable at a time, further in a direction
 * while it pays; two at once only where one alone does not help.
 */
function walk(
  variables: readonly Variable[],
  attempt: (indices: readonly number[], atMost: number) => Trial,
  set: readonly number[],
  from: Place,
  spent: () => boolean,
): Place {
  let here = from;
  const go = (move: ReadonlyMap<number, number>): boolean => {
    const next = here.indices.map((index, v) => index + (move.get(v) ?? 0));
    if (next.some((index, v) => index < 0 || index >= (variables[v]?.values.length ?? 0))) return false;
    const beaten = here.trial.cost - 1e-9;
    const trial = attempt(next, beaten);
    if (!(trial.cost < beaten)) return false;
    here = { indices: next, trial };
    return true;
  };
  const { single, double } = moves(set);
  for (let improved = true; improved; ) {
    improved = false;
    for (const move of single) {
      while (!spent() && go(move)) improved = true;
    }
    if (improved) continue;
    for (const move of double) {
      while (!spent() && go(move)) improved = true;
      if (improved) break;
    }
  }
  return here;
}

/** One step, then three, along each variable; and one step along two of them at once. */
function moves(set: readonly number[]): {
  readonly single: readonly ReadonlyMap<number, number>[];
  readonly double: readonly ReadonlyMap<number, number>[];
} {
  const single = [1, -1, 3, -3].flatMap((step) => set.map((v) => new Map([[v, step]])));
  const double: ReadonlyMap<number, number>[] = [];
  for (const [n, v] of set.entries())
    for (const w of set.slice(n + 1))
      for (const [a, b] of [
        [1, 1],
        [1, -1],
        [-1, 1],
        [-1, -1],
      ] as const)
        double.push(
          new Map([
            [v, a],
            [w, b],
          ]),
        );
  return { single, double };
}
