/** Drawings of the chassis on paper: as large as there is room for at a plain scale, which is said. */
import type { ChassisJudged } from "@platewright/design";
import { type PlateDrawing, plateDrawing, type PlateLook } from "../chassis/index.ts";
import type { Item } from "../scene.ts";
import { paragraph } from "./parts.ts";
import { group, type Passage, type Piece, whole } from "./piece.ts";

/** Plain scales: one to so many. */
export const SCALES = [1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 5, 6, 7.5, 10, 15, 20, 30] as const;

export interface Scaled {
  readonly drawing: PlateDrawing;
  /** 2 of "1 : 2". */
  readonly one: number;
}

/** The largest that fits; the smallest of all where none does. */
export function plateToScale(
  judged: ChassisJudged,
  look: Omit<PlateLook, "scale">,
  room: { readonly width: number; readonly height: number },
): Scaled {
  const { widthMillimetres, depthMillimetres } = judged.chassis.plate;
  let last: Scaled | undefined;
  for (const one of SCALES) {
    // The plate alone is too large: no need to draw it.
    if ((widthMillimetres / one > room.width || depthMillimetres / one > room.height) && one !== SCALES.at(-1))
      continue;
    const drawing = plateDrawing(judged, { ...look, scale: 1 / one });
    last = { drawing, one };
    const { box } = drawing;
    if (box.right - box.left <= room.width && box.bottom - box.top <= room.height) return last;
  }
  return last ?? { drawing: plateDrawing(judged, { ...look, scale: 1 / 30 }), one: 30 };
}

export const scaleWords = ({ one }: Scaled): string => (one === 1 ? "true size" : `drawn 1 : ${one}`);

/** A drawing with its box moved to the corner. */
export const atCorner = ({
  items,
  box,
}: Pick<PlateDrawing, "items" | "box">): {
  readonly items: readonly Item[];
  readonly width: number;
  readonly height: number;
} => ({
  items: [group([-box.left, -box.top], items)],
  width: box.right - box.left,
  height: box.bottom - box.top,
});

/** What a drawing had no room for, in a sentence; nothing when it had. So many are named. */
function unplacedWords(unplaced: readonly string[], most: number): readonly Passage[] {
  const ordinates = unplaced.filter((one) => one.startsWith("ordinate "));
  const names = unplaced.filter((one) => !one.startsWith("ordinate "));
  const more = names.length - most;
  const said = [
    ...names.slice(0, most),
    ...(more > 0 ? [`${more}${most > 0 ? " more" : " words"}`] : []),
    ...(ordinates.length > 0 ? [`${ordinates.length} ordinates`] : []),
  ];
  return said.length === 0 ? [] : [paragraph(`No room on the drawing for: ${said.join(", ")}.`)];
}

/** The column beside a drawing, with what the drawing had no room for as far as the column itself has. */
export function columnBeside(
  parts: readonly Passage[],
  unplaced: readonly string[],
  room: { readonly width: number; readonly height: number },
): Piece {
  const laid = (most: number) =>
    whole([...parts, ...unplacedWords(unplaced, most)].flatMap((part) => part(room.width)));
  for (const most of [24, 10, 4]) {
    const piece = laid(most);
    if (piece.height <= room.height) return piece;
  }
  return laid(0);
}
