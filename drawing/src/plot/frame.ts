import type { Box } from "../bounds.ts";
import { type Point, SIZES } from "../scene.ts";
import { textWidth } from "../text/index.ts";
import { type Axis, fraction, type Tick, ticksOf } from "./axis.ts";
import type { PanelSpec, Side } from "./spec.ts";

/** Least distance of numbers along the axes, in millimetres. */
const X_SPACING = 18;
/** A short axis would be left with its zero alone. */
const SHORT = 60;
const SHORT_SPACING = 12;
/** On a logarithmic axis 1, 2 and 5 are worth some crowding. */
const LOG_SPACING = 13;
const Y_SPACING = 9;

export const leftAxis = (panel: PanelSpec): Axis => ("unit" in panel.y ? panel.y : panel.y[0]);
export const rightAxis = (panel: PanelSpec): Axis | undefined => ("unit" in panel.y ? undefined : panel.y[1]);
export const yTicks = (axis: Axis, height: number): readonly Tick[] => ticksOf(axis, height, Y_SPACING);

/** Numbers below the x axis, farther apart when they are long. */
export function xTicks(axis: Axis, width: number): readonly Tick[] {
  const spacing = axis.scale === "log" ? LOG_SPACING : width < SHORT ? SHORT_SPACING : X_SPACING;
  const ticks = ticksOf(axis, width, spacing);
  const needed = 3 + Math.max(0, ...ticks.map((tick) => textWidth(tick.text, SIZES.small)));
  return needed > spacing ? ticksOf(axis, width, needed) : ticks;
}

/** The rectangle of one panel, and where values stand in it (millimetres on the sheet). */
export interface Frame {
  readonly area: Box;
  readonly x: Axis;
  readonly left: Axis;
  readonly right: Axis | undefined;
  readonly at: (x: number, y: number, side?: Side) => Point;
  /** The part of the rectangle between two values of an axis; undefined when nothing of it is inside. */
  readonly stretch: (along: "x" | "y", from: number, to: number, side?: Side) => Box | undefined;
}

export function frameOf(panel: PanelSpec, x: Axis, area: Box): Frame {
  const left = leftAxis(panel);
  const right = rightAxis(panel);
  const toX = (value: number) => area.left + fraction(x, value) * (area.right - area.left);
  const toY = (value: number, side?: Side) =>
    area.bottom - fraction(side === "right" && right !== undefined ? right : left, value) * (area.bottom - area.top);
  return {
    area,
    x,
    left,
    right,
    at: (valueX, valueY, side) => [toX(valueX), toY(valueY, side)],
    stretch: (along, from, to, side) => {
      const ends = along === "x" ? [toX(from), toX(to)] : [toY(from, side), toY(to, side)];
      const [low, high] = [Math.min(...ends), Math.max(...ends)];
      const box: Box =
        along === "x"
          ? { ...area, left: Math.max(low, area.left), right: Math.min(high, area.right) }
          : { ...area, top: Math.max(low, area.top), bottom: Math.min(high, area.bottom) };
      return box.left < box.right && box.top < box.bottom ? box : undefined;
    },
  };
}
