import type { Point } from "../scene.ts";
import { fromSegment } from "./geometry.ts";

/** Points that are judged together: bounds the work on a line of many like peaks, at the price of a point more per piece. */
const PIECE = 256;

/**
 * Fewer points for the same line: none of those left out is farther than `tolerance` from what is drawn, so no peak is
 * lost. The ends are kept.
 *
 * Method  First, of consecutive points in an upright column half as wide as the tolerance, the first, the lowest, the
 *         highest and the last; then Douglas and Peucker with the other half, piece by piece. Work grows with the
 *         number of points alone.
 */
export function simplify(points: readonly Point[], tolerance: number): readonly Point[] {
  const columns = thinColumns(points, tolerance / 2);
  const kept: Point[] = [];
  for (let first = 0; first < columns.length; first += PIECE) {
    const piece = peuckered(columns.slice(first, first + PIECE + 1), tolerance / 2);
    kept.push(...(first === 0 ? piece : piece.slice(1)));
  }
  return kept;
}

function thinColumns(points: readonly Point[], width: number): readonly Point[] {
  const kept: Point[] = [];
  let first = 0;
  while (first < points.length) {
    const column = Math.floor((points[first] as Point)[0] / width);
    let [low, high, last] = [first, first, first];
    for (let n = first + 1; n < points.length; n++) {
      const [x, y] = points[n] as Point;
      if (Math.floor(x / width) !== column) break;
      if (y < (points[low] as Point)[1]) low = n;
      if (y > (points[high] as Point)[1]) high = n;
      last = n;
    }
    const indices = new Set([first, Math.min(low, high), Math.max(low, high), last]);
    for (const n of indices) kept.push(points[n] as Point);
    first = last + 1;
  }
  return kept;
}

function peuckered(points: readonly Point[], tolerance: number): readonly Point[] {
  if (points.length < 3) return points;
  const keep = new Uint8Array(points.length);
  keep[0] = 1;
  keep[points.length - 1] = 1;
  const spans: [number, number][] = [[0, points.length - 1]];
  for (let span = spans.pop(); span !== undefined; span = spans.pop()) {
    const [first, last] = span;
    let worst = tolerance;
    let split = -1;
    for (let n = first + 1; n < last; n++) {
      const distance = fromSegment(points[n] as Point, points[first] as Point, points[last] as Point);
      if (distance > worst) {
        worst = distance;
        split = n;
      }
    }
    if (split < 0) continue;
    keep[split] = 1;
    spans.push([first, split], [split, last]);
  }
  return points.filter((_, n) => keep[n] === 1);
}
