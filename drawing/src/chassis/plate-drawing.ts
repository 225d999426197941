/** The plate with its holes and what stands on it, from above or from below: the one drawing that screen and papers share. */
import { type ChassisJudged, itemName, plateOutline } from "@platewright/design";
import { type Box, itemBox } from "../bounds.ts";
import { type Item, SIZES, WEIGHTS } from "../scene.ts";
import { outlineItem } from "./outline-items.ts";
import type { PlateLook } from "./plate-look.ts";
import { type PlateMap, plateMap } from "./plate-map.ts";

export interface PlateDrawing {
  /** From the left upper corner of the plate; dimensions reach outside of it. */
  readonly items: readonly Item[];
  readonly map: PlateMap;
  /** Room that all of it takes, from the same corner: left and top are below nought where words stand outside the plate. */
  readonly box: Box;
  /** Words for which no free place was found: they are not drawn. */
  readonly unplaced: readonly string[];
}

export function plateDrawing({ chassis, holes, bodies, items }: ChassisJudged, look: PlateLook): PlateDrawing {
  const map = plateMap(chassis.plate, look.face, look.scale);
  const drawn: readonly Item[] = [
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
  ];
  return { map, items: drawn, box: itemBox({ kind: "group", at: [0, 0], items: drawn }), unplaced: [] };
}
