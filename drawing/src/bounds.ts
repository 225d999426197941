import type { Item, Point, Scene, TextItem } from "./scene.ts";
import { CAP_EMS, DESCENT_EMS, textWidth } from "./text/index.ts";

/** An upright rectangle, y down: `left <= right`, `top <= bottom`; millimetres. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

const NOWHERE: Box = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };

export function boxAround(points: readonly Point[], margin = 0): Box {
  let { left, top, right, bottom } = NOWHERE;
  for (const [x, y] of points) {
    left = Math.min(left, x);
    right = Math.max(right, x);
    top = Math.min(top, y);
    bottom = Math.max(bottom, y);
  }
  return { left: left - margin, top: top - margin, right: right + margin, bottom: bottom + margin };
}

export function overlap(a: Box, b: Box, gap = 0): boolean {
  return a.left < b.right + gap && b.left < a.right + gap && a.top < b.bottom + gap && b.top < a.bottom + gap;
}

/** Room that a text takes, by the widths of the widest font. */
export function textBox(item: Pick<TextItem, "at" | "text" | "size" | "anchor" | "bold">): Box {
  const width = textWidth(item.text, item.size, item.bold);
  const [x, y] = item.at;
  const left = item.anchor === "end" ? x - width : item.anchor === "middle" ? x - width / 2 : x;
  return { left, right: left + width, top: y - CAP_EMS * item.size, bottom: y + DESCENT_EMS * item.size };
}

/** Room that an item takes, strokes included, in the coordinates of the group it stands in. */
export function itemBox(item: Item): Box {
  switch (item.kind) {
    case "line":
      return boxAround([item.from, item.to], item.weight / 2);
    case "polyline":
    case "path":
      return boxAround(item.points, item.weight / 2);
    case "rect": {
      const [x, y] = item.at;
      return boxAround(
        [
          [x, y],
          [x + item.width, y + item.height],
        ],
        item.weight / 2,
      );
    }
    case "circle":
      return boxAround([item.at], item.radius + item.weight / 2);
    case "text":
      return textBox(item);
    case "group": {
      const [x, y] = item.at;
      const inner = item.items.map(itemBox);
      return {
        left: x + Math.min(Infinity, ...inner.map((b) => b.left)),
        right: x + Math.max(-Infinity, ...inner.map((b) => b.right)),
        top: y + Math.min(Infinity, ...inner.map((b) => b.top)),
        bottom: y + Math.max(-Infinity, ...inner.map((b) => b.bottom)),
      };
    }
  }
}

/** The items without their groups, each moved to where it stands on the sheet. */
export function flatten(items: readonly Item[], [dx, dy]: Point = [0, 0]): readonly Exclude<Item, { kind: "group" }>[] {
  const moved = ([x, y]: Point): Point => [x + dx, y + dy];
  return items.flatMap((item) => {
    switch (item.kind) {
      case "group":
        return flatten(item.items, moved(item.at));
      case "line":
        return [{ ...item, from: moved(item.from), to: moved(item.to) }];
      case "polyline":
      case "path":
        return [{ ...item, points: item.points.map(moved) }];
      default:
        return [{ ...item, at: moved(item.at) }];
    }
  });
}

/**
 * The items that leave the sheet by more than a micrometre, or that have a coordinate which is no number. An empty list
 * is what every drawing must give.
 */
export function outside(scene: Scene): readonly Exclude<Item, { kind: "group" }>[] {
  const edge = 1e-3;
  return flatten(scene.items).filter((item) => {
    const box = itemBox(item);
    if (box.left === Infinity && box.right === -Infinity) return false;
    return !(
      box.left >= -edge &&
      box.top >= -edge &&
      box.right <= scene.width + edge &&
      box.bottom <= scene.height + edge
    );
  });
}
