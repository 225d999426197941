import type { Box } from "../bounds.ts";
import { textBox } from "../bounds.ts";
import { SIZES, type TextItem } from "../scene.ts";
import { shorten } from "../text/index.ts";
import type { Axis } from "./axis.ts";
import { drawCurves, runsOf, segmentsOf } from "./curves.ts";
import { frameOf, leftAxis, rightAxis, yTicks } from "./frame.ts";
import { drawGround } from "./ground.ts";
import { drawNames, type Names, type Room } from "./names.ts";
import { yNumbers } from "./numbers.ts";
import type { PanelSpec } from "./spec.ts";

/** Height of the baseline of a panel's label over its rectangle, in millimetres. */
const LABEL_RISE = 3;

/** One panel in its rectangle with the numbers of its y axes; `unplaced` are the names that found no room. */
export function drawPanel(panel: PanelSpec, x: Axis, area: Box, room: Room): Names {
  const frame = frameOf(panel, x, area);
  const ground = drawGround(frame, panel);
  const runs = runsOf(frame, panel.lines);
  const label = labelOf(panel, area);
  const texts = [...label, ...numbersOf(panel, area)];
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

function numbersOf(panel: PanelSpec, area: Box): readonly TextItem[] {
  const height = area.bottom - area.top;
  const right = rightAxis(panel);
  return [
    ...yNumbers(leftAxis(panel), yTicks(leftAxis(panel), height), area, "left"),
    ...(right === undefined ? [] : yNumbers(right, yTicks(right, height), area, "right")),
  ];
}
