/**
 * A document solved whole in one condition: supply joined, bias, heaters, channels.
 *
 * Method  expand → parts → supply joined to the bias (join.ts) → each different channel once (channel.ts).
 * Answer  A SolvedDesign, or one sentence that says what could not be solved; nothing is ever half solved.
 */
import {
  type Bias,
  type Catalogue,
  compile,
  type Effort,
  fail,
  type HarmonicLimits,
  ohms,
  ok,
  type Part,
  type Result,
  sentence,
  solveBias,
  volts,
} from "@platewright/engine";
import { expand } from "../document/expand.ts";
import type { Document } from "../document/schema.ts";
import { solveHeaters } from "../supply/heaters.ts";
import { type Joined, joinSupply, SUPPLY_SOURCE } from "../supply/join.ts";
import { rectifierProblem } from "../supply/rectifier-problem.ts";
import { type Detail, solveChannel } from "./channel.ts";
import { circuitParts } from "./circuit.ts";
import { CONDITION_IDS, conditionOf } from "./conditions.ts";
import type { Condition, JudgedCondition, SolvedChannel, SolvedDesign, SolvedHeater } from "./types.ts";

export interface SolveOptions {
  readonly condition?: JudgedCondition;
  /** A condition of the supply's study instead. */
  readonly situation?: Condition;
  /** Input levels instead of the document's voicing levels, V rms at the jack. */
  readonly levels?: readonly number[];
  /** "brief" for every condition but nominal when not given; "bias" leaves the channels out. */
  readonly detail?: Detail | "bias";
  /** Tail rule and largest K of the harmonic solves, when not the engine's. */
  readonly harmonicLimits?: Partial<HarmonicLimits>;
  /** Guesses of the onsets, by triode, V rms at the jack; Infinity: not reached. */
  readonly onsetsNear?: ReadonlyMap<string, number>;
  /** A fault put into the parts before they are solved. */
  readonly fault?: (parts: readonly Part[]) => readonly Part[];
  /** A solved design near by, to start from. */
  readonly near?: SolvedDesign;
}

export interface DesignFailure {
  readonly sentence: string;
}

export function solveDesign(
  document: Document,
  catalogue: Catalogue,
  options: SolveOptions = {},
): Result<SolvedDesign, DesignFailure> {
  const condition = options.situation ?? conditionOf(document, options.condition ?? "nominal");
  const { near } = options;
  const same = near?.document === document ? near : undefined;
  const expanded = same === undefined ? expand(document) : ok(same.expanded);
  if (!expanded.ok) return fail({ sentence: expanded.failure.sentence });
  const circuit = circuitParts(document, expanded.value, catalogue, condition);
  if (!circuit.ok) return fail({ sentence: circuit.failure });
  const parts = options.fault?.(circuit.value.parts) ?? circuit.value.parts;
  const joined = joinedBias(document, catalogue, parts, condition, options.near);
  if (!joined.ok) return fail({ sentence: joined.failure });
  const { bias } = joined.value;
  const heaters =
    heatersOfNear(document, same, condition, bias) ??
    solveHeaters(document, catalogue, condition.mainsFactor, (net) => bias.netVolts.get(net) ?? 0, condition.absent);
  const channels: SolvedChannel[] = [];
  const detail = options.detail ?? (condition.id === "nominal" ? "full" : "brief");
  if (condition.tubes === "running" && detail !== "bias") {
    for (const channel of expanded.value.channels) {
      const twin = channels.find((solved) => solved.instance === expanded.value.equalTo.get(channel.instance));
      if (twin !== undefined) {
        channels.push({ ...twin, ...channel, sameAs: twin.instance });
        continue;
      }
      const solved = solveChannel(joined.value.circuit, bias, expanded.value, channel, {
        levels: options.levels ?? document.targets.voicingVolts,
        largestInputVolts: document.targets.largestInputVolts,
        detail,
        ...(options.harmonicLimits === undefined ? {} : { harmonicLimits: options.harmonicLimits }),
        ...(options.onsetsNear === undefined ? {} : { onsetsNear: options.onsetsNear }),
      });
      if (!solved.ok) return fail({ sentence: solved.failure });
      channels.push(solved.value);
    }
  }
  return ok({
    document,
    condition,
    expanded: expanded.value,
    parts: joined.value.parts,
    circuit: joined.value.circuit,
    bias,
    ...(joined.value.supply === undefined ? {} : { supply: joined.value.supply }),
    heaters,
    channels,
    laws: circuit.value.laws,
    effort: totalEffort(bias.effort, channels),
  });
}

/** The same document at the same mains with the same bottles: its heaters are the same, only what they are lifted by moves. */
function heatersOfNear(
  document: Document,
  near: SolvedDesign | undefined,
  { mainsFactor, absent }: Condition,
  bias: Bias,
): readonly SolvedHeater[] | undefined {
  if (near === undefined || near.condition.mainsFactor !== mainsFactor || near.condition.absent !== absent)
    return undefined;
  const references = new Map((document.supply?.transformer.heaters ?? []).map((one) => [one.id, one.reference]));
  return near.heaters.map((one) => ({
    ...one,
    referenceVolts: bias.netVolts.get(references.get(one.winding) ?? "0") ?? volts(0),
  }));
}

function joinedBias(
  document: Document,
  catalogue: Catalogue,
  parts: Parameters<typeof joinSupply>[0],
  condition: Condition,
  near: SolvedDesign | undefined,
): Result<Joined, string> {
  const { supply } = document;
  if (supply === undefined) {
    const compiled = compile(parts);
    if (!compiled.ok) return fail(sentence(compiled.failure));
    const bias = solveBias(compiled.value);
    return bias.ok ? ok({ circuit: compiled.value, bias: bias.value, parts }) : fail(sentence(bias.failure));
  }
  if (supply.rectifier.envelope !== undefined && condition.absent?.includes(supply.rectifier.envelope) === true)
    return withoutRectifier(parts, supply.rectifier.output);
  const first = parts.find((part) => part.id === supply.rectifier.firstCapacitor);
  if (first?.kind !== "capacitor")
    return fail(
      `supply.rectifier.firstCapacitor: ${supply.rectifier.firstCapacitor} is not a capacitor of the design.`,
    );
  const problem = rectifierProblem(document, supply, catalogue, condition.mainsFactor, first.farads);
  if (!problem.ok) return problem;
  const sameTubes = near !== undefined && near.bias.unknowns.length > 0 && near.condition.tubes === condition.tubes;
  return joinSupply(parts, {
    problem: problem.value,
    output: supply.rectifier.output,
    ...(near?.supply !== undefined && sameTubes
      ? {
          start: {
            loadAmps: near.supply.loadAmps,
            unknowns: near.bias.unknowns,
            rectifier: near.supply.rectifier.start,
            circuit: near.circuit,
          },
        }
      : {}),
  });
}

/** Nothing rectifies: the first capacitor stays empty, behind the leakage of an empty socket. */
function withoutRectifier(parts: Parameters<typeof joinSupply>[0], output: string): Result<Joined, string> {
  const all: readonly Part[] = [
    ...parts,
    { kind: "dc-source", id: SUPPLY_SOURCE, plus: output, minus: "0", volts: volts(0), seriesOhms: ohms(LEAKAGE_OHMS) },
  ];
  const compiled = compile(all);
  if (!compiled.ok) return fail(sentence(compiled.failure));
  const bias = solveBias(compiled.value);
  return bias.ok ? ok({ circuit: compiled.value, bias: bias.value, parts: all }) : fail(sentence(bias.failure));
}

const LEAKAGE_OHMS = 1e8;

/** Every condition of a document, by id; the first failure otherwise. Warm starts run from nominal outwards. */
export function solveConditions(
  document: Document,
  catalogue: Catalogue,
  nominal?: SolvedDesign,
  harmonicLimits?: Partial<HarmonicLimits>,
): Result<ReadonlyMap<JudgedCondition, SolvedDesign>, DesignFailure> {
  const solved = new Map<JudgedCondition, SolvedDesign>();
  for (const id of CONDITION_IDS) {
    const near = nominal ?? solved.get("nominal");
    if (id === "nominal" && nominal !== undefined) {
      solved.set(id, nominal);
      continue;
    }
    const answer = solveDesign(document, catalogue, {
      condition: id,
      ...(near === undefined ? {} : { near }),
      ...(harmonicLimits === undefined ? {} : { harmonicLimits }),
    });
    if (!answer.ok) return fail({ sentence: `${conditionOf(document, id).words}: ${answer.failure.sentence}` });
    solved.set(id, answer.value);
  }
  return ok(solved);
}

function totalEffort(bias: Effort, channels: readonly SolvedChannel[]): Effort {
  let { steps, factorings, lawCalls, residual } = bias;
  for (const channel of channels) {
    if (channel.sameAs !== undefined) continue;
    for (const { answer } of [...channel.levels, channel.largest]) {
      steps += answer.effort.steps;
      factorings += answer.effort.factorings;
      lawCalls += answer.effort.lawCalls;
      residual = Math.max(residual, answer.effort.residual);
    }
  }
  return { steps, factorings, lawCalls, residual };
}
