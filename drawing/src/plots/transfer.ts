import { axisOver, printQuantity } from "../plot/axis.ts";
import type { PlotLine, PlotMark } from "../plot/spec.ts";
import { plot } from "../plot.ts";
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
  /** What is in hand moves the point. */
  readonly live?: boolean;
  /** Grid volts from which the grid conducts. */
  readonly gridCurrentFrom?: number;
  /** Ends of the axes, where they must not move with the curves. */
  readonly fromGridVolts?: number;
  readonly upToPlateAmps?: number;
  /** False: what stands around the figure says where the section stands, and what it is drawn over. */
  readonly saysPoint?: boolean;
  /** Kept free at the edges of the sheet. */
  readonly margin?: number;
}

const wordsOf = (at: TransferLines["at"]): string =>
  `${printQuantity(at.gridVolts, "V")}, ${printQuantity(at.plateAmps, "A")}`;

/**
 * Plate current against grid volts: along the ac load line heavy, at fixed plate volts dashed, the proven unit's behind.
 * 120 by 100 mm unless told.
 */
export function transferFigure(figure: TransferFigure): Scene {
  const { now, proven, title, legend, gridCurrentFrom } = figure;
  const all = [now, ...(proven === undefined ? [] : [proven])];
  const most = figure.upToPlateAmps ?? 1.6 * Math.max(...all.flatMap(({ loadedAmps }) => loadedAmps));
  const lowest = Math.min(...all.flatMap(({ gridVolts }) => gridVolts));
  const from = figure.fromGridVolts ?? axisOver([lowest], "V", 0).from;
  // A small figure has no room beside it.
  const named = (how: "none" | "peak") => (figure.saysPoint === false ? { named: how } : {});
  const lines: PlotLine[] = [];
  if (proven !== undefined)
    lines.push({ label: "proven", ...named("none"), x: proven.gridVolts, y: proven.loadedAmps, role: "proven" });
  lines.push({
    label: "plate held",
    x: now.gridVolts,
    y: now.staticAmps.map((amps) => (amps > most ? Number.NaN : amps)),
    dash: "dash",
  });
  lines.push({ label: "loaded", ...named("peak"), x: now.gridVolts, y: now.loadedAmps, role: "now" });
  const mark = ({ at }: TransferLines, words: string, role: "now" | "live" | "proven"): PlotMark => ({
    x: at.gridVolts,
    y: at.plateAmps,
    text: figure.saysPoint === false ? "" : `${words}${wordsOf(at)}`,
    role,
    hollow: role === "proven",
  });
  return plot({
    title,
    description: [
      "Plate current against grid volts",
      legend,
      ...lines.map((line) => line.label),
      `now ${wordsOf(now.at)}`,
      ...(proven === undefined ? [] : [`was ${wordsOf(proven.at)}`]),
    ]
      .filter(Boolean)
      .join(". "),
    ...(legend === undefined ? {} : { legend }),
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    width: figure.width ?? 120,
    height: figure.height ?? 100,
    ...(figure.margin === undefined ? {} : { margin: figure.margin }),
    x: { from, to: 0, unit: "V", ...(figure.saysPoint === false ? {} : { label: "grid to cathode" }) },
    y: figure.upToPlateAmps === undefined ? axisOver([0, most], "A", 0) : { from: 0, to: most, unit: "A" },
    lines,
    marks: [
      ...(proven === undefined ? [] : [mark(proven, "was ", "proven")]),
      mark(now, "", figure.live === true ? "live" : "now"),
    ],
    ...(gridCurrentFrom === undefined || gridCurrentFrom >= 0 || gridCurrentFrom <= from
      ? {}
      : { limits: [{ along: "x", value: gridCurrentFrom, words: "grid current", forbidden: "above" } as const] }),
  });
}
