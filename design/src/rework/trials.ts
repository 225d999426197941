/**
 * Trial values in a design that stands solved: only what a goal and the strain ask, as little of it as decides.
 *
 * Method  One compiled circuit, its resistors edited in place of a document; the supply as its tangent, taken anew only
 *         when the load has moved by a tenth; bias, then the levels from the lowest up, each warm from the trial
 *         before, with few harmonics. As soon as the cost so far reaches what a trial has to beat, the rest is left.
 * Limits  The share of the source at the jack is that of the unchanged design. What is chosen is solved whole afterwards
 *         (search.ts): trials only lead there.
 */
import {
  type Bias,
  type CompiledCircuit,
  editValues,
  type HarmonicAnswer,
  type HarmonicProblem,
  harmonicProblem,
  harmonicRatios,
  harmonicSigns,
  hertz,
  magnitude,
  solveBias,
  solveHarmonics,
  solveResponse,
  type TriodeCycle,
  volts,
} from "@platewright/engine";
import type { Catalogue } from "@platewright/engine";
import type { Document } from "../document/schema.ts";
import { REFERENCE_HERTZ } from "../solved/channel.ts";
import { sourceId } from "../solved/circuit.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { SUPPLY_SOURCE } from "../supply/join.ts";
import { rectifierProblem } from "../supply/rectifier-problem.ts";
import { solveSource } from "../supply/source.ts";
import { currentDistance, type Goal, levelsFor, voicingDistance, wantedRatio } from "./goal.ts";
import { strainFrom, strainLimits } from "./strain.ts";

/** Enough to tell H2 to a hundredth of a dB. */
const TRIAL_LIMITS = {
  tailDecibels: -60,
  firstHarmonics: 6,
  mostHarmonics: 6,
  residualFraction: 1e-5,
  steps: 12,
} as const;
/** Share by which the load may leave the point where the supply's tangent was taken: an error of 0.1 V in 250. */
export const TANGENT_SHARE = 0.1;
export const TANGENT_PASSES = 4;

export interface Trial {
  readonly distanceDecibels: number;
  readonly strain: number;
  readonly worstStrain: string | null;
  /** At least this; exactly this when `whole`. */
  readonly cost: number;
  /** False: left when its cost reached what it had to beat. */
  readonly whole: boolean;
}

/** Strain comes first, but a little of it must not hide the goal from the walk. */
export const costOf = (strain: number, distanceDecibels: number): number =>
  60 * strain + (Number.isFinite(distanceDecibels) ? distanceDecibels : 1e6);

export interface TrialAsk {
  readonly proven: SolvedDesign;
  /** Solved with every value as it stands. */
  readonly unchanged: SolvedDesign;
  readonly document: Document;
  readonly catalogue: Catalogue;
  readonly goal: Goal;
  readonly instances: readonly string[];
  readonly triodes: readonly string[];
}

/** Tries values: part id → ohms in every instance asked, to be left once the cost reaches `atMost`. */
export type Try = (values: ReadonlyMap<string, number>, atMost: number) => Trial;

interface ChannelTrial extends ChannelAsked {
  readonly linear: readonly string[];
  problem: HarmonicProblem | undefined;
  readonly kept: Map<number, { readonly answer: HarmonicAnswer; readonly bias: Bias }>;
}

/** Opens trials; undefined when something of the design cannot be tried this way. */
export function openTrials(ask: TrialAsk): Try | undefined {
  const { unchanged, goal, document } = ask;
  const channels: ChannelTrial[] = [];
  for (const channel of unchanged.channels) {
    const twin = channel.sameAs;
    if (twin !== undefined && ask.instances.includes(twin) === ask.instances.includes(channel.instance)) continue;
    const opened = openChannel(ask, channel);
    if (opened === undefined) return undefined;
    channels.push(opened);
  }
  const limits = strainLimits(unchanged.expanded, ask.catalogue, ask.triodes);
  const settle = openBias(ask);
  if (settle === undefined) return undefined;
  let strained = false;
  const failed: Trial = {
    distanceDecibels: Infinity,
    strain: Infinity,
    worstStrain: null,
    cost: Infinity,
    whole: true,
  };
  const largest = document.targets.largestInputVolts;

  return (values, atMost) => {
    const edits = new Map<string, number>();
    for (const instance of ask.instances) for (const [partId, ohms] of values) edits.set(`${instance}.${partId}`, ohms);
    const joined = settle(edits);
    if (joined === undefined) return failed;
    const { circuit, bias } = joined;
    const cycles = new Map<string, ReadonlyMap<string, TriodeCycle>>();
    const strainNow = () =>
      strainFrom(limits, bias, (instance, id, part) => {
        const same = unchanged.channels.find((one) => one.instance === instance)?.sameAs;
        return cycles.get(instance)?.get(id) ?? cycles.get(same ?? "")?.get(`${same}.${part}`);
      });
    let strain = strainNow();
    let distanceDecibels = 0;
    const soFar = (whole: boolean): Trial => ({
      distanceDecibels,
      strain: strain.amount,
      worstStrain: strain.worst,
      cost: costOf(strain.amount, distanceDecibels),
      whole,
    });
    if (goal.kind === "keep-current")
      for (const { instance } of channels)
        distanceDecibels = worse(
          distanceDecibels,
          currentDistance(ask.proven.bias, bias, unchanged.expanded, instance),
        );
    for (const channel of channels) {
      channel.problem = harmonicProblem(circuit, bias, {
        source: channel.source,
        hertz: REFERENCE_HERTZ,
        output: channel.output,
        linear: channel.linear,
        limits: TRIAL_LIMITS,
        ...(channel.problem === undefined ? {} : { after: channel.problem }),
      });
      // Where the last one was strained the largest level decides most often, otherwise the cheapest one.
      for (const level of strained ? channel.largestFirst : channel.levels) {
        if (costOf(strain.amount, distanceDecibels) >= atMost) return soFar(false);
        const answer = solveLevel(channel, channel.problem, level.inputVolts, bias);
        if (answer === undefined) return failed;
        if (level.wanted !== undefined)
          distanceDecibels = worse(distanceDecibels, voicingDistance(level.wanted, signedH2(answer)));
        if (level.inputVolts !== largest) continue;
        cycles.set(channel.instance, answer.triodes);
        strain = strainNow();
        strained = strain.amount > 0;
      }
    }
    return soFar(true);
  };
}

/** The larger; not a number stays one. */
export const worse = (a: number, b: number): number => (b <= a ? a : b);

const signedH2 = (answer: HarmonicAnswer): number =>
  (harmonicRatios(answer.output)[0] ?? Number.NaN) * (harmonicSigns(answer.output)[0] ?? 1);

function openChannel(ask: TrialAsk, channel: SolvedDesign["channels"][number]): ChannelTrial | undefined {
  const { unchanged } = ask;
  const asked = askedOf(ask, channel);
  if (asked === undefined) return undefined;
  return {
    ...asked,
    linear: unchanged.expanded.triodes.filter((one) => one.instance !== channel.instance).map((one) => one.id),
    problem: undefined,
    kept: new Map(),
  };
}

/** What a goal asks of a channel: levels at the jack, ascending, and what is wanted there. */
export interface ChannelAsked {
  readonly instance: string;
  readonly source: string;
  readonly output: string;
  /** Volts at the jack per volt of the source. */
  readonly jackShare: number;
  /** Ascending; `wanted` undefined: only the strain asks this level. */
  readonly levels: readonly { readonly inputVolts: number; readonly wanted: number | undefined }[];
  readonly largestFirst: ChannelAsked["levels"];
}

export function askedOf(ask: TrialAsk, channel: SolvedDesign["channels"][number]): ChannelAsked | undefined {
  const { goal, unchanged, document } = ask;
  const source = sourceId(channel.instance);
  const jack = solveResponse(unchanged.circuit, unchanged.bias, {
    source,
    output: channel.inputNet,
    hertz: [hertz(REFERENCE_HERTZ)],
  });
  const share = jack.ok ? jack.value.transfer[0] : undefined;
  const before = ask.proven.channels.find((one) => one.instance === channel.instance);
  if (share === undefined || before === undefined) return undefined;
  const asked =
    goal.kind === "keep-current"
      ? []
      : levelsFor(goal, document.targets.voicingVolts).filter(
          (inputVolts) => goal.kind === "keep-voicing" || inputVolts === goal.inputVolts,
        );
  const levels = [...new Set([...asked, document.targets.largestInputVolts])]
    .sort((a, b) => a - b)
    .map((inputVolts) => ({
      inputVolts,
      wanted: asked.includes(inputVolts) ? wantedRatio(goal, before, inputVolts) : undefined,
    }));
  return {
    instance: channel.instance,
    source,
    output: channel.outputNet,
    jackShare: magnitude(share),
    levels,
    largestFirst: [...levels].sort((a, b) => b.inputVolts - a.inputVolts),
  };
}

/** The level from where the trial before had it, moved by what the bias has moved. */
function solveLevel(
  channel: ChannelTrial,
  problem: HarmonicProblem,
  inputVolts: number,
  bias: Bias,
): HarmonicAnswer | undefined {
  const before = channel.kept.get(inputVolts);
  const solved = solveHarmonics(problem, {
    sourceVoltsPeak: volts((inputVolts * Math.SQRT2) / channel.jackShare),
    ...(before === undefined ? {} : { start: moved(channel, problem, before, bias) }),
  });
  if (!solved.ok) {
    channel.kept.delete(inputVolts);
    return undefined;
  }
  channel.kept.set(inputVolts, { answer: solved.value, bias });
  return solved.value;
}

/** Samples of an earlier bias with every current moved by as much as its standing value has moved. */
function moved(
  channel: ChannelTrial,
  { circuit }: HarmonicProblem,
  before: { readonly answer: HarmonicAnswer; readonly bias: Bias },
  bias: Bias,
): readonly Float64Array[] {
  const rows: Float64Array[] = [];
  let known = 0;
  for (const device of circuit.devices) {
    const count = device.kind === "triode" ? 2 : 1;
    if (!channel.linear.includes(device.id))
      for (let i = 0; i < count; i++) {
        const by = (bias.unknowns[known + i] as number) - (before.bias.unknowns[known + i] as number);
        rows.push((before.answer.samples[rows.length] as Float64Array).map((sample) => sample + by));
      }
    known += count;
  }
  return rows;
}

/** The supply as a source with a slope, true near `loadAmps`. */
export interface Tangent {
  readonly loadAmps: number;
  readonly volts: number;
  readonly slopeOhms: number;
  readonly start: Float64Array;
}

/** The supply of a design, its tangent where it stands, and the tangent at another load. */
export interface TrialSupply {
  readonly output: string;
  readonly standing: Tangent;
  readonly at: (loadAmps: number, near: Tangent) => Tangent | undefined;
}

/** Undefined: the supply cannot be tried; null: the design has none. */
export function supplyOf({ unchanged, document, catalogue }: TrialAsk): TrialSupply | null | undefined {
  const { supply } = unchanged;
  if (supply === undefined || document.supply === undefined) return null;
  const { firstCapacitor, output } = document.supply.rectifier;
  const first = unchanged.parts.find((part) => part.id === firstCapacitor);
  if (first?.kind !== "capacitor") return undefined;
  const problem = rectifierProblem(document, document.supply, catalogue, unchanged.condition.mainsFactor, first.farads);
  if (!problem.ok) return undefined;
  return {
    output,
    standing: {
      loadAmps: supply.loadAmps,
      volts: supply.rectifier.dcVolts,
      slopeOhms: Math.max(1e-3, -supply.rectifier.slopeOhms),
      start: supply.rectifier.start,
    },
    at: (loadAmps, near) => {
      const solved = solveSource(problem.value, loadAmps, near.start);
      if (!solved.ok) return undefined;
      const { dcVolts, slopeOhms, start } = solved.value.rectifier;
      return { loadAmps, volts: dcVolts, slopeOhms: Math.max(1e-3, -slopeOhms), start };
    },
  };
}

/** Bias of the unchanged circuit with resistors edited, supply joined; undefined where it does not settle. */
function openBias(
  ask: TrialAsk,
): ((ohms: ReadonlyMap<string, number>) => { circuit: CompiledCircuit; bias: Bias } | undefined) | undefined {
  const { unchanged } = ask;
  let start = unchanged.bias.unknowns;
  const supply = supplyOf(ask);
  if (supply === undefined) return undefined;
  if (supply === null)
    return (ohms) => {
      const circuit = editValues(unchanged.circuit, { ohms });
      const bias = solveBias(circuit, { start });
      if (!bias.ok) return undefined;
      start = bias.value.unknowns;
      return { circuit, bias: bias.value };
    };
  let tangent = supply.standing;
  return (ohms) => {
    for (let pass = 0; pass < TANGENT_PASSES; pass++) {
      const sourceVolts = tangent.volts + tangent.slopeOhms * tangent.loadAmps;
      const circuit = editValues(unchanged.circuit, {
        ohms,
        sources: new Map([[SUPPLY_SOURCE, { volts: sourceVolts, seriesOhms: tangent.slopeOhms }]]),
      });
      const bias = solveBias(circuit, { start });
      if (!bias.ok) return undefined;
      start = bias.value.unknowns;
      const drawn = (sourceVolts - (bias.value.netVolts.get(supply.output) ?? 0)) / tangent.slopeOhms;
      if (Math.abs(drawn - tangent.loadAmps) <= TANGENT_SHARE * tangent.loadAmps) return { circuit, bias: bias.value };
      const moved = supply.at(Math.max(drawn, 1e-6), tangent);
      if (moved === undefined) return undefined;
      tangent = moved;
    }
    return undefined;
  };
}
