/**
 * A channel made ready for harmonics at 1 kHz, and what of the level at its input jack reaches its first grid.
 *
 * Law     Small signal: grid volts over jack volts, with every source, wiper and load as it stands. The first grid is that
 *         of a gain section reached from the jack without passing a tube, else of any section reached so.
 */
import {
  type Complex,
  fail,
  type HarmonicLimits,
  type HarmonicProblem,
  harmonicProblem,
  magnitude,
  ok,
  type Result,
  sentence,
  solveResponse,
  type Volts,
  volts,
} from "@platewright/engine";
import { REFERENCE_HERTZ } from "../solved/channel.ts";
import { sourceId } from "../solved/circuit.ts";
import { stagesOf } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { reached } from "./controls.ts";

export interface ChannelProblem {
  readonly problem: HarmonicProblem;
  /** The source's e.m.f., V rms, behind a level at the jack, V rms. */
  readonly emf: (inputVolts: number) => Volts;
  readonly outputNet: string;
  /** Triode of the first grid; undefined in a channel without tubes. */
  readonly firstGrid?: string;
  /** rms at the first grid over rms at the jack; 1 without a tube. */
  readonly gridShare: number;
}

/** Triodes that stay nonlinear: those of the channel, unless told. */
export interface ChannelProblemAsk {
  readonly limits?: Partial<HarmonicLimits>;
  readonly curved?: (triode: string) => boolean;
}

export function channelProblem(
  solved: SolvedDesign,
  instance: string,
  { limits, curved }: ChannelProblemAsk = {},
): Result<ChannelProblem, string> {
  const channel = solved.expanded.channels.find((one) => one.instance === instance);
  if (channel === undefined) return fail(`There is no channel ${instance}.`);
  const source = sourceId(instance);
  const shareAt = (net: string): Result<number, string> => {
    const response = solveResponse(solved.circuit, solved.bias, { source, output: net, hertz: [REFERENCE_HERTZ] });
    return response.ok ? ok(magnitude(response.value.transfer[0] as Complex)) : fail(sentence(response.failure));
  };
  const jack = shareAt(channel.inputNet);
  if (!jack.ok) return jack;
  const first = firstGridOf(solved, instance, channel.inputNet);
  const grid = first === undefined ? jack : shareAt(first.net);
  if (!grid.ok) return grid;
  const problem = harmonicProblem(solved.circuit, solved.bias, {
    source,
    hertz: REFERENCE_HERTZ,
    output: channel.outputNet,
    linear: solved.expanded.triodes
      .filter((one) => one.instance !== instance || curved?.(one.id) === false)
      .map((one) => one.id),
    ...(limits === undefined ? {} : { limits }),
  });
  return ok({
    problem,
    emf: (inputVolts) => volts(inputVolts / jack.value),
    outputNet: channel.outputNet,
    ...(first === undefined ? {} : { firstGrid: first.triode }),
    gridShare: grid.value / jack.value,
  });
}

function firstGridOf(
  solved: SolvedDesign,
  instance: string,
  inputNet: string,
): { readonly triode: string; readonly net: string } | undefined {
  const before = reached(solved, inputNet);
  const near = stagesOf(solved).filter(({ triode }) => triode.instance === instance && before.has(triode.grid));
  const found = near.find(({ role }) => role === "gain") ?? near[0];
  return found === undefined ? undefined : { triode: found.triode.id, net: found.triode.grid };
}
