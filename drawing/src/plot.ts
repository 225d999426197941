import { assert } from "@platewright/engine";
import type { Box } from "./bounds.ts";
import { type Axis, checkAxis } from "./plot/axis.ts";
import { leftAxis, rightAxis, xTicks, yTicks } from "./plot/frame.ts";
import { header, legendRows } from "./plot/margins.ts";
import { columnWidth, lineName } from "./plot/wishes.ts";
import { ROW } from "./plot/place.ts";
import { NUMBERS_HEIGHT, numbersWidth, xNumbers } from "./plot/numbers.ts";
import { drawPanel } from "./plot/panel.ts";
import type { LegendEntry, PanelSpec, PanelsSpec, PlotSpec } from "./plot/spec.ts";
import { type Item, type PanelPlace, type Scene, SIZES } from "./scene.ts";
import { CAP_EMS, shorten, textWidth } from "./text/index.ts";

/** Height above a panel: half a number, or a line for its label and the names of its bands; and what is kept clear. */
const ABOVE = 2.6;
const LABEL_HEIGHT = 6.4;
const CLEAR = 2;
const SMALLEST_PANEL = 12;
const MARGIN = 4;

/** One plot: a title, axes, lines named at their ends, bands, limits with words, marks with their values. */
export function plot(spec: PlotSpec): Scene {
  return plotPanels({ ...spec, panels: [spec] });
}

/**
 * Several panels over one x axis, one below the other.
 *
 * Names stand in a column at the ends of their lines where they fit, else in the plot where they cover nothing, else in
 * rows below. Every text has its estimated room; none leaves the sheet. Throws when an axis is empty or the sheet is too
 * small for the panels.
 */
export function plotPanels(spec: PanelsSpec): Scene {
  checkAxis(spec.x);
  for (const panel of spec.panels)
    for (const axis of [leftAxis(panel), rightAxis(panel)]) if (axis !== undefined) checkAxis(axis);
  const margin = spec.margin ?? MARGIN;
  const inner = { ...spec, width: spec.width - 2 * margin, height: spec.height - 2 * margin };
  const below = new Map((spec.key ?? []).map((entry): [string, LegendEntry] => [entry.text, entry]));
  for (;;) {
    const { items, unplaced, areas } = layout(inner, below);
    const more = unplaced.filter((entry) => !below.has(entry.text));
    for (const entry of more) below.set(entry.text, entry);
    if (more.length > 0) continue;
    const { width, height, title } = spec;
    return {
      units: "mm",
      width,
      height,
      title,
      description: describe(spec),
      items: [{ kind: "group", at: [margin, margin], items }],
      panels: spec.panels.map((panel, n) => placeOf(panel, spec, areas[n] as Box, margin)),
    };
  }
}

interface Layout {
  readonly items: readonly Item[];
  readonly unplaced: readonly LegendEntry[];
  readonly areas: readonly Box[];
}

function placeOf(panel: PanelSpec, { x }: PanelsSpec, area: Box, margin: number): PanelPlace {
  const range = ({ from, to, scale }: Axis) => ({ from, to, ...(scale === undefined ? {} : { scale }) });
  const right = rightAxis(panel);
  return {
    left: area.left + margin,
    right: area.right + margin,
    top: area.top + margin,
    bottom: area.bottom + margin,
    x: range(x),
    y: range(leftAxis(panel)),
    ...(right === undefined ? {} : { yRight: range(right) }),
  };
}

function layout(spec: PanelsSpec, below: ReadonlyMap<string, LegendEntry>): Layout {
  const head = header(spec);
  const column = Math.max(...spec.panels.map((panel) => columnWidth(panel, spec.x, spec.width * 0.35)));
  // The numbers of an axis depend on its length, and the width of the numbers on them: the full height bounds both.
  const numbers = (axis: ReturnType<typeof rightAxis>) =>
    axis === undefined ? 0 : numbersWidth(yTicks(axis, spec.height));
  const lastNumber = textWidth(xTicks(spec.x, spec.width).at(-1)?.text ?? "", SIZES.small) / 2;
  const left = Math.max(lastNumber, ...spec.panels.map((panel) => numbers(leftAxis(panel))));
  const right = spec.width - Math.max(lastNumber, column, ...spec.panels.map((panel) => numbers(rightAxis(panel))));
  const legend = legendRows([...below.values()], left, spec.width);
  const axisLabel = spec.x.label === undefined ? 0 : SIZES.small + 1;
  const bottom = spec.height - legend.height - NUMBERS_HEIGHT - axisLabel;

  const items: Item[] = [...head.items];
  const areas: Box[] = [];
  const unplaced: LegendEntry[] = [];
  const gaps = spec.panels.map((panel) => headHeight(panel) + CLEAR);
  const free = bottom - head.height - gaps.reduce((a, b) => a + b, 0);
  const shares = spec.panels.map((panel) => panel.share ?? 1);
  const unit = free / shares.reduce((a, b) => a + b, 0);
  assert(
    right - left >= SMALLEST_PANEL && shares.every((s) => s * unit >= SMALLEST_PANEL),
    `no room for "${spec.title}" within ${Math.floor(spec.width)} by ${Math.floor(spec.height)} mm`,
  );

  let top = head.height;
  spec.panels.forEach((panel, n) => {
    top += gaps[n] as number;
    const area: Box = { left, right, top, bottom: top + (shares[n] as number) * unit };
    top = area.bottom;
    areas.push(area);
    const drawn = drawPanel(panel, spec.x, area, {
      column,
      head: (gaps[n] as number) - CLEAR,
      below: new Set(below.keys()),
    });
    items.push(...drawn.items);
    unplaced.push(...drawn.unplaced);
  });
  const ticks = xTicks(spec.x, right - left);
  items.push(...xNumbers(spec.x, ticks, { left, right, top: 0, bottom }));
  if (spec.x.label !== undefined)
    items.push({
      kind: "text",
      at: [right, bottom + NUMBERS_HEIGHT + CAP_EMS * SIZES.small],
      text: shorten(spec.x.label, right, SIZES.small),
      size: SIZES.small,
      role: "faint",
      anchor: "end",
    });
  if (legend.items.length > 0) items.push({ kind: "group", at: [0, spec.height - legend.height], items: legend.items });
  return { items, unplaced, areas };
}

function headHeight(panel: PanelSpec): number {
  const tops = panel.lines.filter((line) => line.named === "top");
  if (tops.length > 0) return LABEL_HEIGHT + (tops.some((line) => line.role === "proven") ? ROW : 0);
  return hasHead(panel) ? LABEL_HEIGHT : ABOVE;
}

const hasHead = (panel: PanelSpec) =>
  panel.label !== undefined || (panel.bands ?? []).some((band) => band.along === "x" && band.label !== undefined);

function describe(spec: PanelsSpec): string {
  if (spec.description !== undefined) return spec.description;
  const names = spec.panels.map((panel) =>
    [panel.label, panel.lines.map(lineName).join(", ")].filter(Boolean).join(": "),
  );
  return [spec.legend, ...names].filter(Boolean).join("; ");
}
