import { digits, printValue } from "@platewright/engine";
import { axisOver, printQuantity, THIN } from "../plot/axis.ts";
import type { LegendEntry, PlotLimit, PlotLine, PlotMark, PlotRegion } from "../plot/spec.ts";
import { plot } from "../plot.ts";
import type { Scene } from "../scene.ts";

/** A curve in the plane of plate-cathode volts and plate amperes. */
export interface PlaneCurve {
  readonly plateVolts: readonly number[];
  readonly plateAmps: readonly number[];
}

export interface GridCurve extends PlaneCurve {
  readonly gridVolts: number;
}

export interface PlanePoint {
  readonly plateVolts: number;
  readonly plateAmps: number;
  readonly gridVolts?: number;
}

export interface PlateCurvesFigure {
  readonly title: string;
  /** False: the screen around it says the title. */
  readonly heading?: boolean;
  readonly legend?: string;
  readonly width?: number;
  readonly height?: number;
  /** Kept free at the edges of the sheet. */
  readonly margin?: number;
  readonly upToPlateVolts: number;
  readonly upToPlateAmps: number;
  readonly curves: readonly GridCurve[];
  /** The proven tube's curves, behind. */
  readonly provenCurves?: readonly GridCurve[];
  /** Types of the two families, said where their rows of grid volts begin. */
  readonly types?: { readonly now: string; readonly proven: string };
  readonly dissipation?: PlaneCurve & { readonly watts: number; readonly words?: string };
  readonly plateVoltsLimit?: { readonly volts: number; readonly words?: string };
  readonly cathodeAmpsLimit?: { readonly amps: number; readonly words?: string };
  /** The curve to the left of which the grid conducts. */
  readonly gridCurrent?: GridCurve & { readonly words?: readonly string[] };
  readonly dcLoad?: PlaneCurve & { readonly ohms: number };
  readonly acLoad?: PlaneCurve & { readonly ohms: number };
  readonly at?: PlanePoint;
  readonly provenAt?: PlanePoint;
  readonly swing?: PlaneCurve & { readonly inputVolts: number };
  /** The maker's rows, by how they are known; `ids` name them for the reader of the drawing. */
  readonly published?: readonly (PlanePoint & { readonly status: string; readonly ids?: readonly string[] })[];
  readonly ids?: readonly string[];
}

/** Load lines closer than this share of each other are drawn and named as one. */
const ALIKE = 0.02;

/**
 * Plate curves of a section with what its circuit makes of them: load lines, operating point and swing, limits hatched,
 * the region where the grid conducts hatched, the proven tube's curves behind, the maker's rows on top. 180 by 130 mm
 * unless told.
 */
export function plateCurvesFigure(figure: PlateCurvesFigure): Scene {
  const { title, legend, upToPlateVolts, upToPlateAmps } = figure;
  const x = { from: 0, to: upToPlateVolts, unit: "V", label: "plate to cathode" };
  const lines = linesOf(figure);
  const marks = marksOf(figure);
  const key = keyOf(figure);
  const limits = limitsOf(figure);
  const { types, provenCurves = [] } = figure;
  return plot({
    title,
    description: [
      "Plate current against plate volts, one curve for each grid voltage",
      legend,
      ...(figure.dissipation === undefined ? [] : [dissipationWords(figure.dissipation)]),
      ...(figure.types === undefined || provenCurves.length === 0
        ? []
        : [`${figure.types.now} heavy, ${figure.types.proven} light, as proven`]),
      ...(figure.gridCurrent === undefined ? [] : [gridCurrentWords(figure.gridCurrent.gridVolts).join(" ")]),
      ...limits.map((limit) => limit.words),
      ...lines
        .filter((line) => line.named === "none" && line.dash !== "dot" && line.role !== "limit")
        .map((line) => [line.label, line.ending].filter(Boolean).join(" ")),
      ...marks.map((mark) => mark.text),
      ...(figure.provenAt === undefined ? [] : [`was ${pointWords(figure.provenAt)}`]),
      ...statusWords(figure),
    ]
      .filter(Boolean)
      .join(". "),
    ...(legend === undefined ? {} : { legend }),
    ...(figure.heading === undefined ? {} : { heading: figure.heading }),
    width: figure.width ?? 180,
    height: figure.height ?? 130,
    ...(figure.margin === undefined ? {} : { margin: figure.margin }),
    x,
    y: { ...axisOver([0, upToPlateAmps], "A", 0), to: upToPlateAmps },
    lines,
    regions: regionsOf(figure),
    limits,
    marks,
    key,
    ...(types === undefined || provenCurves.length === 0 ? {} : { rows: types }),
  });
}

/** "−4 V". */
const gridName = (volts: number): string => voltsName(Math.abs(volts) < 1e-9 ? 0 : volts);

/** Volts as they are spoken of at a tube: "−0.73 V", never millivolts; whole from 20 V up. */
function voltsName(volts: number): string {
  const size = Math.abs(volts);
  return `${digits(size >= 20 ? Math.round(volts) : volts, size >= 1 ? 3 : 2)}${THIN}V`;
}

const dissipationWords = ({ watts, words }: { readonly watts: number; readonly words?: string }): string =>
  words ?? `${printValue(watts, "W").replace(/\s/u, THIN)} limit`;

function linesOf(figure: PlateCurvesFigure): readonly PlotLine[] {
  const { curves, provenCurves = [], gridCurrent, dissipation, dcLoad, acLoad, swing } = figure;
  const family = (list: readonly GridCurve[], role: "ink" | "proven") =>
    list.map(
      (curve): PlotLine => ({
        label: gridName(curve.gridVolts),
        named: "top",
        x: curve.plateVolts,
        y: curve.plateAmps,
        role,
      }),
    );
  const straight = (line: PlaneCurve): Pick<PlotLine, "x" | "y"> => ({ x: line.plateVolts, y: line.plateAmps });
  const lines: PlotLine[] = [...family(provenCurves, "proven"), ...family(curves, "ink")];
  if (gridCurrent !== undefined)
    lines.push({ ...straight(gridCurrent), label: "grid current", named: "none", role: "quiet", dash: "dot" });
  if (dissipation !== undefined)
    lines.push({ ...straight(dissipation), label: dissipationWords(dissipation), named: "peak", role: "limit" });
  const one = dcLoad !== undefined && acLoad !== undefined && Math.abs(acLoad.ohms / dcLoad.ohms - 1) < ALIKE;
  if (dcLoad !== undefined)
    lines.push({ ...straight(dcLoad), label: loadWords(one ? "dc and ac" : "dc", dcLoad.ohms), named: "none" });
  if (acLoad !== undefined && !one)
    lines.push({ ...straight(acLoad), label: loadWords("ac", acLoad.ohms), named: "none", dash: "dash" });
  if (swing !== undefined) lines.push({ ...straight(swing), label: swingWords(swing), named: "none", role: "live" });
  return lines;
}

/** As it is said in its region; where lines are to be laid over the figure, on top of those. */
export const gridCurrentWords = (gridVolts: number): readonly string[] => [
  "grid current",
  `from ${gridName(gridVolts)}`,
];

const loadWords = (which: string, ohms: number): string => `${which} load ${printQuantity(ohms, "Ω")}`;

function swingWords({ plateVolts, inputVolts }: NonNullable<PlateCurvesFigure["swing"]>): string {
  const ends = [Math.min(...plateVolts), Math.max(...plateVolts)].map(voltsName);
  const [low = "", high = ""] = ends;
  return `${voltsName(inputVolts)} in: ${low.split(THIN)[0]} to ${high}`;
}

/** Above the dissipation line, and to the left of the curve where the grid begins to conduct. */
function regionsOf({
  dissipation,
  gridCurrent,
  plateVoltsLimit,
  upToPlateAmps,
  upToPlateVolts,
}: PlateCurvesFigure): readonly PlotRegion[] {
  const regions: PlotRegion[] = [];
  if (dissipation !== undefined) {
    // Beyond the limit of plate volts all is hatched already.
    const corner = Math.min(upToPlateVolts, plateVoltsLimit?.volts ?? Infinity);
    const inside = dissipation.plateVolts
      .map((v, n) => [v, dissipation.plateAmps[n] ?? Number.NaN] as const)
      .filter(([v]) => v <= corner);
    inside.push([corner, dissipation.watts / corner]);
    regions.push({
      x: [...inside.map(([v]) => v), corner],
      y: [...inside.map(([, a]) => a), upToPlateAmps],
    });
  }
  if (gridCurrent !== undefined)
    regions.push({
      x: [...gridCurrent.plateVolts, 0],
      y: [...gridCurrent.plateAmps, gridCurrent.plateAmps.at(-1) ?? 0],
      words: gridCurrent.words ?? gridCurrentWords(gridCurrent.gridVolts),
    });
  return regions;
}

function limitsOf(figure: PlateCurvesFigure): readonly PlotLimit[] {
  const { plateVoltsLimit: volts, cathodeAmpsLimit: amps, upToPlateVolts, upToPlateAmps } = figure;
  const limits: PlotLimit[] = [];
  if (volts !== undefined && volts.volts < upToPlateVolts) {
    const words = volts.words ?? `${printQuantity(volts.volts, "V")} limit`;
    limits.push({ along: "x", value: volts.volts, words, forbidden: "above" });
  }
  if (amps !== undefined && amps.amps < upToPlateAmps) {
    const words = amps.words ?? `${printQuantity(amps.amps, "A")} limit`;
    limits.push({ along: "y", value: amps.amps, words, forbidden: "above" });
  }
  return limits;
}

function marksOf({ at, provenAt, published = [], swing, ids }: PlateCurvesFigure): readonly PlotMark[] {
  const marks: PlotMark[] = published.map((point) => ({
    x: point.plateVolts,
    y: point.plateAmps,
    text: "",
    role: "ink",
    ...shapeOf(point.status),
    ...(point.ids === undefined ? {} : { ids: point.ids }),
  }));
  if (provenAt !== undefined)
    marks.push({
      x: provenAt.plateVolts,
      y: provenAt.plateAmps,
      text: "",
      role: "proven",
      hollow: true,
    });
  if (at !== undefined)
    marks.push({
      x: at.plateVolts,
      y: at.plateAmps,
      text: pointWords(at),
      role: swing === undefined ? "now" : "live",
      ...(ids === undefined ? {} : { ids }),
    });
  return marks;
}

const pointWords = (point: PlanePoint): string =>
  `${voltsName(point.plateVolts)}, ${printQuantity(point.plateAmps, "A")}`;

const SHAPES: Readonly<
  Record<string, { readonly shape: "diamond" | "half-diamond" | "cross"; readonly hollow?: boolean }>
> = {
  published: { shape: "diamond" },
  quoted: { shape: "half-diamond" },
  memory: { shape: "cross" },
  derived: { shape: "diamond", hollow: true },
  measured: { shape: "diamond", hollow: true },
};
const shapeOf = (status: string) => SHAPES[status] ?? { shape: "cross" };

const STATUS_WORDS: Readonly<Record<string, string>> = { memory: "from memory" };

/** How many rows of each status lie in the picture. */
function statusWords({ published = [] }: PlateCurvesFigure): readonly string[] {
  const statuses = [...new Set(published.map((point) => point.status))];
  return statuses.map((status) => {
    const count = published.filter((point) => point.status === status).length;
    return `${count} point${count === 1 ? "" : "s"} ${STATUS_WORDS[status] ?? status}`;
  });
}

/** What the shapes of the maker's rows mean; and what was no curve of the family and has no name in the plot. */
function keyOf(figure: PlateCurvesFigure): readonly LegendEntry[] {
  const { published = [], provenAt } = figure;
  const entries: LegendEntry[] = [...new Set(published.map((point) => point.status))].map((status) => ({
    text: STATUS_WORDS[status] ?? status,
    sample: "mark",
    role: "ink",
    ...shapeOf(status),
  }));
  for (const line of linesOf(figure))
    if (line.named === "none" && line.role !== "quiet")
      entries.push({
        text: line.label,
        sample: "line",
        ...(line.role === undefined ? {} : { role: line.role }),
        ...(line.dash === undefined ? {} : { dash: line.dash }),
      });
  if (provenAt !== undefined)
    entries.push({ text: `was ${pointWords(provenAt)}`, sample: "mark", role: "proven", hollow: true });
  return entries;
}
