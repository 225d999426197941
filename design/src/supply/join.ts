/**
 * Supply joined to the circuit: winding, rectifier, a choke that follows it, and first capacitor are one nonlinear source
 * with a slope (source.ts); everything after the first capacitor is ordinary circuit.
 *
 * Law     v(I) of the source's steady state = volts of the circuit at the first capacitor when it draws I.
 * Method  The source is put into the circuit as its tangent: v0 - slope I0 in series with -slope; the bias then gives a
 *         new I. That is Newton's method on I; it ends when the volts move by less than 1 mV.
 */
import {
  amps,
  type Bias,
  compile,
  type CompiledCircuit,
  ohms,
  type Part,
  rectifierSentence,
  revalue,
  sentence,
  solveBias,
  volts,
  fail,
  ok,
  type Result,
} from "@platewright/engine";
import type { SolvedSupply } from "../solved/types.ts";
import { solveSource, type SourceProblem } from "./source.ts";

/** Id of the source that stands for winding, rectifier and first capacitor in the circuit. */
export const SUPPLY_SOURCE = "supply";
const SETTLED_VOLTS = 1e-3;
const PASSES = 60;
/** No unit draws less for good; below it the volts are those of no load. */
const LEAST_AMPS = 1e-6;

export interface Joined {
  readonly circuit: CompiledCircuit;
  readonly bias: Bias;
  readonly parts: readonly Part[];
  readonly supply?: SolvedSupply;
}

export interface JoinStart {
  readonly loadAmps: number;
  readonly unknowns?: Float64Array;
  readonly circuit?: CompiledCircuit;
  readonly rectifier?: Float64Array;
}

/** Solves circuit and supply together. `parts` holds no source for the first capacitor yet; it is added here. */
export function joinSupply(
  parts: readonly Part[],
  ask: { readonly problem: SourceProblem; readonly output: string; readonly start?: JoinStart },
): Result<Joined, string> {
  let load = ask.start?.loadAmps ?? 0.03;
  let unknowns = ask.start?.unknowns;
  let circuit = ask.start?.circuit;
  let warm: Float64Array | undefined = ask.start?.rectifier;
  for (let pass = 1; pass <= PASSES; pass++) {
    const asked = Math.max(load, LEAST_AMPS);
    const answer = solveSource(ask.problem, asked, warm);
    if (!answer.ok) {
      // A guess or a step can ask for more than winding and rectifier give; the circuit may want less.
      if (answer.failure.kind !== "load-too-heavy" || asked <= LEAST_AMPS || pass === PASSES)
        return fail(rectifierSentence(answer.failure));
      load = asked / 2;
      warm = undefined;
      continue;
    }
    const { rectifier, choke } = answer.value;
    warm = rectifier.start;
    const slope = Math.max(1e-3, -rectifier.slopeOhms);
    const source: Part = {
      kind: "dc-source",
      id: SUPPLY_SOURCE,
      plus: ask.output,
      minus: "0",
      volts: volts(rectifier.dcVolts + slope * asked),
      seriesOhms: ohms(slope),
    };
    const all = [...parts, source];
    const compiled = circuit === undefined ? compile(all) : revalue(circuit, all);
    if (!compiled.ok) return fail(sentence(compiled.failure));
    circuit = compiled.value;
    const bias = solveBias(circuit, unknowns === undefined ? {} : { start: unknowns });
    if (!bias.ok) return fail(sentence(bias.failure));
    unknowns = bias.value.unknowns;
    const at = bias.value.netVolts.get(ask.output) ?? 0;
    const drawn = (source.volts - at) / slope;
    const moved = Math.abs(at - rectifier.dcVolts);
    load = drawn;
    // Where nothing is drawn, the slope of a microampere is all that keeps the two apart.
    if (moved < SETTLED_VOLTS || (asked <= LEAST_AMPS && drawn < LEAST_AMPS))
      return ok({
        circuit,
        bias: bias.value,
        parts: all,
        supply: {
          rectifier,
          loadAmps: amps(Math.max(0, drawn)),
          sourceOhmsPerPlate: ohms(ask.problem.seriesOhms),
          unloadedRmsVolts: volts(ask.problem.rmsVolts),
          passes: pass,
          ...(choke === undefined ? {} : { choke }),
        },
      });
  }
  return fail(`Supply and circuit did not settle in ${PASSES} passes; nothing is shown for them.`);
}
