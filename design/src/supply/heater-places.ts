/** Heater windings in figures: what cold heaters draw, and where each winding's reference stands in its window. */
import type { Judged } from "../limits/judged.ts";
import { netVolts } from "../limits/judged.ts";
import { elevationSections } from "./elevation-sections.ts";
import { elevationSentences, elevationWindow, type ElevationBound } from "./elevation.ts";
import { solveDirectHeaters } from "./heater-network-direct.ts";
import { heatersOf } from "./heater-network-document.ts";
import { solveHeaterNetwork } from "./heater-network.ts";
import { transformerOf } from "./rectifier-problem.ts";

/** A limit that sets an edge of the window: whose, how, when, and its source's key. */
export type WindowEdge = Pick<ElevationBound, "section" | "tube" | "sign" | "measure" | "condition" | "volts"> & {
  readonly limitVolts: number;
  readonly source: string;
};

export interface HeaterPlace {
  readonly winding: string;
  /** The net that it is referred to, and its nominal volts. */
  readonly reference: string;
  readonly volts: number;
  /** From cold, at nominal mains: lowest and highest (cold heaters 2.7 to 7.2 times lower: common practice). */
  readonly inrushAmps?: readonly [number, number];
  /** Between these volts every tube on it is legal; `high` is left out where nothing bounds it. */
  readonly window?: { readonly low: number; readonly high?: number; readonly verified: boolean };
  readonly setLow?: WindowEdge;
  readonly setHigh?: WindowEdge;
  /** Why there is no window. */
  readonly conflicts: readonly string[];
}

export function heaterPlaces(judged: Judged): readonly HeaterPlace[] {
  const { document, catalogue, nominal } = judged;
  const { supply } = document;
  const resolved = supply === undefined ? undefined : transformerOf(supply);
  if (supply === undefined || resolved?.ok !== true) return [];
  return resolved.value.heaters.flatMap((winding): readonly HeaterPlace[] => {
    const heaters = heatersOf(document, catalogue, winding);
    if (!heaters.ok) return [];
    const { source, branches, options, direct, reference } = heaters.value;
    const solved =
      branches.length === 0
        ? undefined
        : direct === undefined
          ? solveHeaterNetwork(source, branches, options)
          : solveDirectHeaters(source, branches, direct, options);
    const net = winding.reference;
    const lifter = net === "0" ? supply.rectifier.output : net;
    const sections = elevationSections({ judged, winding: winding.id, lifter, reference });
    const window = sections.length === 0 ? undefined : elevationWindow(sections);
    return [
      {
        winding: winding.id,
        reference: net,
        volts: netVolts(nominal, net) ?? 0,
        ...(solved?.ok === true ? { inrushAmps: solved.value.inrush.amps } : {}),
        ...(window?.kind === "window"
          ? {
              window: {
                low: window.low,
                ...(Number.isFinite(window.high) ? { high: window.high } : {}),
                verified: window.verified,
              },
              ...(window.setLow === undefined ? {} : { setLow: edgeOf(window.setLow) }),
              ...(window.setHigh === undefined ? {} : { setHigh: edgeOf(window.setHigh) }),
            }
          : {}),
        conflicts: window?.kind === "empty" ? elevationSentences(window) : [],
      },
    ];
  });
}

const edgeOf = ({ section, tube, sign, measure, condition, volts, limit }: ElevationBound): WindowEdge => ({
  section,
  tube,
  sign,
  measure,
  condition,
  volts,
  limitVolts: limit.volts,
  source: limit.source,
});
