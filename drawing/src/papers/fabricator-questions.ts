/**
 * What to ask whoever makes the plate before it is cut: only what this plate gives reason to ask.
 *
 * Sources common practice of shops that cut to order: smallest hole 0.5 to 1.5 thicknesses, a powder coat of 0.06 to 0.1 mm a face.
 */
import { type ChassisJudged, gapBetween, itemName, solidOf } from "@platewright/design";
import type { CutDrawing, CutHole } from "../cut/index.ts";
import { GENERAL_TOLERANCE } from "../cut/words.ts";
import { lengthFigure, millimetres } from "./hole-figures.ts";
import { type Content, contentsOf } from "./letters.ts";

/** Of a coat, on both sides of a hole. */
const COAT = 0.2;
const NARROW_THICKNESSES = 2;
const SMALL_THICKNESSES = 1.5;

export interface Marked {
  readonly hole: CutHole;
  /** "A1". */
  readonly mark: string;
}

export function fabricatorQuestions(
  { chassis, items }: ChassisJudged,
  drawing: CutDrawing,
  marked: readonly Marked[],
): readonly Content[] {
  const { plate } = chassis;
  const { thicknessMillimetres: t } = plate;
  const all: (Content | undefined)[] = [
    contentsOf([
      "Your program must read the blank as ",
      lengthFigure("flat/width", drawing.right - drawing.left),
      " × ",
      lengthFigure("flat/depth", drawing.rear - drawing.front),
      " mm. What does it read? The file is in millimetres, 1:1; another unit is the commonest slip.",
    ]),
    `Which alloy and temper do you hold in ${millimetres(t)} mm ${plate.material}${drawing.bends.length > 0 ? ", and does it take the bends without cracking" : ""}? What is the sheet's own thickness?`,
    bends(drawing),
    finish(plate.finish, marked),
    earth(chassis, items),
    "Contours are drawn at the finished size. Do you offset for the kerf, or do you want it drawn in?",
    smallest(t, marked),
    web(t, marked),
    tight(marked),
    threads(marked),
    drawing.words.some((one) => one.layer === "ENGRAVE")
      ? `Names stand on the layer ENGRAVE as text (${drawing.words.filter((one) => one.layer === "ENGRAVE").length}). Engrave or mark them with a single line; if you cannot, leave them out.`
      : undefined,
    "Which face has the burr? The face in the drawing is the one that is seen: burr on the other, both deburred, edges broken.",
    "Protective film on the face that is seen, left on?",
    measure(marked),
    "Lead time and price for one, and for five? One piece first, measured, before the rest is cut.",
  ];
  return all.flatMap((one) => (one === undefined ? [] : [one]));
}

function bends({ bends: all }: CutDrawing): Content | undefined {
  if (all.length === 0) return undefined;
  return contentsOf([
    `Which inside radius and which deduction do your tools give? The blank is drawn with `,
    ...all.flatMap((bend, n): readonly Content[] => [
      n === 0 ? "" : ", ",
      `${bend.edge} `,
      lengthFigure(`bend/deduction/${bend.edge}`, bend.deductionMillimetres),
      " mm",
    ]),
    ". Where yours differ, change the blank: outside sizes and flanges count, holes keep their places from the datum.",
  ]);
}

function finish(of: string | undefined, marked: readonly Marked[]): Content | undefined {
  if (of === undefined || of === "bare") return undefined;
  if (of === "anodised") return "Anodised after cutting and bending? The layer insulates: earth points stay bare.";
  const narrow = marked.filter(({ hole }) => hole.underMillimetres < COAT);
  return contentsOf([
    `Powder coat after cutting and bending? It adds 0.06 to 0.1 mm a face, so a hole comes out up to ${COAT} mm smaller; sizes here are as finished.`,
    narrow.length === 0
      ? " All holes have that room."
      : ` Without that room are ${listed(narrow)}: mask them, or cut them ${COAT} mm larger.`,
  ]);
}

function earth(chassis: ChassisJudged["chassis"], items: ChassisJudged["items"]): Content | undefined {
  const studs = items.filter((item) => item.footprint.kind === "earth-stud");
  const coated = chassis.plate.finish !== undefined && chassis.plate.finish !== "bare";
  if (studs.length === 0 || !coated) return undefined;
  const places = studs.map(
    ({ item, footprint }) =>
      `${itemName(item)} at ${millimetres(item.x)}, ${millimetres(item.y)}: a circle of ${millimetres(footprint.bareMillimetres ?? 14)} mm, both faces`,
  );
  return `Can you mask the earth points? They must stay bare metal: ${places.join("; ")}.`;
}

const smallestSide = ({ hole: { shape } }: Marked): number =>
  shape.kind === "circle" ? shape.diameterMillimetres : Math.min(shape.widthMillimetres, shape.heightMillimetres);

function smallest(t: number, marked: readonly Marked[]): Content | undefined {
  const least = Math.min(...marked.map(smallestSide));
  if (!(least <= SMALL_THICKNESSES * t)) return undefined;
  const those = marked.filter((one) => smallestSide(one) <= SMALL_THICKNESSES * t);
  return `What is the smallest hole that you cut in ${millimetres(t)} mm? Shops say 0.5 to 1.5 thicknesses; the smallest here are ${listed(those)}, ${millimetres(least)} mm.`;
}

function web(t: number, marked: readonly Marked[]): Content | undefined {
  let least: { readonly gap: number; readonly pair: readonly Marked[] } | undefined;
  const solids = marked.map(({ hole }) => solidOf({ ...hole.shape, x: hole.x, y: hole.y }));
  for (const [n, one] of marked.entries())
    for (let k = n + 1; k < marked.length; k++) {
      const [a, b, other] = [solids[n], solids[k], marked[k]];
      if (a === undefined || b === undefined || other === undefined) continue;
      const gap = gapBetween(a, b);
      if (least === undefined || gap < least.gap) least = { gap, pair: [one, other] };
    }
  if (least === undefined || least.gap >= NARROW_THICKNESSES * t) return undefined;
  return `The narrowest metal between two holes is ${millimetres(least.gap)} mm (${listed(least.pair)}). Does it stay flat with your process?`;
}

function tight(marked: readonly Marked[]): Content | undefined {
  const those = marked.filter(({ hole }) => hole.underMillimetres + hole.overMillimetres < 2 * GENERAL_TOLERANCE);
  return those.length === 0
    ? undefined
    : `The range of ${listed(those)} is narrower than ±${GENERAL_TOLERANCE} mm, see the table. Do you hold it?`;
}

function threads(marked: readonly Marked[]): Content | undefined {
  const those = marked.filter(({ hole }) => hole.thread !== undefined);
  return those.length === 0 ? undefined : `Do you tap ${listed(those)}? They are drawn as the drill before the tap.`;
}

/** The two holes that are farthest apart: what a caliper checks. */
function measure(marked: readonly Marked[]): Content | undefined {
  let most: { readonly apart: number; readonly pair: readonly [Marked, Marked] } | undefined;
  for (const [n, one] of marked.entries())
    for (const other of marked.slice(n + 1)) {
      const apart = Math.hypot(other.hole.x - one.hole.x, other.hole.y - one.hole.y);
      if (most === undefined || apart > most.apart) most = { apart, pair: [one, other] };
    }
  if (most === undefined) return undefined;
  const [one, other] = most.pair;
  return contentsOf([
    `Who measures, and with what? First piece: ${one.mark} to ${other.mark}, centre to centre, `,
    lengthFigure(`apart/${one.hole.ids[0] ?? ""}|${other.hole.ids[0] ?? ""}`, most.apart),
    ` mm, within ±${GENERAL_TOLERANCE} mm.`,
  ]);
}

/** "A1, A2 and B4"; the first few of many. */
function listed(those: readonly Marked[]): string {
  const marks = those.map((one) => one.mark);
  const shown = marks.length > 8 ? [...marks.slice(0, 7), `${marks.length - 7} more`] : marks;
  return shown.length === 1
    ? (shown[0] ?? "")
    : `${shown.slice(0, -1).join(", ")} and ${shown[shown.length - 1] ?? ""}`;
}
