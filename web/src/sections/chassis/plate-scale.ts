/** How large the plate is drawn, and the paper round it. Millimetres of the sheet. */
import type { Box } from "@platewright/drawing";

export interface Paper {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Least paper round the plate, so that the drawing does not jump with little that moves. */
const LEAST: Paper = { left: 8, right: 8, top: 6, bottom: 12 };
/** Paper is given in steps. */
const STEP = 2;

/** What a drawing wants beyond a plate that is drawn this wide and high. */
export function paperRound(box: Box, width: number, height: number): Paper {
  const stepped = (least: number, wanted: number): number => Math.max(least, Math.ceil(wanted / STEP) * STEP);
  return {
    left: stepped(LEAST.left, -box.left),
    right: stepped(LEAST.right, box.right - width),
    top: stepped(LEAST.top, -box.top),
    bottom: stepped(LEAST.bottom, box.bottom - height),
  };
}

/** Millimetres of the sheet to one of the plate, so that it takes the width with its paper. */
export const scaleFor = (plateMillimetres: number, width: number, paper: Paper = LEAST): number =>
  Math.floor((1000 * Math.max(20, width - paper.left - paper.right)) / plateMillimetres) / 1000;
