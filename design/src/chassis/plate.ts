/** The plate itself as an outline, and where its bends run. */
import type { Outline } from "@platewright/engine";
import type { Chassis, ChassisPlate } from "../document/chassis-schema.ts";
import { boundsOf, type Solid, solidOf } from "./geometry.ts";

export const plateOutline = (plate: ChassisPlate): Outline => ({
  kind: "rectangle",
  x: plate.widthMillimetres / 2,
  y: plate.depthMillimetres / 2,
  widthMillimetres: plate.widthMillimetres,
  heightMillimetres: plate.depthMillimetres,
  cornerMillimetres: plate.cornerRadiusMillimetres ?? 0,
});

export const plateSolid = (plate: ChassisPlate): Solid => solidOf(plateOutline(plate));

export type Edge = NonNullable<ChassisPlate["bends"]>[number]["edge"];

/** From an outline to each edge of the plate; negative past it. */
export function toEdges(plate: ChassisPlate, solid: Solid): { readonly [E in Edge]: number } {
  const { left, right, front, rear } = boundsOf(solid);
  return {
    left,
    right: plate.widthMillimetres - right,
    front,
    rear: plate.depthMillimetres - rear,
  };
}

/** Where the flat ends at each edge that is bent down: metal and inside radius lie outside of it. */
export const bendsOf = (
  plate: ChassisPlate,
): readonly { readonly edge: Edge; readonly flatFromEdge: number; readonly insideFace: number }[] =>
  (plate.bends ?? []).map((bend) => ({
    edge: bend.edge,
    flatFromEdge: plate.thicknessMillimetres + bend.insideRadiusMillimetres,
    insideFace: plate.thicknessMillimetres,
  }));

export const plateWords = ({ plate }: Pick<Chassis, "plate">): string =>
  `${plate.widthMillimetres} × ${plate.depthMillimetres} × ${plate.thicknessMillimetres} mm ${plate.material}`;
