/**
 * The signal at nets of a channel for one level at its jack: the fundamental, rms, as the tubes really pass it.
 *
 * Method  One harmonic solve at the level (the one at hand when it was asked for before); every other net is read off the
 *         same device currents: a solve of the same size that starts from its samples has nothing left to do.
 * Limits  The fundamental at 1 kHz. A net that no signal reaches reads as zero.
 */
import {
  amplitude,
  fail,
  harmonicProblem,
  harmonicRatios,
  magnitude,
  ok,
  type Result,
  sentence,
  solveHarmonics,
  solveResponse,
  volts,
} from "@platewright/engine";
import { REFERENCE_HERTZ } from "./channel.ts";
import { sourceId } from "./circuit.ts";
import type { SolvedDesign } from "./types.ts";

export interface SignalLevels {
  readonly inputVolts: number;
  /** Fundamental, V rms, by net. */
  readonly netVolts: ReadonlyMap<string, number>;
  /** H2 over the fundamental at the output. */
  readonly h2Ratio: number;
}

export function signalLevels(
  solved: SolvedDesign,
  instance: string,
  inputVolts: number,
  nets: readonly string[],
): Result<SignalLevels, string> {
  const channel = solved.expanded.channels.find((one) => one.instance === instance);
  if (channel === undefined) return fail(`${instance} is no channel of the design.`);
  const { circuit, bias } = solved;
  const source = sourceId(instance);
  const share = solveResponse(circuit, bias, { source, output: channel.inputNet, hertz: [REFERENCE_HERTZ] });
  const atJack = share.ok ? share.value.transfer[0] : undefined;
  if (atJack === undefined) return fail(share.ok ? "The input is not tied to anything." : sentence(share.failure));
  const linear = solved.expanded.triodes.filter((one) => one.instance !== instance).map((one) => one.id);
  const sourceVoltsPeak = volts((inputVolts * Math.SQRT2) / magnitude(atJack));
  const problem = (output: string) =>
    harmonicProblem(circuit, bias, { source, hertz: REFERENCE_HERTZ, output, linear, limits: LIMITS });
  const known = solved.channels
    .find((one) => one.instance === instance && one.sameAs === undefined)
    ?.levels.find((point) => point.inputVolts === inputVolts)?.answer;
  const first = known === undefined ? solveHarmonics(problem(channel.outputNet), { sourceVoltsPeak }) : ok(known);
  if (!first.ok) return fail(sentence(first.failure));
  const { samples, harmonics, output } = first.value;
  const netVolts = new Map<string, number>([
    [channel.outputNet, amplitude(output, 1) / Math.SQRT2],
    [channel.inputNet, inputVolts],
  ]);
  for (const net of nets) {
    if (netVolts.has(net)) continue;
    const answer = solveHarmonics(problem(net), { sourceVoltsPeak, start: samples, harmonics });
    if (!answer.ok) return fail(sentence(answer.failure));
    netVolts.set(net, amplitude(answer.value.output, 1) / Math.SQRT2);
  }
  return ok({ inputVolts, netVolts, h2Ratio: harmonicRatios(output)[0] ?? 0 });
}

/** Levels are read to three digits. */
const LIMITS = { tailDecibels: -80, mostHarmonics: 32 } as const;
