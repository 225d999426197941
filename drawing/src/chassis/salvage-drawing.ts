/** The drawing that goes with a way of salvage; undefined for ways that have nothing to draw. */
import { type ChassisJudged, outlineOf, type SalvageOption } from "@platewright/design";
import { openedDrawing, plugDrawing } from "./carrier-drawing.ts";
import { carrierSection, type SmallDrawing } from "./carrier-section.ts";

const LARGEST = 3;

export function salvageDrawing(
  judged: ChassisJudged,
  option: SalvageOption,
  look: { readonly width: number; readonly notes?: boolean },
): SmallDrawing | undefined {
  if (option.carrier !== undefined) return carrierSection(judged, option.carrier, look);
  const there = judged.chassis.holes.find((one) => one.id === option.hole);
  if (there === undefined) return undefined;
  const ids = [there.id];
  const scaleFor = (millimetres: number) => Math.min(LARGEST, (look.width - 30) / millimetres);
  if (option.opened !== undefined) {
    const { opened } = option;
    const wide =
      opened.kind === "circle"
        ? opened.diameterMillimetres
        : opened.kind === "rectangle"
          ? Math.max(opened.widthMillimetres, opened.heightMillimetres)
          : 60;
    return openedDrawing(outlineOf(there.shape, there), opened, { scale: scaleFor(wide), width: look.width }, ids);
  }
  if (option.plugMillimetres !== undefined)
    return plugDrawing(
      option.plugMillimetres,
      judged.chassis.plate,
      { scale: scaleFor(option.plugMillimetres + 14), width: look.width },
      ids,
    );
  return undefined;
}
