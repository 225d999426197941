import type { Box } from "../bounds.ts";
import { type Item, type Point, WEIGHTS } from "../scene.ts";
import type { Frame } from "./frame.ts";
import { xTicks, yTicks } from "./frame.ts";
import { clipSegment, hatch } from "./geometry.ts";
import type { PanelSpec, PlotLimit } from "./spec.ts";

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
      ...grid(frame),
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
