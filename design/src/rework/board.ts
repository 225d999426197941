/** The board: every type tried in every group of bottles that it could serve, with its best values and its verdict. */
import type { Catalogue, HarmonicLimits, Result } from "@platewright/engine";
import { diffDocuments } from "../document/change.ts";
import type { Document, ShelfFile } from "../document/schema.ts";
import type { Candidate, Change, Finding, Level } from "../findings.ts";
import { levelRank } from "../limits/judge.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { type BottleGroup, suits } from "./bottles.ts";
import { fit, type FitAsk, type Fitted } from "./fit.ts";
import { HELD_DECIBELS } from "./goal.ts";
import { onShelf } from "./shelf.ts";

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

export interface BoardAsk extends FitAsk {
  readonly judge: Judge;
  /** Trials of values for a candidate; 0: its values stay as they are. */
  readonly solves?: number;
}

export interface CandidateTry {
  readonly group: BottleGroup;
  readonly type: string;
}

/** A candidate with the unit that it would make: undefined where the type cannot be fitted or solved. */
export interface Tried {
  readonly candidate: Candidate;
  readonly fitted?: Fitted;
}

/** What is worth trying: every type in every group of bottles that could take it, in the order given. */
export function candidateTries(
  catalogue: Catalogue,
  types: readonly string[],
  groups: readonly BottleGroup[],
): readonly CandidateTry[] {
  return groups.flatMap((group) =>
    types.filter((type) => suits(catalogue, type, group)).map((type) => ({ group, type })),
  );
}

/** Best first: by bottles, level, distance from the goal. */
export const byPromise = (a: Candidate, b: Candidate): number =>
  a.where.localeCompare(b.where) ||
  levelRank(a.level) - levelRank(b.level) ||
  (a.voicingErrorDecibels ?? Infinity) - (b.voicingErrorDecibels ?? Infinity);

const refused = (base: Pick<Candidate, "tube" | "where" | "onShelf">, reason: string): Candidate => ({
  ...base,
  level: "stop",
  reason,
  changes: [],
  voicingErrorDecibels: null,
  figures: {},
});

/** A type for which no bottle of the design is the place. */
export const outOfPlace = (catalogue: Catalogue, shelf: ShelfFile | undefined, type: string): Candidate =>
  refused(
    { tube: type, where: "", onShelf: onShelf(shelf, catalogue, type) },
    catalogue.tube(type) === undefined ? "not in the library" : "no socket of this design takes such a tube",
  );

/** The best for a group among those that stand and that the shelf has enough of. */
export function bestOf(board: readonly Candidate[], group: BottleGroup): Candidate | undefined {
  const where = group.envelopes.join(", ");
  return board
    .filter((one) => one.where === where && one.level !== "stop" && one.onShelf >= group.envelopes.length)
    .toSorted(byPromise)[0];
}

/** What a rectifier wants changed around it, in a builder's words. */
function rectifierWords(changes: readonly Change[]): readonly string[] {
  return changes.flatMap(({ target, before, after }) => {
    if (target === "supply.rectifier.seriesOhms") return [`${written(after)} in each plate lead`];
    const part = /\.parts\[(.+)\]\.value$/.exec(target)?.[1];
    return part === undefined ? [] : [`${part} ${written(before)} → ${written(after)}`];
  });
}

/** Trial solves per candidate; those that can hold the goal need a fifth of them. */
const BOARD_SOLVES = 120;
/** Harmonics of what stands on the board; what is chosen is solved to the full rule. */
export const BOARD_LIMITS = { tailDecibels: -100, mostHarmonics: 48 } as const;

/** One type tried in its bottles: fitted, values re-chosen for the goal, judged. Changes lead from the document asked about. */
export function tryCandidate(ask: BoardAsk, { group, type }: CandidateTry): Tried {
  const { catalogue, shelf } = ask;
  const base = {
    tube: type,
    where: group.envelopes.join(", "),
    onShelf: onShelf(shelf, catalogue, type),
  };
  const fitted = fit(ask, [{ group, type }], new Map(), {
    solves: ask.solves ?? BOARD_SOLVES,
    harmonicLimits: BOARD_LIMITS,
  });
  if (!fitted.ok) return { candidate: refused(base, fitted.failure.sentence) };
  const { document, solved, distanceDecibels, held, placed } = fitted.value;
  const changes = diffDocuments(ask.document, document);
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
      (one) =>
        `${one.envelope} needs ${/^[aeiou]/.test(one.socket) ? "an" : "a"} ${one.socket} socket${document.chassis === undefined ? "" : ", and its hole on the chassis a look"}`,
    ),
    ...(placed.moves[0] === undefined || placed.moves[0].moves.length === 0
      ? []
      : [`${placed.moves[0].moves.length} wires to move per socket`]),
    ...(short ? [`${base.onShelf} on the shelf, ${group.envelopes.length} needed`] : []),
  ];
  const first = solved.expanded.triodes.find((triode) => group.envelopes.includes(triode.envelope));
  const bias = first === undefined ? undefined : solved.bias.triodes.get(first.id);
  const channel = solved.channels[0];
  const candidate: Candidate = {
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
  return { candidate, fitted: fitted.value };
}

const written = (value: unknown): string => (typeof value === "string" ? value : "none");
