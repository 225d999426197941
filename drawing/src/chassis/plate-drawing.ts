/** The plate with its holes and what stands on it, from above or from below: the one drawing that screen and papers share. */
import { type ChassisJudged, itemName, plateOutline } from "@platewright/design";
import { type Item, SIZES, WEIGHTS } from "../scene.ts";
import { outlineItem } from "./outline-items.ts";
import { type PlateFace, type PlateMap, plateMap } from "./plate-map.ts";

export interface PlateLook {
  readonly face: PlateFace;
  /** Millimetres of the sheet to one of the plate; 1 is true size. */
  readonly scale: number;
  /** Bodies over this face, dashed. */
  readonly bodies?: boolean;
  readonly names?: boolean;
}

export interface PlateDrawing {
  /** From the left upper corner of the plate; dimensions reach outside of it. */
  readonly items: readonly Item[];
  readonly map: PlateMap;
}

export function plateDrawing({ chassis, holes, bodies, items }: ChassisJudged, look: PlateLook): PlateDrawing {
  const map = plateMap(chassis.plate, look.face, look.scale);
  return {
    map,
    items: [
      outlineItem(plateOutline(chassis.plate), map, { weight: WEIGHTS.body, fill: "paper" }),
      ...(look.bodies === true
        ? bodies
            .filter((body) => body.face === look.face)
            .map((body) => outlineItem(body.outline, map, { weight: WEIGHTS.hair, dash: "dash", ids: [body.item] }))
        : []),
      ...holes.holes
        .filter((hole) => hole.in === "plate")
        .map((hole) => outlineItem(hole.outline, map, { weight: WEIGHTS.body, ids: [hole.id] })),
      ...(look.names === true
        ? items.map(
            ({ item }): Item => ({
              kind: "text",
              at: map.toSheet(item),
              text: itemName(item),
              size: SIZES.small,
              anchor: "middle",
              ids: [item.id],
            }),
          )
        : []),
    ],
  };
}
