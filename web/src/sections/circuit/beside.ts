/** The part that an arrow key goes to. */
import type { PartPlace } from "@platewright/drawing";

export type Way = "before" | "after" | "above" | "below";

const middle = ({ body }: PartPlace): readonly [number, number] => [
  (body.left + body.right) / 2,
  (body.top + body.bottom) / 2,
];

/** Along the signal, round at the ends; up and down to the nearest, sideways counting double. */
export function beside(parts: readonly PartPlace[], id: string, way: Way): string | undefined {
  const at = parts.findIndex((part) => part.id === id);
  const here = parts[at];
  if (here === undefined) return parts[0]?.id;
  if (way === "before" || way === "after")
    return parts[(at + (way === "after" ? 1 : -1) + parts.length) % parts.length]?.id;
  const [x, y] = middle(here);
  const sign = way === "below" ? 1 : -1;
  return parts
    .flatMap((part) => {
      const [px, py] = middle(part);
      const down = sign * (py - y);
      return down > 1 ? [{ id: part.id, far: Math.hypot(2 * (px - x), down) }] : [];
    })
    .sort((a, b) => a.far - b.far)[0]?.id;
}
