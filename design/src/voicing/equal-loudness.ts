/**
 * Two settings of drive and level that play equally loud, one with `factor` times the second harmonic of the other.
 *
 * Method  The setting as it stands is one of the two. For a position of the drive the level control is moved until the
 *         output's rms agrees (secant on its logarithm); the drive is moved until H2 over the fundamental is the wanted
 *         number of times the other's (false position on the logarithm of its wiper's share). Every setting is the whole
 *         circuit solved: what a control's position does to its source and load is in it.
 * Answer  Both settings with positions, outputs equal within 0.001 dB and H2 the factor apart within 0.01 dB; or by name
 *         what is missing or which control came to its end.
 */
import {
  clockPosition,
  type CompiledCircuit,
  fail,
  harmonicProblem,
  magnitude,
  ok,
  type Part,
  revalue,
  type Result,
  sentence,
  solveBias,
  solveLevels,
  solveResponse,
  volts,
} from "@platewright/engine";
import { turnForFraction } from "../document/parts.ts";
import { levelPoint, REFERENCE_HERTZ } from "../solved/channel.ts";
import { sourceId } from "../solved/circuit.ts";
import type { LevelPoint, SolvedDesign } from "../solved/types.ts";
import { type Control, findControls } from "./controls.ts";

export interface EqualLoudnessAsk {
  readonly instance: string;
  /** V rms at the input jack at which the two are compared. */
  readonly inputVolts: number;
  /** How many times the second harmonic; 2 unless told. */
  readonly factor?: number;
  /** Which of the two the present setting is; the cleaner when its drive can go up that far, unless told. */
  readonly present?: "cleaner" | "richer";
}

export interface ControlSetting {
  readonly part: string;
  readonly fraction: number;
  /** 0 fully down, 1 fully up. */
  readonly turn: number;
  readonly clock: string;
}

export interface LoudnessSetting {
  readonly drive: ControlSetting;
  readonly level: ControlSetting;
  readonly outputVolts: number;
  readonly h2Ratio: number;
}

export interface EqualLoudness {
  readonly cleaner: LoudnessSetting;
  readonly richer: LoudnessSetting;
  readonly present: "cleaner" | "richer";
  readonly solves: number;
}

export type LoudnessFailure =
  | { readonly kind: "no-channel"; readonly instance: string }
  /** A factor has to be above 1, an input above 0. */
  | { readonly kind: "bad-ask"; readonly field: "factor" | "inputVolts"; readonly given: number }
  | { readonly kind: "no-control"; readonly missing: "drive" | "level" }
  /** A control would have to go beyond its end. */
  | { readonly kind: "at-end"; readonly control: "drive" | "level"; readonly end: "up" | "down"; readonly part: string }
  /** Within reach of the drive H2 does not move by the factor. */
  | { readonly kind: "harmonic-does-not-follow"; readonly reached: number }
  | { readonly kind: "not-solved"; readonly sentence: string };

const OUTPUT_NEPERS = 0.001 / 8.686;
const RATIO_NEPERS = 0.01 / 8.686;
/** Lowest wiper share that is tried: 60 dB down, where no one sets a control. */
const LEAST_FRACTION = 1e-3;
/** A coarse tail is enough for H2 to 1e-6. */
const TAIL_DECIBELS = -120;

interface Bench {
  readonly solved: SolvedDesign;
  readonly instance: string;
  readonly inputVolts: number;
  readonly outputNet: string;
  readonly inputNet: string;
  readonly drive: Control;
  readonly level: Control;
  circuit: CompiledCircuit;
  start: Float64Array;
  solves: number;
}

export function equalLoudness(solved: SolvedDesign, ask: EqualLoudnessAsk): Result<EqualLoudness, LoudnessFailure> {
  const channel = solved.expanded.channels.find((one) => one.instance === ask.instance);
  if (channel === undefined) return fail({ kind: "no-channel", instance: ask.instance });
  const factor = ask.factor ?? 2;
  if (!(factor > 1 && factor < Infinity)) return fail({ kind: "bad-ask", field: "factor", given: factor });
  if (!(ask.inputVolts > 0 && ask.inputVolts < Infinity))
    return fail({ kind: "bad-ask", field: "inputVolts", given: ask.inputVolts });
  const { drive, level } = findControls(solved, ask.instance);
  if (drive === undefined) return fail({ kind: "no-control", missing: "drive" });
  if (level === undefined) return fail({ kind: "no-control", missing: "level" });
  const bench: Bench = {
    ...channel,
    solved,
    inputVolts: ask.inputVolts,
    drive,
    level,
    circuit: solved.circuit,
    start: solved.bias.unknowns,
    solves: 0,
  };
  const here = play(bench, Math.max(LEAST_FRACTION, drive.fraction), Math.max(LEAST_FRACTION, level.fraction));
  if (!here.ok) return here;
  if (ask.present !== undefined) return pair(bench, here.value, factor, ask.present);
  const up = pair(bench, here.value, factor, "cleaner");
  if (up.ok || up.failure.kind === "not-solved") return up;
  const down = pair(bench, here.value, factor, "richer");
  return down.ok ? down : up;
}

interface Played {
  readonly drive: number;
  readonly level: number;
  readonly point: LevelPoint;
}

function pair(
  bench: Bench,
  here: Played,
  factor: number,
  present: "cleaner" | "richer",
): Result<EqualLoudness, LoudnessFailure> {
  const up = present === "cleaner";
  const wanted = Math.log(h2Of(here.point)) + (up ? 1 : -1) * Math.log(factor);
  const end = Math.log(up ? 1 : LEAST_FRACTION);
  let near = { at: Math.log(here.drive), miss: Math.log(h2Of(here.point)) - wanted };
  const atEnd: LoudnessFailure = { kind: "at-end", control: "drive", end: up ? "up" : "down", part: bench.drive.id };
  if (up ? near.at >= end : near.at <= end) return fail(atEnd);
  let far: { at: number; miss: number } | undefined;
  // H2 is near to proportional to what reaches the grid: the first step is the factor itself.
  let next = near.at - near.miss;
  for (let tries = 0; tries < 40; tries++) {
    next = up ? Math.min(next, end) : Math.max(next, end);
    const other = matched(bench, Math.exp(next), here);
    if (!other.ok) return other;
    const miss = Math.log(h2Of(other.value.point)) - wanted;
    if (Math.abs(miss) < RATIO_NEPERS) {
      const [mine, its] = [settingOf(bench, here), settingOf(bench, other.value)];
      return ok({ cleaner: up ? mine : its, richer: up ? its : mine, present, solves: bench.solves });
    }
    if (miss < 0 === near.miss < 0) {
      if (next === end) {
        const moved = Math.exp(Math.abs(miss - (Math.log(h2Of(here.point)) - wanted)));
        return fail(Math.log(moved) < 0.01 ? { kind: "harmonic-does-not-follow", reached: moved } : atEnd);
      }
      near = { at: next, miss };
    } else far = { at: next, miss };
    if (far === undefined) next = near.at - 1.2 * near.miss;
    else {
      const share = tries % 4 === 3 ? 0.5 : near.miss / (near.miss - far.miss);
      next = near.at + share * (far.at - near.at);
    }
  }
  return fail({ kind: "harmonic-does-not-follow", reached: Number.NaN });
}

/** The level control moved until the output is that of `here`, for a position of the drive. */
function matched(bench: Bench, drive: number, here: Played): Result<Played, LoudnessFailure> {
  const wanted = Math.log(here.point.outputVolts);
  let level = Math.min(1, Math.max(LEAST_FRACTION, (here.level * here.drive) / drive));
  let before: readonly [number, number] | undefined;
  for (let tries = 0; tries < 30; tries++) {
    const played = play(bench, drive, level);
    if (!played.ok) return played;
    const miss = Math.log(played.value.point.outputVolts) - wanted;
    if (Math.abs(miss) < OUTPUT_NEPERS) return played;
    const at = Math.log(level);
    if ((level >= 1 && miss < 0) || (level <= LEAST_FRACTION && miss > 0))
      return fail({ kind: "at-end", control: "level", end: miss < 0 ? "up" : "down", part: bench.level.id });
    const slope = before === undefined || before[0] === at ? 1 : (miss - before[1]) / (at - before[0]);
    before = [at, miss];
    level = Math.min(1, Math.max(LEAST_FRACTION, Math.exp(at - miss / Math.min(2, Math.max(0.3, slope)))));
  }
  return fail({ kind: "not-solved", sentence: "No position of the level control gives the same output." });
}

const h2Of = (point: LevelPoint): number => Math.max(1e-12, point.ratios[0] ?? 0);

/** One setting of both controls, solved whole. */
function play(bench: Bench, drive: number, level: number): Result<Played, LoudnessFailure> {
  const wrong = (words: string) => fail({ kind: "not-solved", sentence: words } as const);
  const parts = bench.circuit.parts.map((part): Part => {
    if (part.kind !== "potentiometer") return part;
    if (part.id === bench.drive.id) return { ...part, fraction: drive };
    return part.id === bench.level.id ? { ...part, fraction: level } : part;
  });
  const circuit = revalue(bench.circuit, parts);
  if (!circuit.ok) return wrong(sentence(circuit.failure));
  const bias = solveBias(circuit.value, { start: bench.start });
  if (!bias.ok) return wrong(sentence(bias.failure));
  bench.circuit = circuit.value;
  bench.start = bias.value.unknowns;
  bench.solves += 1;
  const source = sourceId(bench.instance);
  const jack = solveResponse(circuit.value, bias.value, {
    source,
    output: bench.inputNet,
    hertz: [REFERENCE_HERTZ],
  });
  const share = jack.ok ? jack.value.transfer[0] : undefined;
  if (!jack.ok || share === undefined) return wrong(jack.ok ? "No signal at the input." : sentence(jack.failure));
  const { triodes } = bench.solved.expanded;
  const problem = harmonicProblem(circuit.value, bias.value, {
    source,
    hertz: REFERENCE_HERTZ,
    output: bench.outputNet,
    linear: triodes.filter((one) => one.instance !== bench.instance).map((one) => one.id),
    limits: { tailDecibels: TAIL_DECIBELS },
  });
  const answers = solveLevels(problem, [volts(bench.inputVolts / magnitude(share))]);
  const answer = answers.ok ? answers.value[0] : undefined;
  if (!answers.ok || answer === undefined) return wrong(answers.ok ? "No level." : sentence(answers.failure));
  return ok({ drive, level, point: levelPoint(bench.inputVolts, answer) });
}

function settingOf(bench: Bench, { drive, level, point }: Played): LoudnessSetting {
  return {
    drive: controlSetting(bench.drive, drive),
    level: controlSetting(bench.level, level),
    outputVolts: point.outputVolts,
    h2Ratio: h2Of(point),
  };
}

function controlSetting({ id, taper }: Control, fraction: number): ControlSetting {
  const turn = turnForFraction(taper, fraction);
  return { part: id, fraction, turn, clock: clockPosition(turn) };
}
