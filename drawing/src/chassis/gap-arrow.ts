/** The gap between two bodies as an arrow: the places where they are nearest. */
import { gapBetween, type Solid } from "@platewright/design";
import type { Place } from "@platewright/engine";
import type { PlateGap } from "./plate-look.ts";

/** From rim to rim; where they overlap the gap is negative and the arrow runs from middle to middle. */
export function gapArrow(
  one: Solid,
  other: Solid,
  more: Pick<PlateGap, "level" | "ids"> & { readonly words?: string } = {},
): PlateGap & { readonly millimetres: number } {
  const millimetres = gapBetween(one, other);
  const words = more.words ?? `${String(Math.round(millimetres * 10) / 10).replace("-", "−")}\u202fmm`;
  const said = {
    words,
    millimetres,
    ...(more.level === undefined ? {} : { level: more.level }),
    ...(more.ids === undefined ? {} : { ids: more.ids }),
  };
  if (millimetres <= 0) return { from: middle(one.core), to: middle(other.core), ...said };
  const [a, b] = nearest(one.core, other.core);
  const length = Math.hypot(b.x - a.x, b.y - a.y) || 1;
  const [ux, uy] = [(b.x - a.x) / length, (b.y - a.y) / length];
  return {
    from: { x: a.x + ux * one.radius, y: a.y + uy * one.radius },
    to: { x: b.x - ux * other.radius, y: b.y - uy * other.radius },
    ...said,
  };
}

const middle = (core: readonly Place[]): Place => ({
  x: core.reduce((sum, one) => sum + one.x, 0) / core.length,
  y: core.reduce((sum, one) => sum + one.y, 0) / core.length,
});

/** Nearest points of two cores that do not meet: one of them is a corner. */
function nearest(one: readonly Place[], other: readonly Place[]): readonly [Place, Place] {
  let best: readonly [Place, Place] = [middle(one), middle(other)];
  let least = Infinity;
  const consider = (from: Place, to: Place) => {
    const away = Math.hypot(to.x - from.x, to.y - from.y);
    if (away < least - 1e-9) [least, best] = [away, [from, to]];
  };
  for (const point of one) for (const side of sides(other)) consider(point, onSegment(point, ...side));
  for (const point of other) for (const side of sides(one)) consider(onSegment(point, ...side), point);
  return best;
}

const sides = (core: readonly Place[]): readonly (readonly [Place, Place])[] =>
  core.map((point, n) => [point, core[(n + 1) % core.length] ?? point]);

function onSegment(p: Place, a: Place, b: Place): Place {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const square = dx * dx + dy * dy;
  const t = square === 0 ? 0 : Math.max(0, Math.min(1, ((p.x - a.x) * dx + (p.y - a.y) * dy) / square));
  return { x: a.x + t * dx, y: a.y + t * dy };
}
