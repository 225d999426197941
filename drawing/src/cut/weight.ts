/** Area and mass of what is cut. Densities are handbook values, from memory (common alloys lie within 2 %). */
import { contourArea } from "@platewright/design";
import type { CutContour, CutDrawing } from "./cut.ts";

/** kg/m³. */
export const DENSITY: Readonly<Record<string, number>> = { aluminium: 2700, steel: 7850, brass: 8500, copper: 8960 };
export const DENSITY_WORDS = "handbook densities, from memory";

const areaOf = (contour: CutContour): number =>
  contour.kind === "circle" ? (Math.PI / 4) * contour.diameterMillimetres ** 2 : Math.abs(contourArea(contour.corners));

/** Of the metal that is left, in square millimetres: the outline less its holes. */
export function cutArea({ contours }: Pick<CutDrawing, "contours">): number {
  const cut = contours.filter((one) => one.layer === "CUT");
  const [outlines, holes] = [cut.filter((one) => one.ids.length === 0), cut.filter((one) => one.ids.length > 0)];
  const sum = (all: readonly CutContour[]) => all.reduce((total, one) => total + areaOf(one), 0);
  return sum(outlines) - sum(holes);
}

/** Kilograms; undefined for a material whose density is not in the table. */
export function cutMass(
  drawing: Pick<CutDrawing, "contours" | "material" | "thicknessMillimetres">,
): number | undefined {
  const { [drawing.material]: density } = DENSITY;
  return density === undefined ? undefined : cutArea(drawing) * drawing.thicknessMillimetres * 1e-9 * density;
}
