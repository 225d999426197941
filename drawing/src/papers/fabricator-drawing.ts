/** The blank to scale with ordinates from one datum and a mark at every hole; from above. */
import { contourPoints } from "@platewright/design";
import type { Place } from "@platewright/engine";
import { boxAround, itemBox, type Box } from "../bounds.ts";
import { freePlaces } from "../chassis/free-places.ts";
import { type Label, labelItems } from "../chassis/labels.ts";
import { alongEdge, merged, type Ordinate, upEdge } from "../chassis/ordinates.ts";
import type { CutContour, CutDrawing } from "../cut/index.ts";
import { type Item, type Point, WEIGHTS } from "../scene.ts";
import { PAPER_SIZES } from "./letters.ts";

/** Millimetres of metal to one of paper, the least first. */
const SCALES = [1, 1.5, 2, 2.5, 3, 4, 5, 7.5, 10, 15, 20] as const;

/** Room for the ordinates: left, below, and a little above and at the right. */
const ROOM = { left: 14, below: 17, above: 5, right: 6 } as const;

/** Words stay this far inside the blank. */
const INSIDE = 0.8;

export interface MarkedDrawing {
  readonly items: readonly Item[];
  readonly width: number;
  readonly height: number;
  /** "1:2". */
  readonly scale: string;
}

/** `marks`: what stands at each hole, in the order of the drawing's holes. */
export function fabricatorDrawing(
  drawing: CutDrawing,
  marks: readonly string[],
  room: { readonly width: number; readonly height: number },
): MarkedDrawing {
  const [wide, deep] = [drawing.right - drawing.left, drawing.rear - drawing.front];
  const least = Math.max(wide / (room.width - ROOM.left - ROOM.right), deep / (room.height - ROOM.below - ROOM.above));
  const by = SCALES.find((one) => one >= least - 1e-9) ?? Math.ceil(least);
  const [left, top] = [ROOM.left, ROOM.above];
  const toSheet = ({ x, y }: Place): Point => [left + (x - drawing.left) / by, top + (drawing.rear - y) / by];
  const size = (contour: CutContour, weight: number): Item =>
    contour.kind === "circle"
      ? {
          kind: "circle",
          at: toSheet(contour),
          radius: contour.diameterMillimetres / 2 / by,
          weight,
          ids: contour.ids,
        }
      : { kind: "path", points: contourPoints(contour.corners).map(toSheet), weight, ids: contour.ids };
  const cut = drawing.contours.filter((one) => one.layer === "CUT");
  const bottom = top + deep / by;
  const right = left + wide / by;
  const lines: readonly Item[] = [
    ...cut.map((one) => size(one, one.ids.length === 0 ? WEIGHTS.body : WEIGHTS.wire)),
    ...drawing.lines
      .filter((one) => one.what === "bend")
      .map(
        ({ from, to }): Item => ({
          kind: "line",
          from: toSheet(from),
          to: toSheet(to),
          weight: WEIGHTS.light,
          dash: "dash",
        }),
      ),
    ...drawing.holes.flatMap((hole): readonly Item[] => {
      const [x, y] = toSheet(hole);
      const reach =
        (hole.shape.kind === "circle"
          ? hole.shape.diameterMillimetres
          : Math.min(hole.shape.widthMillimetres, hole.shape.heightMillimetres)) /
          (2 * by) +
        1.2;
      const line = { kind: "line", weight: WEIGHTS.hair, ids: hole.ids } as const;
      return [
        { ...line, from: [x - reach, y], to: [x + reach, y] },
        { ...line, from: [x, y - reach], to: [x, y + reach] },
      ];
    }),
    ...datumItems(toSheet({ x: 0, y: 0 })),
    ...bendWords(drawing, toSheet),
  ];
  const ordinate = (value: number, at: number, ids: readonly string[], keep = false): Ordinate => ({
    value,
    at,
    ids,
    ...(keep ? { keep } : {}),
  });
  const xs = [
    ...drawing.holes.map((hole) => ordinate(hole.x, toSheet(hole)[0], hole.ids)),
    ordinate(0, toSheet({ x: 0, y: 0 })[0], [], true),
    ordinate(drawing.left, left, [], true),
    ordinate(drawing.right, right, [], true),
  ];
  const ys = [
    ...drawing.holes.map((hole) => ordinate(hole.y, toSheet(hole)[1], hole.ids)),
    ordinate(0, toSheet({ x: 0, y: 0 })[1], [], true),
    ordinate(drawing.front, bottom, [], true),
    ordinate(drawing.rear, top, [], true),
  ];
  const below = alongEdge(merged(xs), { at: bottom, way: 1, from: 0, to: right + ROOM.right });
  const side = upEdge(merged(ys), { at: left, way: -1, from: 0, to: bottom + 4 });
  return {
    items: [...lines, ...below.items, ...side.items, ...markLabels(drawing, marks, toSheet, by, lines)],
    width: right + ROOM.right,
    height: bottom + below.depth + 2,
    scale: `1:${by}`,
  };
}

/** At each line to bend on, on the plate's side of it: along level ones in the middle, at upright ones near their rear end. */
function bendWords({ bends }: CutDrawing, toSheet: (place: Place) => Point): readonly Item[] {
  return bends.map(({ edge, from, to, insideRadiusMillimetres }): Item => {
    const [[x0, y0], [x1, y1]] = [toSheet(from), toSheet(to)];
    const at: Point =
      edge === "front"
        ? [(x0 + x1) / 2, y0 - 1.4]
        : edge === "rear"
          ? [(x0 + x1) / 2, y0 + 3.8]
          : [x0 + (edge === "left" ? 1.6 : -1.6), Math.min(y0, y1) + 12];
    return {
      kind: "text",
      at,
      text: `bend down 90°, R ${insideRadiusMillimetres}`,
      size: PAPER_SIZES.text,
      anchor: edge === "left" ? "start" : edge === "right" ? "end" : "middle",
      halo: "paper",
    };
  });
}

function datumItems([x, y]: Point): readonly Item[] {
  const line = { kind: "line", weight: WEIGHTS.wire } as const;
  return [
    { kind: "circle", at: [x, y], radius: 1.8, weight: WEIGHTS.light },
    { ...line, from: [x - 3, y], to: [x + 3, y] },
    { ...line, from: [x, y - 3], to: [x, y + 3] },
  ];
}

function markLabels(
  { holes }: CutDrawing,
  marks: readonly string[],
  toSheet: (place: Place) => Point,
  by: number,
  lines: readonly Item[],
): readonly Item[] {
  const [texts, taken, soft] = [freePlaces(), freePlaces(), freePlaces()];
  const [outline] = lines;
  const blank: Box = outline === undefined ? { left: 0, top: 0, right: 0, bottom: 0 } : itemBox(outline);
  const area: Box = {
    left: blank.left + INSIDE,
    right: blank.right - INSIDE,
    top: blank.top + INSIDE,
    bottom: blank.bottom - INSIDE,
  };
  const boxes = holes.map((hole): Box => {
    const [w, h] =
      hole.shape.kind === "circle"
        ? [hole.shape.diameterMillimetres, hole.shape.diameterMillimetres]
        : [hole.shape.widthMillimetres, hole.shape.heightMillimetres];
    const [x, y] = toSheet(hole);
    return { left: x - w / 2 / by, right: x + w / 2 / by, top: y - h / 2 / by, bottom: y + h / 2 / by };
  });
  for (const [n, box] of boxes.entries()) {
    taken.take(box, String(n));
    const [x, y] = [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
    soft.take(
      boxAround(
        [
          [x, box.top - 1.2],
          [x, box.bottom + 1.2],
        ],
        0.1,
      ),
    );
    soft.take(
      boxAround(
        [
          [box.left - 1.2, y],
          [box.right + 1.2, y],
        ],
        0.1,
      ),
    );
  }
  for (const item of lines) if (item.kind === "text") texts.take(itemBox(item));
  const labels = boxes.map((box, n): Label => {
    const [x, y] = [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
    const radius = Math.min(box.right - box.left, box.bottom - box.top) / 2;
    return {
      ids: holes[n]?.ids ?? [],
      owner: String(n),
      words: [{ text: marks[n] ?? "", bold: true }],
      inside: [],
      beside: [box],
      target: { kind: "circle", at: [x, y], radius },
    };
  });
  // Narrow ones have fewer places.
  const order = labels.map((_, n) => n).sort((a, b) => width(boxes[a]) - width(boxes[b]) || a - b);
  const made = labelItems(
    order.flatMap((n) => labels[n] ?? []),
    { area, texts, holes: taken, soft, halo: "paper" },
  );
  return made.items.map((item) =>
    item.kind === "text" ? { ...item, size: Math.max(item.size, PAPER_SIZES.text) } : item,
  );
}

const width = (box: Box | undefined): number => (box === undefined ? 0 : box.right - box.left);
