/** A plate or a ring at true size for the drill: outline, holes with their centres, and words beside them; from one face. */
import {
  bendsOf,
  type ChassisHole,
  type ChassisJudged,
  type ChassisPlate,
  gapBetween,
  plateOutline,
  solidOf,
} from "@platewright/design";
import type { Outline, Place } from "@platewright/engine";
import type { CarrierDrawing, CutHole } from "../cut/index.ts";
import { freePlaces } from "../chassis/free-places.ts";
import { outlineItem } from "../chassis/outline-items.ts";
import { type Label, labelItems } from "../chassis/labels.ts";
import { type PlateMap, plateMap } from "../chassis/plate-map.ts";
import { bendItems, datumItems } from "../chassis/plate-ground.ts";
import { outlineBox, shapeOf } from "../chassis/shapes.ts";
import { type Box, boxAround, itemBox } from "../bounds.ts";
import { type Item, type LineItem, WEIGHTS } from "../scene.ts";
import { chartGroups } from "./chart-rows.ts";
import { holeFigures, type HoleFigures, millimetres, sizeFigures } from "./hole-figures.ts";
import { type Figure, letterWidth } from "./letters.ts";
import { type Mark, MARK_REACH, type TileGround } from "./tiles.ts";

/** A hole as it stands on the template. */
export interface TemplateHole {
  readonly id: string;
  /** As in the hole chart. */
  readonly number: string;
  /** "V1 body"; nothing for screws and lugs beside a part's own hole. */
  readonly name: string;
  readonly outline: Outline;
  /** cut: to be made; there: made already; open: its size is not decided. */
  readonly look: "cut" | "there" | "open";
  /** "Ø 22". */
  readonly size: HoleFigures;
  /** "there, close it". */
  readonly words?: string;
}

export interface TemplateSubject {
  readonly map: PlateMap;
  readonly outline: Outline;
  readonly holes: readonly TemplateHole[];
  /** Bends, datum. */
  readonly more: readonly Item[];
  /** Too small to write on: numbers alone stand at the holes, the rest is a list beside. */
  readonly listed?: boolean;
}

/** Purposes of holes that bear their part's name. */
const MAIN: ReadonlySet<string> = new Set(["body", "bush", "opening", "none"]);

/** Numbers of the hole chart, by "plate V1/body" and "ring V3/body". */
const numbersOf = (judged: ChassisJudged): ReadonlyMap<string, string> =>
  new Map(
    chartGroups(judged)
      .flatMap((group) => group.holes)
      .map(({ hole, number }) => [`${hole.in === "plate" ? "plate" : "ring"} ${hole.id}`, String(number)]),
  );

const LOOKS: { readonly [W in ChassisHole["work"]]: readonly [TemplateHole["look"], string?] } = {
  cut: ["cut"],
  "open-up": ["cut", "open to this"],
  done: ["there"],
  spare: ["there", "spare"],
  close: ["there", "close"],
  unresolved: ["open", "not decided"],
};

export function plateSubject(judged: ChassisJudged, face: PlateMap["face"]): TemplateSubject {
  const { chassis, holes } = judged;
  const map = plateMap(chassis.plate, face, 1);
  const numbers = numbersOf(judged);
  return {
    map,
    outline: plateOutline(chassis.plate),
    holes: holes.holes
      .filter((hole) => hole.in === "plate")
      .map((hole): TemplateHole => {
        const [look, words] = LOOKS[hole.work];
        return {
          id: hole.id,
          number: numbers.get(`plate ${hole.id}`) ?? "",
          name: MAIN.has(hole.purpose) ? hole.label : "",
          outline: hole.outline,
          look,
          size: holeFigures(hole),
          ...(words === undefined ? {} : { words }),
        };
      }),
    more: [...bendItems(chassis.plate, map), ...datumItems(map), datumWords(map)],
  };
}

/** Beside the datum, on the plate's side of it, so that no sheet loses it. */
function datumWords(map: PlateMap): Item {
  const [x, y] = map.toSheet({ x: 0, y: 0 });
  const side = map.face === "top" ? 1 : -1;
  return {
    kind: "text",
    at: [x + side * 3.4, y + 4.4],
    text: "0, 0",
    size: 3.18,
    bold: true,
    anchor: map.face === "top" ? "start" : "end",
  };
}

/** A ring or plate on its own, seen from above. */
export function carrierSubject(judged: ChassisJudged, { drawing, name }: CarrierDrawing): TemplateSubject {
  const numbers = numbersOf(judged);
  const [width, height] = [drawing.right, drawing.rear];
  const map = plateMap({ widthMillimetres: width, depthMillimetres: height }, "top", 1);
  const round = drawing.contours[0]?.kind === "circle";
  const at = { x: width / 2, y: height / 2 };
  return {
    map,
    outline: round
      ? { kind: "circle", ...at, diameterMillimetres: width }
      : { kind: "rectangle", ...at, widthMillimetres: width, heightMillimetres: height, cornerMillimetres: 2 },
    holes: drawing.holes.map((hole) => ({
      id: hole.ids[0] ?? name,
      number: numbers.get(`ring ${hole.ids[0] ?? ""}`) ?? numbers.get(`plate ${hole.ids[0] ?? ""}`) ?? "",
      name: hole.label,
      outline: { ...hole.shape, x: hole.x, y: hole.y },
      look: "cut",
      size: sizeFigures(`carrier/${hole.ids[0] ?? name}`, hole.shape),
      ...wordsOfCarried(hole),
    })),
    more: [],
    listed: true,
  };
}

const wordsOfCarried = ({ thread, countersunk }: CutHole): { readonly words?: string } =>
  thread !== undefined ? { words: `tap ${thread}` } : countersunk === true ? { words: "countersink" } : {};

/** From the rim of a hole out to where its centre lines end. */
const PAST = 2;

/** Lines alone. */
export function subjectLines({ map, outline, holes, more }: TemplateSubject): readonly Item[] {
  return [
    outlineItem(outline, map, { weight: WEIGHTS.light }),
    ...more,
    ...holes.flatMap((hole): readonly Item[] => {
      const weight = hole.look === "cut" ? WEIGHTS.wire : WEIGHTS.hair;
      const box = outlineBox(hole.outline, map);
      const [x, y] = [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
      const line = { kind: "line", weight: WEIGHTS.hair, ids: [hole.id] } as const;
      return [
        outlineItem(hole.outline, map, { weight, ids: [hole.id], ...(hole.look === "open" ? { dash: "dash" } : {}) }),
        { ...line, from: [box.left - PAST, y], to: [box.right + PAST, y] },
        { ...line, from: [x, box.top - PAST], to: [x, box.bottom + PAST] },
      ];
    }),
  ];
}

/** Where seams and register marks may stand. */
export function groundOf({ map, outline, holes }: TemplateSubject): TileGround {
  const outlines = [outline, ...holes.map((hole) => hole.outline)];
  const solids = outlines.map(solidOf);
  const boxes = outlines.map((one) => outlineBox(one, map));
  return {
    xs: boxes.flatMap((box) => [box.left, (box.left + box.right) / 2, box.right]),
    ys: boxes.flatMap((box) => [box.top, (box.top + box.bottom) / 2, box.bottom]),
    isClear: (x, y, room) => {
      const point = { core: [map.toPlate([x, y])], radius: 0 };
      return solids.every((solid) => Math.abs(gapBetween(point, solid)) > room);
    },
  };
}

/** A register mark with its name and its place on the plate, on the side where the sheet has room. */
export function markItems({ name, x, y }: Mark, place: Place, window: Box): readonly Item[] {
  const words = `${millimetres(place.x)}, ${millimetres(place.y)}`;
  const isLast = window.right - x < letterWidth(words, 3.18) + 2;
  const side = { size: 3.18, anchor: isLast ? "end" : "start" } as const;
  const beside = x + (isLast ? -1.2 : 1.2);
  const line = { kind: "line", weight: WEIGHTS.hair } as const;
  return [
    { ...line, from: [x - MARK_REACH, y], to: [x + MARK_REACH, y] },
    { ...line, from: [x, y - MARK_REACH], to: [x, y + MARK_REACH] },
    { kind: "circle", at: [x, y], radius: 1.6, weight: WEIGHTS.hair },
    { kind: "text", at: [beside, y - 2.2], text: name, bold: true, ...side },
    { kind: "text", at: [beside, y + 4.6], text: words, ...side },
  ];
}

export interface SubjectWords {
  readonly items: readonly Item[];
  readonly figures: readonly Figure[];
  /** Holes whose centre is in the window, and those of them that have their words. */
  readonly own: readonly string[];
  readonly named: readonly string[];
}

/** Words beside the holes whose centre is in a window; each is whole, or is not drawn. */
export function subjectWords(
  { map, holes, listed }: TemplateSubject,
  window: Box,
  marks: readonly Item[],
  seams: readonly LineItem[] = [],
): SubjectWords {
  const [texts, taken, soft] = [freePlaces(), freePlaces(), freePlaces()];
  for (const item of marks) texts.take(itemBox(item));
  for (const { from, to } of seams) soft.take(boxAround([from, to], 0.5));
  const [corner, far] = [
    [0, 0],
    [map.width, map.height],
  ] as const;
  // Leaders may cross the edge of what is small.
  for (const [from, to] of [
    [corner, [far[0], 0]],
    [corner, [0, far[1]]],
    [far, [far[0], 0]],
    [far, [0, far[1]]],
  ] as const)
    (listed === true ? soft : texts).take(boxAround([from, to], 0.3));
  for (const hole of holes) {
    const { left, right, top, bottom } = outlineBox(hole.outline, map);
    taken.take({ left, right, top, bottom }, hole.id);
    const [x, y] = [(left + right) / 2, (top + bottom) / 2];
    // Centre lines are to be read.
    texts.take(
      boxAround(
        [
          [left - PAST, y],
          [right + PAST, y],
        ],
        0.2,
      ),
    );
    texts.take(
      boxAround(
        [
          [x, top - PAST],
          [x, bottom + PAST],
        ],
        0.2,
      ),
    );
  }
  const own = holes.filter(({ outline }) => {
    const box = outlineBox(outline, map);
    const [x, y] = [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
    return x >= window.left && x <= window.right && y >= window.top && y <= window.bottom;
  });
  // Small holes first: they have fewer places.
  const bySize = [...own].sort((one, other) => reachOf(one.outline, map) - reachOf(other.outline, map));
  const labels = bySize.map((hole): Label => {
    const box = outlineBox(hole.outline, map);
    const [x, y] = [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
    const sized = { text: hole.size.text };
    const number = { text: hole.number, bold: true };
    const name = hole.name === "" ? [] : [{ text: hole.name }];
    return {
      ids: [hole.id, ...hole.size.figures.map((one) => `=${one.of}`)],
      owner: hole.id,
      ...(listed === true
        ? { words: [number] }
        : {
            words: [number, ...name, sized, ...(hole.words === undefined ? [] : [{ text: hole.words }])],
            shorter: [number, sized],
          }),
      // Inside beside the centre lines: a quarter of the hole.
      inside: quartersOf(box, x, y).map((shape) => ({ shape, hole: hole.id })),
      beside: [{ left: box.left - 0.6, right: box.right + 0.6, top: box.top - 0.6, bottom: box.bottom + 0.6 }],
      target: shapeOf(hole.outline, map),
    };
  });
  const { items } = labelItems(labels, { area: window, texts, holes: taken, soft, halo: "paper" });
  const drawn = new Set(items.flatMap((item) => ("ids" in item ? (item.ids ?? []) : [])));
  return {
    items,
    figures: own.flatMap((hole) => hole.size.figures).filter((one) => drawn.has(`=${one.of}`)),
    own: own.map((hole) => hole.id),
    named: own.map((hole) => hole.id).filter((id) => drawn.has(id)),
  };
}

/** "1  V3 body  Ø 16": the list beside a small piece, from its own corner. */
export function listItems({ holes }: TemplateSubject): {
  readonly items: readonly Item[];
  readonly figures: readonly Figure[];
} {
  const items = holes.map((hole, n): Item => {
    const words = [hole.number, hole.name, hole.size.text, ...(hole.words === undefined ? [] : [hole.words])];
    return {
      kind: "text",
      at: [0, 3.2 + n * 4.6],
      text: words.filter((one) => one !== "").join("\u2002"),
      size: 3.18,
      ids: [hole.id, ...hole.size.figures.map((one) => `=${one.of}`)],
    };
  });
  return { items, figures: holes.flatMap((hole) => hole.size.figures) };
}

function reachOf(outline: Outline, map: PlateMap): number {
  const box = outlineBox(outline, map);
  return box.right - box.left + box.bottom - box.top;
}

const quartersOf = (box: Box, x: number, y: number): readonly Label["inside"][number]["shape"][] => {
  const half = (top: number, bottom: number) =>
    ({
      kind: "polygon",
      points: [
        [box.left + (x - box.left) * 0.3, top],
        [box.right - (box.right - x) * 0.3, top],
        [box.right - (box.right - x) * 0.3, bottom],
        [box.left + (x - box.left) * 0.3, bottom],
      ],
    }) as const;
  return box.bottom - box.top < 16 ? [] : [half(y, y + (box.bottom - y) * 0.75), half(y - (y - box.top) * 0.75, y)];
};

export const hasBends = (plate: ChassisPlate): boolean => bendsOf(plate).length > 0;
