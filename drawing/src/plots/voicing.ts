import { printDecibels, printPercent } from "@platewright/engine";
import { printQuantity, THIN } from "../plot/axis.ts";
import type { LegendEntry, PlotArea, PlotLimit, PlotLine, PlotMark } from "../plot/spec.ts";
import { plot } from "../plot.ts";
import type { Dash, Scene } from "../scene.ts";

/** Harmonics of one unit against input: one row of ratios for each harmonic, H2 first. */
export interface VoicingLines {
  readonly inputVolts: readonly number[];
  readonly ratios: readonly (readonly number[])[];
  /** 90 % bands of H2, H3 ... as ratios; a harmonic without one is left out or undefined. */
  readonly bands?: readonly ({ readonly low: readonly number[]; readonly high: readonly number[] } | undefined)[];
}

export interface VoicingFigure {
  readonly title: string;
  /** False: the screen around it says the title. */
  readonly heading?: boolean;
  readonly legend?: string;
  readonly width?: number;
  readonly height?: number;
  readonly now: VoicingLines;
  readonly proven?: VoicingLines;
  /** H2 wanted, against input. */
  readonly target?: {
    readonly inputVolts: readonly number[];
    readonly ratios: readonly number[];
    readonly words?: string;
  };
  /** The builder's own readings of the proven unit. */
  readonly measured?: readonly { readonly inputVolts: number; readonly ratio: number }[];
  /** Levels at which H2 is said in words. */
  readonly sayAt?: readonly number[];
  /** Input from which a grid conducts. */
  readonly gridCurrentFrom?: number;
  /** The level in hand. */
  readonly cursorVolts?: number;
  /** Smallest ratio shown; 1e-5 unless told. */
  readonly least?: number;
  /** The axis reaches at least this ratio, so that it stays while a value is dragged. */
  readonly most?: number;
  readonly ids?: readonly string[];
}

/** H2 solid, H3 dashed, H4 dotted; H5 again solid, told from H2 by its place and name. */
const DASHES: readonly Dash[] = ["solid", "dash", "dot", "solid"];
const MOST = 4;

/**
 * H2 to H5 against input on logarithmic axes: now heavy, proven light behind, tinted what the fit and the specimens leave
 * open, the target dashed in the colour of what is in hand, beyond grid current hatched. Lines are named where they end,
 * with the value there. 180 by 120 mm unless told.
 */
export function voicingFigure(figure: VoicingFigure): Scene {
  const { now, proven, title, legend, target, gridCurrentFrom, cursorVolts } = figure;
  const least = figure.least ?? 1e-5;
  const units = [now, ...(proven === undefined ? [] : [proven])];
  const inputs = units.flatMap((unit) => unit.inputVolts).filter((v) => v > 0);
  const x = {
    from: Math.min(...inputs),
    to: Math.max(...inputs),
    unit: "V",
    scale: "log",
    label: "rms at the input",
  } as const;
  const highest = Math.max(
    ...units.flatMap((unit) => [...(unit.ratios[0] ?? []), ...(unit.bands?.[0]?.high ?? [])]),
    ...(target?.ratios ?? []),
    figure.most ?? 0,
  );
  const y = { from: 100 * least, to: 100 * Math.min(1, upToDecade(highest)), unit: "%", scale: "log" } as const;
  const lines: PlotLine[] = [
    ...(proven === undefined ? [] : harmonicLines(proven, "proven", least)),
    ...harmonicLines(now, "now", least),
  ];
  if (target !== undefined)
    lines.push({
      label: target.words ?? "target",
      x: target.inputVolts,
      y: percent(target.ratios),
      role: "live",
      dash: "dash",
    });
  const limits: PlotLimit[] = [];
  if (gridCurrentFrom !== undefined && gridCurrentFrom < x.to)
    limits.push({
      along: "x",
      value: gridCurrentFrom,
      words: `grid current from ${printQuantity(gridCurrentFrom, "V")}`,
      forbidden: "above",
    });
  if (cursorVolts !== undefined)
    limits.push({ along: "x", value: cursorVolts, words: printQuantity(cursorVolts, "V"), role: "live" });
  const marks = marksOf(figure);
  const key = keyOf(figure);
  return plot({
    title,
    description: [
      "Harmonics over the fundamental against input",
      legend,
      ...lines.map((line) =>
        [line.role === "proven" ? "proven" : "", line.label, line.ending].filter(Boolean).join(" "),
      ),
      ...marks.map((mark) => mark.text),
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
    key,
  });
}

const percent = (ratios: readonly number[]): readonly number[] => ratios.map((ratio) => 100 * ratio);

const upToDecade = (ratio: number): number => {
  const decade = 10 ** Math.floor(Math.log10(Math.max(1e-12, ratio)));
  return (([1, 2, 5, 10] as const).find((step) => step * decade >= ratio * 1.05) ?? 10) * decade;
};

function harmonicLines(unit: VoicingLines, role: "now" | "proven", least: number): readonly PlotLine[] {
  return unit.ratios.slice(0, MOST).flatMap((ratios, i): readonly PlotLine[] => {
    const last = ratios.at(-1) ?? 0;
    if (!(last >= least)) return [];
    const name = `H${i + 2}`;
    const dash = DASHES[i] ?? "solid";
    return [
      {
        label: role === "now" ? name : `was ${name}`,
        ending:
          role === "now"
            ? `${printPercent(last).replace(/\s/u, THIN)}, ${printDecibels(20 * Math.log10(last), 0).replace(/\s/u, THIN)}`
            : printPercent(last).replace(/\s/u, THIN),
        x: unit.inputVolts,
        y: percent(ratios),
        role,
        ...(dash === "solid" ? {} : { dash }),
      },
    ];
  });
}

function areasOf({ inputVolts, bands = [] }: VoicingLines): readonly PlotArea[] {
  return bands.flatMap((band) =>
    band === undefined ? [] : [{ x: inputVolts, low: percent(band.low), high: percent(band.high) }],
  );
}

function marksOf({ now, proven, sayAt = [], measured = [], cursorVolts, ids }: VoicingFigure): readonly PlotMark[] {
  const marks: PlotMark[] = [];
  const say = (unit: VoicingLines | undefined, inputVolts: number, role: "now" | "proven" | "live"): void => {
    const ratio = unit === undefined ? undefined : ratioAt(unit, inputVolts);
    if (ratio === undefined) return;
    marks.push({
      x: inputVolts,
      y: 100 * ratio,
      text: role === "proven" ? "" : `${role === "live" ? "H2 " : ""}${printPercent(ratio).replace(/\s/u, THIN)}`,
      role,
      hollow: role === "proven",
      ...(ids === undefined ? {} : { ids }),
    });
  };
  for (const level of sayAt) {
    say(proven, level, "proven");
    if (level !== cursorVolts) say(now, level, "now");
  }
  for (const { inputVolts, ratio } of measured)
    marks.push({
      x: inputVolts,
      y: 100 * ratio,
      text: `measured ${printPercent(ratio).replace(/\s/u, THIN)}`,
      role: "ink",
      shape: "diamond",
      hollow: true,
    });
  if (cursorVolts !== undefined) say(now, cursorVolts, "live");
  return marks;
}

/** H2 at an input, straight between points on logarithmic axes; undefined outside them. */
function ratioAt({ inputVolts, ratios }: VoicingLines, input: number): number | undefined {
  const h2 = ratios[0] ?? [];
  const next = inputVolts.findIndex((v) => v >= input * (1 - 1e-12));
  const [x1, y1] = [inputVolts[next], h2[next]];
  if (x1 === undefined || y1 === undefined) return undefined;
  const [x0, y0] = [inputVolts[next - 1], h2[next - 1]];
  if (x0 === undefined || y0 === undefined) return Math.abs(x1 / input - 1) < 1e-9 ? y1 : undefined;
  const share = Math.log(input / x0) / Math.log(x1 / x0);
  return y0 * (y1 / y0) ** share;
}

function keyOf({ now, proven }: VoicingFigure): readonly LegendEntry[] {
  const entries: LegendEntry[] = [{ text: "now", sample: "line", role: "now" }];
  if (proven !== undefined) entries.push({ text: "proven", sample: "line", role: "proven" });
  if ((now.bands ?? []).some((band) => band !== undefined)) entries.push({ text: "90 % band", sample: "band" });
  return entries;
}
