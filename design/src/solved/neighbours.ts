/**
 * A design and the two that it would be with one part a step up and a step down, solved whole: exact where sensitivities
 * are first order.
 */
import { type Catalogue, fail, ok, type Result } from "@platewright/engine";
import type { Document } from "../document/schema.ts";
import { type PartEdit, setPart } from "../document/set-part.ts";
import { solveDesign } from "./solve.ts";
import type { SolvedDesign } from "./types.ts";

/** What a builder looks at first of one channel. */
export interface ChannelFigures {
  readonly triodes: readonly { readonly part: string; readonly plateAmps: number; readonly plateVolts: number }[];
  readonly gainDecibels: number;
  /** H2 over the fundamental at the level asked for; null where there is none to speak of. */
  readonly h2Ratio: number | null;
  readonly outputOhms: number;
  readonly supplyVolts: number | null;
}

export interface NeighbourAsk {
  readonly document: Document;
  readonly catalogue: Catalogue;
  /** The document solved: what the others start from. */
  readonly near: SolvedDesign;
  /** Whose figures are read; V rms at its jack for H2. */
  readonly channel: string;
  readonly levelVolts: number;
  /** Instances and part that the edits are of. */
  readonly instances: readonly string[];
  readonly part: string;
}

/** Figures as the design stands, then with each edit; a sentence for an edit that cannot be solved. */
export function neighbourFigures(
  ask: NeighbourAsk,
  edits: readonly PartEdit[],
): Result<{ readonly now: ChannelFigures; readonly after: readonly Result<ChannelFigures, string>[] }, string> {
  const now = figuresOf(ask, ask.document);
  if (!now.ok) return now;
  return ok({
    now: now.value,
    after: edits.map((edit) => figuresOf(ask, setPart(ask.document, ask.instances, ask.part, edit))),
  });
}

/** Below this H2 is rounding. */
const SILENT = 1e-9;

function figuresOf(ask: NeighbourAsk, document: Document): Result<ChannelFigures, string> {
  const { catalogue, near, channel: instance, levelVolts } = ask;
  const solved = solveDesign(document, catalogue, { levels: [levelVolts], detail: "levels", near });
  if (!solved.ok) return fail(solved.failure.sentence);
  const channel = solved.value.channels.find((one) => one.instance === instance);
  if (channel === undefined) return fail(`${instance} is no channel of the design.`);
  const h2 = channel.levels.find((point) => point.inputVolts === levelVolts)?.ratios[0] ?? 0;
  const output = document.supply?.rectifier.output;
  return ok({
    triodes: solved.value.expanded.triodes
      .filter((one) => one.instance === instance)
      .map(({ id, part }) => {
        const bias = solved.value.bias.triodes.get(id);
        return { part, plateAmps: bias?.plateAmps ?? Number.NaN, plateVolts: bias?.plateVolts ?? Number.NaN };
      }),
    gainDecibels: 20 * Math.log10(channel.gain),
    h2Ratio: h2 > SILENT ? h2 : null,
    outputOhms: channel.outputOhms,
    supplyVolts: output === undefined ? null : (solved.value.bias.netVolts.get(output) ?? null),
  });
}
