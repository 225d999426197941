/**
 * A socket from below as it is turned and as it were better turned: heaters and grids as lines to where they go, crossings
 * ringed, millimetres said; under it every angle with its score.
 *
 * Limits  Straight wires: they tell the better of two angles, not lengths to cut.
 */
import { pinPlace, type PlacedItem, placed, type Rotation, type SocketWire, type Turn } from "@platewright/design";
import type { Place } from "@platewright/engine";
import { type Box, boxAround, itemBox } from "../bounds.ts";
import { type Item, type Point, SIZES, WEIGHTS } from "../scene.ts";
import { CAP_EMS, textWidth, wrap } from "../text/index.ts";
import { named, type SmallDrawing } from "./carrier-section.ts";
import { freePlaces } from "./free-places.ts";
import { type Label, labelItems } from "./labels.ts";
import { hatch } from "./shapes.ts";

const SIZE = SIZES.small;
const CAP = CAP_EMS * SIZE;
const LINE = 4.5;
const GAP = 6;
const HIGHEST = 74;

export interface TurnsLook {
  readonly width: number;
  /** The turn beside the present one; left out: the best that the holes allow, else the best. */
  readonly degrees?: number;
  /** Left out: every angle stands under the pictures. */
  readonly strip?: boolean;
}

/** The turn that is set beside the present one. */
export const betterTurn = ({ now, bestAsCut, turns }: Rotation): Turn | undefined =>
  bestAsCut !== undefined && bestAsCut.score < now.score - 1e-9 ? bestAsCut : turns[0];

export function turnsPicture(rotation: Rotation, item: PlacedItem, look: TurnsLook): SmallDrawing {
  const asked = look.degrees === undefined ? undefined : rotation.turns.find((one) => one.degrees === look.degrees);
  const better = asked ?? betterTurn(rotation) ?? rotation.now;
  const side = Math.min(HIGHEST, (look.width - GAP) / 2);
  const reach = Math.max(viewOf(rotation.now, item), viewOf(better, item));
  const scale = side / 2 / reach;
  const isBest = asked === undefined && better.score >= rotation.now.score - 1e-9;
  const panels = [
    { turn: rotation.now, title: `now, ${degreesOf(rotation.now)}${isBest ? "; no turn is better" : ""}` },
    ...(isBest ? [] : [{ turn: better, title: `${asked === undefined ? "better" : "turned"}, ${degreesOf(better)}` }]),
  ];
  const wide = (look.width - GAP) / 2;
  const items = panels.flatMap(({ turn, title }, n): readonly Item[] => {
    const left = n * (wide + GAP) + (wide - side) / 2;
    return [
      { kind: "text", at: [left, CAP], text: title, size: SIZE, bold: true },
      { kind: "group", at: [left, CAP + 2.2], items: panel(turn, item, side, scale) },
      ...turnWords(turn).flatMap((line, k) =>
        wrap(line, wide, SIZE).map(
          (text, row): Item => ({
            kind: "text",
            at: [left, CAP + 2.2 + side + 5 + (k + row) * LINE],
            text,
            size: SIZE,
          }),
        ),
      ),
    ];
  });
  const drawn: readonly Item[] =
    look.strip === false
      ? items
      : [...items, { kind: "group", at: [0, CAP + 2.2 + side + 5 + 3 * LINE + 2], items: strip(rotation, look.width) }];
  const all = named(drawn, [rotation.item]);
  return { items: all, box: itemBox({ kind: "group", at: [0, 0], items: all }), scale };
}

const degreesOf = (turn: Turn): string => `${Math.round(turn.degrees)}°`;
const mm = (millimetres: number): string => `${Math.round(millimetres)}\u202fmm`;

const turnWords = (turn: Turn): readonly string[] => [
  `grids ${mm(turn.gridMillimetres)}, heaters ${mm(turn.heaterMillimetres)}`,
  turn.crossings === 0
    ? "no heater crosses a grid"
    : turn.crossings === 1
      ? "1 heater wire crosses a grid"
      : `${turn.crossings} crossings of heaters and grids`,
  turn.asCut ? "the holes as cut take it so" : "wants other screw holes",
];

const isHeater = (wire: SocketWire): boolean => wire.role === "heater" || wire.role === "heater-and-cathode";

/** Half of the view, millimetres of the plate: the socket, and every crossing. */
function viewOf(turn: Turn, item: PlacedItem): number {
  const pins = (item.footprint.pins?.circleMillimetres ?? 12) / 2;
  const far = crossingsOf(turn).map(({ x, y }) => Math.max(Math.abs(x - item.item.x), Math.abs(y - item.item.y)));
  return Math.max(2.5 * pins, ...far.map((one) => one + 4));
}

/** Where heater wires meet grid wires. */
function crossingsOf(turn: Turn): readonly Place[] {
  const grids = turn.wires.filter((wire) => wire.role === "grid");
  return turn.wires.filter(isHeater).flatMap((heater) => grids.flatMap((grid) => meeting(heater, grid) ?? []));
}

function meeting(one: SocketWire, other: SocketWire): Place | undefined {
  const [dx, dy] = [one.to.x - one.from.x, one.to.y - one.from.y];
  const [ex, ey] = [other.to.x - other.from.x, other.to.y - other.from.y];
  const cross = dx * ey - dy * ex;
  if (Math.abs(cross) < 1e-12) return undefined;
  const [fx, fy] = [other.from.x - one.from.x, other.from.y - one.from.y];
  const t = (fx * ey - fy * ex) / cross;
  const u = (fx * dy - fy * dx) / cross;
  return t > 0 && t < 1 && u > 0 && u < 1 ? { x: one.from.x + t * dx, y: one.from.y + t * dy } : undefined;
}

function panel(turn: Turn, item: PlacedItem, side: number, scale: number): readonly Item[] {
  const { x, y } = item.item;
  // From below: what is at the right from above is at the left.
  const to = (place: Place): Point => [side / 2 - (place.x - x) * scale, side / 2 - (place.y - y) * scale];
  const frame: Box = { left: 0, right: side, top: 0, bottom: side };
  const texts = freePlaces();
  const soft = freePlaces();
  const pose = { x, y, degrees: turn.degrees, mirrored: item.pose.mirrored };
  const pins = item.footprint.pins;
  const radius = ((pins?.circleMillimetres ?? 12) / 2) * scale;
  const numbers = Array.from({ length: pins?.count ?? 0 }, (_, n): Item => {
    const place = pinPlace({ footprint: item.footprint, pose }, n + 1) ?? { x, y };
    const [px, py] = to(place);
    const length = Math.hypot(px - side / 2, py - side / 2) || 1;
    const inward = Math.max(0, radius - 3.1) / length;
    return {
      kind: "text",
      at: [side / 2 + (px - side / 2) * inward, side / 2 + (py - side / 2) * inward + CAP / 2],
      text: String(n + 1),
      size: SIZE,
      anchor: "middle",
      halo: "paper",
    };
  });
  for (const one of numbers) texts.take(itemBox(one));
  const dots = Array.from({ length: pins?.count ?? 0 }, (_, n): Item => {
    const place = pinPlace({ footprint: item.footprint, pose }, n + 1) ?? { x, y };
    return { kind: "circle", at: to(place), radius: 0.8, weight: WEIGHTS.light, fill: "paper" };
  });
  const key = placed(pose, { x: 0, y: -1 });
  const [kx, ky] = [to(key)[0] - side / 2, to(key)[1] - side / 2];
  const length = Math.hypot(kx, ky);
  const [ux, uy] = [kx / length, ky / length];
  const rim = radius + 4;
  const tip: Point = [side / 2 + ux * rim, side / 2 + uy * rim];
  const triangle: Item = {
    kind: "path",
    points: [
      tip,
      [tip[0] - ux * 2.6 - uy * 1.6, tip[1] - uy * 2.6 + ux * 1.6],
      [tip[0] - ux * 2.6 + uy * 1.6, tip[1] - uy * 2.6 - ux * 1.6],
    ],
    weight: 0,
    fill: "ink",
  };
  texts.take(itemBox(triangle));
  const ends = new Map<string, Point[]>();
  const wires = turn.wires.flatMap((wire): readonly Item[] => {
    const clipped = clippedTo(frame, to(wire.from), to(wire.to));
    if (clipped === undefined) return [];
    const [from, end] = clipped;
    for (let n = 0; n <= 40; n++) {
      const [px, py] = [from[0] + ((end[0] - from[0]) * n) / 40, from[1] + ((end[1] - from[1]) * n) / 40];
      soft.take({ left: px - 0.3, right: px + 0.3, top: py - 0.3, bottom: py + 0.3 });
    }
    if (isHeater(wire) || wire.role === "grid") ends.set(wire.target, [...(ends.get(wire.target) ?? []), end]);
    const look =
      wire.role === "grid"
        ? ({ weight: WEIGHTS.heavy, dash: "dot" } as const)
        : isHeater(wire)
          ? ({ weight: WEIGHTS.body } as const)
          : ({ weight: WEIGHTS.hair, role: "quiet" } as const);
    return [{ kind: "line", from, to: end, ...look }];
  });
  const rings = crossingsOf(turn).map(
    (place): Item => ({ kind: "circle", at: to(place), radius: 2, weight: WEIGHTS.body, role: "stop" }),
  );
  for (const ring of rings) texts.take(itemBox(ring));
  const labels = [...ends].map(([target, points]): Label => {
    const middle: Point = [
      points.reduce((sum, one) => sum + one[0], 0) / points.length,
      points.reduce((sum, one) => sum + one[1], 0) / points.length,
    ];
    const roles = turn.wires.filter((wire) => wire.target === target);
    const what = [
      ...(roles.some(isHeater) ? ["heaters"] : []),
      ...(roles.some((one) => one.role === "grid") ? ["grid"] : []),
    ];
    return {
      ids: [target],
      owner: target,
      words: [{ text: `${what.join(", ")} to ${target}`, bold: true }],
      shorter: [{ text: target, bold: true }],
      inside: [],
      beside: [boxAround([middle], 0.4)],
      target: { kind: "circle", at: middle, radius: 0.4 },
    };
  });
  const written = labelItems(labels, {
    area: { left: 0.8, right: side - 0.8, top: 0.8, bottom: side - 0.8 },
    texts,
    holes: freePlaces(),
    soft,
    halo: "paper",
  });
  return [
    { kind: "rect", at: [0, 0], width: side, height: side, weight: WEIGHTS.hair, role: "quiet", fill: "paper" },
    { kind: "circle", at: [side / 2, side / 2], radius: rim, weight: WEIGHTS.light },
    triangle,
    ...wires,
    ...dots,
    ...numbers,
    ...rings,
    ...written.items,
  ];
}

/** The piece of a line that begins inside the frame. */
function clippedTo(frame: Box, from: Point, to: Point): readonly [Point, Point] | undefined {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  let [start, end] = [0, 1];
  for (const [p, q] of [
    [-dx, from[0] - frame.left],
    [dx, frame.right - from[0]],
    [-dy, from[1] - frame.top],
    [dy, frame.bottom - from[1]],
  ] as const) {
    if (p === 0) {
      if (q < 0) return undefined;
    } else if (p < 0) start = Math.max(start, q / p);
    else end = Math.min(end, q / p);
  }
  if (start > end) return undefined;
  return [
    [from[0] + start * dx, from[1] + start * dy],
    [from[0] + end * dx, from[1] + end * dy],
  ];
}

const BARS = 16;

/** Every angle as a bar, as high as it is worse than the best: filled where the holes as cut take it, hatched where they do not. */
function strip({ turns, now }: Rotation, width: number): readonly Item[] {
  const all = [...turns].sort((one, other) => one.degrees - other.degrees);
  const least = Math.min(...all.map((one) => one.score));
  const range = Math.max(...all.map((one) => one.score)) - least || 1;
  const pitch = width / all.length;
  const [best] = turns;
  const isNow = (turn: Turn) => Math.abs((((turn.degrees - now.degrees) % 360) + 360) % 360) < 1e-6;
  const half = (text: string, bold: boolean) => textWidth(text, SIZE, bold) / 2;
  // "now" and "best" that stand side by side give way to each other.
  const [nowAt, bestAt] = [all.findIndex(isNow), best === undefined ? -1 : all.indexOf(best)];
  const short = half("now", true) + half("best", true) + 1.5 - Math.abs(bestAt - nowAt) * pitch;
  const aside = nowAt < 0 || bestAt < 0 || nowAt === bestAt || short <= 0 ? 0 : (Math.sign(bestAt - nowAt) * short) / 2;
  const word = (n: number, text: string, y: number, bold = false, by = 0): Item => ({
    kind: "text",
    at: [Math.min(Math.max((n + 0.5) * pitch + by, half(text, bold)), width - half(text, bold)), y],
    text,
    size: SIZE,
    anchor: "middle",
    halo: "paper",
    ...(bold ? { bold } : {}),
  });
  const bars = all.flatMap((turn, n): readonly Item[] => {
    const height = 0.8 + ((turn.score - least) / range) * (BARS - 0.8);
    const [left, right] = [n * pitch + pitch * 0.18, (n + 1) * pitch - pitch * 0.18];
    const points: readonly Point[] = [
      [left, BARS - height],
      [right, BARS - height],
      [right, BARS],
      [left, BARS],
    ];
    return turn.asCut
      ? [{ kind: "path", points, weight: WEIGHTS.hair, fill: "ink" }]
      : [
          { kind: "path", points, weight: WEIGHTS.hair, fill: "paper" },
          ...hatch({ kind: "polygon", points }, [], 1.2).map(
            ([from, to]): Item => ({ kind: "line", from, to, weight: WEIGHTS.hair, role: "quiet" }),
          ),
        ];
  });
  const marks = all.flatMap((turn, n): readonly Item[] => [
    ...(turn.degrees % 90 === 0 ? [word(n, `${turn.degrees}°`, BARS + CAP + 1.4)] : []),
    ...(isNow(turn) ? [word(n, "now", BARS + CAP + 1.4 + LINE, true, -aside)] : []),
    ...(turn === best && !isNow(turn) ? [word(n, "best", BARS + CAP + 1.4 + LINE, true, aside)] : []),
  ]);
  return [
    { kind: "line", from: [0, BARS], to: [width, BARS], weight: WEIGHTS.light },
    ...bars,
    ...marks,
    ...wrap(
      "every angle: the higher the bar, the worse against the best; filled: the holes as cut take it, hatched: wants other screw holes",
      width,
      SIZE,
    ).map(
      (text, n): Item => ({
        kind: "text",
        at: [0, BARS + CAP + 1.4 + 2 * LINE + n * LINE],
        text,
        size: SIZE,
        role: "quiet",
      }),
    ),
  ];
}
