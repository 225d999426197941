/**
 * What one step of each part, and its tolerance, does to the figures of one channel: plate current and volts, gain, H2 at a
 * level, B+.
 *
 * Method  Transposed solves of the engine (docs/sensitivity.md), one per figure: bias, gain through the slopes, H2 from the
 *         steady state. Winding, rectifier and first capacitor are in the circuit as their tangent, so what a part
 *         does to their load is counted; what moves the tangent itself is solved again, when the catalogue is given.
 * Limits  First order in the logarithm of a value: on the demo a step of E12 is told to 0.1 dB and to 0.3 % of a current.
 *         Heaters are not followed. Levels are held at the jack, as everywhere.
 */
import {
  amplitude,
  type BiasFigure,
  biasSensitivity,
  type Catalogue,
  type Effort,
  fail,
  type HarmonicAnswer,
  harmonicOpeningEffort,
  type HarmonicProblem,
  harmonicProblem,
  harmonicSensitivity,
  ok,
  openHarmonicSensitivity,
  openingEffort,
  openSensitivity,
  rectifierSentence,
  type PartSensitivity,
  responseSensitivity,
  type Result,
  type Sensitivity,
  sentence,
  solveHarmonics,
  volts,
} from "@platewright/engine";
import type { ExpandedPart } from "../document/expanded.ts";
import { SUPPLY_SOURCE } from "../supply/join.ts";
import { rectifierProblem } from "../supply/rectifier-problem.ts";
import { solveSource } from "../supply/source.ts";
import { REFERENCE_HERTZ } from "./channel.ts";
import { sourceId } from "./circuit.ts";
import { type PartStep, stepOf, toleranceOf } from "./sensitivity-steps.ts";
import type { SolvedDesign } from "./types.ts";

export type { PartStep } from "./sensitivity-steps.ts";

/** Change of every figure of one channel. */
export interface FigureChange {
  readonly triodes: readonly { readonly triode: string; readonly plateAmps: number; readonly plateVolts: number }[];
  readonly gainDecibels: number;
  /** null: the channel has no second harmonic to speak of. */
  readonly h2Decibels: number | null;
  /** B+ at the first capacitor; null without a supply. */
  readonly supplyVolts: number | null;
}

export interface PartEffect {
  /** "L.R3"; for a part that several instances share, the one of the channel asked for. */
  readonly id: string;
  readonly instance: string;
  readonly part: string;
  readonly label?: string;
  /** Ids that the step moves together: the same part in every instance of the block. */
  readonly together: readonly string[];
  /** null: the part has nothing to step (a tube, a diode, a switch). */
  readonly step: (PartStep & { readonly change: FigureChange }) | null;
  /** Plus and minus, of this one part alone; of a tube one standard deviation between specimens. null: none known. */
  readonly tolerance: {
    /** null for a tube: its spread is in several parameters. */
    readonly percent: number | null;
    /** True when the document gives none and common practice is taken. */
    readonly assumed: boolean;
    readonly change: FigureChange;
  } | null;
  /** What the rows are sorted by: the largest change of the step (else of the tolerance), each in what a builder notices. */
  readonly effect: number;
}

export interface PartSensitivities {
  readonly instance: string;
  readonly levelVolts: number;
  /** The figures themselves. */
  readonly now: {
    readonly gainDecibels: number;
    readonly h2Decibels: number | null;
    readonly supplyVolts: number | null;
  };
  readonly rows: readonly PartEffect[];
  /** How each was found. */
  readonly ways: {
    readonly bias: "transposed dc solve";
    readonly gain: "transposed solve at 1 kHz, slopes of slopes by central differences";
    readonly h2: `transposed steady state of ${number} harmonics` | "no second harmonic";
    readonly rectifier: "tangent, rectifier solved again for what moves it" | "as its tangent" | "no supply";
  };
  readonly effort: Effort;
}

export interface SensitivityAsk {
  /** Instance of the channel; the first when not given. */
  readonly channel?: string;
  /** V rms at the input jack at which H2 is taken. */
  readonly levelVolts?: number;
  /** With it, what the first capacitor and the load do to the rectifier beyond its tangent is followed. */
  readonly catalogue?: Catalogue;
}

/** Weights of the order: changes that a builder notices (common practice): 0.5 dB of gain, 1 dB of H2, 5 % of a current or volts. */
const NOTICED = { gainDecibels: 0.5, h2Decibels: 1, share: 0.05 } as const;
/** Below this H2 is rounding. */
const SILENT_DECIBELS = -180;
const DECIBELS = 20 / Math.LN10;

/** What each part does to each figure; a sentence when the channel is not there or was not running. */
export function partSensitivities(solved: SolvedDesign, ask: SensitivityAsk = {}): Result<PartSensitivities, string> {
  const instance = ask.channel ?? solved.expanded.channels[0]?.instance ?? "";
  const levelVolts = ask.levelVolts ?? 1;
  const channel = solved.expanded.channels.find((one) => one.instance === instance);
  if (channel === undefined) return fail(`channel: ${instance} is no channel of the design.`);
  if (solved.condition.tubes !== "running") return fail("The tubes are cold in this condition; nothing has a gain.");
  const figures = figuresOf(solved, channel, levelVolts);
  if (!figures.ok) return figures;
  const { all, now, harmonics, effort } = figures.value;
  const rectifier = throughRectifier(solved, ask.catalogue, all);
  if (!rectifier.ok) return rectifier;
  const rows: PartEffect[] = [];
  const users = new Map<string, string[]>();
  const steps = new Map<string, PartStep>();
  for (const part of solved.expanded.parts) {
    const step = stepOf(part);
    if (step !== undefined) steps.set(part.id, step);
    const key = sharedKey(part, step);
    users.set(key, [...(users.get(key) ?? []), part.id]);
  }
  for (const part of solved.expanded.parts) {
    const together = users.get(sharedKey(part, steps.get(part.id))) ?? [part.id];
    // One row for a part that instances share: that of the channel asked for, else of the first.
    const shown = together.find((id) => id.startsWith(`${instance}.`)) ?? together[0];
    if (shown !== part.id) continue;
    const row = effectOf(solved, part, together, steps, figures.value, rectifier.value.perNeper);
    if (row !== undefined) rows.push(row);
  }
  rows.sort((a, b) => b.effect - a.effect || (a.id < b.id ? -1 : 1));
  return ok({
    instance,
    levelVolts,
    now,
    rows,
    ways: {
      bias: "transposed dc solve",
      gain: "transposed solve at 1 kHz, slopes of slopes by central differences",
      h2: harmonics === undefined ? "no second harmonic" : `transposed steady state of ${harmonics} harmonics`,
      rectifier: rectifier.value.way,
    },
    effort,
  });
}

/** Instances of one block share a part while they have the same value of it: an override is a row of its own. */
const sharedKey = (part: ExpandedPart, step: PartStep | undefined): string =>
  `${part.block} ${part.written.id} ${step?.from ?? ""}`;

interface Figures {
  readonly triodes: readonly string[];
  /** In the order plate amps and plate volts of each triode, gain, H2, B+; those that are not there left out. */
  readonly all: readonly Figure[];
  readonly now: PartSensitivities["now"];
  readonly harmonics: number | undefined;
  readonly effort: Effort;
}

interface Figure {
  readonly kind: "plateAmps" | "plateVolts" | "gainDecibels" | "h2Decibels" | "supplyVolts";
  readonly triode?: string;
  readonly value: number;
  /** Per neper (contact volts: per volt) of a value of a part. */
  readonly by: (part: string, value: keyof PartSensitivity) => number;
}

const reader =
  ({ byPart }: Sensitivity): Figure["by"] =>
  (part, value) =>
    byPart.get(part)?.[value] ?? 0;

function figuresOf(
  solved: SolvedDesign,
  channel: SolvedDesign["expanded"]["channels"][number],
  levelVolts: number,
): Result<Figures, string> {
  const { circuit, bias } = solved;
  const opened = openSensitivity(circuit, bias);
  if (!opened.ok) return fail(sentence(opened.failure));
  const open = opened.value;
  const all: Figure[] = [];
  let effort: Effort = { ...openingEffort(circuit), residual: bias.effort.residual };
  const count = (more: Effort) => {
    effort = {
      steps: effort.steps + more.steps,
      factorings: effort.factorings + more.factorings,
      lawCalls: effort.lawCalls + more.lawCalls,
      residual: Math.max(effort.residual, more.residual),
    };
  };
  const triodes = solved.expanded.triodes.filter((one) => one.instance === channel.instance).map((one) => one.id);
  const asked: { readonly kind: Figure["kind"]; readonly figure: BiasFigure; readonly triode?: string }[] =
    triodes.flatMap((triode) => [
      { kind: "plateAmps", figure: { kind: "plate-amps", triode }, triode } as const,
      { kind: "plateVolts", figure: { kind: "plate-volts", triode }, triode } as const,
    ]);
  const supplyNet = solved.document.supply?.rectifier.output;
  if (supplyNet !== undefined) asked.push({ kind: "supplyVolts", figure: { kind: "net-volts", net: supplyNet } });
  for (const { kind, figure, triode } of asked) {
    const answer = biasSensitivity(open, figure);
    if (!answer.ok) return fail(sentence(answer.failure));
    count(answer.value.effort);
    all.push({
      kind,
      value: answer.value.value,
      by: reader(answer.value),
      ...(triode === undefined ? {} : { triode }),
    });
  }
  const source = sourceId(channel.instance);
  const share = { kind: "response-decibels", source, hertz: REFERENCE_HERTZ } as const;
  const jack = responseSensitivity(open, { ...share, output: channel.inputNet });
  if (!jack.ok) return fail(sentence(jack.failure));
  const output = responseSensitivity(open, { ...share, output: channel.outputNet });
  if (!output.ok) return fail(sentence(output.failure));
  count(jack.value.effort);
  count(output.value.effort);
  const atJack = reader(jack.value);
  const atOutput = reader(output.value);
  const gainDecibels = output.value.value - jack.value.value;
  all.push({
    kind: "gainDecibels",
    value: gainDecibels,
    by: (part, value) => atOutput(part, value) - atJack(part, value),
  });

  const problem = harmonicProblem(circuit, bias, {
    source,
    hertz: REFERENCE_HERTZ,
    output: channel.outputNet,
    linear: solved.expanded.triodes.filter((one) => one.instance !== channel.instance).map((one) => one.id),
    limits: { tailDecibels: -100, mostHarmonics: 32 },
  });
  const level = levelOf(solved, problem, channel.instance, levelVolts, levelVolts / 10 ** (jack.value.value / 20));
  if (!level.ok) return level;
  count(level.value.effort);
  const h2 = DECIBELS * Math.log(amplitude(level.value.answer.output, 2) / amplitude(level.value.answer.output, 1));
  let harmonics: number | undefined;
  if (h2 > SILENT_DECIBELS) {
    const steady = openHarmonicSensitivity(problem, level.value.answer);
    if (!steady.ok) return fail(sentence(steady.failure));
    const second = harmonicSensitivity(steady.value, { kind: "harmonic-decibels", harmonic: 2 });
    if (!second.ok) return fail(sentence(second.failure));
    count(second.value.effort);
    count(harmonicOpeningEffort(steady.value));
    harmonics = second.value.harmonics;
    const atLevel = reader(second.value);
    // The level is held at the jack: the source gives what the jack's share asks for.
    const perLevel = atLevel(source, "level");
    all.push({
      kind: "h2Decibels",
      value: second.value.value,
      by: (part, value) => atLevel(part, value) - (perLevel * atJack(part, value)) / DECIBELS,
    });
  }
  const found = (kind: Figure["kind"]): number | null => all.find((one) => one.kind === kind)?.value ?? null;
  return ok({
    triodes,
    all,
    now: { gainDecibels, h2Decibels: found("h2Decibels"), supplyVolts: found("supplyVolts") },
    harmonics,
    effort,
  });
}

/** The answer at a level: the one already there, else solved. */
function levelOf(
  solved: SolvedDesign,
  problem: HarmonicProblem,
  instance: string,
  levelVolts: number,
  sourceVolts: number,
): Result<{ readonly answer: HarmonicAnswer; readonly effort: Effort }, string> {
  const points = solved.channels.find((one) => one.instance === instance)?.levels ?? [];
  const known = points.find((point) => point.inputVolts === levelVolts);
  if (known !== undefined)
    return ok({ answer: known.answer, effort: { steps: 0, factorings: 0, lawCalls: 0, residual: 0 } });
  const answer = solveHarmonics(problem, { sourceVoltsPeak: volts(sourceVolts * Math.SQRT2) });
  return answer.ok ? ok({ answer: answer.value, effort: answer.value.effort }) : fail(sentence(answer.failure));
}

/** Steps in which the rectifier is solved again: of ln C, and of its load. */
const CAPACITOR_STEP = 0.05;
const LOAD_STEP = 0.02;

type PerNeper = (part: string, value: keyof PartSensitivity) => readonly number[];

interface Rectifier {
  readonly way: PartSensitivities["ways"]["rectifier"];
  readonly perNeper: PerNeper;
}

/**
 * Every figure per neper of any value, with what lies behind the tangent: the first capacitor's volts at the same load, and
 * the tangent's own slope, which moves with load and capacitor. The slope touches H2 only: a signal shifts the mean
 * current.
 */
function throughRectifier(
  solved: SolvedDesign,
  catalogue: Catalogue | undefined,
  figures: readonly Figure[],
): Result<Rectifier, string> {
  const inCircuit: PerNeper = (part, value) => figures.map((one) => one.by(part, value));
  const { document } = solved;
  const { supply } = document;
  if (supply === undefined || solved.supply === undefined) return ok({ way: "no supply", perNeper: inCircuit });
  const id = supply.rectifier.firstCapacitor;
  const part = solved.parts.find((one) => one.id === id);
  const source = solved.parts.find((one) => one.id === SUPPLY_SOURCE);
  if (catalogue === undefined || part?.kind !== "capacitor" || source?.kind !== "dc-source" || !(source.volts > 0))
    return ok({ way: "as its tangent", perNeper: inCircuit });
  const { loadAmps } = solved.supply;
  const at = (nepers: number, amps: number): Result<{ readonly volts: number; readonly ohms: number }, string> => {
    const farads = part.farads * Math.exp(nepers);
    const problem = rectifierProblem(document, supply, catalogue, solved.condition.mainsFactor, farads);
    if (!problem.ok) return problem;
    const answer = solveSource(problem.value, amps);
    if (!answer.ok) return fail(rectifierSentence(answer.failure));
    return ok({ volts: answer.value.rectifier.dcVolts, ohms: -answer.value.rectifier.slopeOhms });
  };
  const less = at(-CAPACITOR_STEP, loadAmps);
  if (!less.ok) return less;
  const more = at(CAPACITOR_STEP, loadAmps);
  if (!more.ok) return more;
  const light = at(0, loadAmps * (1 - LOAD_STEP));
  if (!light.ok) return light;
  const heavy = at(0, loadAmps * (1 + LOAD_STEP));
  if (!heavy.ok) return heavy;
  const voltsPerNeper = (more.value.volts - less.value.volts) / (2 * CAPACITOR_STEP);
  const ohmsPerNeper = (more.value.ohms - less.value.ohms) / (2 * CAPACITOR_STEP);
  const ohmsPerAmp = (heavy.value.ohms - light.value.ohms) / (2 * LOAD_STEP * loadAmps);
  const perVolt = figures.map((one) => one.by(SUPPLY_SOURCE, "volts") / source.volts);
  // A slope that turns about the point where the supply stands: volts + slope I at the same load.
  const perOhm = figures.map(
    (one, f) => (perVolt[f] as number) * loadAmps + one.by(SUPPLY_SOURCE, "seriesOhms") / source.seriesOhms,
  );
  const supplyAt = figures.findIndex((one) => one.kind === "supplyVolts");
  return ok({
    way: "tangent, rectifier solved again for what moves it",
    perNeper: (which, value) => {
      const own = which === id && value === "farads" ? 1 : 0;
      const changes = inCircuit(which, value).map((change, f) => change + own * voltsPerNeper * (perVolt[f] as number));
      const amps = (own * voltsPerNeper - (changes[supplyAt] ?? 0)) / source.seriesOhms;
      const turned = ohmsPerAmp * amps + own * ohmsPerNeper;
      return changes.map((change, f) => change + turned * (perOhm[f] as number));
    },
  });
}

function effectOf(
  solved: SolvedDesign,
  part: ExpandedPart,
  together: readonly string[],
  steps: ReadonlyMap<string, PartStep>,
  figures: Figures,
  perNeper: PerNeper,
): PartEffect | undefined {
  const step = steps.get(part.id);
  const stepped = step && stepSum(together, steps, figures, perNeper);
  const tolerance = toleranceOf(part, solved.laws.get(part.id));
  if (step === undefined && tolerance === undefined) return undefined;
  const spans = tolerance?.spans.map(({ value, nepers }) => perNeper(part.id, value).map((each) => each * nepers));
  const ranged = spans && figures.all.map((_, f) => Math.hypot(...spans.map((span) => span[f] as number)));
  const change = (changes: readonly number[]) => changeOf(figures, changes);
  return {
    id: part.id,
    instance: part.instance,
    part: part.written.id,
    ...(part.written.label === undefined ? {} : { label: part.written.label }),
    together,
    step: step === undefined || stepped === undefined ? null : { ...step, change: change(stepped) },
    tolerance:
      tolerance === undefined || ranged === undefined
        ? null
        : { percent: tolerance.percent, assumed: tolerance.assumed, change: change(ranged) },
    effect: noticed(figures, stepped ?? ranged ?? []),
  };
}

/** Every part that moves together takes its own step. */
function stepSum(
  together: readonly string[],
  steps: ReadonlyMap<string, PartStep>,
  figures: Figures,
  perNeper: PerNeper,
): readonly number[] {
  const sums = figures.all.map(() => 0);
  for (const id of together) {
    const step = steps.get(id);
    if (step === undefined) continue;
    const nepers = Math.log(step.to / step.from);
    for (const [f, each] of perNeper(id, step.value).entries()) sums[f] = (sums[f] as number) + each * nepers;
  }
  return sums;
}

function changeOf(figures: Figures, changes: readonly number[]): FigureChange {
  const find = (kind: Figure["kind"], triode?: string): number | undefined => {
    const at = figures.all.findIndex((one) => one.kind === kind && one.triode === triode);
    return at < 0 ? undefined : changes[at];
  };
  return {
    triodes: figures.triodes.map((triode) => ({
      triode,
      plateAmps: find("plateAmps", triode) ?? 0,
      plateVolts: find("plateVolts", triode) ?? 0,
    })),
    gainDecibels: find("gainDecibels") ?? 0,
    h2Decibels: find("h2Decibels") ?? null,
    supplyVolts: find("supplyVolts") ?? null,
  };
}

function noticed(figures: Figures, changes: readonly number[]): number {
  let most = 0;
  for (const [f, { kind, value }] of figures.all.entries()) {
    const unit =
      kind === "gainDecibels" || kind === "h2Decibels"
        ? NOTICED[kind]
        : NOTICED.share * Math.max(Math.abs(value), 1e-9);
    most = Math.max(most, Math.abs(changes[f] ?? 0) / unit);
  }
  return most;
}
