/** From values to places on a plot's sheet and back, for handles, cursors and drags. */
import type { PanelPlace, Point } from "../scene.ts";
import { fraction } from "./axis.ts";
import type { Side } from "./spec.ts";

const axisOf = (panel: PanelPlace, side: Side) => (side === "right" ? (panel.yRight ?? panel.y) : panel.y);

/** Where a value stands on the sheet, in millimetres; outside the rectangle when it is outside the axes. */
export function pointOf(panel: PanelPlace, x: number, y: number, side: Side = "left"): Point {
  const along = fraction({ ...panel.x, unit: "" }, x);
  const up = fraction({ ...axisOf(panel, side), unit: "" }, y);
  return [panel.left + along * (panel.right - panel.left), panel.bottom - up * (panel.bottom - panel.top)];
}

/** The values at a place on the sheet. The inverse of `pointOf`. */
export function valueAt(
  panel: PanelPlace,
  [x, y]: Point,
  side: Side = "left",
): { readonly x: number; readonly y: number } {
  return {
    x: valueOn(panel.x, (x - panel.left) / (panel.right - panel.left)),
    y: valueOn(axisOf(panel, side), (panel.bottom - y) / (panel.bottom - panel.top)),
  };
}

const valueOn = ({ from, to, scale }: PanelPlace["x"], share: number): number =>
  scale === "log" ? from * (to / from) ** share : from + share * (to - from);
