import { printPercent } from "@platewright/engine";
import { printQuantity, THIN } from "../plot/axis.ts";
import type { LegendEntry, PlotArea, PlotLimit, PlotLine, PlotMark } from "../plot/spec.ts";
import { plot } from "../plot.ts";
import type { Dash, Scene } from "../scene.ts";

/** Harmonics of one unit against level: one row of ratios for each harmonic, H2 first. */
export interface VoicingLines {
  readonly volts: readonly number[];
  /** Over the fundamental, signed: where a sign turns the line falls to nothing and comes back. */
  readonly ratios: readonly (readonly number[])[];
  /** 90 % bands of H2, H3 ... as sizes; a harmonic without one is left out or undefined. */
  readonly bands?: readonly (Edges | undefined)[];
}

interface Edges {
  readonly low: readonly number[];
  readonly high: readonly number[];
}

/** A level that is said in words at the point where H2 stands there. */
export interface VoicingLevel {
  readonly volts: number;
  /** The same level in the proven unit, where it comes elsewhere to the grid. */
  readonly provenVolts?: number;
  /** "at 1 V in"; H2 is put before it. */
  readonly words: string;
}

export interface VoicingFigure {
  readonly title: string;
  /** False: the screen around it says the title. */
  readonly heading?: boolean;
  readonly legend?: string;
  readonly width?: number;
  readonly height?: number;
  /** What the level is: "V rms at the grid". */
  readonly along: string;
  readonly now: VoicingLines;
  readonly proven?: VoicingLines;
  /** H2 as the builder's readings have it: its line, and where the band stood before them. */
  readonly calibrated?: { readonly ratios: readonly number[]; readonly before: Edges };
  /** The builder's own readings of the proven unit. */
  readonly measured?: readonly { readonly volts: number; readonly ratio: number }[];
  readonly levels?: readonly VoicingLevel[];
  /** Level from which a grid conducts. */
  readonly gridCurrentFrom?: number;
  /** Smallest and largest ratio shown; 1e-5 and what the lines need unless told, so that axes stay while a value is dragged. */
  readonly least?: number;
  readonly most?: number;
  readonly ids?: readonly string[];
}

/** H2 solid, H3 dashed, H4 dotted; H5 again solid, told from H2 by its place and name. */
const DASHES: readonly Dash[] = ["solid", "dash", "dot", "solid"];
const MOST = 4;
/** Where a turn of sign is marked on its line: this much above the smallest ratio, clear of what stands on the axis. */
const TURN_RISE = 5;

/**
 * H2 to H5 against level on logarithmic axes, percent left and dBc right: now heavy, proven light behind, tinted what the
 * fit and the specimens leave open, beyond grid current hatched. Lines are named where they begin. 180 by 120 mm unless told.
 */
export function voicingFigure(figure: VoicingFigure): Scene {
  const { now, proven, title, legend, gridCurrentFrom, calibrated } = figure;
  const least = figure.least ?? 1e-5;
  const units = [now, ...(proven === undefined ? [] : [proven])];
  const levels = units.flatMap((unit) => unit.volts).filter((v) => v > 0);
  const x = {
    from: Math.min(...levels),
    to: Math.max(...levels),
    unit: "V",
    scale: "log",
    label: figure.along,
  } as const;
  const highest = Math.max(
    0,
    ...units
      .flatMap((unit) => [...(unit.ratios[0] ?? []).map(Math.abs), ...(unit.bands?.[0]?.high ?? [])])
      .filter(finite),
  );
  const most = figure.most ?? Math.min(1, upToDecade(highest));
  const y = [
    { from: 100 * least, to: 100 * most, unit: "%", scale: "log" },
    { from: 20 * Math.log10(least), to: 20 * Math.log10(most), unit: "dBc" },
  ] as const;
  const limits: readonly PlotLimit[] =
    gridCurrentFrom !== undefined && gridCurrentFrom < x.to
      ? [
          {
            along: "x",
            value: gridCurrentFrom,
            words: `grid current from ${printQuantity(gridCurrentFrom, "V")}`,
            forbidden: "above",
          },
        ]
      : [];
  const marks = marksOf(figure, least);
  const lines: readonly PlotLine[] = [
    ...(calibrated === undefined ? [] : calibratedLines(now.volts, calibrated)),
    ...(proven === undefined ? [] : harmonicLines(proven, "proven", least)),
    ...harmonicLines(now, "now", least),
  ];
  return plot({
    title,
    description: [
      `Harmonics over the fundamental against ${figure.along}`,
      legend,
      ...lines.map((line) => (line.role === "proven" ? `proven ${line.label}` : line.label)),
      ...marks.map((mark) => mark.text).filter(Boolean),
    ]
      .filter(Boolean)
      .join(". "),
    ...(legend === undefined ? {} : { legend }),
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    width: figure.width ?? 180,
    height: figure.height ?? 120,
    x,
    y,
    areas: areasOf(now),
    lines,
    limits,
    marks,
    key: keyOf(figure),
  });
}

const finite = (value: number): boolean => Number.isFinite(value);
const percent = (ratios: readonly number[]): readonly number[] => ratios.map((ratio) => 100 * ratio);
const said = (ratio: number): string => printPercent(ratio).replace(/\s/u, THIN);

const upToDecade = (ratio: number): number => {
  const decade = 10 ** Math.floor(Math.log10(Math.max(1e-12, ratio)));
  return (([1, 2, 5, 10] as const).find((step) => step * decade >= ratio * 1.05) ?? 10) * decade;
};

function harmonicLines(unit: VoicingLines, role: "now" | "proven", least: number): readonly PlotLine[] {
  return unit.ratios.slice(0, MOST).flatMap((ratios, k): readonly PlotLine[] => {
    if (!ratios.some((ratio) => Math.abs(ratio) >= least)) return [];
    const dash = DASHES[k] ?? "solid";
    const line = throughSigns(unit.volts, ratios, least);
    return [
      {
        label: `H${k + 2}`,
        named: role === "now" ? "start" : "none",
        x: line.volts,
        y: percent(line.sizes),
        role,
        ...(dash === "solid" ? {} : { dash }),
      },
    ];
  });
}

function calibratedLines(
  volts: readonly number[],
  { ratios, before }: NonNullable<VoicingFigure["calibrated"]>,
): readonly PlotLine[] {
  const edge = (values: readonly number[]): PlotLine => ({
    label: "band before the readings",
    named: "none",
    x: volts,
    y: percent(values),
    role: "faint",
    dash: "dash",
  });
  return [
    edge(before.low),
    edge(before.high),
    { label: "with your readings", named: "none", x: volts, y: percent(ratios.map(Math.abs)), role: "ink" },
  ];
}

/** Shares of the way to a turn of sign at which points are put in, so that the line is seen to fall to nothing. */
const TOWARD = [0.5, 0.8, 0.95, 0.99, 0.999];

/**
 * Sizes of a signed line. Between two levels of different sign it passes through nothing, straight in the signed value over
 * the logarithm of the level.
 */
export function throughSigns(
  volts: readonly number[],
  signed: readonly number[],
  least: number,
): { readonly volts: readonly number[]; readonly sizes: readonly number[]; readonly turns: readonly number[] } {
  const out = { volts: [] as number[], sizes: [] as number[], turns: [] as number[] };
  for (const [n, here] of signed.entries()) {
    const [x0, x1, before] = [volts[n - 1], volts[n], signed[n - 1]];
    if (x1 === undefined) break;
    if (x0 !== undefined && before !== undefined && before * here < 0) {
      const turn = before / (before - here);
      const put = (share: number) => {
        out.volts.push(x0 * (x1 / x0) ** share);
        // At the turn itself there is no size that has a place on a logarithmic axis.
        out.sizes.push(Math.max(least / 10, Math.abs(before + share * (here - before))));
      };
      for (const part of TOWARD) put(turn * part);
      put(turn);
      for (const part of TOWARD.toReversed()) put(1 - (1 - turn) * part);
      out.turns.push(x0 * (x1 / x0) ** turn);
    }
    out.volts.push(x1);
    out.sizes.push(Math.abs(here));
  }
  return out;
}

/** Bands end where their harmonic turns over: there decibels mean little. */
function areasOf({ volts, ratios, bands = [] }: VoicingLines): readonly PlotArea[] {
  return bands.flatMap((band, k): readonly PlotArea[] => {
    if (band === undefined) return [];
    const line = ratios[k] ?? [];
    const turn = line.findIndex((ratio, n) => n > 0 && ratio * (line[n - 1] ?? 0) < 0);
    const until = turn < 0 ? volts.length : turn;
    return [
      { x: volts.slice(0, until), low: percent(band.low.slice(0, until)), high: percent(band.high.slice(0, until)) },
    ];
  });
}

function marksOf({ now, proven, levels = [], measured = [], gridCurrentFrom, ids }: VoicingFigure, least: number) {
  const marks: PlotMark[] = [];
  const put = (unit: VoicingLines | undefined, volts: number, role: "now" | "proven", words: string): void => {
    const ratio = unit === undefined ? undefined : ratioAt(unit, volts);
    if (ratio === undefined) return;
    marks.push({
      x: volts,
      y: 100 * ratio,
      text: role === "now" ? `${said(ratio)} ${words}` : "",
      role,
      hollow: role === "proven",
      ...(ids === undefined ? {} : { ids }),
    });
  };
  for (const { volts, provenVolts = volts, words } of levels) {
    put(proven, provenVolts, "proven", words);
    put(now, volts, "now", words);
  }
  for (const { volts, ratio } of measured)
    marks.push({
      x: volts,
      y: 100 * ratio,
      text: `read ${said(ratio)}`,
      role: "ink",
      shape: "diamond",
      hollow: true,
    });
  const { turns } = throughSigns(now.volts, now.ratios[0] ?? [], least);
  // Where a grid conducts the wave is cut, and its harmonics turn over anyway.
  for (const turn of turns)
    if (gridCurrentFrom === undefined || turn < gridCurrentFrom)
      marks.push({
        x: turn,
        y: 100 * least * TURN_RISE,
        text: `H2 cancels at ${printQuantity(turn, "V")}, then turns its sign`,
        role: "ink",
        shape: "cross",
      });
  return marks;
}

/** Size of H2 at a level, straight between points on logarithmic axes; undefined outside them. */
function ratioAt({ volts, ratios }: VoicingLines, at: number): number | undefined {
  const h2 = (ratios[0] ?? []).map(Math.abs);
  const next = volts.findIndex((v) => v >= at * (1 - 1e-12));
  const [x1, y1] = [volts[next], h2[next]];
  if (x1 === undefined || y1 === undefined) return undefined;
  const [x0, y0] = [volts[next - 1], h2[next - 1]];
  if (x0 === undefined || y0 === undefined) return Math.abs(x1 / at - 1) < 1e-9 ? y1 : undefined;
  const share = Math.log(at / x0) / Math.log(x1 / x0);
  return y0 * (y1 / y0) ** share;
}

function keyOf({ now, proven, calibrated, measured = [] }: VoicingFigure): readonly LegendEntry[] {
  const entries: LegendEntry[] = [{ text: "now", sample: "line", role: "now" }];
  if (proven !== undefined) entries.push({ text: "proven", sample: "line", role: "proven" });
  if ((now.bands ?? []).some((band) => band !== undefined)) entries.push({ text: "90 % band", sample: "band" });
  if (calibrated !== undefined)
    entries.push(
      { text: "H2 with your readings", sample: "line", role: "ink" },
      { text: "band before them", sample: "line", role: "faint", dash: "dash" },
    );
  if (measured.length > 0)
    entries.push({ text: "your readings", sample: "mark", shape: "diamond", hollow: true, role: "ink" });
  return entries;
}
