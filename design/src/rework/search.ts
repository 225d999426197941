/**
 * Values re-chosen from preferred values or from the shelf, so that the goal holds with the fewest changed parts.
 *
 * Method  "Change nothing" first; then one part, two, three: for each set a walk on the grid of available values from
 *         where it stands, to the best neighbour, until none is better. The first size of set that holds the goal without
 *         strain ends the search.
 * Limits  At most `solves` trial solves; what was best by then is the answer, and says whether it holds.
 */
import type { Catalogue } from "@platewright/engine";
import { partCode } from "@platewright/engine";
import type { Document } from "../document/schema.ts";
import { valueOf } from "../document/parts.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { setPart } from "../document/set-part.ts";
import { distance, type Goal, HELD_DECIBELS, levelsFor } from "./goal.ts";
import { droppersOf, stagesOf } from "../solved/roles.ts";
import { strainOf } from "./strain.ts";

/** Enough to tell H2 to a hundredth of a dB; the chosen values are solved to the full rule afterwards. */
const SEARCH_LIMITS = { tailDecibels: -70, mostHarmonics: 16 } as const;

export interface Variable {
  readonly partId: string;
  readonly instances: readonly string[];
  /** Available values in ohms, ascending, the fitted one among them. */
  readonly values: readonly number[];
  /** Index of the fitted value. */
  readonly fitted: number;
}

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
}

export interface SearchAnswer {
  readonly document: Document;
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

interface Trial {
  readonly document: Document;
  readonly solved: SolvedDesign | undefined;
  readonly distanceDecibels: number;
  readonly strain: number;
  readonly worstStrain: string | null;
  readonly cost: number;
}

/** Finds values; undefined when not even the unchanged document can be solved (the sentence says why). */
export function searchValues(ask: SearchAsk): SearchAnswer | { readonly sentence: string } {
  const most = ask.solves ?? 600;
  let solves = 0;
  let near: SolvedDesign | undefined = ask.proven;
  let complaint = "";
  const levels = levelsFor(ask.goal, ask.document.targets.voicingVolts);
  const memo = new Map<string, Trial>();
  const variables: Variable[] = [];
  const attempt = (indices: readonly number[]): Trial => {
    const key = indices.join(",");
    const known = memo.get(key);
    if (known !== undefined) return known;
    let document = ask.document;
    for (const [v, variable] of variables.entries()) {
      const index = indices[v] as number;
      if (index === variable.fitted) continue;
      const value = partCode(variable.values[index] as number, "resistance");
      document = setPart(document, variable.instances, variable.partId, { value });
    }
    solves++;
    const answer = solveDesign(document, ask.catalogue, {
      detail: "levels",
      levels,
      harmonicLimits: SEARCH_LIMITS,
      ...(near === undefined ? {} : { near }),
    });
    if (!answer.ok) complaint = answer.failure.sentence;
    const trial = judge(ask, document, answer.ok ? answer.value : undefined);
    if (answer.ok) near = answer.value;
    memo.set(key, trial);
    return trial;
  };
  const unchanged = attempt([]);
  if (unchanged.solved === undefined) return { sentence: complaint };
  const done = (trial: Trial, indices: readonly number[]): SearchAnswer => ({
    document: trial.document,
    solved: trial.solved as SolvedDesign,
    distanceDecibels: trial.distanceDecibels,
    strain: trial.strain,
    worstStrain: trial.worstStrain,
    held: holds(trial),
    changedParts: variables.filter((variable, v) => indices[v] !== variable.fitted).map((variable) => variable.partId),
    strainUnchanged: unchanged.worstStrain,
    solves,
  });
  if (holds(unchanged)) return done(unchanged, []);
  variables.push(...variablesOf(ask, unchanged.solved));
  memo.clear();
  const fitted = variables.map((variable) => variable.fitted);
  memo.set(fitted.join(","), unchanged);
  let best: { readonly indices: readonly number[]; readonly trial: Trial } = { indices: fitted, trial: unchanged };
  for (const size of [1, 2, 3]) {
    let bestHere: typeof best | undefined;
    for (const set of subsets(variables.length, size)) {
      if (solves >= most) break;
      const from = best.indices.map((index, v) => (set.includes(v) ? index : (fitted[v] as number)));
      const walked = walk(variables, attempt, set, from, () => solves >= most);
      if (bestHere === undefined || walked.trial.cost < bestHere.trial.cost) bestHere = walked;
    }
    if (bestHere !== undefined && bestHere.trial.cost < best.trial.cost - 1e-9) best = bestHere;
    if (holds(best.trial)) break;
  }
  return done(best.trial, best.indices);
}

const holds = (trial: Trial): boolean => trial.strain === 0 && trial.distanceDecibels <= HELD_DECIBELS;

function judge(ask: SearchAsk, document: Document, solved: SolvedDesign | undefined): Trial {
  if (solved === undefined)
    return { document, solved, distanceDecibels: Infinity, strain: Infinity, worstStrain: null, cost: Infinity };
  const strain = strainOf(solved, ask.catalogue, ask.triodes);
  const away = distance(ask.goal, ask.proven, solved);
  // Strain comes first, but a little of it must not hide the goal from the walk.
  const cost = 60 * strain.amount + (Number.isFinite(away) ? away : 1e6);
  return { document, solved, distanceDecibels: away, strain: strain.amount, worstStrain: strain.worst, cost };
}

/** The resistors that set the stages: cathode resistor and plate load of gain halves first, then bias, tail and dropper. */
function variablesOf(ask: SearchAsk, solved: SolvedDesign): readonly Variable[] {
  const stages = stagesOf(solved).filter((stage) => ask.instances.includes(stage.triode.instance));
  const first = stages.filter((stage) => stage.role === "gain").flatMap((s) => [s.cathodeResistors[0], s.plateLoad]);
  const then = stages.filter((stage) => stage.role === "follower").flatMap((s) => s.cathodeResistors);
  const last = ask.instances.flatMap((instance) => droppersOf(solved, instance));
  const variables: Variable[] = [];
  for (const id of [...first, ...then, ...last]) {
    const part = solved.expanded.parts.find((one) => one.id === id);
    if (part === undefined || part.written.kind !== "resistor") continue;
    const partId = part.written.id;
    if (variables.some((variable) => variable.partId === partId)) continue;
    const ohms = valueOf("resistance", part.written.value);
    const values = [...new Set([ohms, ...ask.available])]
      .filter((r) => r >= ohms / 5 && r <= ohms * 5)
      .sort((a, b) => a - b);
    variables.push({ partId, instances: ask.instances, values, fitted: values.indexOf(ohms) });
  }
  return variables.slice(0, 5);
}

function* subsets(count: number, size: number, from = 0): Generator<readonly number[]> {
  if (size === 0) {
    yield [];
    return;
  }
  for (let v = from; v <= count - size; v++) for (const rest of subsets(count, size - 1, v + 1)) yield [v, ...rest];
}

/** Goes to the best neighbour in the variables of `set` until none is better. */
function walk(
  variables: readonly Variable[],
  attempt: (indices: readonly number[]) => Trial,
  set: readonly number[],
  from: readonly number[],
  spent: () => boolean,
): { readonly indices: readonly number[]; readonly trial: Trial } {
  let indices = from;
  let trial = attempt(indices);
  for (;;) {
    let better: { readonly indices: readonly number[]; readonly trial: Trial } | undefined;
    for (const move of moves(set)) {
      if (spent()) break;
      const next = indices.map((index, v) => index + (move.get(v) ?? 0));
      if (next.some((index, v) => index < 0 || index >= (variables[v]?.values.length ?? 0))) continue;
      const here = attempt(next);
      if (here.cost < (better?.trial.cost ?? trial.cost) - 1e-9) better = { indices: next, trial: here };
    }
    if (better === undefined) return { indices, trial };
    ({ indices, trial } = better);
  }
}

/** One step, then three, along each variable; and one step along two of them at once. */
function moves(set: readonly number[]): readonly ReadonlyMap<number, number>[] {
  const all: Map<number, number>[] = [];
  for (const v of set) for (const step of [1, -1, 3, -3]) all.push(new Map([[v, step]]));
  for (const [n, v] of set.entries())
    for (const w of set.slice(n + 1))
      for (const [a, b] of [
        [1, 1],
        [1, -1],
        [-1, 1],
        [-1, -1],
      ] as const)
        all.push(
          new Map([
            [v, a],
            [w, b],
          ]),
        );
  return all;
}
