/** Dimensions with an arrow at both ends, and words on a ground of their own between them. */
import { type Item, type Point, type Role, SIZES, WEIGHTS } from "../scene.ts";

const ARROW = 1.7;
const HALF = 0.55;

export function arrowHead([x, y]: Point, [ux, uy]: Point, ids: readonly string[] = [], role: Role = "ink"): Item {
  return {
    kind: "path",
    points: [
      [x, y],
      [x - ux * ARROW - uy * HALF, y - uy * ARROW + ux * HALF],
      [x - ux * ARROW + uy * HALF, y - uy * ARROW - ux * HALF],
    ],
    weight: 0,
    fill: role,
    ...(ids.length === 0 ? {} : { ids }),
  };
}

/** A line with arrows; where there is no room between the ends the arrows come from outside. */
export function arrowLine(
  from: Point,
  to: Point,
  how: { readonly ids?: readonly string[]; readonly role?: Role; readonly weight?: number } = {},
): readonly Item[] {
  const { ids = [], role = "ink", weight = WEIGHTS.hair } = how;
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (length < 1e-6) return [];
  const u: Point = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
  const back: Point = [-u[0], -u[1]];
  const named = ids.length === 0 ? {} : { ids };
  const line = (a: Point, b: Point): Item => ({ kind: "line", from: a, to: b, weight, role, ...named });
  if (length >= 2 * ARROW + 0.6) return [line(from, to), arrowHead(from, back, ids, role), arrowHead(to, u, ids, role)];
  const out = ARROW + 1.6;
  return [
    line([from[0] - u[0] * out, from[1] - u[1] * out], [to[0] + u[0] * out, to[1] + u[1] * out]),
    arrowHead(from, u, ids, role),
    arrowHead(to, back, ids, role),
  ];
}

/** Two thin lines out to a dimension that runs across, `y` of the sheet, with its words over the line. */
export function acrossDimension(
  left: Point,
  right: Point,
  y: number,
  words: string,
  how: { readonly bold?: boolean; readonly role?: Role; readonly size?: number; readonly ids?: readonly string[] } = {},
): readonly Item[] {
  const { role = "ink", size = SIZES.small, ids = [] } = how;
  const named = ids.length === 0 ? {} : { ids };
  const way = Math.sign(y - left[1]) || 1;
  const witness = ([x, from]: Point): Item => ({
    kind: "line",
    from: [x, from + way * 0.8],
    to: [x, y + way * 0.9],
    weight: WEIGHTS.hair,
    role: "quiet",
  });
  return [
    witness(left),
    witness(right),
    ...arrowLine([left[0], y], [right[0], y], { role, ids }),
    {
      kind: "text",
      at: [(left[0] + right[0]) / 2, y - 0.8],
      text: words,
      size,
      anchor: "middle",
      role,
      halo: "paper",
      ...(how.bold === true ? { bold: true } : {}),
      ...named,
    },
  ];
}
