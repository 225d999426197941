import { type DxfPlate, outlineOf, plateOutline } from "@platewright/design";
import { type Item, outlineItem, plateMap, type Scene, WEIGHTS } from "@platewright/drawing";
import { useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";

const EDGE = 1;
const TALLEST = 70;

/** What was read of a drawing, from above. */
export function OutlinePicture({ name, plate }: { name: string; plate: DxfPlate }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const scene = useMemo(
    () => (width === 0 ? undefined : drawn(name, plate, width / PIXELS_PER_MILLIMETRE)),
    [name, plate, width],
  );
  return (
    <div ref={box} className="metal-picture">
      {scene !== undefined && <SceneView scene={scene} />}
    </div>
  );
}

function drawn(name: string, plate: DxfPlate, room: number): Scene {
  const scale = Math.min((room - 2 * EDGE) / plate.widthMillimetres, TALLEST / plate.depthMillimetres);
  const map = plateMap(plate, "top", scale);
  const outline = plateOutline({ ...plate, thicknessMillimetres: 1, material: "aluminium" });
  const items: readonly Item[] = [
    outlineItem(outline, map, { weight: WEIGHTS.body, fill: "band" }),
    ...plate.holes.map((hole) =>
      outlineItem(outlineOf(hole.shape, hole), map, { weight: WEIGHTS.light, fill: "paper" }),
    ),
  ];
  return {
    units: "mm",
    width: map.width + 2 * EDGE,
    height: map.height + 2 * EDGE,
    title: `What was read of ${name}`,
    description: `The plate from above with ${plate.holes.length} holes.`,
    items: [{ kind: "group", at: [EDGE, EDGE], items }],
  };
}
