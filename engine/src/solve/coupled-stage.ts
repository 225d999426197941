/**
 * One resistance-coupled stage as makers' tables print it, built from ordinary parts and solved by the general solves.
 *
 * Circuit  A source without resistance drives the grid; grid leak across it; plate load from the supply; cathode resistor,
 *          bypassed or not; coupling capacitor into the next grid's resistor, when there is one.
 * Answers  Bias, small-signal gain and output impedance at 1 kHz, harmonics at a wanted output, onset of grid current.
 */
import { type CompiledCircuit, compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { fail, ok, type Result } from "../result.ts";
import type { TriodeLaw } from "../tubes/law.ts";
import { amps, farads, hertz, type Ohms, ohms, type Volts, volts, type Watts, watts } from "../units/quantities.ts";
import type { Bias, CompileFailure, Effort, HarmonicAnswer, SolveFailure } from "./answers.ts";
import { solveBias } from "./bias.ts";
import { type HarmonicProblem, harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { gridCurrentOnset, inputForOutput } from "./levels.ts";
import { magnitude, solveImpedance, solveResponse } from "./response.ts";
import { harmonicRatios, rmsVolts, totalRatio } from "./spectrum.ts";

export interface CoupledStage {
  readonly law: TriodeLaw;
  readonly gridPlateFarads: number;
  readonly gridCathodeFarads: number;
  readonly plateCathodeFarads: number;
  readonly supplyVolts: number;
  readonly plateLoadOhms: number;
  /** 0: the cathode stands on ground. */
  readonly cathodeOhms: number;
  /** Left out: unbypassed. */
  readonly bypassFarads?: number;
  readonly gridLeakOhms: number;
  /** Coupling capacitor and the resistor behind it; left out: nothing follows. */
  readonly next?: { readonly couplingFarads: number; readonly gridOhms: number };
}

export interface StageBias {
  readonly plateAmps: number;
  /** Plate to cathode. */
  readonly plateVolts: Volts;
  readonly cathodeVolts: Volts;
  readonly gridVolts: Volts;
  readonly plateWatts: Watts;
  readonly mu: number;
  readonly siemens: number;
  readonly plateOhms: Ohms;
}

export interface StageLevel {
  /** Total rms at the output. */
  readonly outputVolts: Volts;
  readonly inputVolts: Volts;
  /** H2, H3, ... over the fundamental, per cent. */
  readonly percent: readonly number[];
  readonly totalPercent: number;
  readonly answer: HarmonicAnswer;
}

export interface SolvedStage {
  readonly stage: CoupledStage;
  readonly circuit: CompiledCircuit;
  readonly output: string;
  readonly bias: StageBias;
  readonly solvedBias: Bias;
  /** Small signal, 1 kHz, as a magnitude; the stage inverts. */
  readonly gain: number;
  readonly outputOhms: Ohms;
  readonly problem: HarmonicProblem;
  readonly effort: Effort;
}

const STAGE_HERTZ = hertz(1000);
const TUBE = "V1";

export function stageParts(stage: CoupledStage): readonly Part[] {
  const { next } = stage;
  return [
    { kind: "ac-source", id: "signal", plus: "g", minus: "0", seriesOhms: ohms(0) },
    { kind: "resistor", id: "grid leak", a: "g", b: "0", ohms: ohms(stage.gridLeakOhms) },
    { kind: "dc-source", id: "supply", plus: "b", minus: "0", volts: volts(stage.supplyVolts), seriesOhms: ohms(0) },
    { kind: "resistor", id: "plate load", a: "b", b: "p", ohms: ohms(stage.plateLoadOhms) },
    stage.cathodeOhms > 0
      ? { kind: "resistor", id: "cathode", a: "k", b: "0", ohms: ohms(stage.cathodeOhms) }
      : { kind: "switch", id: "cathode", a: "k", b: "0", closed: true },
    {
      kind: "triode",
      id: TUBE,
      plate: "p",
      grid: "g",
      cathode: "k",
      law: stage.law,
      gridPlateFarads: farads(stage.gridPlateFarads),
      gridCathodeFarads: farads(stage.gridCathodeFarads),
      plateCathodeFarads: farads(stage.plateCathodeFarads),
    },
    ...(stage.bypassFarads === undefined || stage.cathodeOhms === 0
      ? []
      : [{ kind: "capacitor" as const, id: "bypass", a: "k", b: "0", farads: farads(stage.bypassFarads) }]),
    ...(next === undefined
      ? []
      : [
          { kind: "capacitor" as const, id: "coupling", a: "p", b: "n", farads: farads(next.couplingFarads) },
          { kind: "resistor" as const, id: "next grid", a: "n", b: "0", ohms: ohms(next.gridOhms) },
        ]),
  ];
}

/** Bias, gain and output impedance; the harmonic problem stands ready for `stageAtOutput` and `stageOnset`. */
export function solveStage(stage: CoupledStage): Result<SolvedStage, CompileFailure | SolveFailure> {
  const compiled = compile(stageParts(stage));
  if (!compiled.ok) return compiled;
  const circuit = compiled.value;
  const bias = solveBias(circuit);
  if (!bias.ok) return bias;
  const output = stage.next === undefined ? "p" : "n";
  const response = solveResponse(circuit, bias.value, { source: "signal", output, hertz: [STAGE_HERTZ] });
  if (!response.ok) return response;
  const impedance = solveImpedance(circuit, bias.value, { net: output, hertz: [STAGE_HERTZ] });
  if (!impedance.ok) return impedance;
  const tube = bias.value.triodes.get(TUBE);
  const transfer = response.value.transfer[0];
  const looking = impedance.value[0];
  if (tube === undefined || transfer === undefined || looking === undefined)
    return fail({ kind: "unknown-name", name: TUBE });
  return ok({
    stage,
    circuit,
    output,
    bias: {
      plateAmps: amps(tube.plateAmps),
      plateVolts: tube.plateVolts,
      cathodeVolts: volts(bias.value.netVolts.get("k") ?? Number.NaN),
      gridVolts: tube.gridVolts,
      plateWatts: watts(tube.plateWatts),
      mu: tube.mu,
      siemens: tube.siemens,
      plateOhms: tube.plateOhms,
    },
    solvedBias: bias.value,
    gain: magnitude(transfer),
    outputOhms: ohms(magnitude(looking)),
    problem: harmonicProblem(circuit, bias.value, { source: "signal", hertz: STAGE_HERTZ, output }),
    effort: bias.value.effort,
  });
}

/** Harmonics where the output is `outputRms` volts in all. */
export function stageAtOutput(solved: SolvedStage, outputRms: number): Result<StageLevel, SolveFailure> {
  const found = inputForOutput(solved.problem, volts(outputRms), solved.gain);
  return found.ok ? ok(describeLevel(found.value.inputVolts, found.value.answer)) : found;
}

/** Harmonics at an input level. */
export function stageAtInput(solved: SolvedStage, inputRms: number): Result<StageLevel, SolveFailure> {
  const answer = solveHarmonics(solved.problem, { sourceVoltsPeak: volts(inputRms * Math.SQRT2) });
  return answer.ok ? ok(describeLevel(volts(inputRms), answer.value)) : answer;
}

function describeLevel(inputVolts: Volts, answer: HarmonicAnswer): StageLevel {
  return {
    outputVolts: volts(rmsVolts(answer.output)),
    inputVolts,
    percent: harmonicRatios(answer.output).map((ratio) => 100 * ratio),
    totalPercent: 100 * totalRatio(answer.output),
    answer,
  };
}

export interface StageOnset {
  /** null: not reached below `searchedTo`. */
  readonly inputVolts: Volts | null;
  readonly outputVolts: Volts | null;
  readonly searchedTo: Volts;
}

/** Input and output at which the mean grid current reaches the onset. */
export function stageOnset(solved: SolvedStage, upToVolts = 100): Result<StageOnset, SolveFailure> {
  const onset = gridCurrentOnset(solved.problem, TUBE, volts(upToVolts));
  if (!onset.ok) return onset;
  const { inputVolts, answer, searchedTo } = onset.value;
  return ok({
    inputVolts,
    outputVolts: inputVolts === null || answer === undefined ? null : volts(rmsVolts(answer.output)),
    searchedTo,
  });
}
