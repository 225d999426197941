/** What stands on the layer NOTES: what the drawing is, material, tolerance, bends, what was left out. */
import type { ChassisPlate } from "@platewright/design";
import type { CutNamed, CutWords } from "./cut.ts";
import { type FlatBend, K_FACTOR } from "./flat.ts";

export const GENERAL_TOLERANCE = 0.2;
const HEIGHT = 3.5;
const STEP = 6;
/** From the blank down to the first line. */
const BELOW = 12;

/** Thousandths at most, without needless noughts. */
export const mm = (millimetres: number, places = 2): string =>
  String(Math.round(millimetres * 10 ** places) / 10 ** places);

export const FINISH_WORDS: Readonly<Record<NonNullable<ChassisPlate["finish"]>, string>> = {
  bare: "bare",
  "powder-coat": "powder coat",
  anodised: "anodised",
};

export const namedWords = ({ design, revision, date }: CutNamed): string => `${design}, revision ${revision}, ${date}`;

export const TOLERANCE_WORDS = `general tolerance ±${GENERAL_TOLERANCE} mm (common practice); holes within their own range in the hole table`;

export const bendWords = (bend: FlatBend, face: "top" | "under"): string =>
  `bend the ${bend.edge} edge 90° ${face === "top" ? "down, away from this side" : "up, towards this side"}: flange ${mm(bend.flangeMillimetres)} mm outside, inside radius ${mm(bend.insideRadiusMillimetres)} mm, allowance ${mm(bend.allowanceMillimetres, 3)} mm, deduction ${mm(bend.deductionMillimetres, 3)} mm (K ${K_FACTOR}, common practice; your tools decide)`;

/** Lines under the blank, the first one nearest to it. */
export const notesUnder = (lines: readonly string[], left: number, front: number): readonly CutWords[] =>
  lines.map((text, n) => ({
    layer: "NOTES",
    x: left,
    y: front - BELOW - n * STEP,
    text,
    heightMillimetres: HEIGHT,
    anchor: "start",
  }));
