import type { Box } from "../bounds.ts";
import { type Item, type Point, WEIGHTS } from "../scene.ts";
import type { Frame } from "./frame.ts";
import { xTicks, yTicks } from "./frame.ts";
import { clipSegment, hatch, hatchOutline } from "./geometry.ts";
import type { PanelSpec, PlotArea, PlotLimit, PlotRegion } from "./spec.ts";

const HATCH_SPACING = 1.6;

type Segment = readonly [Point, Point];

/** What lies under the curves: bands, grid, hatches, limits, axes. `segments` are what names should not cover. */
export function drawGround(
  frame: Frame,
  panel: PanelSpec,
): { readonly items: readonly Item[]; readonly segments: readonly Segment[]; readonly hatches: readonly Box[] } {
  const { area } = frame;
  const edges = (panel.limits ?? []).flatMap((limit) => {
    const inside = clipSegment(...limitEnds(frame, limit), area);
    return inside === undefined ? [] : [{ limit, inside }];
  });
  const hatches = (panel.limits ?? []).flatMap((limit) => forbidden(frame, limit) ?? []);
  return {
    items: [
      ...bands(frame, panel),
      ...(panel.areas ?? []).flatMap((area) => tinted(frame, area)),
      ...grid(frame),
      ...(panel.regions ?? [])
        .flatMap((region) => hatchOutline(outlineOf(frame, region), area, HATCH_SPACING))
        .map(hatching),
      ...hatches.flatMap((box) => hatch(box, HATCH_SPACING)).map(hatching),
      ...edges.map(({ limit, inside: [from, to] }): Item => {
        const heavy = limit.forbidden !== undefined;
        const role = limit.role ?? "limit";
        return {
          kind: "line",
          from,
          to,
          role,
          weight: WEIGHTS[heavy ? "body" : "light"],
          dash: heavy ? "solid" : "dot",
        };
      }),
      axes(frame),
    ],
    segments: edges.map(({ inside }) => inside),
    hatches,
  };
}

/** The two ends of a limit's line; they may lie outside the panel. */
export function limitEnds(frame: Frame, limit: PlotLimit): Segment {
  const { area, x, left } = frame;
  if (limit.along === "y") {
    const [, y] = frame.at(x.from, limit.value, limit.side);
    return [
      [area.left, y],
      [area.right, y],
    ];
  }
  const [at] = frame.at(limit.value, left.from);
  return [
    [at, area.top],
    [at, area.bottom],
  ];
}

function bands(frame: Frame, panel: PanelSpec): readonly Item[] {
  return (panel.bands ?? []).flatMap((band): readonly Item[] => {
    const box = frame.stretch(band.along, band.from, band.to, band.side);
    if (box === undefined) return [];
    const size = { width: box.right - box.left, height: box.bottom - box.top };
    return [{ kind: "rect", at: [box.left, box.top], ...size, weight: 0, fill: "band" }];
  });
}

/** The part of an area inside the panel; between its two curves cut at the edges, over the x where both have a place. */
function tinted(frame: Frame, { x, low, high, side }: PlotArea): readonly Item[] {
  const { left, right, top, bottom } = frame.area;
  const within = ([px, py]: Point): Point => [px, Math.min(bottom, Math.max(top, py))];
  const upper: Point[] = [];
  const lower: Point[] = [];
  for (let n = 0; n < x.length; n++) {
    const [a, b] = [high, low].map((y) => frame.at(x[n] as number, y[n] ?? Number.NaN, side));
    if (a === undefined || b === undefined || ![...a, ...b].every(Number.isFinite)) continue;
    if (a[0] < left - 1e-6 || a[0] > right + 1e-6) continue;
    upper.push(within(a));
    lower.push(within(b));
  }
  if (upper.length < 2) return [];
  return [{ kind: "path", points: [...upper, ...lower.reverse()], weight: WEIGHTS.hair, role: "hatch", fill: "band" }];
}

const outlineOf = (frame: Frame, { x, y, side }: PlotRegion): readonly Point[] =>
  Array.from(x, (value, n): Point => frame.at(value, y[n] ?? Number.NaN, side)).filter((p) => p.every(Number.isFinite));

function grid(frame: Frame): readonly Item[] {
  const { area, x, left } = frame;
  const hair = (from: Point, to: Point, value: number): Item => {
    const zero = value === 0;
    return { kind: "line", from, to, weight: zero ? WEIGHTS.light : WEIGHTS.hair, role: zero ? "rule" : "grid" };
  };
  return [
    ...xTicks(x, area.right - area.left).map(({ value }) => {
      const [at] = frame.at(value, left.from);
      return hair([at, area.top], [at, area.bottom], value);
    }),
    ...yTicks(left, area.bottom - area.top).map(({ value }) => {
      const [, at] = frame.at(x.from, value);
      return hair([area.left, at], [area.right, at], value);
    }),
  ];
}

/** The part of the panel that a limit forbids. */
function forbidden(frame: Frame, limit: PlotLimit): Box | undefined {
  if (limit.forbidden === undefined) return undefined;
  const axis = limit.along === "x" ? frame.x : limit.side === "right" ? (frame.right ?? frame.left) : frame.left;
  const [from, to] = limit.forbidden === "above" ? [limit.value, axis.to] : [axis.from, limit.value];
  return from < to ? frame.stretch(limit.along, from, to, limit.side) : undefined;
}

const hatching = ([from, to]: Segment): Item => ({ kind: "line", from, to, weight: WEIGHTS.hair, role: "hatch" });

function axes({ area, right }: Frame): Item {
  const corner: readonly Point[] = [
    [area.left, area.top],
    [area.left, area.bottom],
    [area.right, area.bottom],
  ];
  return {
    kind: "polyline",
    points: right === undefined ? corner : [...corner, [area.right, area.top]],
    weight: WEIGHTS.wire,
  };
}
