import { axisOver, printQuantity } from "../plot/axis.ts";
import type { PlotLine, PlotMark } from "../plot/spec.ts";
import { plot } from "../plot.ts";
import type { Scene } from "../scene.ts";

export const SLOPES = ["siemens", "mu", "plateOhms"] as const;
export type Slope = (typeof SLOPES)[number];

export interface SlopeLines extends Readonly<Record<Slope, readonly number[]>> {
  readonly plateAmps: readonly number[];
  /** 90 % bands; a value that is no number leaves a gap. */
  readonly bands?: { readonly plateAmps: readonly number[] } & {
    readonly [Q in Slope]: { readonly low: readonly number[]; readonly high: readonly number[] };
  };
  /** Where the section stands. */
  readonly at: { readonly plateAmps: number } & Readonly<Record<Slope, number>>;
}

export interface SlopeFigure {
  readonly slope: Slope;
  readonly title?: string;
  /** False: the screen around it says the title, the unit (mA/V, kΩ) and the values where the sections stand. */
  readonly heading?: boolean;
  readonly legend?: string;
  readonly width?: number;
  readonly height?: number;
  readonly margin?: number;
  readonly now: SlopeLines;
  readonly proven?: SlopeLines;
  /** What is in hand moves the point. */
  readonly live?: boolean;
  /** Currents between which the law rests on rows; it is dashed beyond. All of it is solid when left out. */
  readonly rows?: { readonly fromAmps: number; readonly toAmps: number };
  /** Ends of the axes, where they must not move with the curves; the upper one in A/V, as a factor, in ohms. */
  readonly upToPlateAmps?: number;
  readonly upTo?: number;
}

/** `bare`: as the numbers of the axis stand where what is around the figure says the unit (mA/V, kΩ). */
const KINDS = {
  siemens: { name: "gm", unit: "mA/V", scale: 1e3, bare: 1e3, words: "Slope" },
  mu: { name: "mu", unit: "", scale: 1, bare: 1, words: "Amplification factor" },
  plateOhms: { name: "rp", unit: "Ω", scale: 1, bare: 1e-3, words: "Plate resistance" },
} as const;

/** "5.42 mA/V", "16.4", "3.03 kΩ". */
export const slopeWords = (slope: Slope, value: number): string =>
  printQuantity(value * KINDS[slope].scale, KINDS[slope].unit);

export const slopeName = (slope: Slope): string => KINDS[slope].name;

/** A value that holds the picture of one slope: rp rises without end towards zero current, and is cut there. */
export function slopeReach(slope: Slope, units: readonly SlopeLines[]): number {
  const most = 3 * Math.max(...units.map((one) => one.at[slope]));
  const values = units.flatMap((one) => [...one[slope], ...(one.bands?.[slope].high ?? [])]);
  return Math.max(...values.map((value) => (Number.isFinite(value) ? Math.min(value, most) : 0)));
}

/**
 * gm, mu or rp against plate current at the section's plate volts: now heavy with its 90 % band, dashed where no row was
 * published, the proven unit's behind, both marked where they stand. 90 by 60 mm unless told.
 */
export function slopeFigure(figure: SlopeFigure): Scene {
  const { slope, now, proven, rows } = figure;
  const { name, words } = KINDS[slope];
  const isBare = figure.heading === false;
  const scale = KINDS[slope][isBare ? "bare" : "scale"];
  const unit = isBare ? "" : KINDS[slope].unit;
  const units = [now, ...(proven === undefined ? [] : [proven])];
  const to =
    figure.upToPlateAmps ??
    axisOver(
      units.flatMap((one) => [...one.plateAmps, one.at.plateAmps]),
      "A",
      0,
    ).to;
  const scaled = (values: readonly number[]) => values.map((value) => value * scale);
  const mark = (one: SlopeLines, role: "now" | "live" | "proven"): PlotMark => ({
    x: one.at.plateAmps,
    y: one.at[slope] * scale,
    text: isBare ? "" : `${role === "proven" ? "was " : ""}${slopeWords(slope, one.at[slope])}`,
    role,
    hollow: role === "proven",
  });
  const title = figure.title ?? `${name} against current`;
  return plot({
    title,
    description: [
      `${words} against plate current`,
      figure.legend,
      `now ${slopeWords(slope, now.at[slope])} at ${printQuantity(now.at.plateAmps, "A")}`,
      ...(proven === undefined
        ? []
        : [`was ${slopeWords(slope, proven.at[slope])} at ${printQuantity(proven.at.plateAmps, "A")}`]),
      ...(rows === undefined
        ? []
        : [
            `published rows from ${printQuantity(rows.fromAmps, "A")} to ${printQuantity(rows.toAmps, "A")}, dashed beyond`,
          ]),
    ]
      .filter(Boolean)
      .join(". "),
    ...(figure.legend === undefined ? {} : { legend: figure.legend }),
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    ...(figure.margin === undefined ? {} : { margin: figure.margin }),
    width: figure.width ?? 90,
    height: figure.height ?? 60,
    x: { from: 0, to, unit: "A" },
    y:
      figure.upTo === undefined
        ? axisOver([0, slopeReach(slope, units) * scale], unit, 0.02)
        : { from: 0, to: figure.upTo * scale, unit },
    areas:
      now.bands === undefined
        ? []
        : [
            {
              x: now.bands.plateAmps,
              low: scaled(now.bands[slope].low),
              high: scaled(now.bands[slope].high),
            },
          ],
    lines: [
      ...(proven === undefined
        ? []
        : [{ label: "proven", named: "none", x: proven.plateAmps, y: scaled(proven[slope]), role: "proven" } as const]),
      ...pieces(now.plateAmps, scaled(now[slope]), rows),
    ],
    marks: [
      ...(proven === undefined ? [] : [mark(proven, "proven")]),
      mark(now, figure.live === true ? "live" : "now"),
    ],
  });
}

/** The line of now, solid over the rows and dashed where there are none. */
function pieces(x: readonly number[], y: readonly number[], rows: SlopeFigure["rows"]): readonly PlotLine[] {
  const { fromAmps, toAmps } = rows ?? { fromAmps: -Infinity, toAmps: Infinity };
  const parts = [
    { from: -Infinity, to: fromAmps, dashed: true },
    { from: fromAmps, to: toAmps, dashed: false },
    { from: toAmps, to: Infinity, dashed: true },
  ];
  return parts.flatMap(({ from, to, dashed }): readonly PlotLine[] => {
    const points = between(x, y, from, to);
    if (points.length < 2) return [];
    return [
      {
        label: "now",
        named: "none",
        x: points.map(([at]) => at),
        y: points.map(([, value]) => value),
        role: "now",
        ...(dashed ? { dash: "dash" } : {}),
      },
    ];
  });
}

/** The points of a line within a stretch of x, with its ends between two of them. */
function between(
  x: readonly number[],
  y: readonly number[],
  from: number,
  to: number,
): readonly (readonly [number, number])[] {
  const points: (readonly [number, number])[] = [];
  x.forEach((at, n) => {
    const [was, value] = [x[n - 1], y[n] as number];
    if (was !== undefined)
      for (const end of [from, to])
        if (was < end && end < at) {
          const before = y[n - 1] as number;
          points.push([end, before + ((end - was) / (at - was)) * (value - before)]);
        }
    if (at >= from && at <= to) points.push([at, value]);
  });
  return points;
}
