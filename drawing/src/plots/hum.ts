/** Hum lines at an output as stems over frequency, with the house's limit and the noise. */
import { plot } from "../plot.ts";
import type { LegendEntry, MarkShape, PlotLimit, PlotLine, PlotMark } from "../plot/spec.ts";
import type { Role, Scene } from "../scene.ts";

export interface HumStem {
  readonly hertz: number;
  readonly dbv: number;
  readonly from: "ripple" | "heaters";
}

export interface HumFigure {
  readonly title: string;
  readonly legend?: string;
  readonly heading?: boolean;
  readonly lines: readonly HumStem[];
  readonly proven?: readonly HumStem[];
  /** Each line is asked to stay below it. */
  readonly limitDbv: number;
  /** 20 Hz to 20 kHz, flat and weighted. */
  readonly noise?: { readonly flatDbv: number; readonly weightedDbv: number };
  readonly width?: number;
  readonly height?: number;
}

/** What is quieter than this is not drawn. */
const FLOOR = -150;
const SHAPES: { readonly [F in HumStem["from"]]: MarkShape } = { ripple: "disc", heaters: "diamond" };

/** 110 by 70 mm unless told. */
export function humFigure(figure: HumFigure): Scene {
  const { lines, proven = [], limitDbv, noise } = figure;
  const seen = lines.filter((one) => one.dbv > FLOOR);
  const before = proven.filter((one) => one.dbv > FLOOR && !lines.some((now) => sameLine(now, one) && near(now, one)));
  const highest = Math.max(limitDbv, ...[...seen, ...before].map((one) => one.dbv));
  const widest = Math.max(100, ...[...lines, ...proven].map((one) => one.hertz));
  const stem = (one: HumStem, role: Role): PlotLine => ({
    label: words(one),
    named: "none",
    x: [one.hertz, one.hertz],
    y: [FLOOR, one.dbv],
    role,
  });
  const mark = (one: HumStem, role: Role, text: string): PlotMark => ({
    x: one.hertz,
    y: one.dbv,
    text,
    role,
    hollow: role === "proven",
    shape: SHAPES[one.from],
  });
  const limits: readonly PlotLimit[] = [
    { along: "y", value: limitDbv, words: `${dbv(limitDbv)} asked`, forbidden: "above" },
    ...(noise === undefined
      ? []
      : [{ along: "y" as const, value: noise.flatDbv, words: `noise ${dbv(noise.flatDbv)}`, role: "quiet" as const }]),
  ];
  const key: readonly LegendEntry[] = (["ripple", "heaters"] as const)
    .filter((from) => seen.some((one) => one.from === from))
    .map((from) => ({ text: from === "ripple" ? "ripple" : "heaters, assumed", sample: "mark", shape: SHAPES[from] }));
  return plot({
    title: figure.title,
    ...(figure.legend === undefined ? {} : { legend: figure.legend }),
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    description: [
      ...lines.map((one) => `${words(one)} ${dbv(one.dbv)}`),
      `each asked below ${dbv(limitDbv)}`,
      ...(noise === undefined ? [] : [`noise ${dbv(noise.flatDbv)}, weighted ${dbv(noise.weightedDbv)}`]),
    ].join(", "),
    width: figure.width ?? 110,
    height: figure.height ?? 70,
    x: { from: 0, to: 1.08 * widest, unit: "Hz" },
    y: { from: FLOOR, to: Math.ceil((highest + 8) / 10) * 10, unit: "dBV" },
    lines: [...before.map((one) => stem(one, "proven")), ...seen.map((one) => stem(one, "now"))],
    limits,
    marks: [
      ...before.map((one) => mark(one, "proven", "")),
      ...seen.map((one) => mark(one, "now", String(Math.round(one.dbv)).replace("-", "−"))),
    ],
    key,
  });
}

const sameLine = (a: HumStem, b: HumStem): boolean => a.from === b.from && Math.abs(a.hertz - b.hertz) < 0.5;
const near = (a: HumStem, b: HumStem): boolean => Math.abs(a.dbv - b.dbv) < 0.5;
const words = ({ hertz, from }: HumStem): string => `${Math.round(hertz)} Hz from ${from}`;
const dbv = (value: number): string => `${Math.round(value)}\u202fdBV`.replace("-", "−");
