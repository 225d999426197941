import type { Box } from "../bounds.ts";
import { textBox } from "../bounds.ts";
import { SIZES, type TextItem } from "../scene.ts";
import { CAP_EMS, shorten } from "../text/index.ts";
import type { Axis } from "./axis.ts";
import { drawCurves, runsOf, segmentsOf } from "./curves.ts";
import { type Frame, frameOf, leftAxis, rightAxis, yTicks } from "./frame.ts";
import { drawGround } from "./ground.ts";
import { drawNames, type Names, type Room } from "./names.ts";
import { yNumbers } from "./numbers.ts";
import { ROW, topRow } from "./place.ts";
import type { PanelSpec } from "./spec.ts";

/** Height of the baseline of a panel's label over its rectangle, in millimetres. */
const LABEL_RISE = 3;
/** Of a region's words from its edges; and how far the name of a row of names may reach in over the plot. */
const INSET = 2;
const MOST_INTO = 12;

/** One panel in its rectangle with the numbers of its y axes; `unplaced` are the names that found no room. */
export function drawPanel(panel: PanelSpec, x: Axis, area: Box, room: Room): Names {
  const frame = frameOf(panel, x, area);
  const ground = drawGround(frame, panel);
  const runs = runsOf(frame, panel.lines);
  const texts = [
    ...labelOf(panel, area),
    ...rowNames(panel, area),
    ...numbersOf(panel, area),
    ...regionWords(frame, panel),
  ];
  const names = drawNames(
    frame,
    panel,
    runs,
    {
      texts: texts.map(textBox),
      segments: [...ground.segments, ...segmentsOf(runs)],
      hatches: ground.hatches,
    },
    room,
  );
  return { items: [...ground.items, ...drawCurves(runs), ...texts, ...names.items], unplaced: names.unplaced };
}

function labelOf(panel: PanelSpec, area: Box): readonly TextItem[] {
  if (panel.label === undefined) return [];
  const text = shorten(panel.label, area.right, SIZES.small, true);
  return [{ kind: "text", at: [0, area.top - LABEL_RISE], text, size: SIZES.small, bold: true }];
}

/** At the left edge of the sheet, so that the rows read from it. */
function rowNames({ rows }: PanelSpec, area: Box): readonly TextItem[] {
  if (rows === undefined) return [];
  return [rows.now, rows.proven].map((name, row) => ({
    kind: "text",
    at: [0, topRow(area.top, row)],
    text: shorten(name, area.left + MOST_INTO, SIZES.small, row === 0),
    size: SIZES.small,
    ...(row === 0 ? { bold: true } : { role: "faint" as const }),
  }));
}

function regionWords(frame: Frame, { regions = [] }: PanelSpec): readonly TextItem[] {
  return regions.flatMap(({ x, y, side, words = [] }) => {
    const corner = { x: Infinity, y: Infinity };
    for (let n = 0; n < x.length; n++) {
      const [px, py] = frame.at(x[n] as number, y[n] ?? Number.NaN, side);
      if (px < corner.x) corner.x = px;
      if (py < corner.y) corner.y = py;
    }
    const left = Math.max(frame.area.left, corner.x) + INSET;
    const top = Math.max(frame.area.top, corner.y) + INSET;
    return words.map(
      (text, line): TextItem => ({
        kind: "text",
        at: [left, top + CAP_EMS * SIZES.small + line * ROW],
        text,
        size: SIZES.small,
        role: line === 0 ? "ink" : "faint",
        bold: line === 0,
        halo: "paper",
      }),
    );
  });
}

function numbersOf(panel: PanelSpec, area: Box): readonly TextItem[] {
  const height = area.bottom - area.top;
  const right = rightAxis(panel);
  return [
    ...yNumbers(leftAxis(panel), yTicks(leftAxis(panel), height), area, "left"),
    ...(right === undefined ? [] : yNumbers(right, yTicks(right, height), area, "right")),
  ];
}
