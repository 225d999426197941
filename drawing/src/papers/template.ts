/**
 * The template: the plate at true size, top and underside, on as many sheets as it takes, with register marks where they join,
 * and bars to hold a ruler against on every sheet.
 *
 * Law     One millimetre of paper is one of the plate. The way of the paper that takes fewer sheets is chosen. A template that is
 *         off by more than `OFF_MILLIMETRES` in 100 is not to be cut by.
 * Sources 0.3 mm in 100 and 100 mm bars in both axes: common practice.
 */
import type { ChassisJudged } from "@platewright/design";
import { carrierDrawings } from "../cut/index.ts";
import type { Box } from "../bounds.ts";
import { type Item, type LineItem, WEIGHTS } from "../scene.ts";
import { clipItems } from "./clip-items.ts";
import { millimetres } from "./hole-figures.ts";
import { type Figure, letterWidth, PAPER_SIZES, runsOf, shortened, wrapRuns } from "./letters.ts";
import { layPaper, pageRoom, type Paper, type Sheet } from "./page.ts";
import { frameOf, type PackInput } from "./pack-input.ts";
import { CHECK_BAR_MILLIMETRES, checkBar } from "./parts.ts";
import { baseline, group, lineHeight, lineOfRuns, newPage, type Passage } from "./piece.ts";
import {
  carrierSubject,
  groundOf,
  hasBends,
  listItems,
  markItems,
  plateSubject,
  subjectLines,
  subjectWords,
  type TemplateSubject,
} from "./template-drawing.ts";
import { isOn, type Tile, tileCount, tilesOf, type Tiling } from "./tiles.ts";

export const OFF_MILLIMETRES = 0.3;
/** Round the plate. */
const MARGIN = 6;
/** Over the drawing, under it, and at its left. */
const HEAD = 11;
const STRIP = 20;
const LEFT = 6.5;

/** undefined: the design has no chassis. */
export function templatePaper(input: PackInput): Paper | undefined {
  const { chassis } = input;
  if (chassis === undefined) return undefined;
  const { plate } = chassis.chassis;
  const extent: Box = {
    left: -MARGIN,
    top: -MARGIN,
    right: plate.widthMillimetres + MARGIN,
    bottom: plate.depthMillimetres + MARGIN,
  };
  const count = (sheet: Sheet) => {
    const { width, height } = roomOf(sheet);
    return tileCount(extent, width, height);
  };
  const upright: Sheet = { size: input.size };
  const level: Sheet = { size: input.size, landscape: true };
  const sheet = count(level) < count(upright) ? level : upright;
  const frame = frameOf(
    input,
    "Template",
    [
      "1:1. Print at 100\u202f%, never fit to page; measure both bars first",
      ...(hasBends(plate) ? ["outline as bent; the blank is larger: see the fabricator's drawing"] : []),
    ],
    underWords(chassis),
  );
  return layPaper("template", sheet, frame, [
    ...facePages(chassis, "top", extent, sheet),
    ...facePages(chassis, "under", extent, sheet),
    ...carrierPages(chassis, sheet),
  ]);
}

/** Room for the drawing itself. */
function roomOf(sheet: Sheet): { readonly width: number; readonly height: number } {
  const { width, height } = pageRoom(sheet);
  return { width: width - LEFT, height: height - HEAD - STRIP };
}

function underWords({ holes }: ChassisJudged): string {
  const due = holes.holes.filter((hole) => hole.in === "plate" && (hole.work === "cut" || hole.work === "open-up"));
  const there = holes.holes.filter((hole) => hole.in === "plate").length - due.length;
  return `Heavy: ${due.length} to cut; thin: ${there} there or not decided. Numbers: hole chart.`;
}

const FACES = {
  top: "TOP, seen from above",
  under: "UNDERSIDE, seen from below, mirrored: lay it on the underside",
} as const;

function facePages(judged: ChassisJudged, face: "top" | "under", extent: Box, sheet: Sheet): readonly Passage[] {
  const subject = plateSubject(judged, face);
  const { width, height } = roomOf(sheet);
  const tiling = tilesOf(extent, width, height, groundOf(subject));
  const drawn = tiling.tiles.map((tile) => tileItems(subject, tiling, tile));
  // Beside the edge of one sheet there may be no room; on its neighbour there is.
  const written = new Set(drawn.flatMap((one) => one.named));
  return tiling.tiles.flatMap((tile, n) => {
    const sheets = tiling.tiles.length > 1 ? `; sheet ${n + 1} of ${tiling.tiles.length} of this face` : "";
    const { items = [], figures = [], own = [] } = drawn[n] ?? {};
    const missing = own.filter((id) => !written.has(id));
    const words = missing.length === 0 ? "" : `No room to write at ${missing.join(", ")}: see the hole chart.`;
    return pageOf(sheet, `${FACES[face]}${sheets}`, { items, figures }, mapItems(tiling, tile, subject), words);
  });
}

interface Drawn {
  readonly items: readonly Item[];
  readonly figures: readonly Figure[];
}

/** What a sheet shows, from the left upper corner of its window. */
function tileItems(subject: TemplateSubject, tiling: Tiling, tile: Tile) {
  const { window } = tile;
  const marks = tiling.marks
    .filter((mark) => isOn(tile, mark))
    .flatMap((mark) => markItems(mark, subject.map.toPlate([mark.x, mark.y]), window));
  const seams = seamItems(tiling, tile);
  const words = subjectWords(subject, window, marks, seams);
  const lines = clipItems([...subjectLines(subject), ...seams], window);
  return {
    items: [group([-window.left, -window.top], [...lines, ...marks, ...words.items])],
    figures: words.figures,
    own: words.own,
    named: words.named,
  };
}

/** Where this sheet meets its neighbours. */
function seamItems({ upright, level }: Tiling, { window }: Tile): readonly LineItem[] {
  const line = { kind: "line", weight: WEIGHTS.hair, dash: "dash" } as const;
  return [
    ...upright
      .filter((x) => x > window.left && x < window.right)
      .map((x): LineItem => ({ ...line, from: [x, window.top], to: [x, window.bottom] })),
    ...level
      .filter((y) => y > window.top && y < window.bottom)
      .map((y): LineItem => ({ ...line, from: [window.left, y], to: [window.right, y] })),
  ];
}

const MAP = { width: 30, height: 15 } as const;

/** All sheets small, this one tinted; nothing for a single sheet. */
function mapItems({ tiles, marks }: Tiling, tile: Tile, { map }: TemplateSubject): readonly Item[] {
  if (tiles.length === 1) return [];
  const all = tiles.map((one) => one.window);
  const [left, top] = [Math.min(...all.map((one) => one.left)), Math.min(...all.map((one) => one.top))];
  const [right, bottom] = [Math.max(...all.map((one) => one.right)), Math.max(...all.map((one) => one.bottom))];
  const scale = Math.min(MAP.width / (right - left), MAP.height / (bottom - top));
  const rect = (box: Box) => ({
    at: [(box.left - left) * scale, (box.top - top) * scale] as const,
    width: (box.right - box.left) * scale,
    height: (box.bottom - box.top) * scale,
  });
  return [
    { kind: "rect", ...rect(tile.window), weight: 0, fill: "band" },
    ...all.map((one): Item => ({ kind: "rect", ...rect(one), weight: WEIGHTS.hair })),
    {
      kind: "rect",
      ...rect({ left: 0, top: 0, right: map.width, bottom: map.height }),
      weight: WEIGHTS.light,
    },
    ...marks.map(
      (mark): Item => ({
        kind: "circle",
        at: [(mark.x - left) * scale, (mark.y - top) * scale],
        radius: 0.4,
        weight: 0,
        fill: "ink",
      }),
    ),
  ];
}

/** One sheet: its name, the drawing, both bars with room for what the ruler says, the map of the sheets. */
function pageOf(
  sheet: Sheet,
  title: string,
  { items, figures }: Drawn,
  map: readonly Item[],
  more = "",
): readonly Passage[] {
  const room = pageRoom(sheet);
  const joint = map.length === 0 ? "" : "Lay cross on cross, cut one sheet on the dashed line, tape. ";
  const strip = room.height - STRIP;
  const [across, up] = [checkBar("across"), checkBar("up")];
  const mapLeft = room.width - MAP.width;
  const wordsLeft = CHECK_BAR_MILLIMETRES + 5;
  const wordsRight = map.length === 0 ? room.width : mapLeft - 4;
  const field = (y: number, name: string): readonly Item[] => {
    const left = letterWidth(name, PAPER_SIZES.text) + 1.5;
    const right = CHECK_BAR_MILLIMETRES - letterWidth("mm", PAPER_SIZES.text) - 1.2;
    return [
      { kind: "text", at: [0, y], text: name, size: PAPER_SIZES.text },
      { kind: "line", from: [left, y + 0.5], to: [right, y + 0.5], weight: WEIGHTS.hair },
      { kind: "text", at: [right + 1.2, y], text: "mm", size: PAPER_SIZES.text },
    ];
  };
  const words = wrapRuns(
    [
      ...runsOf(`Do not cut if off by more than ${OFF_MILLIMETRES} mm.`, true),
      ...runsOf(" Print at 100\u202f%, never fit to page. Both bars are 100 mm."),
    ],
    wordsRight - wordsLeft,
    PAPER_SIZES.text,
  );
  const page: readonly Item[] = [
    {
      kind: "text",
      at: [0, 4.2],
      text: title,
      size: PAPER_SIZES.head,
      bold: true,
    },
    {
      kind: "text",
      at: [0, 9.2],
      text: shortened(`${joint}${more}`.trim(), room.width, PAPER_SIZES.text),
      size: PAPER_SIZES.text,
    },
    group([LEFT, HEAD], items),
    group([0, strip - CHECK_BAR_MILLIMETRES - 2], up.items),
    group([0, strip + 2], across.items),
    ...field(strip + 10.6, "The ruler says, bar across:"),
    ...field(strip + 17.6, "The ruler says, bar at the left edge:"),
    ...words.flatMap((line, n) =>
      lineOfRuns(line, [wordsLeft, strip + 1.6 + baseline() + n * lineHeight()], PAPER_SIZES.text),
    ),
    ...(map.length === 0 ? [] : [group([mapLeft, strip + 2.5], map)]),
  ];
  return [newPage, () => [{ height: room.height, items: page, figures }]];
}

/** From one piece to the next, and width of the list beside each. */
const PIECE = { gap: 8, list: 62 } as const;

/** Rings and plates one under the other with the list of their holes beside, as many sheets as they take. */
function carrierPages(judged: ChassisJudged, sheet: Sheet): readonly Passage[] {
  const { width, height } = roomOf(sheet);
  const pages: { items: Item[]; figures: Figure[] }[] = [];
  let [x, y, deepest] = [0, 0, 0];
  for (const drawing of carrierDrawings(judged)) {
    const subject = carrierSubject(judged, drawing);
    const { width: wide, height: high } = subject.map;
    const list = listItems(subject);
    const [across, deep] = [wide + PIECE.gap + PIECE.list, 8 + Math.max(high, 4.6 * subject.holes.length) + PIECE.gap];
    if (x > 0 && x + across > width) [x, y, deepest] = [0, y + deepest, 0];
    if (pages.length === 0 || y + deep > height) {
      pages.push({ items: [], figures: [] });
      [x, y, deepest] = [0, 0, 0];
    }
    const numbers = subjectWords(subject, { left: 0, top: 0, right: wide, bottom: high }, []);
    const page = pages[pages.length - 1];
    const { thicknessMillimetres, material } = drawing.drawing;
    page?.items.push(
      {
        kind: "text",
        at: [x, y + 4],
        text: `${drawing.name}: ${millimetres(thicknessMillimetres)} mm ${material}`,
        size: PAPER_SIZES.text,
        bold: true,
      },
      group([x + 2, y + 8], [...subjectLines(subject), ...numbers.items]),
      group([x + wide + PIECE.gap, y + 8], list.items),
    );
    page?.figures.push(...list.figures);
    [x, deepest] = [x + across, Math.max(deepest, deep)];
  }
  return pages.flatMap((page) => pageOf(sheet, "Rings and plates over holes, seen from above", page, []));
}
