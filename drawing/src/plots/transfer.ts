import { axisOver, printQuantity } from "../plot/axis.ts";
import type { PanelSpec, PlotLine, PlotMark } from "../plot/spec.ts";
import { plot, plotPanels } from "../plot.ts";
import type { Scene } from "../scene.ts";

export interface TransferLines {
  readonly gridVolts: readonly number[];
  /** At fixed plate volts. */
  readonly staticAmps: readonly number[];
  /** Along the ac load line. */
  readonly loadedAmps: readonly number[];
  readonly at: { readonly gridVolts: number; readonly plateAmps: number };
}

export interface TransferFigure {
  readonly title: string;
  /** False: the screen around it says the title. */
  readonly heading?: boolean;
  readonly legend?: string;
  readonly width?: number;
  readonly height?: number;
  readonly now: TransferLines;
  readonly proven?: TransferLines;
  /** Grid volts from which the grid conducts. */
  readonly gridCurrentFrom?: number;
}

/**
 * Plate current against grid volts: along the ac load line heavy, at fixed plate volts dashed, the proven unit's behind.
 * 120 by 100 mm unless told.
 */
export function transferFigure(figure: TransferFigure): Scene {
  const { now, proven, title, legend, gridCurrentFrom } = figure;
  const most = 1.6 * Math.max(...now.loadedAmps, ...(proven?.loadedAmps ?? []));
  const all = [now, ...(proven === undefined ? [] : [proven])];
  const lowest = Math.min(...all.flatMap(({ gridVolts }) => gridVolts));
  const from = axisOver([lowest], "V", 0).from;
  const lines: PlotLine[] = [];
  if (proven !== undefined)
    lines.push({ label: "proven, loaded", x: proven.gridVolts, y: proven.loadedAmps, role: "proven" });
  lines.push({
    label: "plate held",
    x: now.gridVolts,
    y: now.staticAmps.map((amps) => (amps > most ? Number.NaN : amps)),
    dash: "dash",
  });
  lines.push({ label: "loaded", x: now.gridVolts, y: now.loadedAmps, role: "now" });
  const mark = ({ at }: TransferLines, words: string, role: "now" | "proven"): PlotMark => ({
    x: at.gridVolts,
    y: at.plateAmps,
    text: `${words}${printQuantity(at.gridVolts, "V")}, ${printQuantity(at.plateAmps, "A")}`,
    role,
    hollow: role === "proven",
  });
  return plot({
    title,
    description: ["Plate current against grid volts", legend, ...lines.map((line) => line.label)]
      .filter(Boolean)
      .join(". "),
    ...(legend === undefined ? {} : { legend }),
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    width: figure.width ?? 120,
    height: figure.height ?? 100,
    x: { from, to: 0, unit: "V", label: "grid to cathode" },
    y: axisOver([0, most], "A", 0),
    lines,
    marks: [...(proven === undefined ? [] : [mark(proven, "was ", "proven")]), mark(now, "", "now")],
    ...(gridCurrentFrom === undefined || gridCurrentFrom >= 0 || gridCurrentFrom <= from
      ? {}
      : { limits: [{ along: "x", value: gridCurrentFrom, words: "grid current", forbidden: "above" } as const] }),
  });
}

export interface SlopeLines {
  readonly plateAmps: readonly number[];
  readonly mu: readonly number[];
  readonly siemens: readonly number[];
  readonly plateOhms: readonly number[];
  /** 90 % bands; a value that is no number leaves a gap. */
  readonly bands?: { readonly plateAmps: readonly number[] } & {
    readonly [Q in "mu" | "siemens" | "plateOhms"]: {
      readonly low: readonly number[];
      readonly high: readonly number[];
    };
  };
  /** Where the section stands. */
  readonly at: {
    readonly plateAmps: number;
    readonly mu: number;
    readonly siemens: number;
    readonly plateOhms: number;
  };
}

export interface SlopesFigure {
  readonly title: string;
  /** False: the screen around it says the title. */
  readonly heading?: boolean;
  readonly legend?: string;
  readonly width?: number;
  readonly height?: number;
  readonly now: SlopeLines;
  readonly proven?: SlopeLines;
}

const QUANTITIES = [
  ["siemens", "gm", "A/V"],
  ["mu", "mu", ""],
  ["plateOhms", "rp", "Ω"],
] as const;

/** gm, mu and rp against current, one below the other, the proven unit's behind. 90 by 150 mm unless told. */
export function slopesFigure(figure: SlopesFigure): Scene {
  const { now, proven, title, legend } = figure;
  const units = [now, ...(proven === undefined ? [] : [proven])];
  const to = axisOver(
    units.flatMap((unit) => [...unit.plateAmps, unit.at.plateAmps]),
    "A",
    0,
  ).to;
  const panels = QUANTITIES.map(([key, label, unit]): PanelSpec => {
    const scale = key === "siemens" ? 1e3 : 1;
    const words = (value: number) => printQuantity(value, key === "siemens" ? "mA/V" : unit);
    const line = (one: SlopeLines, role: "now" | "proven"): PlotLine => ({
      label: role,
      named: "none",
      x: one.plateAmps,
      y: one[key].map((value) => value * scale),
      role,
    });
    const mark = (one: SlopeLines, role: "now" | "proven"): PlotMark => ({
      x: one.at.plateAmps,
      y: one.at[key] * scale,
      text: `${role === "proven" ? "was " : ""}${words(one.at[key] * scale)}`,
      role,
      hollow: role === "proven",
    });
    // rp rises without end towards zero current: the picture stops at three times what it is at work.
    const most = 3 * Math.max(...units.map((one) => one.at[key] * scale));
    const values = units.flatMap((one) =>
      [...one[key], ...(one.bands?.[key].high ?? [])]
        .filter(Number.isFinite)
        .map((value) => Math.min(value * scale, most)),
    );
    return {
      label,
      areas:
        now.bands === undefined
          ? []
          : [
              {
                x: now.bands.plateAmps,
                low: now.bands[key].low.map((value) => value * scale),
                high: now.bands[key].high.map((value) => value * scale),
              },
            ],
      y: axisOver([0, ...values], key === "siemens" ? "mA/V" : unit, 0.02),
      lines: [...(proven === undefined ? [] : [line(proven, "proven")]), line(now, "now")],
      marks: [...(proven === undefined ? [] : [mark(proven, "proven")]), mark(now, "now")],
    };
  });
  return plotPanels({
    title,
    description: [
      "Slope, amplification factor and plate resistance against plate current",
      legend,
      ...panels.map((panel) => `${panel.label}: ${(panel.marks ?? []).map((mark) => mark.text).join(", ")}`),
    ]
      .filter(Boolean)
      .join(". "),
    ...(legend === undefined ? {} : { legend }),
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    width: figure.width ?? 90,
    height: figure.height ?? 150,
    x: { from: 0, to, unit: "A" },
    panels,
  });
}
