/** Runs of wire by their look: heaters twisted, screened signal dotted, B+ solid, ground heavy, mains two lines, earth heavy dashed. */
import { type Item, type Point, type Role, WEIGHTS } from "../scene.ts";
import type { PlateWire } from "./plate-look.ts";
import type { PlateMap } from "./plate-map.ts";

const PERIOD = 5;
const AMPLITUDE = 0.75;
const STEP = PERIOD / 8;
/** Half of the distance of two mains wires. */
const TWIN = 0.6;
/** Heavier than any line of the plate. */
const BUS = 0.9;

export function wireItems({ kind, points, ids }: PlateWire, map: PlateMap, role?: Role): readonly Item[] {
  const run = points.map(map.toSheet);
  if (run.length < 2) return [];
  const named = ids === undefined ? {} : { ids };
  const own = role === undefined ? {} : { role };
  switch (kind) {
    case "heater":
      return [1, -1].map((side) => ({
        kind: "polyline",
        points: twisted(run, side),
        weight: WEIGHTS.light,
        ...own,
        ...named,
      }));
    case "signal":
      return [{ kind: "polyline", points: run, weight: WEIGHTS.body, dash: "dot", ...own, ...named }];
    case "high-tension":
      return [{ kind: "polyline", points: run, weight: WEIGHTS.body, ...own, ...named }];
    case "ground":
      return [{ kind: "polyline", points: run, weight: BUS, role: role ?? "quiet", ...named }];
    case "mains":
      return [1, -1].map((side) => ({
        kind: "polyline",
        points: beside(run, side * TWIN),
        weight: WEIGHTS.light,
        ...own,
        ...named,
      }));
    case "earth":
      return [{ kind: "polyline", points: run, weight: BUS, dash: "dash", role: role ?? "quiet", ...named }];
    case "plain":
      return [{ kind: "polyline", points: run, weight: WEIGHTS.light, ...own, ...named }];
  }
}

/** The run moved to its side, its corners mitred. */
function beside(run: readonly Point[], by: number): readonly Point[] {
  const normals = run.slice(1).map(([x, y], n): Point => {
    const [px, py] = run[n] as Point;
    const length = Math.hypot(x - px, y - py) || 1;
    return [-(y - py) / length, (x - px) / length];
  });
  return run.map(([x, y], n): Point => {
    const a = normals[n - 1] ?? normals[n] ?? [0, 0];
    const b = normals[n] ?? a;
    // As long as the corner is no hairpin.
    const share = 1 / Math.max(0.3, 1 + a[0] * b[0] + a[1] * b[1]);
    return [x + by * share * (a[0] + b[0]), y + by * share * (a[1] + b[1])];
  });
}

/** One wire of a pair: a wave along the run, round its corners; both meet at its ends. */
function twisted(run: readonly Point[], side: number): readonly Point[] {
  const lengths = run.slice(1).map(([x, y], n) => {
    const [px, py] = run[n] as Point;
    return Math.hypot(x - px, y - py);
  });
  const total = lengths.reduce((sum, one) => sum + one, 0);
  if (total === 0) return run;
  const pieces = Math.max(8, Math.round(total / STEP));
  // A whole number of half waves, so that the ends lie on the run.
  const halves = Math.max(1, Math.round((2 * total) / PERIOD));
  const points: Point[] = [];
  let segment = 0;
  let before = 0;
  for (let n = 0; n <= pieces; n++) {
    const along = (total * n) / pieces;
    while (segment < lengths.length - 1 && along > before + (lengths[segment] as number)) {
      before += lengths[segment] as number;
      segment++;
    }
    const [ax, ay] = run[segment] as Point;
    const [bx, by] = run[segment + 1] as Point;
    const length = lengths[segment] as number;
    if (length === 0) continue;
    const [ux, uy] = [(bx - ax) / length, (by - ay) / length];
    const wave = side * AMPLITUDE * Math.sin((Math.PI * halves * n) / pieces);
    points.push([ax + ux * (along - before) - uy * wave, ay + uy * (along - before) + ux * wave]);
  }
  return points;
}
