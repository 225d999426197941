import { assert } from "@platewright/engine";
import { type Axis, axisOver, printQuantity, THIN } from "../plot/axis.ts";
import type { PanelSpec, PlotLimit, PlotLine } from "../plot/spec.ts";
import { plotPanels } from "../plot.ts";
import type { Scene } from "../scene.ts";
import type { TimeFigure, Trace } from "./time-figure.ts";
import { marksOf, type Quantity, UNITS } from "./trace-marks.ts";

/** What differs between the figures over time. */
export interface Manner {
  readonly description: string;
  /** Named at its end with the value it settles at, or at its crest and with the range it moves in. */
  readonly named: "settled" | "cycling";
}

const LABELS = { volts: "Volts", amps: "Amperes" } as const;
const SHARES = { volts: 3, amps: 2 } as const;

/**
 * Volts above, amperes below, over the same time; a quantity of which there is no trace has no panel. Throws when a trace
 * has not one value for each time, or when the times do not rise.
 */
export function supplyFigure(figure: TimeFigure, manner: Manner): Scene {
  const { times, series, title, legend } = figure;
  for (const { label, volts, amps } of series)
    for (const values of [volts, amps])
      if (values !== undefined)
        assert(values.length === times.length, `"${label}" has ${values.length} values for ${times.length} times`);
  const quantities = (["volts", "amps"] as const).filter((quantity) => series.some((trace) => trace[quantity]));
  const panels = quantities.map((quantity, n) => panelOf(figure, manner, quantity, n === 0));
  return plotPanels({
    title,
    description: [manner.description, legend, ...panels.map(inWords)].filter(Boolean).join(". "),
    ...(legend === undefined ? {} : { legend }),
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    width: figure.width ?? 180,
    height: figure.height ?? 120,
    x: { from: times[0] ?? 0, to: times.at(-1) ?? 0, unit: "s" },
    panels,
  });
}

function panelOf(figure: TimeFigure, manner: Manner, quantity: Quantity, isFirst: boolean): PanelSpec {
  const { times } = figure;
  const traces = figure.series.filter((trace) => trace[quantity] !== undefined);
  const limits = (figure.limits ?? []).flatMap((limit): readonly PlotLimit[] => {
    const value = limit[quantity];
    if (value === undefined) return [];
    const { forbidden = "above", role = "limit" } = limit;
    const words = limit.words ?? `${printQuantity(value, UNITS[quantity])} limit`;
    return [{ along: "y", value, forbidden, role, words }];
  });
  // A stretch of time is named once, in the first panel.
  const bands = (figure.bands ?? []).map(({ label, ...band }) => ({
    along: "x" as const,
    ...band,
    ...(isFirst && label !== undefined ? { label } : {}),
  }));
  return {
    label: LABELS[quantity],
    share: SHARES[quantity],
    y: axisOf(traces, limits, quantity, manner),
    lines: traces.map((trace) => lineOf(times, trace, quantity, manner)),
    limits,
    bands,
    marks: marksOf(times, traces, figure.marks ?? [], quantity),
  };
}

/** Over one cycle the half of a winding that conducts is the one on the side of the capacitor: the other half is left out. */
function axisOf(traces: readonly Trace[], limits: readonly PlotLimit[], quantity: Quantity, manner: Manner): Axis {
  const values = traces.map((trace) => trace[quantity] ?? []);
  const axis = axisOver([...values.flat(), ...limits.map((limit) => limit.value)], UNITS[quantity]);
  const sides = values.map(sideOf);
  if (manner.named === "settled" || !sides.includes(1) || sides.includes(-1)) return axis;
  return { ...axis, from: 0 };
}

/** 1 for values that are all positive, −1 for all negative, 0 for values on both sides or at zero. */
function sideOf(values: readonly number[]): number {
  if (values.length === 0) return 0;
  return values.every((value) => value > 0) ? 1 : values.every((value) => value < 0) ? -1 : 0;
}

function lineOf(times: readonly number[], trace: Trace, quantity: Quantity, manner: Manner): PlotLine {
  const y = trace[quantity] ?? [];
  const cycling = manner.named === "cycling";
  const ending = !cycling ? lastOf(y, UNITS[quantity]) : sideOf(y) === 0 ? undefined : rangeOf(y, UNITS[quantity]);
  return {
    label: trace.label,
    ...(ending === undefined ? {} : { ending }),
    ...(cycling && sideOf(y) === 0 ? { named: "peak" as const } : {}),
    x: times,
    y,
    role: trace.role ?? "ink",
    ...(trace.dash === undefined ? {} : { dash: trace.dash }),
    ...(trace.ids === undefined ? {} : { ids: trace.ids }),
  };
}

function lastOf(values: readonly number[], unit: string): string | undefined {
  const last = values.at(-1);
  return last === undefined || !Number.isFinite(last) ? undefined : printQuantity(last, unit);
}

/** "297 to 307 V": the ripple can be read off. */
function rangeOf(values: readonly number[], unit: string): string {
  const low = values.reduce((a, b) => Math.min(a, b));
  const high = values.reduce((a, b) => Math.max(a, b));
  const [lowText, highText] = [low, high].map((value) => printQuantity(value, unit, 4)) as [string, string];
  const [number, lowUnit] = lowText.split(THIN);
  return highText.endsWith(`${THIN}${lowUnit}`) ? `${number} to ${highText}` : `${lowText} to ${highText}`;
}

function inWords(panel: PanelSpec): string {
  const lines = panel.lines.map((line) => [line.label, line.ending].filter(Boolean).join(" "));
  const limits = (panel.limits ?? []).map((limit) => limit.words);
  const marks = (panel.marks ?? []).map((mark) => mark.text);
  return `${panel.label ?? ""}: ${[...lines, ...limits, ...marks].join(", ")}`;
}
