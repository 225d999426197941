/**
 * Where the plate's millimetres come to lie on a sheet: x to the right and y down there, y to the rear here. The underside is
 * seen mirrored (x runs leftward), places are mirrored and words never are.
 */
import type { ChassisPlate } from "@platewright/design";
import type { Place } from "@platewright/engine";
import type { Point } from "../scene.ts";

export type PlateFace = "top" | "under";

export interface PlateMap {
  readonly face: PlateFace;
  /** Millimetres of the sheet to one of the plate. */
  readonly scale: number;
  readonly width: number;
  readonly height: number;
  /** From the front left corner seen from above to the left upper corner of the drawing. */
  readonly toSheet: (place: Place) => Point;
  readonly toPlate: (point: Point) => Place;
}

export function plateMap(
  plate: Pick<ChassisPlate, "widthMillimetres" | "depthMillimetres">,
  face: PlateFace,
  scale: number,
): PlateMap {
  const { widthMillimetres: wide, depthMillimetres: deep } = plate;
  const across = (x: number): number => (face === "top" ? x : wide - x);
  return {
    face,
    scale,
    width: wide * scale,
    height: deep * scale,
    toSheet: ({ x, y }) => [across(x) * scale, (deep - y) * scale],
    toPlate: ([x, y]) => ({ x: across(x / scale), y: deep - y / scale }),
  };
}
