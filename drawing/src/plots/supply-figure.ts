import { axisOver, printQuantity } from "../plot/axis.ts";
import type { PanelSpec, PlotLimit, PlotLine, PlotMark } from "../plot/spec.ts";
import { plotPanels } from "../plot.ts";
import type { Dash, Role, Scene } from "../scene.ts";

/** One quantity against time: volts or amperes, one value for each of the times. */
export interface Trace {
  readonly label: string;
  readonly volts?: readonly number[];
  readonly amps?: readonly number[];
  readonly role?: Role;
  readonly dash?: Dash;
  readonly ids?: readonly string[];
}

/** Said as "400 V limit" unless it has words of its own. */
export interface TraceLimit {
  readonly volts?: number;
  readonly amps?: number;
  readonly words?: string;
  readonly forbidden?: "above" | "below";
  readonly role?: Role;
}

/** A value picked out of a trace: its largest, or the one at a time. */
export interface TraceMark {
  readonly trace: string;
  readonly at: "peak" | number;
  readonly role?: Role;
}

/** A stretch of time that has a name ("heaters warming"). */
export interface TimeBand {
  readonly from: number;
  readonly to: number;
  readonly label?: string;
}

export interface TimeFigure {
  readonly title: string;
  /** The condition, and what is heavy and what is light. */
  readonly legend?: string;
  /** Seconds, rising. */
  readonly times: readonly number[];
  readonly series: readonly Trace[];
  readonly limits?: readonly TraceLimit[];
  readonly marks?: readonly TraceMark[];
  readonly bands?: readonly TimeBand[];
  readonly width?: number;
  readonly height?: number;
}

/** What differs between the figures over time. */
interface Manner {
  readonly description: string;
  /** The value said with a trace's name at its end, or none. */
  readonly ending: boolean;
  readonly voltsLabel: string;
  readonly ampsLabel: string;
}

type Quantity = "volts" | "amps";
const UNITS = { volts: "V", amps: "A" } as const;

/** Volts above, amperes below, over the same time; a quantity of which there is no trace has no panel. */
export function timeFigure(figure: TimeFigure, manner: Manner): Scene {
  const { times } = figure;
  const panels = (["volts", "amps"] as const).flatMap((quantity) => panelOf(figure, manner, quantity));
  return plotPanels({
    title: figure.title,
    description: [manner.description, figure.legend, ...panels.map(inWords)].filter(Boolean).join(". "),
    ...(figure.legend === undefined ? {} : { legend: figure.legend }),
    width: figure.width ?? 180,
    height: figure.height ?? 120,
    x: { from: times[0] ?? 0, to: times.at(-1) ?? 1, unit: "s" },
    panels,
  });
}

function panelOf(figure: TimeFigure, manner: Manner, quantity: Quantity): readonly PanelSpec[] {
  const unit = UNITS[quantity];
  const traces = figure.series.filter((trace) => trace[quantity] !== undefined);
  if (traces.length === 0) return [];
  // A stretch of time is named once.
  const isUpper = quantity === "volts" || figure.series.every((trace) => trace.volts === undefined);
  const limits = (figure.limits ?? []).flatMap((limit): readonly PlotLimit[] => {
    const value = limit[quantity];
    if (value === undefined) return [];
    const { forbidden = "above", role = "limit" } = limit;
    return [{ along: "y", value, forbidden, role, words: limit.words ?? `${printQuantity(value, unit)} limit` }];
  });
  const values = [...traces.flatMap((trace) => trace[quantity] ?? []), ...limits.map((limit) => limit.value)];
  return [
    {
      label: quantity === "volts" ? manner.voltsLabel : manner.ampsLabel,
      share: quantity === "volts" ? 3 : 2,
      y: axisOver(values, unit),
      lines: traces.map((trace) => lineOf(figure.times, trace, quantity, manner.ending)),
      limits,
      bands: (figure.bands ?? []).map(({ from, to, label }) => ({
        along: "x",
        from,
        to,
        ...(label === undefined || !isUpper ? {} : { label }),
      })),
      marks: (figure.marks ?? []).flatMap((mark) => markOf(figure.times, traces, mark, quantity)),
    },
  ];
}

function lineOf(times: readonly number[], trace: Trace, quantity: Quantity, ending: boolean): PlotLine {
  const y = trace[quantity] ?? [];
  const last = y.at(-1);
  return {
    label: trace.label,
    ...(ending && last !== undefined ? { ending: printQuantity(last, UNITS[quantity]) } : {}),
    x: times,
    y,
    role: trace.role ?? "ink",
    ...(trace.dash === undefined ? {} : { dash: trace.dash }),
    ...(trace.ids === undefined ? {} : { ids: trace.ids }),
  };
}

function markOf(
  times: readonly number[],
  traces: readonly Trace[],
  mark: TraceMark,
  quantity: Quantity,
): readonly PlotMark[] {
  const trace = traces.find((each) => each.label === mark.trace);
  const values = trace?.[quantity];
  if (trace === undefined || values === undefined) return [];
  const n = mark.at === "peak" ? indexOfPeak(values) : indexAt(times, mark.at);
  const x = times[n];
  const y = values[n];
  if (x === undefined || y === undefined || !Number.isFinite(y)) return [];
  const role = mark.role ?? trace.role ?? "ink";
  const text = `${printQuantity(y, UNITS[quantity])} at ${printQuantity(x, "s")}`;
  return [{ x, y, text, role, hollow: role === "proven", ...(trace.ids === undefined ? {} : { ids: trace.ids }) }];
}

/** Of the value farthest from zero: what a rating is about. */
function indexOfPeak(values: readonly number[]): number {
  let best = -1;
  values.forEach((value, n) => {
    if (Number.isFinite(value) && (best < 0 || Math.abs(value) > Math.abs(values[best] as number))) best = n;
  });
  return best;
}

/** Of the time nearest to the one asked for. */
function indexAt(times: readonly number[], seconds: number): number {
  let best = 0;
  times.forEach((time, n) => {
    if (Math.abs(time - seconds) < Math.abs((times[best] as number) - seconds)) best = n;
  });
  return best;
}

function inWords(panel: PanelSpec): string {
  const lines = panel.lines.map((line) => [line.label, line.ending].filter(Boolean).join(" "));
  const limits = (panel.limits ?? []).map((limit) => limit.words);
  const marks = (panel.marks ?? []).map((mark) => mark.text);
  return `${panel.label ?? ""}: ${[...lines, ...limits, ...marks].join(", ")}`;
}
