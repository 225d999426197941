/**
 * Words on a plate: in the hole or the body that they name where they fit, else beside it, else farther off with a leader;
 * never over another text, never over a hole.
 *
 * Method  Candidates in order of how far off they are; the cheapest that is free. A body or a wire of another item under the
 *         words costs as much as some millimetres of distance. What finds no place is not drawn, and said.
 */
import type { Box } from "../bounds.ts";
import { type Item, type Point, type Role, SIZES, type TextItem, WEIGHTS } from "../scene.ts";
import { CAP_EMS, DESCENT_EMS, textWidth } from "../text/index.ts";
import type { FreePlaces } from "./free-places.ts";
import { boxInside, middleOf, type Shape, shapeBox } from "./shapes.ts";

const SIZE = SIZES.small;
const CAP = CAP_EMS * SIZE;
const DESCENT = DESCENT_EMS * SIZE;
/** Between two words of one label. */
const SPACE = 1;

export interface LabelWord {
  readonly text: string;
  readonly bold?: boolean;
  readonly role?: Role;
}

export interface Label {
  readonly ids: readonly string[];
  /** Side by side on one line. */
  readonly words: readonly LabelWord[];
  /** Said shorter where the whole does not fit inside or finds no place. */
  readonly shorter?: readonly LabelWord[];
  /** Then said beside it, where there is room. */
  readonly rest?: readonly LabelWord[];
  /** Where the words may stand inside; `hole` when it is one, `box` round it where it is known. */
  readonly inside: readonly { readonly shape: Shape | (() => Shape); readonly box?: Box; readonly hole?: string }[];
  /** What they stand beside, and where a leader ends. */
  readonly beside: readonly Box[];
  readonly target: Shape;
  /** Bodies of this item are no obstacle. */
  readonly owner: string;
}

export interface LabelGround {
  /** Words stay inside. */
  readonly area: Box;
  /** Words, marks, pins, leaders: never covered. */
  readonly texts: FreePlaces;
  /** Holes, by their ids: never covered but from inside. */
  readonly holes: FreePlaces;
  /** Bodies and wires: covered where it must be. */
  readonly soft: FreePlaces;
  readonly halo: "paper" | "band";
}

const SOFT_COST = 3;
const APART = 0.35;
/** What is only said where there is room stands this near. */
const CLOSE = 3;

export interface Labelled {
  readonly items: readonly Item[];
  readonly unplaced: readonly string[];
}

export function labelItems(labels: readonly Label[], ground: LabelGround): Labelled {
  const items: Item[] = [];
  const unplaced: string[] = [];
  for (const label of labels) {
    const put = written(label, ground);
    if (put === undefined) unplaced.push(label.words.map((one) => one.text).join(" "));
    else items.push(...put);
  }
  return { items, unplaced };
}

/** Whole inside, shorter inside and the rest beside, whole beside, shorter beside. */
function written(label: Label, ground: LabelGround): readonly Item[] | undefined {
  const { words, shorter, rest } = label;
  const whole = inside(label, widthOf(words), ground);
  if (whole !== undefined) return put(label, words, whole, ground);
  const short = shorter === undefined ? undefined : inside(label, widthOf(shorter), ground);
  if (shorter !== undefined && short !== undefined) {
    const items = put(label, shorter, short, ground);
    const more = rest === undefined ? undefined : beside(label, widthOf(rest), ground, CLOSE);
    return rest === undefined || more === undefined ? items : [...items, ...put(label, rest, more, ground)];
  }
  const near = beside(label, widthOf(words), ground);
  if (near !== undefined) return put(label, words, near, ground);
  const nearer = shorter === undefined ? undefined : beside(label, widthOf(shorter), ground);
  return shorter === undefined || nearer === undefined ? undefined : put(label, shorter, nearer, ground);
}

const widthOf = (words: readonly LabelWord[]): number =>
  words.reduce((sum, one) => sum + textWidth(one.text, SIZE, one.bold), (words.length - 1) * SPACE);

interface Found {
  readonly box: Box;
  readonly leader: readonly [Point, Point] | undefined;
}

function put(label: Label, words: readonly LabelWord[], { box, leader }: Found, ground: LabelGround): readonly Item[] {
  ground.texts.take(box);
  for (const point of leader === undefined ? [] : alongLeader(leader)) ground.texts.take(point);
  return [
    ...(leader === undefined
      ? []
      : [
          {
            kind: "line",
            from: leader[0],
            to: leader[1],
            weight: WEIGHTS.hair,
            role: "quiet",
            ids: label.ids,
          } as const,
        ]),
    ...textItems(words, [box.left, box.bottom - DESCENT], label.ids, ground.halo),
  ];
}

function inside(label: Label, width: number, ground: LabelGround): Found | undefined {
  for (const one of label.inside) {
    const { shape, hole } = one;
    const around = one.box ?? shapeBox(typeof shape === "function" ? shape() : shape);
    // Most are too narrow: told before the shape is worked out.
    if (around.right - around.left <= width) continue;
    const box = boxAt(middleOf(around), width);
    if (
      boxInside(box, typeof shape === "function" ? shape() : shape, 0.5) &&
      within(ground.area, box) &&
      ground.texts.isFree(box, APART) &&
      ground.holes.isFree(box, 0.3, hole)
    )
      return { box, leader: undefined };
  }
  return undefined;
}

/** The cheapest place round what it names, no farther than `most`. */
function beside(label: Label, width: number, ground: LabelGround, most = Infinity): Found | undefined {
  let best: Found | undefined;
  let least = Infinity;
  for (const gap of GAPS) {
    if (gap >= least || gap > most) break;
    for (const [n, edge] of label.beside.entries())
      for (const [dx, dy, dear] of WAYS) {
        const cost = gap + n + dear;
        if (cost >= least) continue;
        const box = besideBox(edge, dx, dy, gap, width);
        if (!within(ground.area, box) || !ground.holes.isFree(box, 0.3) || !ground.texts.isFree(box, APART)) continue;
        const whole = cost + SOFT_COST * ground.soft.count(box, label.owner);
        if (whole >= least) continue;
        const leader = gap >= LEADER_FROM ? leaderTo(label.target, box) : undefined;
        const dearer = leader === undefined ? 0 : leaderCost(leader, ground);
        if (whole + dearer >= least) continue;
        least = whole + dearer;
        best = { box, leader };
      }
  }
  return best;
}

/** Holes that a leader crosses; a text it must not. */
function leaderCost(leader: readonly [Point, Point], ground: LabelGround): number {
  let cost = 0;
  for (const point of alongLeader(leader)) {
    if (!ground.texts.isFree(point, 0.2)) return Infinity;
    if (!ground.holes.isFree(point)) cost += 1.5;
  }
  return cost;
}

export function textItems(
  words: readonly LabelWord[],
  [left, base]: Point,
  ids: readonly string[],
  halo: "paper" | "band",
): readonly TextItem[] {
  let x = left;
  return words.map((one): TextItem => {
    const at: Point = [x, base];
    x += textWidth(one.text, SIZE, one.bold) + SPACE;
    return { kind: "text", at, size: SIZE, ids, halo, ...one };
  });
}

const boxAt = ([x, y]: Point, width: number): Box => ({
  left: x - width / 2,
  right: x + width / 2,
  top: y - CAP / 2,
  bottom: y + CAP / 2 + DESCENT,
});

const within = (outer: Box, inner: Box): boolean =>
  inner.left >= outer.left && inner.right <= outer.right && inner.top >= outer.top && inner.bottom <= outer.bottom;

/** Clear of the hole's centre lines at least. */
const GAPS = [1.2, 2.6, 4.4, 6.8, 10, 14, 19, 26] as const;
const LEADER_FROM = 4;
/** Over, under, right, left, and between them; with what each costs more. At 2 the words end where the box ends. */
const WAYS: readonly (readonly [dx: number, dy: number, dear: number])[] = [
  [0, -1, 0],
  [0, 1, 0.3],
  [1, 0, 0.6],
  [-1, 0, 0.8],
  [2, -1, 0.7],
  [-2, -1, 0.7],
  [2, 1, 0.9],
  [-2, 1, 0.9],
  [0.7, -0.7, 1.1],
  [-0.7, -0.7, 1.1],
  [0.7, 0.7, 1.1],
  [-0.7, 0.7, 1.1],
  [1, -0.5, 1.1],
  [-1, -0.5, 1.1],
  [1, 0.5, 1.1],
  [-1, 0.5, 1.1],
];

/** Words on one side of a box, `gap` from it; on a side and a bit where both are not full. */
function besideBox(box: Box, dx: number, dy: number, gap: number, width: number): Box {
  const [x, y] = middleOf(box);
  const side = dx > 0 ? box.right - x : x - box.left;
  const tall = (box.bottom - box.top) / 2;
  if (Math.abs(dx) === 2) {
    const middle = dx > 0 ? box.left + width / 2 : box.right - width / 2;
    return boxAt([middle, y + dy * (gap + tall + CAP / 2) - (dy < 0 ? DESCENT : 0)], width);
  }
  return boxAt(
    [
      x + dx * gap + Math.sign(dx) * (side + width / 2),
      Math.abs(dy) === 0.5
        ? y + dy * (tall + gap)
        : y + dy * gap + Math.sign(dy) * (tall + CAP / 2) - (dy < 0 ? DESCENT : 0),
    ],
    width,
  );
}

/** From the rim of what is named to the nearest edge of its words. */
function leaderTo(target: Shape, box: Box): readonly [Point, Point] | undefined {
  const from = middleOf(shapeBox(target));
  const to: Point = [
    Math.min(Math.max(from[0], box.left), box.right),
    Math.min(Math.max(from[1], box.top), box.bottom - DESCENT),
  ];
  let [inner, outer] = [0, 1];
  const at = (t: number): Point => [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])];
  for (let n = 0; n < 14; n++) {
    const t = (inner + outer) / 2;
    const [x, y] = at(t);
    if (boxInside({ left: x, right: x, top: y, bottom: y }, target, 0)) inner = t;
    else outer = t;
  }
  const rim = at(outer);
  const length = Math.hypot(to[0] - rim[0], to[1] - rim[1]);
  if (length < 1) return undefined;
  const clear = 0.4 / length;
  return [rim, [to[0] - clear * (to[0] - rim[0]), to[1] - clear * (to[1] - rim[1])]];
}

/** Small boxes along a leader. */
function alongLeader([[x0, y0], [x1, y1]]: readonly [Point, Point]): readonly Box[] {
  const pieces = Math.max(1, Math.round(Math.hypot(x1 - x0, y1 - y0) / 1.2));
  return Array.from({ length: pieces + 1 }, (_, n) => {
    const [x, y] = [x0 + ((x1 - x0) * n) / pieces, y0 + ((y1 - y0) * n) / pieces];
    return { left: x - 0.1, right: x + 0.1, top: y - 0.1, bottom: y + 0.1 };
  });
}
