/** Items cut to a window as geometry, so that no exporter needs a clip. Words stay whole or go. */
import { type Box, flatten, textBox } from "../bounds.ts";
import { clipLine, clipSegment } from "../plot/geometry.ts";
import type { CircleItem, Item, Point } from "../scene.ts";

/** A circle that the window cuts becomes pieces no farther from it than this. */
const SAGITTA = 0.002;

export const clipItems = (items: readonly Item[], window: Box): readonly Item[] =>
  flatten(items).flatMap((item): readonly Item[] => {
    switch (item.kind) {
      case "line": {
        const kept = clipSegment(item.from, item.to, window);
        return kept === undefined ? [] : [{ ...item, from: kept[0], to: kept[1] }];
      }
      case "polyline":
        return clipLine(item.points, window).map((points) => ({ ...item, points }));
      case "path":
      case "circle":
      case "rect": {
        const points = pointsOf(item);
        if (points.every((point) => isInside(point, window))) return [item];
        const [first] = points;
        if (first === undefined || item.weight === 0) return [];
        const { weight, dash, role, ids } = item;
        return clipLine([...points, first], window).map((run) => ({
          kind: "polyline",
          points: run,
          weight,
          ...(dash === undefined ? {} : { dash }),
          ...(role === undefined ? {} : { role }),
          ...(ids === undefined ? {} : { ids }),
        }));
      }
      case "text": {
        const box = textBox(item);
        const corners: readonly Point[] = [
          [box.left, box.top],
          [box.right, box.bottom],
        ];
        return corners.every((corner) => isInside(corner, window)) ? [item] : [];
      }
    }
  });

const isInside = ([x, y]: Point, { left, right, top, bottom }: Box): boolean =>
  x >= left && x <= right && y >= top && y <= bottom;

function pointsOf(item: Exclude<ReturnType<typeof flatten>[number], { kind: "line" | "polyline" | "text" }>) {
  if (item.kind === "path") return item.points;
  if (item.kind === "circle") return roundPoints(item);
  const [x, y] = item.at;
  return [
    [x, y],
    [x + item.width, y],
    [x + item.width, y + item.height],
    [x, y + item.height],
  ] as const;
}

function roundPoints({ at: [x, y], radius }: CircleItem): readonly Point[] {
  const pieces = Math.max(16, Math.ceil(Math.PI / Math.acos(1 - Math.min(1, SAGITTA / radius))));
  return Array.from({ length: pieces }, (_, n): Point => {
    const angle = (2 * Math.PI * n) / pieces;
    return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)];
  });
}
