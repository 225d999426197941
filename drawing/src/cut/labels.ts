/** Names of tubes, controls and jacks to be engraved beside their parts, where nothing is in the way. */
import {
  type Bounds,
  boundsGap,
  boundsOf,
  type ChassisJudged,
  itemName,
  type PlacedItem,
  solidOf,
} from "@platewright/design";
import type { CutWords } from "./cut.ts";

export const LABEL_HEIGHT = 3;
/** Width of a capital of a cutter's single-line font over its height, and from one to the next: an upper estimate. */
const LETTER = 0.95;
const CLEAR = 1.5;

const NAMED: ReadonlySet<string> = new Set([
  "socket",
  "potentiometer",
  "jack",
  "switch",
  "lamp",
  "terminal",
  "fuse-holder",
]);

export function engravings(
  { chassis, bodies }: Pick<ChassisJudged, "chassis" | "bodies">,
  items: readonly PlacedItem[],
  holes: readonly Bounds[],
): { readonly words: readonly CutWords[]; readonly notes: readonly string[] } {
  const { widthMillimetres: wide, depthMillimetres: deep, bends = [] } = chassis.plate;
  const margin = (edge: string): number => {
    const bend = bends.find((one) => one.edge === edge);
    return CLEAR + (bend === undefined ? 0 : chassis.plate.thicknessMillimetres + bend.insideRadiusMillimetres);
  };
  const onTop = bodies.filter((body) => body.face === "top");
  const taken: Bounds[] = [...holes, ...onTop.map((body) => body.bounds)];
  const words: CutWords[] = [];
  const notes: string[] = [];
  for (const item of items) {
    if (item.face !== "top" || !NAMED.has(item.footprint.kind)) continue;
    const text = itemName(item.item);
    const [w, h] = [[...text].length * LETTER * LABEL_HEIGHT, LABEL_HEIGHT];
    const own = around(
      item,
      onTop.filter((body) => body.item === item.item.id).map((body) => body.bounds),
    );
    const { x, y } = item.item;
    const free = [
      { x, y: own.front - CLEAR - h },
      { x, y: own.rear + CLEAR },
      { x: own.right + CLEAR + w / 2, y: y - h / 2 },
      { x: own.left - CLEAR - w / 2, y: y - h / 2 },
    ].find((at) => {
      const box: Bounds = { left: at.x - w / 2, right: at.x + w / 2, front: at.y, rear: at.y + h };
      return (
        box.left >= margin("left") &&
        box.right <= wide - margin("right") &&
        box.front >= margin("front") &&
        box.rear <= deep - margin("rear") &&
        taken.every((other) => boundsGap(box, other) >= CLEAR / 2)
      );
    });
    if (free === undefined) {
      notes.push(`There is no room to engrave the name of ${text}.`);
      continue;
    }
    taken.push({ left: free.x - w / 2, right: free.x + w / 2, front: free.y, rear: free.y + h });
    words.push({ layer: "ENGRAVE", ...free, text, heightMillimetres: LABEL_HEIGHT, anchor: "middle" });
  }
  return { words, notes };
}

/** Room of a part's holes and of what stands on the top. */
function around({ footprint, item }: PlacedItem, bodies: readonly Bounds[]): Bounds {
  const holes = footprint.holes.map((hole) => {
    const { core, radius } = solidOf({ ...hole.shape, x: hole.x, y: hole.y });
    return Math.max(...core.map((point) => Math.hypot(point.x, point.y))) + radius;
  });
  const reach = Math.max(0, ...holes.slice(0, 1));
  return bodies.reduce(
    (all, one): Bounds => ({
      left: Math.min(all.left, one.left),
      right: Math.max(all.right, one.right),
      front: Math.min(all.front, one.front),
      rear: Math.max(all.rear, one.rear),
    }),
    boundsOf({ core: [{ x: item.x, y: item.y }], radius: reach }),
  );
}
