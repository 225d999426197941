import type { Box } from "../bounds.ts";
import type { Item } from "../scene.ts";
import type { Axis } from "./axis.ts";
import { drawCurves, runsOf, segmentsOf } from "./curves.ts";
import { frameOf } from "./frame.ts";
import { drawGround } from "./ground.ts";
import { drawNames, type Names } from "./names.ts";
import type { PanelSpec } from "./spec.ts";

/**
 * One panel in its rectangle, without the numbers of its axes. `column` is the room for names at its right; names in
 * `legend` stand elsewhere; `unplaced` are those that found no room.
 */
export function drawPanel(panel: PanelSpec, x: Axis, area: Box, column: number, legend: ReadonlySet<string>): Names {
  const frame = frameOf(panel, x, area);
  const ground = drawGround(frame, panel);
  const runs = runsOf(frame, panel.lines);
  const segments = [...ground.segments, ...segmentsOf(runs)];
  const names = drawNames(frame, panel, runs, segments, column, legend);
  const items: readonly Item[] = [...ground.items, ...drawCurves(runs), ...names.items];
  return { items, unplaced: names.unplaced };
}
