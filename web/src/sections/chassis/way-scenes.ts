/** The drawings of a way as scenes of their own: cut through, and from above to make it from. */
import { boundsOf, type ChassisJudged, type SalvageOption, solidOf } from "@platewright/design";
import { carrierDrawing, salvageDrawing, type Scene, type SmallDrawing } from "@platewright/drawing";

/** Round every drawing, millimetres. */
export const EDGE = 1;
/** True size, twice, or half, whichever is the largest that has room. */
const SCALES = [2, 1.5, 1, 0.75, 0.5] as const;
/** Beside the part: letters of its holes. */
const BESIDE = 30;

export interface WayScenes {
  readonly cut: Scene | null;
  readonly above: Scene | null;
}

export function wayScenes(judged: ChassisJudged, way: SalvageOption, width: number): WayScenes {
  const cut = salvageDrawing(judged, way, { width: width - 2 * EDGE, notes: false });
  const { carrier } = way;
  if (carrier === undefined) return { cut: sceneOf(cut, `${way.title}, drawn`, way.words), above: null };
  const { left, right } = boundsOf(solidOf(carrier.outline));
  const scale = SCALES.find((one) => (right - left) * one + BESIDE <= width) ?? 0.5;
  const above = carrierDrawing(carrier, { scale, width: width - 2 * EDGE });
  return {
    cut: sceneOf(cut, `${way.title}, cut through`, way.words),
    above: sceneOf(above, `${way.title}, from above, ${scale} : 1`, "Outline and holes from its centre."),
  };
}

export function sceneOf(drawing: SmallDrawing | undefined, title: string, description: string): Scene | null {
  if (drawing === undefined) return null;
  const { left, top, right, bottom } = drawing.box;
  return {
    units: "mm",
    width: right - left + 2 * EDGE,
    height: bottom - top + 2 * EDGE,
    title,
    description,
    items: [{ kind: "group", at: [EDGE - left, EDGE - top], items: drawing.items }],
  };
}
