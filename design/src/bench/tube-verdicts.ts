/**
 * What an owner may plug into a socket as it is wired: nothing is moved and no value changes.
 *
 * Method  Every type of the library asked by its pins first (checkSocket): one that needs another socket or a wire moved must
 *         not go in, and what would happen is said. What goes in as wired is tried on the candidates' board with its
 *         values kept, and judged in every condition.
 * Limits  A type that stops, or that puts a limit of doubtful source before the owner which the fitted type does not, never
 *         may be used. "Changes the sound": gain or H2 moves by more than `ALIKE_DECIBELS`.
 */
import { type Catalogue, ok, type TubeRecord } from "@platewright/engine";
import type { Document } from "../document/schema.ts";
import type { Finding, Level } from "../findings.ts";
import { judgeDesign } from "../judge-design.ts";
import { baseFor, checkSocket, type PinState } from "../limits/pins.ts";
import { expandedWires } from "../limits/wires.ts";
import { tryCandidate } from "../rework/board.ts";
import { type BottleGroup, bottleGroups, suits } from "../rework/bottles.ts";
import type { SolvedDesign } from "../solved/types.ts";

export const ALIKE_DECIBELS = { gain: 0.5, h2: 1 } as const;

export interface TubeVerdict {
  /** Bottles that go together: "V1", "V2". */
  readonly envelopes: readonly string[];
  readonly type: string;
  /** Other names of the same type. */
  readonly names: readonly string[];
  readonly verdict: "may" | "sounds-different" | "must-not";
  /** It stands in the unit as delivered. */
  readonly fitted: boolean;
  /** Why not, or what changes; one short clause. */
  readonly words: string;
  /** The rule that forbids it, where one does. */
  readonly rule?: string;
  /** Against the fitted type, dB; null where it was not solved. */
  readonly gainDecibels: number | null;
  readonly h2Decibels: number | null;
  /** What kind of reason, so that like ones can be said together. */
  readonly because: "fitted" | "alike" | "sound" | "socket" | "pins" | "heater" | "limits" | "unverified" | "unsolved";
}

/** Verdicts for every group of bottles, over the types of the catalogue that are of its kind. */
export function tubeVerdicts(
  document: Document,
  solved: SolvedDesign,
  catalogue: Catalogue,
  findings: readonly Finding[],
): readonly TubeVerdict[] {
  const types = catalogue.types.filter((type) => catalogue.tube(type) !== undefined);
  return bottleGroups(document, solved.expanded).flatMap((group) =>
    types
      .filter((type) => suits(catalogue, type, group))
      .map((type) => verdictOf(document, solved, catalogue, findings, group, type)),
  );
}

function verdictOf(
  document: Document,
  solved: SolvedDesign,
  catalogue: Catalogue,
  findings: readonly Finding[],
  group: BottleGroup,
  type: string,
): TubeVerdict {
  const record = catalogue.tube(type) as TubeRecord;
  const own = document.envelopes.filter((one) => group.envelopes.includes(one.id));
  const fitted = own.every((one) => catalogue.tube(one.type)?.type === record.type);
  const base = {
    envelopes: group.envelopes,
    type: fitted ? (own[0]?.type ?? type) : type,
    names: namesOf(record, fitted ? (own[0]?.type ?? type) : type),
    fitted,
    gainDecibels: null,
    h2Decibels: null,
  };
  if (fitted) return { ...base, verdict: "may", words: "as delivered", because: "fitted" };
  const never = (because: TubeVerdict["because"], words: string, rule?: string): TubeVerdict => ({
    ...base,
    verdict: "must-not",
    words,
    because,
    ...(rule === undefined ? {} : { rule }),
  });
  const pins = asWired(document, solved, record, group);
  if (pins !== undefined) return never(pins.because, pins.words);
  const { candidate, fitted: unit } = tryCandidate(
    {
      document,
      expanded: solved.expanded,
      proven: solved,
      catalogue,
      goal: { kind: "keep-voicing" },
      // Judged below, against the fitted type.
      judge: () => ok([]),
      solves: 0,
    },
    { group, type },
  );
  const outside = candidate.changes.filter((one) => !/^envelopes\[.+\]\.(type|variant)$/.test(one.target));
  if (unit === undefined) return never("unsolved", firstClause(candidate.reason));
  if (outside.length > 0) return never("limits", `needs other parts around it: ${firstClause(candidate.reason)}`);
  const judged = judgeDesign(unit.document, catalogue, unit.solved, { fixes: false, supply: false });
  if (!judged.ok) return never("unsolved", judged.failure);
  const worse = worseThan(findings, judged.value);
  const stop = worse.find((one) => one.level === "stop");
  if (stop !== undefined) return never("limits", firstClause(stop.title), stop.rule);
  const watch = worse[0];
  const doubtful = record.ratings.length === 0 ? "its limits are not known" : watch?.title;
  if (doubtful !== undefined) return never("unverified", `not verified: ${firstClause(doubtful)}`);
  const { gain, h2 } = changesOf(solved, unit.solved);
  const figures = { gainDecibels: gain, h2Decibels: h2 };
  if (Math.abs(gain) <= ALIKE_DECIBELS.gain && Math.abs(h2) <= ALIKE_DECIBELS.h2)
    return { ...base, ...figures, verdict: "may", words: "sounds alike", because: "alike" };
  return { ...base, ...figures, verdict: "sounds-different", words: "", because: "sound" };
}

const namesOf = (record: TubeRecord, shown: string): readonly string[] =>
  record.equivalents
    .filter((one) => one.how === "same" && one.name !== shown)
    .map((one) => one.name)
    .concat(record.type === shown ? [] : [record.type])
    .filter((name, n, all) => all.indexOf(name) === n);

/** Why a type does not go in as the socket is wired; undefined when it does. */
function asWired(
  document: Document,
  solved: SolvedDesign,
  record: TubeRecord,
  group: BottleGroup,
): { readonly because: "socket" | "pins" | "heater"; readonly words: string } | undefined {
  const windings = (document.supply?.transformer.heaters ?? []).map((one) => ({ id: one.id, volts: one.ratedVolts }));
  for (const envelope of document.envelopes.filter((one) => group.envelopes.includes(one.id))) {
    const answer = checkSocket({
      record,
      socket: envelope.socket,
      wiring: envelope.wiring,
      sections: expandedWires(document, solved.expanded, envelope.id, baseFor(record, envelope.socket)),
      windings,
      netVolts: (net) => (net === "0" ? 0 : solved.bias.netVolts.get(net)),
    });
    if (answer.base === undefined)
      return {
        because: "socket",
        words:
          answer.sockets.length === 0
            ? "its pins are not known"
            : `${answer.sockets[0] ?? ""} base: does not fit the socket`,
      };
    const wrong = answer.pins.filter((one) => one.level !== "ok");
    const worst = wrong.toSorted((a, b) => harm(b) - harm(a))[0];
    if (worst !== undefined) {
      const others = wrong.filter((one) => one !== worst).map((one) => one.pin);
      return {
        because: "pins",
        words: `${worst.words}${others.length === 0 ? "" : `; pin${others.length > 1 ? "s" : ""} ${others.join(", ")} differ${others.length > 1 ? "" : "s"} too`}`,
      };
    }
    if (answer.heater.outcome !== "right") return { because: "heater", words: answer.heater.words };
  }
  return undefined;
}

/** High volts on a heater first, then what stops. */
const harm = ({ role, level }: PinState): number =>
  (role.kind === "heater" || role.kind === "heater-and-cathode" ? 2 : 0) + (level === "stop" ? 1 : 0);

const RANK: Readonly<Record<Level, number>> = { ok: 0, watch: 1, stop: 2 };

/** Findings that are worse than with the type as delivered, worst first. */
function worseThan(before: readonly Finding[], now: readonly Finding[]): readonly Finding[] {
  const were = new Map(before.map((one) => [one.id, one.level]));
  return now
    .filter((one) => RANK[one.level] > RANK[were.get(one.id) ?? "ok"])
    .toSorted((a, b) => RANK[b.level] - RANK[a.level]);
}

/** Largest change of gain, and of H2 at the kept levels, over the channels; signed by the largest. */
function changesOf(before: SolvedDesign, now: SolvedDesign): { readonly gain: number; readonly h2: number } {
  let [gain, h2] = [0, 0];
  const larger = (a: number, b: number) => (Math.abs(b) > Math.abs(a) ? b : a);
  for (const channel of now.channels) {
    const was = before.channels.find((one) => one.instance === channel.instance);
    if (was === undefined) continue;
    gain = larger(gain, 20 * Math.log10(channel.gain / was.gain));
    for (const [n, level] of channel.levels.entries())
      h2 = larger(h2, 20 * Math.log10((level.ratios[0] ?? Number.NaN) / (was.levels[n]?.ratios[0] ?? Number.NaN)));
  }
  return { gain, h2 };
}

/** Up to the first semicolon. */
const firstClause = (words: string): string => (words.split(";")[0] ?? words).trim();
