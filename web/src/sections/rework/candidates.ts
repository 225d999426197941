/** A candidate as the screen shows it: what it would change, what comes of it, how its voicing lies to the reference. */
import {
  BOARD_LIMITS,
  type BoardAsk,
  type BottleGroup,
  type CandidateTry,
  curveDifference,
  type CurveDifference,
  type HarmonicCurve,
  harmonicCurve,
  itemWords,
  type Level,
  reworkItems,
  signedRatio,
  tryCandidate,
  type Change,
  type ReworkItem,
} from "@platewright/design";

export interface CandidateRow {
  readonly type: string;
  /** "V1, V2". */
  readonly where: string;
  readonly onShelf: number;
  readonly needed: number;
  readonly level: Level;
  /** Why it stands where it stands; of a forbidden one, what forbids it. */
  readonly reason: string;
  /** It stands there now. */
  readonly fitted: boolean;
  readonly held: boolean;
  /** From the goal, dB; null when it could not be solved. */
  readonly distanceDecibels: number | null;
  /** The step that tries it, against the unit as it is kept. */
  readonly title: string;
  readonly changes: readonly Change[];
  /** "R4 680 Ω → 820 Ω". */
  readonly values: readonly string[];
  /** "R4 820", as the parts are marked. */
  readonly marked: readonly string[];
  /** Wires, or another socket. */
  readonly wires: string;
  readonly gainDecibels: number | null;
  readonly plateAmps: number | null;
  readonly onsetVolts: number | null;
  readonly outputOhms: number | null;
  /** Of a rectifier: B+ at the first capacitor. */
  readonly supplyVolts: number | null;
  /** H2 at the middle voicing level, with the half-width of its band. */
  readonly second?: { readonly inputVolts: number; readonly ratio: number; readonly bandDecibels?: number };
  readonly curve?: CurveDifference;
}

/** What all candidates of a board share. */
export interface Board {
  readonly ask: BoardAsk;
  readonly reference: HarmonicCurve | undefined;
}

/** Levels of the small pictures: from a twentieth of the largest input up to it. */
export const pictureLevels = (largestInputVolts: number): readonly number[] =>
  Array.from({ length: 8 }, (_, n) => largestInputVolts * 20 ** (n / 7 - 1));

export const boardOf = (ask: BoardAsk): Board => {
  const curve = harmonicCurve(ask.proven, pictureLevels(ask.document.targets.largestInputVolts), BOARD_LIMITS);
  return { ask, reference: curve.ok ? curve.value : undefined };
};

export function candidateRow({ ask, reference }: Board, one: CandidateTry): CandidateRow {
  const { document, catalogue } = ask;
  const { group, type } = one;
  const { candidate, fitted } = tryCandidate(ask, one);
  const items = fitted === undefined ? [] : reworkItems(document, fitted.document);
  const bottles = items.filter((item) => item.envelopes !== undefined);
  const values = items.filter((item) => item.envelopes === undefined);
  const standing = document.envelopes.find((envelope) => envelope.id === group.envelopes[0])?.type ?? "";
  const solved = fitted?.solved;
  const curve =
    solved === undefined || reference === undefined
      ? undefined
      : harmonicCurve(solved, reference.inputVolts, BOARD_LIMITS);
  const channel = solved?.channels[0];
  const { voicingVolts } = document.targets;
  const middle = voicingVolts[Math.floor(voicingVolts.length / 2)];
  const ratio = channel === undefined || middle === undefined ? undefined : signedRatio(channel, middle, 2);
  const law = solved?.laws.get(solved.expanded.triodes[0]?.id ?? "");
  const figure = (name: string) => candidate.figures[name] ?? null;
  return {
    type,
    where: candidate.where,
    onShelf: candidate.onShelf,
    needed: group.envelopes.length,
    level: candidate.level,
    reason: candidate.reason,
    fitted: catalogue.tube(standing)?.type === catalogue.tube(type)?.type,
    held: fitted?.held === true,
    distanceDecibels: candidate.voicingErrorDecibels,
    title: stepTitle(group, type, items),
    changes: candidate.changes,
    values: values.map(itemWords),
    marked: values.map(({ where, after }) => `${where} ${after.replace(/ (?=[kMµnp])/, "").replace(/ ?[ΩF]$/, "")}`),
    wires: bottles[0]?.words ?? "",
    gainDecibels: figure("gainDecibels"),
    plateAmps: figure("plateAmps"),
    onsetVolts: figure("onsetVolts"),
    outputOhms: figure("outputOhms"),
    supplyVolts:
      group.kind === "rectifier" ? (solved?.bias.netVolts.get(document.supply?.rectifier.output ?? "") ?? null) : null,
    ...(ratio === undefined || middle === undefined
      ? {}
      : {
          second: {
            inputVolts: middle,
            ratio,
            ...(law === undefined ? {} : { bandDecibels: law.h2BandDecibels }),
          },
        }),
    ...(curve?.ok === true && reference !== undefined ? { curve: curveDifference(reference, curve.value) } : {}),
  };
}

/** The step as the history tells it. */
function stepTitle(group: BottleGroup, type: string, items: readonly ReworkItem[]): string {
  const values = items.filter((item) => item.envelopes === undefined);
  return [`${group.envelopes.join(", ")} ${type}`, ...values.map((item) => `${item.where} ${item.after}`)]
    .join(", ")
    .slice(0, 200);
}
