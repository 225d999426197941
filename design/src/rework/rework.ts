/**
 * The rework: proven design + shelf + goal → revised design, its differences, findings and the board of candidates.
 *
 * Method  Put the named types in (wires moved, rectifier's series resistance and first capacitor fitted), search values
 *         with the fewest changed parts, give changed resistors the watts they need, judge in every condition. With nothing
 *         named, the best candidate on the shelf is proposed.
 */
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import { diffDocuments } from "../document/change.ts";
import { expand } from "../document/expand.ts";
import type { Document, ShelfFile } from "../document/schema.ts";
import type { Candidate, Change, Difference, Finding } from "../findings.ts";
import { type DesignFailure, solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { bestOf, byPromise, candidateTries, type Judge, outOfPlace, tryCandidate } from "./board.ts";
import { type BottleGroup, bottleGroups } from "./bottles.ts";
import { differencesOf } from "./differences.ts";
import { fit, type FitAsk } from "./fit.ts";
import type { Goal } from "./goal.ts";
import type { Placed } from "./place.ts";

export interface ReworkAsk {
  readonly proven: Document;
  readonly catalogue: Catalogue;
  /** The catalogue that the proven revision was cut with, when it is one. */
  readonly provenCatalogue?: Catalogue;
  readonly goal: Goal;
  readonly judge: Judge;
  readonly shelf?: ShelfFile;
  /** envelope id → type. Equal bottles of other channels follow unless they are named too. */
  readonly put?: ReadonlyMap<string, string>;
  /** Types for the board: the shelf's when not given. */
  readonly types?: readonly string[];
  /** Told before each candidate, for progress. */
  readonly onCandidate?: (type: string, done: number, total: number) => void;
}

export interface ReworkAnswer {
  readonly document: Document;
  readonly proven: SolvedDesign;
  readonly now: SolvedDesign;
  readonly changes: readonly Change[];
  readonly moves: Placed["moves"];
  readonly newSockets: Placed["newSockets"];
  readonly differences: readonly Difference[];
  readonly findings: readonly Finding[];
  readonly candidates: readonly Candidate[];
  /** What went in: envelope → type; and whether it was asked for or proposed. */
  readonly fitted: readonly {
    readonly envelopes: readonly string[];
    readonly type: string;
    readonly proposed: boolean;
  }[];
  readonly goal: Goal;
  readonly distanceDecibels: number;
  readonly held: boolean;
  readonly changedParts: readonly string[];
}

export function rework(ask: ReworkAsk): Result<ReworkAnswer, DesignFailure> {
  const { catalogue, proven: document, goal } = ask;
  const expanded = expand(document);
  if (!expanded.ok) return fail({ sentence: expanded.failure.sentence });
  const provenSolved = solveDesign(
    document,
    ask.provenCatalogue ?? catalogue,
    goal.kind === "move-voicing" ? { levels: levelsWith(document, goal) } : {},
  );
  if (!provenSolved.ok) return fail({ sentence: `The proven design: ${provenSolved.failure.sentence}` });
  const proven = provenSolved.value;
  const groups = bottleGroups(document, expanded.value);
  const put = new Map(ask.put ?? []);
  for (const id of put.keys())
    if (!document.envelopes.some((envelope) => envelope.id === id))
      return fail({
        sentence: `--put ${id}: there is no bottle ${id}; this design has ${document.envelopes.map((e) => e.id).join(", ")}.`,
      });

  const fitAsk = { document, expanded: expanded.value, proven, catalogue, goal, shelf: ask.shelf };
  const board = candidates(ask, fitAsk, groups);
  const asked = groups.flatMap((group) => {
    const type = group.envelopes.map((id) => put.get(id)).find((one) => one !== undefined);
    return type === undefined ? [] : [{ group, type, proposed: false }];
  });
  const main = groups.find((group) => group.kind === "signal");
  const best = asked.length > 0 || main === undefined ? undefined : bestOf(board, main);
  const choices = best === undefined || main === undefined ? asked : [{ group: main, type: best.tube, proposed: true }];
  const fitted = fit(fitAsk, choices, put);
  if (!fitted.ok) return fitted;
  const now = fitted.value.solved;
  const findings = ask.judge(fitted.value.document, now);
  if (!findings.ok) return fail({ sentence: findings.failure });
  return ok({
    document: fitted.value.document,
    proven,
    now,
    changes: diffDocuments(document, fitted.value.document),
    moves: fitted.value.placed.moves,
    newSockets: fitted.value.placed.newSockets,
    differences: differencesOf(proven, now, catalogue),
    findings: findings.value,
    candidates: board,
    fitted: choices.map(({ group, type, proposed }) => ({ envelopes: group.envelopes, type, proposed })),
    goal,
    distanceDecibels: fitted.value.distanceDecibels,
    held: fitted.value.held,
    changedParts: fitted.value.changedParts,
  });
}

const levelsWith = (document: Document, goal: Extract<Goal, { kind: "move-voicing" }>): readonly number[] =>
  [...new Set([...document.targets.voicingVolts, goal.inputVolts])].sort((a, b) => a - b);

/** Every type of the board tried in every group of bottles that it could serve. */
function candidates(ask: ReworkAsk, fitAsk: FitAsk, groups: readonly BottleGroup[]): readonly Candidate[] {
  const { catalogue, shelf, judge } = ask;
  const named = ask.types ?? (shelf?.tubes ?? []).filter((entry) => entry.count > 0).map((entry) => entry.type);
  const types = [...new Set([...named, ...(ask.put?.values() ?? [])])];
  const tries = candidateTries(catalogue, types, groups);
  const board: Candidate[] = [];
  for (const [done, one] of tries.entries()) {
    ask.onCandidate?.(one.type, done, tries.length);
    board.push(tryCandidate({ ...fitAsk, judge }, one).candidate);
  }
  const placed = new Set(tries.map((one) => one.type));
  board.push(...types.filter((type) => !placed.has(type)).map((type) => outOfPlace(catalogue, shelf, type)));
  return board.sort(byPromise);
}
