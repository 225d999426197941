import { type Item, type Point, type Role, WEIGHTS } from "../scene.ts";
import type { Frame } from "./frame.ts";
import { clipLine } from "./geometry.ts";
import { simplify } from "./simplify.ts";
import type { MarkShape, PlotLine, PlotMark } from "./spec.ts";

/** No point left out is farther than this from what is drawn, in millimetres: well below a stroke's width. */
const TOLERANCE = 0.02;
export const MARK_RADIUS = 1.05;

export type Run = readonly Point[];

/** The visible runs of each line. */
export type Runs = ReadonlyMap<PlotLine, readonly Run[]>;

export function runsOf(frame: Frame, lines: readonly PlotLine[]): Runs {
  return new Map(
    lines.map((line) => {
      const points = Array.from(line.x, (x, n): Point => frame.at(x, line.y[n] ?? Number.NaN, line.side));
      return [line, clipLine(points, frame.area).map((run) => simplify(run, TOLERANCE))];
    }),
  );
}

const isHeavy = (line: PlotLine) =>
  line.role === "now" || line.role === "live" || line.role === "stop" || line.role === "limit";

/** The lines, heavy ones on top. */
export function drawCurves(runs: Runs): readonly Item[] {
  return [...runs]
    .sort(([a], [b]) => Number(isHeavy(a)) - Number(isHeavy(b)))
    .flatMap(([line, parts]) =>
      parts.map(
        (points): Item => ({
          kind: "polyline",
          points,
          weight: isHeavy(line) ? WEIGHTS.body : WEIGHTS.light,
          role: line.role ?? "ink",
          ...(line.dash === undefined ? {} : { dash: line.dash }),
          ...(line.ids === undefined ? {} : { ids: line.ids }),
        }),
      ),
    );
}

/** What names should not cover; heavy lines count twice. */
export const segmentsOf = (runs: Runs): readonly (readonly [Point, Point])[] =>
  [...runs].flatMap(([line, parts]) => {
    const segments = parts.flatMap((run) => run.slice(1).map((point, n) => [run[n] as Point, point] as const));
    return isHeavy(line) ? [...segments, ...segments] : segments;
  });

/** Where a mark stands; undefined when that is outside the panel. */
export function markPoint(frame: Frame, mark: PlotMark): Point | undefined {
  const [x, y] = frame.at(mark.x, mark.y, mark.side);
  const { left, right, top, bottom } = frame.area;
  const edge = 1e-6;
  return x >= left - edge && x <= right + edge && y >= top - edge && y <= bottom + edge ? [x, y] : undefined;
}

export function drawMark(mark: PlotMark, at: Point): readonly Item[] {
  const ids = mark.ids === undefined ? {} : { ids: mark.ids };
  return drawShape(mark.shape ?? "disc", at, mark.role ?? "now", mark.hollow === true).map((item) => ({
    ...item,
    ...ids,
  }));
}

/** The sign of a mark, with a rim of paper where it stands on lines. */
export function drawShape(shape: MarkShape, at: Point, role: Role, hollow: boolean): readonly Item[] {
  const [x, y] = at;
  const r = MARK_RADIUS * 1.25;
  const fill = hollow ? "paper" : role;
  switch (shape) {
    case "disc":
      return [{ kind: "circle", at, radius: MARK_RADIUS, weight: WEIGHTS.wire, role, fill }];
    case "diamond":
      return [{ kind: "path", points: diamond(at, r), weight: WEIGHTS.light, role, fill }];
    case "half-diamond":
      return [
        { kind: "path", points: diamond(at, r), weight: WEIGHTS.light, role, fill: "paper" },
        {
          kind: "path",
          points: [
            [x, y - r],
            [x, y + r],
            [x - r, y],
          ],
          weight: 0,
          role,
          fill: role,
        },
      ];
    case "cross":
      return [-1, 1].map(
        (turn): Item => ({
          kind: "line",
          from: [x - MARK_RADIUS, y - turn * MARK_RADIUS],
          to: [x + MARK_RADIUS, y + turn * MARK_RADIUS],
          weight: WEIGHTS.body,
          role,
        }),
      );
  }
}

const diamond = ([x, y]: Point, r: number): readonly Point[] => [
  [x, y - r],
  [x + r, y],
  [x, y + r],
  [x - r, y],
];
