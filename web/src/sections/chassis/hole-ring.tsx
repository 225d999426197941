import { placedOutline } from "@platewright/design";
import type { PlateMap } from "@platewright/drawing";
import type { HoleRow } from "./hole-rows.ts";

/** A hole that is chosen by itself. */
export function HoleRing({ row, map }: { row: HoleRow; map: PlateMap }) {
  const outline = placedOutline({ x: row.x, y: row.y, degrees: 0, mirrored: false }, { ...row.shape, x: 0, y: 0 });
  if (outline.kind !== "circle" && outline.kind !== "rectangle") return null;
  const [x, y] = map.toSheet(outline);
  return outline.kind === "circle" ? (
    <circle className="chassis-hole" cx={x} cy={y} r={(outline.diameterMillimetres / 2) * map.scale + 0.9} />
  ) : (
    <rect
      className="chassis-hole"
      x={x - (outline.widthMillimetres / 2) * map.scale - 0.9}
      y={y - (outline.heightMillimetres / 2) * map.scale - 0.9}
      width={outline.widthMillimetres * map.scale + 1.8}
      height={outline.heightMillimetres * map.scale + 1.8}
      transform={`rotate(${(map.face === "top" ? -1 : 1) * (outline.degrees ?? 0)} ${x} ${y})`}
    />
  );
}
