import type { Way } from "./metal-asks.ts";

/** The way as it is made: from above and cut through. */
export function WayDrawing(_props: { way: Way }) {
  return null;
}
