import type { Box } from "../bounds.ts";
import { type Point, type Role, SIZES } from "../scene.ts";
import { textWidth } from "../text/index.ts";
import type { Axis } from "./axis.ts";
import type { Run, Runs } from "./curves.ts";
import { type Frame, rightAxis } from "./frame.ts";
import { limitEnds } from "./ground.ts";
import type { Words } from "./place.ts";
import type { LegendEntry, PanelSpec, PlotLine } from "./spec.ts";

/** Between the plot and the names beside it, in millimetres. */
export const COLUMN_GAP = 3;

/** Something that wants a name beside the plot, or in it, or else in the rows below. */
export interface Wish extends Words, LegendEntry {
  /** Height at the right edge, for a name beside the plot. */
  readonly edge?: number;
  readonly where:
    | { readonly run: Run }
    | { readonly near: Point }
    | { readonly exit: Point; readonly row: number }
    | { readonly box: Box; readonly over: boolean };
}

export const lineName = (line: PlotLine): string =>
  line.ending === undefined ? line.label : `${line.label} ${line.ending}`;

/** Of the words for a thing of that role: what is now is said in full ink. */
export const nameRole = (role: Role | undefined): Role => (role === "now" ? "ink" : (role ?? "quiet"));

/** Widest name that wants to stand beside the panel; with an axis on the right all stand in the plot. */
export function columnWidth(panel: PanelSpec, x: Axis, widest: number): number {
  if (rightAxis(panel) !== undefined) return 0;
  const names: readonly Words[] = [
    ...panel.lines
      .filter(
        (line) =>
          line.named !== "peak" &&
          line.named !== "start" &&
          line.named !== "none" &&
          (line.x[line.x.length - 1] ?? x.from) >= x.to - 1e-9 * Math.abs(x.to),
      )
      .map((line) => ({ text: lineName(line), bold: line.role === "now" })),
    ...(panel.limits ?? []).filter((l) => l.along === "y").map((l) => ({ text: l.words, bold: false })),
  ];
  const widths = names.map(({ text, bold }) => textWidth(text, SIZES.small, bold) + COLUMN_GAP);
  return Math.max(0, ...widths.filter((width) => width <= widest));
}

/** What of a panel wants a name, in the order in which names are placed. */
export function wishesOf(frame: Frame, panel: PanelSpec, runs: Runs): readonly Wish[] {
  return [...limitWishes(frame, panel), ...lineWishes(frame, runs), ...bandWishes(frame, panel)];
}

function limitWishes(frame: Frame, panel: PanelSpec): readonly Wish[] {
  const { area } = frame;
  return (panel.limits ?? []).flatMap((limit): readonly Wish[] => {
    const [from, to] = limitEnds(frame, limit);
    const upright = limit.along === "x";
    const shown = upright
      ? from[0] >= area.left && from[0] <= area.right
      : from[1] >= area.top && from[1] <= area.bottom;
    if (!shown) return [];
    const name = { text: limit.words, bold: false, role: limit.role ?? "quiet", sample: "limit" } as const;
    // An upright limit is named from its top downward.
    return [upright ? { ...name, where: { run: [to, from] } } : { ...name, edge: from[1], where: { run: [from, to] } }];
  });
}

function lineWishes(frame: Frame, runs: Runs): readonly Wish[] {
  return [...runs].flatMap(([line, parts]): readonly Wish[] => {
    const run = parts.reduce<Run>((longest, part) => (width(part) > width(longest) ? part : longest), []);
    const end = parts.at(-1)?.at(-1);
    if (end === undefined) return [];
    const name = {
      text: lineName(line),
      bold: line.role === "now",
      role: nameRole(line.role),
      sample: "line",
    } as const;
    const dashed = line.dash === undefined ? name : { ...name, dash: line.dash };
    if (line.named === "none") return [];
    if (line.named === "top" && end[1] <= frame.area.top + 0.2)
      return [{ ...dashed, where: { exit: [end[0], frame.area.top], row: line.role === "proven" ? 1 : 0 } }];
    // Read from its first point on.
    if (line.named === "start") return [{ ...dashed, where: { run: [...(parts[0] ?? [])].reverse() } }];
    if (line.named === "peak") return [{ ...dashed, where: { near: highest(parts) } }];
    const reaches = end[0] >= frame.area.right - 0.2;
    return [reaches ? { ...dashed, edge: end[1], where: { run } } : { ...dashed, where: { run } }];
  });
}

function bandWishes(frame: Frame, panel: PanelSpec): readonly Wish[] {
  return (panel.bands ?? []).flatMap((band): readonly Wish[] => {
    const box = frame.stretch(band.along, band.from, band.to, band.side);
    if (box === undefined || band.label === undefined) return [];
    return [{ text: band.label, bold: false, role: "faint", sample: "band", where: { box, over: band.along === "x" } }];
  });
}

const width = (run: Run) => (run.at(-1)?.[0] ?? 0) - (run[0]?.[0] ?? 0);

/** The first of the highest points. */
const highest = (parts: readonly Run[]): Point =>
  parts.flat().reduce<Point>((best, point) => (point[1] < best[1] - 1e-6 ? point : best), [0, Infinity]);
