/** Rings and plates over holes as they lie on the chassis: outline and hatched rim on their own face, dashed behind the metal on the other. */
import type { Carrier } from "@platewright/design";
import type { Outline } from "@platewright/engine";
import { type Item, type Role, WEIGHTS } from "../scene.ts";
import { outlineItem } from "./outline-items.ts";
import type { PlateFace, PlateMap } from "./plate-map.ts";
import { hatch, shapeOf } from "./shapes.ts";

const PITCH = 1.6;

/** `under`: the opening of the plate that it covers. */
export function carrierItems(
  carrier: Carrier,
  under: Outline | undefined,
  look: { readonly map: PlateMap; readonly face: PlateFace; readonly role?: Role },
): readonly Item[] {
  const { map, face } = look;
  const ids = [carrier.item, `${carrier.item}/${carrier.kind}`, carrier.hole];
  const below = [...ids, `${carrier.item}/opening`];
  const own = look.role === undefined ? {} : { role: look.role };
  if (carrier.face !== face)
    return [outlineItem(carrier.outline, map, { weight: WEIGHTS.light, dash: "dash", ids, ...own })];
  const shape = shapeOf(carrier.outline, map);
  const holes = carrier.holes.map((one) => shapeOf(one.outline, map));
  const opening = under === undefined ? [] : [shapeOf(under, map)];
  return [
    outlineItem(carrier.outline, map, { weight: WEIGHTS.heavy, fill: "paper", ids, ...own }),
    ...hatch(shape, [...opening, ...holes], PITCH).map(
      ([from, to]): Item => ({
        kind: "line",
        from,
        to,
        weight: WEIGHTS.hair,
        role: look.role ?? "quiet",
        ids,
      }),
    ),
    ...(under === undefined
      ? []
      : [outlineItem(under, map, { weight: WEIGHTS.light, dash: "dash", ids: below, ...own })]),
  ];
}
