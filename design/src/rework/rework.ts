/**
 * The rework: proven design + shelf + goal → revised design, its differences, findings and the board of candidates.
 *
 * Method  Put the named types in (wires moved, rectifier's series resistance and first capacitor fitted), search values
 *         with the fewest changed parts, give changed resistors the watts they need, judge in every condition. With nothing
 *         named, the best candidate on the shelf is proposed.
 */
import { type Catalogue, fail, type HarmonicLimits, ok, type Result } from "@platewright/engine";
import { expand } from "../document/expand.ts";
import type { Expanded } from "../document/expanded.ts";
import type { Document, ShelfFile } from "../document/schema.ts";
import type { Candidate, Change, Difference, Finding, Level } from "../findings.ts";
import { valueOf } from "../document/parts.ts";
import { type DesignFailure, solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { diffDocuments } from "../document/change.ts";
import { differencesOf } from "./differences.ts";
import { setPart } from "../document/set-part.ts";
import { type Placed, placeType } from "./place.ts";
import { type Goal, HELD_DECIBELS } from "./goal.ts";
import { fitRectifier } from "../supply/rectifier-fit.ts";
import { type SearchAsk, searchValues } from "./search.ts";
import { onShelf, resistancesOf, wattsOnShelf } from "./shelf.ts";

/** Judges a document whose nominal solution is at hand; a sentence when a condition cannot be solved. */
export type Judge = (
  document: Document,
  nominal: SolvedDesign,
  /** The board asks for no fixes: nobody reads them there. */
  how?: {
    readonly fixes?: boolean;
    readonly supply?: boolean;
    readonly harmonicLimits?: Partial<HarmonicLimits>;
  },
) => Result<readonly Finding[], string>;

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

interface Fitted {
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

  const board = candidates(ask, expanded.value, proven, groups);
  const asked = groups.flatMap((group) => {
    const type = group.envelopes.map((id) => put.get(id)).find((one) => one !== undefined);
    return type === undefined ? [] : [{ group, type, proposed: false }];
  });
  const main = groups.find((group) => group.kind === "signal");
  const best = asked.length > 0 || main === undefined ? undefined : bestOf(board, main);
  const choices = best === undefined || main === undefined ? asked : [{ group: main, type: best.tube, proposed: true }];
  const fitted = fit(ask, expanded.value, proven, choices, put);
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

/** Bottles that do the same work in equal channels go together; the rectifier is a group of its own. */
export interface BottleGroup {
  readonly kind: "signal" | "rectifier";
  readonly envelopes: readonly string[];
  readonly instances: readonly string[];
}

export function bottleGroups(document: Document, expanded: Expanded): readonly BottleGroup[] {
  const byWork = new Map<string, { kind: "signal" | "rectifier"; envelopes: string[]; instances: Set<string> }>();
  for (const envelope of document.envelopes) {
    const triodes = expanded.triodes.filter((triode) => triode.envelope === envelope.id);
    const rectifies = document.supply?.rectifier.envelope === envelope.id;
    if (triodes.length === 0 && !rectifies) continue;
    const blockOf = (instance: string) => document.instances.find((one) => one.id === instance)?.block ?? "";
    const work = rectifies
      ? `rectifier ${envelope.id}`
      : triodes
          .map((t) => `${blockOf(t.instance)}.${t.part}.${t.section}`)
          .sort()
          .join(" ");
    const group = byWork.get(work) ?? {
      kind: rectifies ? ("rectifier" as const) : ("signal" as const),
      envelopes: [],
      instances: new Set<string>(),
    };
    group.envelopes.push(envelope.id);
    for (const triode of triodes) group.instances.add(triode.instance);
    byWork.set(work, group);
  }
  return [...byWork.values()].map((group) => ({ ...group, instances: [...group.instances] }));
}

/** Types in, rectifier fitted, values searched, ratings raised. */
function fit(
  ask: ReworkAsk,
  expanded: Expanded,
  proven: SolvedDesign,
  choices: readonly { readonly group: BottleGroup; readonly type: string }[],
  put: ReadonlyMap<string, string> = new Map(),
  board?: Pick<SearchAsk, "solves" | "harmonicLimits">,
): Result<Fitted, DesignFailure> {
  const { catalogue, shelf } = ask;
  let document = ask.proven;
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
    proven,
    document,
    catalogue,
    goal: ask.goal,
    available: resistancesOf(shelf),
    instances: channels,
    triodes: expanded.triodes.filter((triode) => channels.includes(triode.instance)).map((triode) => triode.id),
    ...board,
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

const RANK: { readonly [L in Level]: number } = { ok: 0, watch: 1, stop: 2 };

function bestOf(board: readonly Candidate[], group: BottleGroup): Candidate | undefined {
  const where = group.envelopes.join(", ");
  return [...board]
    .filter((one) => one.where === where && one.level !== "stop" && one.onShelf >= group.envelopes.length)
    .sort(
      (a, b) =>
        RANK[a.level] - RANK[b.level] || (a.voicingErrorDecibels ?? Infinity) - (b.voicingErrorDecibels ?? Infinity),
    )[0];
}

/** Every type of the board tried in every group of bottles that it could serve. */
function candidates(
  ask: ReworkAsk,
  expanded: Expanded,
  proven: SolvedDesign,
  groups: readonly BottleGroup[],
): readonly Candidate[] {
  const { catalogue, shelf } = ask;
  const named = ask.types ?? (shelf?.tubes ?? []).filter((entry) => entry.count > 0).map((entry) => entry.type);
  const types = [...new Set([...named, ...(ask.put?.values() ?? [])])];
  const board: Candidate[] = [];
  const tries = groups.flatMap((group) =>
    types.filter((type) => suits(catalogue, type, group)).map((type) => ({ group, type })),
  );
  for (const [done, { group, type }] of tries.entries()) {
    ask.onCandidate?.(type, done, tries.length);
    board.push(tryCandidate(ask, expanded, proven, group, type));
  }
  for (const type of types) {
    const record = catalogue.tube(type);
    if (record !== undefined && tries.some((one) => one.type === type)) continue;
    board.push({
      tube: type,
      where: "",
      onShelf: onShelf(shelf, catalogue, type),
      level: "stop",
      reason: record === undefined ? "not in the library" : "no socket of this design takes such a tube",
      changes: [],
      voicingErrorDecibels: null,
      figures: {},
    });
  }
  return board.sort(
    (a, b) =>
      a.where.localeCompare(b.where) ||
      RANK[a.level] - RANK[b.level] ||
      (a.voicingErrorDecibels ?? Infinity) - (b.voicingErrorDecibels ?? Infinity),
  );
}

/** What a rectifier wants changed around it, in a builder's words. */
function rectifierWords(changes: readonly Change[]): readonly string[] {
  return changes.flatMap(({ target, before, after }) => {
    if (target === "supply.rectifier.seriesOhms") return [`${written(after)} in each plate lead`];
    const part = /\.parts\[(.+)\]\.value$/.exec(target)?.[1];
    return part === undefined ? [] : [`${part} ${written(before)} → ${written(after)}`];
  });
}

function suits(catalogue: Catalogue, type: string, group: BottleGroup): boolean {
  const record = catalogue.tube(type);
  if (record === undefined) return false;
  return group.kind === "rectifier" ? record.kind === "rectifier" : record.kind === "triode" && record.sections === 2;
}

/** Trial solves per candidate; those that can hold the goal need a fifth of them. */
const BOARD_SOLVES = 120;
/** Harmonics of what stands on the board; what is chosen is solved to the full rule. */
export const BOARD_LIMITS = { tailDecibels: -100, mostHarmonics: 48 } as const;

function tryCandidate(
  ask: ReworkAsk,
  expanded: Expanded,
  proven: SolvedDesign,
  group: BottleGroup,
  type: string,
): Candidate {
  const { catalogue, shelf } = ask;
  const base = {
    tube: type,
    where: group.envelopes.join(", "),
    onShelf: onShelf(shelf, catalogue, type),
  };
  const refused = (reason: string): Candidate => ({
    ...base,
    level: "stop",
    reason,
    changes: [],
    voicingErrorDecibels: null,
    figures: {},
  });
  const fitted = fit(ask, expanded, proven, [{ group, type }], new Map(), {
    solves: BOARD_SOLVES,
    harmonicLimits: BOARD_LIMITS,
  });
  if (!fitted.ok) return refused(fitted.failure.sentence);
  const { document, solved, distanceDecibels, held, placed } = fitted.value;
  const changes = diffDocuments(ask.proven, document);
  const judged = ask.judge(document, solved, { fixes: false, supply: false, harmonicLimits: BOARD_LIMITS });
  const findings = judged.ok ? judged.value : [];
  const stop = findings.find((finding) => finding.level === "stop");
  const short = base.onShelf < group.envelopes.length && shelf !== undefined;
  const level: Level =
    !judged.ok || stop !== undefined
      ? "stop"
      : held && !short && !findings.some((f) => f.level === "watch")
        ? "ok"
        : "watch";
  const away = `${ask.goal.kind === "keep-current" ? "current" : "H2"} within ${distanceDecibels.toFixed(1)} dB`;
  const parts = fitted.value.changedParts.length;
  const words = [
    stop?.title ?? (held ? away : `${away} only (${HELD_DECIBELS} dB asked)`),
    ...(fitted.value.strainUnchanged === null || parts === 0
      ? []
      : [`with the proven values: ${fitted.value.strainUnchanged}`]),
    ...(group.kind === "rectifier" ? rectifierWords(changes) : []),
    parts === 0 ? "no resistor changed" : `${parts} resistor${parts === 1 ? "" : "s"} changed`,
    ...placed.newSockets.map(
      (one) => `${one.envelope} needs ${/^[aeiou]/.test(one.socket) ? "an" : "a"} ${one.socket} socket`,
    ),
    ...(placed.moves[0] === undefined || placed.moves[0].moves.length === 0
      ? []
      : [`${placed.moves[0].moves.length} wires to move per socket`]),
    ...(short ? [`${base.onShelf} on the shelf, ${group.envelopes.length} needed`] : []),
  ];
  const first = solved.expanded.triodes.find((triode) => group.envelopes.includes(triode.envelope));
  const bias = first === undefined ? undefined : solved.bias.triodes.get(first.id);
  const channel = solved.channels[0];
  return {
    ...base,
    level,
    reason: judged.ok ? words.join("; ") : judged.failure,
    changes,
    voicingErrorDecibels: Number.isFinite(distanceDecibels) ? distanceDecibels : null,
    figures: {
      plateAmps: bias?.plateAmps ?? null,
      plateVolts: bias?.plateVolts ?? null,
      plateWatts: bias?.plateWatts ?? null,
      gainDecibels: channel === undefined ? null : 20 * Math.log10(channel.gain),
      onsetVolts: channel?.onset[0]?.inputVolts ?? null,
      outputOhms: channel?.outputOhms ?? null,
    },
  };
}

const written = (value: unknown): string => (typeof value === "string" ? value : "none");
