import type { Box } from "../bounds.ts";
import { type Anchor, type Point, SIZES, type TextItem } from "../scene.ts";
import { CAP_EMS, textWidth } from "../text/index.ts";
import { type Axis, fraction, type Tick } from "./axis.ts";

/** Gap between a y axis and its numbers, and between the x axis and the numbers below it, clear of those; millimetres. */
const GAP = 1.8;
const GAP_BELOW = 2.4;
/** Room below the plot for the numbers of the x axis. */
export const NUMBERS_HEIGHT = GAP_BELOW + SIZES.small + 1;

/** Room that numbers need beside their axis. */
export const numbersWidth = (ticks: readonly Tick[]): number =>
  GAP + Math.max(0, ...ticks.map((tick) => textWidth(tick.text, SIZES.small)));

/** Numbers of a y axis, each centred on its line. */
export function yNumbers(axis: Axis, ticks: readonly Tick[], area: Box, side: "left" | "right"): readonly TextItem[] {
  const x = side === "left" ? area.left - GAP : area.right + GAP;
  return named(ticks).map((tick) => {
    const y = area.bottom - fraction(axis, tick.value) * (area.bottom - area.top);
    return number(tick, [x, y + (CAP_EMS * SIZES.small) / 2], side === "left" ? "end" : "start");
  });
}

/** Numbers of the x axis below the panel, and its label at the right where the numbers leave room. */
export function xNumbers(axis: Axis, ticks: readonly Tick[], area: Box): readonly TextItem[] {
  const y = area.bottom + GAP_BELOW + CAP_EMS * SIZES.small;
  return named(ticks).map((tick) => {
    const x = area.left + fraction(axis, tick.value) * (area.right - area.left);
    return number(tick, [x, y], "middle");
  });
}

const named = (ticks: readonly Tick[]) => ticks.filter((tick) => tick.text !== "");

const number = (tick: Tick, at: Point, anchor: Anchor): TextItem => ({
  kind: "text",
  at,
  text: tick.text,
  size: SIZES.small,
  role: "faint",
  anchor,
});
