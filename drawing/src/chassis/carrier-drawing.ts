/** Parts of a salvage from above, to make them from: rings and plates with every hole from their centre; a hole that is opened; a plug. */
import { type Carrier, CARRIER_WORDS, type CarrierFixing, type CarrierHole } from "@platewright/design";
import type { Outline, Place } from "@platewright/engine";
import { type Box, itemBox } from "../bounds.ts";
import { type Item, type Point, SIZES, WEIGHTS } from "../scene.ts";
import { wrap } from "../text/index.ts";
import { centreOf, named, sizeOf, type SmallDrawing } from "./carrier-section.ts";
import { acrossDimension } from "./dimension.ts";
import { freePlaces } from "./free-places.ts";
import { type Label, labelItems } from "./labels.ts";
import { crossAt, outlineItem } from "./outline-items.ts";
import type { PlateMap } from "./plate-map.ts";
import { hatch, outlineBox, type Shape, shapeBox, shapeOf } from "./shapes.ts";

const SIZE = SIZES.small;
const LINE = 4.5;

export interface CarrierLook {
  readonly scale: number;
  /** Words under the drawing wrap here; as wide as the drawing when left out. */
  readonly width?: number;
}

/** From a centre to the middle of a drawing that is `wide` by `high`, the front toward the foot. */
function around(centre: Place, box: { readonly wide: number; readonly high: number }, scale: number): PlateMap {
  return {
    face: "top",
    scale,
    width: box.wide * scale,
    height: box.high * scale,
    toSheet: ({ x, y }) => [(x - centre.x + box.wide / 2) * scale, (centre.y - y + box.high / 2) * scale],
    toPlate: ([x, y]) => ({ x: x / scale - box.wide / 2 + centre.x, y: centre.y + box.high / 2 - y / scale }),
  };
}

const sizes = (outline: Outline): { readonly wide: number; readonly high: number } =>
  outline.kind === "circle"
    ? { wide: outline.diameterMillimetres, high: outline.diameterMillimetres }
    : outline.kind === "rectangle"
      ? { wide: outline.widthMillimetres, high: outline.heightMillimetres }
      : { wide: 0, high: 0 };

/** Hundredths of a millimetre, without needless noughts. */
const fine = (millimetres: number): string => String(Math.round(millimetres * 100) / 100 || 0).replace("-", "−");

interface Marked {
  readonly mark: string;
  readonly outline: Outline;
  readonly words: string;
  readonly fixing: boolean;
}

function markedHoles(carrier: Carrier, centre: Place): readonly Marked[] {
  const at = ({ x, y }: Place) => `${fine(x - centre.x)}, ${fine(y - centre.y)}`;
  const letters = "abcdefghijklmnop";
  const own = (hole: CarrierHole, n: number): Marked => ({
    mark: letters[n] ?? "?",
    outline: hole.outline,
    words: `${sizeOf(hole.outline)}${hole.thread === undefined ? "" : `, then tap ${hole.thread}`} at ${at(centreOf(hole.outline))}`,
    fixing: false,
  });
  const screw = (fixing: CarrierFixing, n: number): Marked => ({
    mark: letters[carrier.holes.length + n] ?? "?",
    outline: { kind: "circle", x: fixing.x, y: fixing.y, diameterMillimetres: fixing.diameterMillimetres },
    words: `Ø\u202f${fine(fixing.diameterMillimetres)}${carrier.countersunk ? " countersunk for M3" : ""} at ${at(fixing)}`,
    fixing: true,
  });
  return [...carrier.holes.map(own), ...carrier.fixing.map(screw)];
}

/** Points on the rim, a millimetre apart. */
function rimOf(shape: Shape): readonly Point[] {
  const corners: readonly Point[] =
    shape.kind === "polygon"
      ? shape.points
      : Array.from({ length: 90 }, (_, n): Point => {
          const angle = (n / 45) * Math.PI;
          return [shape.at[0] + shape.radius * Math.cos(angle), shape.at[1] + shape.radius * Math.sin(angle)];
        });
  return corners.flatMap(([x, y], n): readonly Point[] => {
    const [nx, ny] = corners[(n + 1) % corners.length] as Point;
    const pieces = Math.max(1, Math.ceil(Math.hypot(nx - x, ny - y)));
    return Array.from({ length: pieces }, (_, k): Point => [x + ((nx - x) * k) / pieces, y + ((ny - y) * k) / pieces]);
  });
}

export function carrierDrawing(carrier: Carrier, { scale, width }: CarrierLook): SmallDrawing {
  const centre = centreOf(carrier.outline);
  const own = sizes(carrier.outline);
  const map = around(centre, own, scale);
  const holes = markedHoles(carrier, centre);
  const shape = shapeOf(carrier.outline, map);
  const box = shapeBox(shape);
  const texts = freePlaces();
  const taken = freePlaces();
  for (const hole of holes) taken.take(outlineBox(hole.outline, map), hole.mark);
  // Marks stand on the part or beside it, not on its rim.
  for (const at of rimOf(shape))
    texts.take({ left: at[0] - 0.3, right: at[0] + 0.3, top: at[1] - 0.3, bottom: at[1] + 0.3 });
  const labels = holes.map((hole): Label => {
    const target = shapeOf(hole.outline, map);
    return {
      ids: [carrier.item],
      owner: hole.mark,
      words: [{ text: hole.mark, bold: true }],
      inside: [],
      beside: [shapeBox(target)],
      target,
    };
  });
  const area: Box = { left: box.left - 12, right: box.right + 12, top: box.top - 2, bottom: box.bottom + 2 };
  const written = labelItems(labels, { area, texts, holes: taken, soft: freePlaces(), halo: "paper" });
  const middle = map.toSheet(centre);
  const cross = crossAt(middle, Math.max(own.wide, own.high) * 0.5 * scale + 2);
  const centreLine = { kind: "line", weight: WEIGHTS.hair, dash: "dash", role: "quiet" } as const;
  const high = `${fine(own.wide)} × ${fine(own.high)}`;
  const size = carrier.outline.kind === "circle" ? `Ø\u202f${fine(own.wide)}` : high;
  const drawn: readonly Item[] = [
    outlineItem(carrier.outline, map, { weight: WEIGHTS.heavy, fill: "paper" }),
    { ...centreLine, from: cross[0], to: cross[1] },
    { ...centreLine, from: cross[2], to: cross[3] },
    ...holes.flatMap((hole): readonly Item[] => {
      const at = map.toSheet(centreOf(hole.outline));
      const reach = outlineBox(hole.outline, map);
      const arms = crossAt(at, (reach.right - reach.left) / 2 + 0.8);
      return [
        outlineItem(hole.outline, map, { weight: WEIGHTS.body, fill: "paper" }),
        ...(hole.fixing && carrier.countersunk
          ? [{ kind: "circle", at, radius: 3 * scale, weight: WEIGHTS.hair } as const]
          : []),
        { kind: "line", from: arms[0], to: arms[1], weight: WEIGHTS.hair, role: "quiet" },
        { kind: "line", from: arms[2], to: arms[3], weight: WEIGHTS.hair, role: "quiet" },
      ];
    }),
    ...written.items,
    ...acrossDimension([box.left, middle[1]], [box.right, middle[1]], box.top - 5.5, size, { bold: true }),
    {
      kind: "text",
      at: [middle[0], box.bottom + 5.4],
      text: "front",
      size: SIZE,
      anchor: "middle",
      role: "quiet",
    },
  ];
  const lines = [
    `${CARRIER_WORDS[carrier.kind]}: ${fine(carrier.thicknessMillimetres)}\u202fmm ${carrier.material}, from its centre, x to the right, y to the rear, seen from above; mm`,
    ...holes.map((hole) => `${hole.mark}\u2002${hole.words}`),
    ...(carrier.outline.kind === "rectangle" && (carrier.outline.cornerMillimetres ?? 0) > 0
      ? [`corners R\u202f${fine(carrier.outline.cornerMillimetres ?? 0)}`]
      : []),
  ];
  return under(drawn, lines, width, scale, [carrier.item]);
}

/** The drawing with lines of words under it. */
function under(
  drawn: readonly Item[],
  lines: readonly string[],
  width: number | undefined,
  scale: number,
  ids: readonly string[],
): SmallDrawing {
  const box = itemBox({ kind: "group", at: [0, 0], items: drawn });
  const room = width ?? Math.max(60, box.right - box.left);
  const left = width === undefined ? box.left : Math.min(box.left, (box.left + box.right - width) / 2);
  const words = lines
    .flatMap((line) => wrap(line, room, SIZE))
    .map((text, n): Item => ({ kind: "text", at: [left, box.bottom + 5 + n * LINE], text, size: SIZE }));
  const items = named([...drawn, ...words], ids);
  return { items, box: itemBox({ kind: "group", at: [0, 0], items }), scale };
}

/** A hole that is opened: what is there dashed, what it is to be heavy, the metal between them hatched. */
export function openedDrawing(
  there: Outline,
  opened: Outline,
  { scale, width }: CarrierLook,
  ids: readonly string[] = [],
): SmallDrawing {
  const own = sizes(opened);
  const centre = centreOf(opened);
  const map = around(centre, own, scale);
  const [inner, outer] = [shapeOf(there, map), shapeOf(opened, map)];
  const box = shapeBox(outer);
  const old = shapeBox(inner);
  const off = centreOf(there);
  const shift = Math.hypot(off.x - centre.x, off.y - centre.y);
  const drawn: readonly Item[] = [
    outlineItem(opened, map, { weight: WEIGHTS.heavy, fill: "paper" }),
    ...hatch(outer, [inner], 1.2).map(
      ([from, to]): Item => ({ kind: "line", from, to, weight: WEIGHTS.hair, role: "quiet" }),
    ),
    outlineItem(there, map, { weight: WEIGHTS.light, dash: "dash", fill: "paper" }),
    ...acrossDimension(
      [box.left, (box.top + box.bottom) / 2],
      [box.right, (box.top + box.bottom) / 2],
      box.top - 5.5,
      `${sizeOf(opened)}, to be`,
      { bold: true },
    ),
    ...acrossDimension(
      [old.left, (old.top + old.bottom) / 2],
      [old.right, (old.top + old.bottom) / 2],
      box.bottom + 6.5,
      `${sizeOf(there)}, as cut`,
    ),
  ];
  return under(
    drawn,
    shift > 0.05
      ? [
          `centre of the new hole ${fine(centre.x - off.x)}, ${fine(centre.y - off.y)}\u202fmm from the old one: file, do not enlarge round it`,
        ]
      : ["one centre for both"],
    width,
    scale,
    ids,
  );
}

/** A snap-in plug in its hole, cut through. */
export function plugDrawing(
  holeMillimetres: number,
  plate: { readonly thicknessMillimetres: number },
  { scale, width }: CarrierLook,
  ids: readonly string[] = [],
): SmallDrawing {
  const half = holeMillimetres / 2;
  const rim = half + 2;
  const past = rim + 5;
  const to = (x: number, y: number): readonly [number, number] => [(x + past) * scale, y * scale];
  const thick = plate.thicknessMillimetres;
  const piece = (left: number, right: number): readonly Item[] => {
    const points = [to(left, 0), to(right, 0), to(right, thick), to(left, thick)];
    return [
      { kind: "path", points, weight: WEIGHTS.light, fill: "paper" },
      ...hatch({ kind: "polygon", points }, [], 1.4).map(
        ([from, until]): Item => ({ kind: "line", from, to: until, weight: WEIGHTS.hair, role: "quiet" }),
      ),
    ];
  };
  const cap: readonly Item[] = [
    {
      kind: "path",
      points: [to(-rim, 0), to(-rim + 0.6, -1.2), to(rim - 0.6, -1.2), to(rim, 0)],
      weight: WEIGHTS.body,
      fill: "paper",
    },
    ...[-1, 1].map(
      (side): Item => ({
        kind: "polyline",
        points: [
          to(side * (half - 0.4), 0),
          to(side * (half - 0.4), thick + 0.4),
          to(side * (half + 0.5), thick + 1.2),
          to(side * (half - 1.2), thick + 4),
        ],
        weight: WEIGHTS.body,
      }),
    ),
  ];
  const drawn: readonly Item[] = [
    ...piece(-past, -half),
    ...piece(half, past),
    ...cap,
    ...acrossDimension(
      to(-half, thick),
      to(half, thick),
      (thick + 5) * scale + 5,
      `Ø\u202f${fine(holeMillimetres)}, as cut`,
      {
        bold: true,
      },
    ),
  ];
  return under(drawn, [`plug, snap-in or two discs and a screw; chassis ${fine(thick)}\u202fmm`], width, scale, ids);
}
