/** For tests: outlines by brute force, sharing nothing with geometry.ts: points along the rim, and an inside test of each kind. */
import type { Outline, Place } from "@platewright/engine";

/** Points along the rim and the longest step between two of them. */
export interface Sampled {
  readonly outline: Outline;
  readonly rim: readonly Place[];
  readonly step: number;
}

export function sampled(outline: Outline, count: number): Sampled {
  const rim: Place[] = [];
  const corners = cornersOf(outline);
  if (corners === undefined && outline.kind !== "polygon") {
    const radius = outline.kind === "circle" ? outline.diameterMillimetres / 2 : 0;
    for (let i = 0; i < count; i++) {
      const angle = (2 * Math.PI * i) / count;
      rim.push({ x: outline.x + radius * Math.cos(angle), y: outline.y + radius * Math.sin(angle) });
    }
    return { outline, rim, step: (2 * Math.PI * radius) / count };
  }
  const round = corners ?? [];
  const total = round.reduce((sum, p, i) => sum + apart(p, round[(i + 1) % round.length] as Place), 0);
  for (const [i, p] of round.entries()) {
    const q = round[(i + 1) % round.length] as Place;
    const pieces = Math.max(1, Math.ceil((apart(p, q) / total) * count));
    for (let n = 0; n < pieces; n++)
      rim.push({ x: p.x + ((q.x - p.x) * n) / pieces, y: p.y + ((q.y - p.y) * n) / pieces });
  }
  const step = rim.reduce((most, p, i) => Math.max(most, apart(p, rim[(i + 1) % rim.length] as Place)), 0);
  return { outline, rim, step };
}

const apart = (a: Place, b: Place): number => Math.sqrt((a.x - b.x) ** 2 + (a.y - b.y) ** 2);

/** Rim of a rectangle with its arcs in pieces, or of a polygon; undefined for a circle. */
function cornersOf(outline: Outline): readonly Place[] | undefined {
  if (outline.kind === "polygon") return outline.points;
  if (outline.kind === "circle") return undefined;
  const { widthMillimetres: w, heightMillimetres: h } = outline;
  const r = Math.min(outline.cornerMillimetres ?? 0, w / 2, h / 2);
  const angle = ((outline.degrees ?? 0) * Math.PI) / 180;
  const points: Place[] = [];
  for (let quarter = 0; quarter < 4; quarter++) {
    const sx = quarter === 0 || quarter === 3 ? 1 : -1;
    const sy = quarter < 2 ? 1 : -1;
    for (let i = 0; i <= 4; i++) {
      const turn = (Math.PI / 2) * (quarter + i / 4);
      const u = sx * (w / 2 - r) + r * Math.cos(turn);
      const v = sy * (h / 2 - r) + r * Math.sin(turn);
      points.push({
        x: outline.x + u * Math.cos(angle) - v * Math.sin(angle),
        y: outline.y + u * Math.sin(angle) + v * Math.cos(angle),
      });
      if (r === 0) break;
    }
  }
  return points;
}

export function isInside(outline: Outline, p: Place): boolean {
  if (outline.kind === "circle") return apart(outline, p) < outline.diameterMillimetres / 2;
  if (outline.kind === "polygon") {
    let inside = false;
    const points = outline.points;
    for (const [i, a] of points.entries()) {
      const b = points[(i + 1) % points.length] as Place;
      if (a.y > p.y !== b.y > p.y && p.x < ((b.x - a.x) * (p.y - a.y)) / (b.y - a.y) + a.x) inside = !inside;
    }
    return inside;
  }
  const angle = (-(outline.degrees ?? 0) * Math.PI) / 180;
  const [dx, dy] = [p.x - outline.x, p.y - outline.y];
  const u = Math.abs(dx * Math.cos(angle) - dy * Math.sin(angle));
  const v = Math.abs(dx * Math.sin(angle) + dy * Math.cos(angle));
  const { widthMillimetres: w, heightMillimetres: h } = outline;
  const r = Math.min(outline.cornerMillimetres ?? 0, w / 2, h / 2);
  if (u > w / 2 || v > h / 2) return false;
  const [cu, cv] = [u - (w / 2 - r), v - (h / 2 - r)];
  return cu <= 0 || cv <= 0 || cu * cu + cv * cv < r * r;
}

/** Arcs as chords lie inside the rim by this much at most, for the rectangles above. */
const SAGITTA = 1 - Math.cos(Math.PI / 16);
const sagitta = (outline: Outline): number =>
  outline.kind === "rectangle" ? (outline.cornerMillimetres ?? 0) * SAGITTA : 0;

/** Shortest distance of the rims' points, how much less the truth may be, and whether any point of one is inside the other. */
export function sampledGap(one: Sampled, other: Sampled): { distance: number; error: number; overlap: boolean } {
  let least = Infinity;
  for (const p of one.rim)
    for (const q of other.rim) least = Math.min(least, (p.x - q.x) * (p.x - q.x) + (p.y - q.y) * (p.y - q.y));
  const overlap = one.rim.some((p) => isInside(other.outline, p)) || other.rim.some((p) => isInside(one.outline, p));
  const error = (one.step + other.step) / 2 + sagitta(one.outline) + sagitta(other.outline);
  return { distance: Math.sqrt(least), error, overlap };
}
