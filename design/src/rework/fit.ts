/**
 * Types put into a document, what they need around them, and values for the goal.
 *
 * Method  Wires moved (or the socket changed), a rectifier's series resistance and first capacitor fitted, values searched
 *         with the fewest changed parts, ratings of changed resistors raised.
 */
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import { expand } from "../document/expand.ts";
import type { Expanded } from "../document/expanded.ts";
import { valueOf } from "../document/parts.ts";
import type { Document, ShelfFile } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import type { DesignFailure } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { fitRectifier } from "../supply/rectifier-fit.ts";
import type { BottleGroup } from "./bottles.ts";
import type { Goal } from "./goal.ts";
import { type Placed, placeType } from "./place.ts";
import { type SearchAsk, searchValues } from "./search.ts";
import { resistancesOf, wattsOnShelf } from "./shelf.ts";

export interface FitAsk {
  /** What types go into. */
  readonly document: Document;
  readonly expanded: Expanded;
  /** What the goal is measured against. */
  readonly proven: SolvedDesign;
  readonly catalogue: Catalogue;
  readonly goal: Goal;
  readonly shelf?: ShelfFile | undefined;
}

export interface Fitted {
  readonly document: Document;
  readonly solved: SolvedDesign;
  readonly placed: Placed;
  readonly distanceDecibels: number;
  readonly strain: number;
  readonly worstStrain: string | null;
  readonly held: boolean;
  readonly changedParts: readonly string[];
  readonly strainUnchanged: string | null;
}

/**
 * Types in, rectifier fitted, values searched, ratings raised; with no types, values alone. `put` goes before the type of a
 * choice where bottles of one group differ. The sentence says why nothing can be fitted.
 */
export function fit(
  ask: FitAsk,
  choices: readonly { readonly group: BottleGroup; readonly type: string }[],
  put: ReadonlyMap<string, string> = new Map(),
  search?: Pick<SearchAsk, "solves" | "harmonicLimits">,
): Result<Fitted, DesignFailure> {
  const { catalogue, shelf, expanded } = ask;
  let { document } = ask;
  const moves: Placed["moves"][number][] = [];
  const newSockets: Placed["newSockets"][number][] = [];
  for (const { group, type } of choices) {
    for (const envelope of group.envelopes) {
      const chosen = put.get(envelope) ?? type;
      const placed = placeType(document, expanded, catalogue, [envelope], chosen);
      if (placed.obstacle !== undefined) return fail({ sentence: `${envelope}: ${placed.obstacle}.` });
      document = placed.document;
      moves.push(...placed.moves);
      newSockets.push(...placed.newSockets);
    }
    if (group.kind === "rectifier") document = fitRectifier(document, catalogue, shelf);
  }
  const instances = [...new Set(choices.flatMap(({ group }) => group.instances))];
  const channels = instances.length > 0 ? instances : expanded.channels.map((channel) => channel.instance);
  const answer = searchValues({
    proven: ask.proven,
    document,
    catalogue,
    goal: ask.goal,
    available: resistancesOf(shelf),
    instances: channels,
    triodes: expanded.triodes.filter((triode) => channels.includes(triode.instance)).map((triode) => triode.id),
    ...search,
  });
  if ("sentence" in answer) return fail(answer);
  const rated = withWatts(answer.document, answer.solved, channels, answer.changedParts, shelf);
  const written = rated === answer.document ? ok(answer.solved.expanded) : expand(rated);
  if (!written.ok) return fail({ sentence: written.failure.sentence });
  return ok({
    ...answer,
    document: rated,
    // A rating changes no current and no volt.
    solved: { ...answer.solved, document: rated, expanded: written.value },
    placed: { document: answer.document, moves, newSockets },
  });
}

/** Power rule: a resistor runs at no more than half its rating; common practice. */
const RATING_OVER_WATTS = 2;

/** Raises the rating of changed resistors that would run too hot; what is on the shelf goes first. */
function withWatts(
  document: Document,
  solved: SolvedDesign,
  instances: readonly string[],
  partIds: readonly string[],
  shelf: ShelfFile | undefined,
): Document {
  let rated = document;
  for (const partId of partIds) {
    let watts = 0;
    let fitted = 0;
    let ohms = 0;
    for (const instance of instances) {
      const part = solved.expanded.parts.find((one) => one.id === `${instance}.${partId}`);
      if (part?.electrical.kind !== "resistor" || part.written.kind !== "resistor") continue;
      const at = (net: string) => (net === "0" ? 0 : (solved.bias.netVolts.get(net) ?? 0));
      const across = at(part.electrical.a) - at(part.electrical.b);
      ohms = valueOf("resistance", part.written.value);
      watts = Math.max(watts, (across * across) / ohms);
      fitted = part.written.watts ?? 0;
    }
    const needed = RATING_OVER_WATTS * watts;
    if (ohms === 0 || needed <= fitted) continue;
    const rating =
      wattsOnShelf(shelf, ohms, needed) ?? [0.25, 0.5, 1, 2, 3, 5, 10].find((one) => one >= needed) ?? needed;
    rated = setPart(rated, instances, partId, { watts: rating });
  }
  return rated;
}
