/** A place on the plate where a part stands clear of everything else and of the edges. */
import { boundsOf, type ChassisJudged, gapBetween, outlineOf, placedOutline, solidOf } from "@platewright/design";
import type { Footprint, Outline, Place } from "@platewright/engine";

const STEP = 5;
/** Clear of what stands there, and of the edges. */
const CLEAR = 4;

/** The first free place from the rear left; the middle of the plate when there is none. */
export function roomFor({ chassis, bodies, holes }: ChassisJudged, footprint: Footprint): Place {
  const own = (at: Place): readonly Outline[] =>
    [
      ...footprint.above.map((body) => body.outline),
      ...footprint.below.map((body) => body.outline),
      ...footprint.holes.map((hole) => outlineOf(hole.shape, hole)),
    ].map((outline) => placedOutline({ ...at, degrees: 0, mirrored: false }, outline));
  const taken = [
    ...bodies.map((body) => body.solid),
    ...holes.holes.filter((hole) => hole.work !== "spare").map((hole) => solidOf(hole.outline)),
  ];
  const { widthMillimetres: wide, depthMillimetres: deep } = chassis.plate;
  const isFree = (at: Place): boolean =>
    own(at).every((outline) => {
      const solid = solidOf(outline);
      const { left, right, front, rear } = boundsOf(solid);
      if (left < CLEAR || front < CLEAR || right > wide - CLEAR || rear > deep - CLEAR) return false;
      return taken.every((there) => gapBetween(solid, there) >= CLEAR);
    });
  for (let y = Math.floor(deep / STEP) * STEP; y >= 0; y -= STEP)
    for (let x = 0; x <= wide; x += STEP) if (isFree({ x, y })) return { x, y };
  return { x: Math.round(wide / 2), y: Math.round(deep / 2) };
}
