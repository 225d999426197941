/** Sockets whose heater wires cross a grid's as they are turned: from below as they are and as they were better turned. */
import { type ChassisJudged, rotationOf } from "@platewright/design";
import { turnsPicture } from "../chassis/index.ts";
import { paragraph, section } from "./parts.ts";
import { beside, type Passage } from "./piece.ts";
import { atCorner } from "./plate-figure.ts";

const ABREAST = 2;
const GAP = 10;

/** Nothing where no heater crosses a grid. */
export function turnPassages(judged: ChassisJudged, number: number): readonly Passage[] {
  const pictures = judged.items.flatMap((item): readonly Passage[] => {
    const rotation = rotationOf(judged, item);
    if (rotation === undefined || rotation.now.crossings === 0) return [];
    return [
      (width) => {
        const drawn = atCorner(turnsPicture(rotation, item, { width: Math.min(width, 130) }));
        return [
          ...section(item.item.label ?? item.item.id)(width),
          { height: drawn.height, items: drawn.items, figures: [] },
        ];
      },
    ];
  });
  if (pictures.length === 0) return [];
  const rows = Array.from({ length: Math.ceil(pictures.length / ABREAST) }, (_, n) =>
    pictures.slice(n * ABREAST, (n + 1) * ABREAST),
  );
  return [
    section(
      "Sockets turned",
      "heaters that cross a grid as the socket stands, seen from below; straight wires tell the better of two angles, no lengths to cut",
      number,
    ),
    ...rows.map((row) =>
      beside(
        row.length === 1 ? [1, 1] : row.map(() => 1),
        GAP,
        ...row.map((one) => [one]),
        ...(row.length === 1 ? [[paragraph("")]] : []),
      ),
    ),
  ];
}
