import type { Document, Face } from "@platewright/design";
import { type Item, type PlateMap, SIZES, WEIGHTS } from "@platewright/drawing";
import { useMemo } from "react";
import { SceneItem } from "../../parts/scene-view.tsx";
import { useSession } from "../../state/use-session.ts";
import { type Gap, gapsAround, neighbourOf } from "./gaps.ts";
import { movedItems } from "./layout-edits.ts";
import type { ItemFacts } from "./item-facts.ts";
import type { SnapLine } from "./snap.ts";

/** Lines that something in hand rests on, from edge to edge. */
export function SnapLines({ lines, map }: { lines: readonly SnapLine[]; map: PlateMap }) {
  const seen = new Set<string>();
  return lines.map(({ axis, at }) => {
    const key = `${axis} ${at}`;
    if (seen.has(key)) return null;
    seen.add(key);
    const [x, y] = map.toSheet({ x: at, y: at });
    return axis === "x" ? (
      <line key={key} className="chassis-snap" x1={x} x2={x} y1={-2} y2={map.height + 2} />
    ) : (
      <line key={key} className="chassis-snap" x1={-2} x2={map.width + 2} y1={y} y2={y} />
    );
  });
}

/** Free metal round the one that is in hand. */
export function MovedGaps({
  document,
  facts,
  plate,
  face,
  map,
}: {
  document: Document;
  facts: readonly ItemFacts[] | undefined;
} & Pick<Parameters<typeof Gaps>[0], "plate" | "face" | "map">) {
  const kept = useSession((session) => session.book.value);
  const inHand = useSession((session) => session.hand !== undefined && session.hand.preview !== true);
  const [only, ...others] = useMemo(() => (inHand ? [...movedItems(kept, document)] : []), [inHand, kept, document]);
  const moved = others.length === 0 ? facts?.find(({ id }) => id === only) : undefined;
  const at = document.chassis?.items.find(({ id }) => id === only);
  if (moved === undefined || at === undefined || facts === undefined) return null;
  return <Gaps moved={moved} at={at} items={facts} plate={plate} face={face} map={map} />;
}

/** Free metal round a part, with the nearest on each side. */
function Gaps({
  moved,
  at,
  items,
  plate,
  face,
  map,
}: {
  moved: ItemFacts;
  /** Where it is in hand. */
  at: { readonly x: number; readonly y: number };
  items: readonly ItemFacts[];
  plate: { readonly widthMillimetres: number; readonly depthMillimetres: number };
  face: Face;
  map: PlateMap;
}) {
  const { x, y } = at;
  const neighbours = useMemo(
    () => items.flatMap((one) => (one.id === moved.id ? [] : (neighbourOf(one.name, standingOn(face, one)) ?? []))),
    [items, moved.id, face],
  );
  const gaps = useMemo(() => {
    const shifted = standingOn(face, moved).map((outline) => shiftedBy(outline, x - moved.x, y - moved.y));
    return gapsAround(shifted, neighbours, plate);
  }, [moved, x, y, neighbours, plate, face]);
  return gaps.flatMap((gap, n) => gapDrawn(gap, map).map((item, k) => <SceneItem key={`${n} ${k}`} item={item} />));
}

/** What takes up room on a face: bodies, or else the holes. */
const standingOn = (face: Face, { outlines, holes }: ItemFacts) => (outlines[face].length > 0 ? outlines[face] : holes);

type Shape = ItemFacts["holes"][number];

const shiftedBy = (outline: Shape, dx: number, dy: number): Shape =>
  outline.kind === "polygon"
    ? { kind: "polygon", points: outline.points.map((point) => ({ x: point.x + dx, y: point.y + dy })) }
    : { ...outline, x: outline.x + dx, y: outline.y + dy };

const ARROW = 1.5;

function gapDrawn({ from, to, millimetres }: Gap, map: PlateMap): readonly Item[] {
  const [a, b] = [map.toSheet(from), map.toSheet(to)];
  const overlaps = millimetres < 0;
  const role = overlaps ? "stop" : "live";
  const words = overlaps ? `overlap ${shown(-millimetres)}` : shown(millimetres);
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const middle = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2] as const;
  const [ux, uy] = long === 0 ? [1, 0] : [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
  const arrow = ([x, y]: readonly [number, number], sign: number): Item => ({
    kind: "polyline",
    weight: WEIGHTS.light,
    role,
    points: [
      [x + sign * ARROW * (ux - 0.4 * uy), y + sign * ARROW * (uy + 0.4 * ux)],
      [x, y],
      [x + sign * ARROW * (ux + 0.4 * uy), y + sign * ARROW * (uy - 0.4 * ux)],
    ],
  });
  const upright = Math.abs(uy) > Math.abs(ux);
  return [
    { kind: "line", from: a, to: b, weight: WEIGHTS.light, role },
    ...(long > 3 * ARROW ? [arrow(a, 1), arrow(b, -1)] : []),
    {
      kind: "text",
      at: upright ? [middle[0] + 1, middle[1] + 1.2] : [middle[0], middle[1] - 0.9],
      text: words,
      size: SIZES.small,
      anchor: upright ? "start" : "middle",
      bold: true,
      role,
      halo: "band",
    },
  ];
}

const shown = (millimetres: number): string => String(Math.round(millimetres * 10) / 10);
