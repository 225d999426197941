/** Gaps between two things: an arrow from rim to rim, a bar across each end, words on it or beside it. */
import { type Box, boxAround } from "../bounds.ts";
import { type Item, type Point, type Role, SIZES, WEIGHTS } from "../scene.ts";
import { CAP_EMS, DESCENT_EMS, textWidth } from "../text/index.ts";
import { arrowLine } from "./dimension.ts";
import type { FreePlaces } from "./free-places.ts";
import { textItems } from "./labels.ts";
import type { PlateGap } from "./plate-look.ts";
import type { PlateMap } from "./plate-map.ts";

const SIZE = SIZES.small;
const CAP = CAP_EMS * SIZE;
const BAR = 1.3;

export function gapItems(
  gaps: readonly PlateGap[],
  map: PlateMap,
  ground: { readonly texts: FreePlaces; readonly holes: FreePlaces; readonly halo: "paper" | "band" },
): { readonly items: readonly Item[]; readonly unplaced: readonly string[] } {
  const unplaced: string[] = [];
  const items = gaps.flatMap((gap): readonly Item[] => {
    const [from, to] = [map.toSheet(gap.from), map.toSheet(gap.to)];
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const role: Role = gap.level === "stop" ? "stop" : "ink";
    const ids = gap.ids ?? [];
    const u: Point = length < 1e-6 ? [1, 0] : [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
    const bars = [from, to].map(
      ([x, y]): Item => ({
        kind: "line",
        from: [x - u[1] * BAR, y + u[0] * BAR],
        to: [x + u[1] * BAR, y - u[0] * BAR],
        weight: WEIGHTS.light,
        role,
        ...(ids.length === 0 ? {} : { ids }),
      }),
    );
    const drawn = [...arrowLine(from, to, { ids, role, weight: WEIGHTS.light }), ...bars];
    const width = textWidth(gap.words, SIZE, true);
    const box = places(from, to, u, width).find(
      (one) => ground.texts.isFree(one, 0.4) && ground.holes.isFree(one, 0.2) && onPlate(one, map),
    );
    if (box === undefined) {
      // An arrow without its words says nothing.
      unplaced.push(gap.words);
      return [];
    }
    ground.texts.take(box);
    return [
      ...drawn,
      ...textItems(
        [{ text: gap.words, bold: true, role }],
        [box.left, box.bottom - DESCENT_EMS * SIZE],
        ids,
        ground.halo,
      ),
    ];
  });
  return { items, unplaced };
}

const onPlate = (box: Box, { width, height }: PlateMap): boolean =>
  box.left >= 0 && box.right <= width && box.top >= 0 && box.bottom <= height;

/** On the arrow where it is long enough, beside it, past its ends. */
function places(from: Point, to: Point, u: Point, width: number): readonly Box[] {
  const at = ([x, y]: Point): Box => ({
    ...boxAround([[x, y]]),
    left: x - width / 2,
    right: x + width / 2,
    top: y - CAP / 2,
    bottom: y + CAP / 2 + DESCENT_EMS * SIZE,
  });
  const along = (t: number): Point => [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])];
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const own = Math.abs(u[0]) * width + Math.abs(u[1]) * CAP;
  // Room that the words take across the arrow.
  const aside = (Math.abs(u[1]) * width + Math.abs(u[0]) * CAP) / 2 + 1;
  const boxes: Box[] = [];
  for (const t of [0.5, 0.35, 0.65]) if (length > own + 6) boxes.push(at(along(t)));
  for (const more of [0, 2, 4.5, 8, 12])
    for (const side of [1, -1])
      for (const t of [0.5, 0.2, 0.8]) {
        const [x, y] = along(t);
        boxes.push(at([x - side * u[1] * (aside + more), y + side * u[0] * (aside + more)]));
      }
  for (const past of [own / 2 + 3, own / 2 + 6]) {
    boxes.push(at([to[0] + u[0] * past, to[1] + u[1] * past]));
    boxes.push(at([from[0] - u[0] * past, from[1] - u[1] * past]));
  }
  return boxes;
}
