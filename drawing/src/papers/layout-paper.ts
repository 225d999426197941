/**
 * The layout: the chassis from above, from below with pins and wires, and from its sides, each as large as the sheet takes;
 * then what it is judged by: clearances, distances of the tubes, heat against vents.
 */
import { bendsOf, type ChassisJudged, plateWords, WIRE_RUN_WORDS } from "@platewright/design";
import {
  gapArrow,
  type PlateGap,
  type PlateLook,
  type PlateWire,
  plateWires,
  sideDrawing,
  type SideFrom,
  WIRE_WORDS,
} from "../chassis/index.ts";
import { flatten } from "../bounds.ts";
import { wireItems } from "../chassis/wire-items.ts";
import { plateMap } from "../chassis/plate-map.ts";
import { plateSigns, signList } from "./chart-signs.ts";
import {
  canBody,
  clearancePassages,
  heatPassages,
  heightPassages,
  tubeDistances,
  tubePassages,
} from "./layout-tables.ts";
import type { Figure } from "./letters.ts";
import { layPaper, pageRoom, type Paper, type Sheet } from "./page.ts";
import { drawingSheet, frameOf, type PackInput } from "./pack-input.ts";
import { paragraph, section } from "./parts.ts";
import { group, newPage, type Passage, type Piece } from "./piece.ts";
import { atCorner, columnBeside, plateToScale, SCALES, scaleWords } from "./plate-figure.ts";
import { turnPassages } from "./turn-passages.ts";
import { runsOn } from "./wiring-paper.ts";

/** undefined: the design has no chassis. */
export function layoutPaper(input: PackInput): Paper | undefined {
  const { chassis: judged } = input;
  if (judged === undefined) return undefined;
  const sheet = drawingSheet(input);
  const runs = runsOn(input);
  const wires = runs === undefined ? [] : plateWires(runs.runs);
  const gaps = gapsOf(judged);
  const common = { names: true, keys: true, bends: true, datum: true, edges: true, dimensions: true } as const;
  const frame = frameOf(input, "Layout", [
    `${plateWords(judged.chassis)}; x and y in mm from the front left corner`,
    `${judged.items.length} parts; top, underside, sides, what it is judged by`,
  ]);
  const missing = runs?.missing.length ?? 0;
  return layPaper("layout", sheet, frame, [
    plateSheet(judged, sheet, { ...common, face: "top", bodies: true, gaps: gaps.arrows }, gaps.figures, {
      title: "Top, seen from above",
      number: 1,
      under: ["Arrows: from glass to glass, and from glass to the nearest can."],
    }),
    newPage,
    plateSheet(judged, sheet, { ...common, face: "under", pins: true, bodies: true, wires }, [], {
      title: "UNDERSIDE, seen from below, mirrored",
      number: 2,
      under: [
        "Pins are numbered as they are seen from below.",
        ...(wires.length === 0 ? [] : [`Wires: ${WIRE_RUN_WORDS}.`]),
        ...(missing === 0 ? [] : ["Some wires have an end that stands nowhere on the plate yet: not drawn."]),
      ],
    }),
    newPage,
    ...sidePassages(judged, sheet),
    ...tubePassages(judged),
    ...heatPassages(input, judged),
    ...clearancePassages(input),
    ...turnPassages(judged, 7),
  ]);
}

const GAP = 6;
const HEAD = 8;

/** A face of the plate with its signs at the right. */
function plateSheet(
  judged: ChassisJudged,
  sheet: Sheet,
  look: Omit<PlateLook, "scale">,
  figures: readonly Figure[],
  words: { readonly title: string; readonly number: number; readonly under: readonly string[] },
): Passage {
  const room = pageRoom(sheet);
  const column = Math.max(52, Math.min(80, room.width * 0.2));
  const scaled = plateToScale(judged, look, { width: room.width - column - GAP, height: room.height - HEAD - 2 });
  const { unplaced } = scaled.drawing;
  const drawn = atCorner(scaled.drawing);
  const written = new Set(
    flatten(scaled.drawing.items).flatMap((item) => (item.kind === "text" ? (item.ids ?? []) : [])),
  );
  const own = figures.filter((one) => written.has(`=${one.of}`));
  return (width) => {
    const head = section(words.title, scaleWords(scaled), words.number)(width);
    const arrows = new Set((look.gaps ?? []).map((gap) => gap.words));
    const right = columnBeside(
      [
        signList([...plateSigns(judged, look), ...wireSigns(look.wires ?? [])]),
        ...words.under.map((line) => paragraph(line)),
      ],
      unplaced.filter((one) => !arrows.has(one)),
      { width: column, height: room.height - HEAD - 2 },
    );
    const piece: Piece = {
      height: Math.max(drawn.height, right.height),
      items: [...drawn.items, group([width - column, 0], right.items)],
      figures: [...own, ...right.figures],
      above: 2,
    };
    return [...head.map((one) => ({ ...one, keep: true })), piece];
  };
}

/** A short run of each look of wire. */
function wireSigns(wires: readonly PlateWire[]) {
  const map = plateMap({ widthMillimetres: 8, depthMillimetres: 0 }, "top", 1);
  return (Object.keys(WIRE_WORDS) as PlateWire["kind"][])
    .filter((kind) => wires.some((wire) => wire.kind === kind))
    .map((kind) => ({
      items: wireItems(
        {
          kind,
          points: [
            { x: 0.6, y: 0 },
            { x: 8, y: 0 },
          ],
        },
        map,
      ),
      words: WIRE_WORDS[kind],
    }));
}

/** Gaps to cans that are larger are not drawn. */
const FAR = 60;

/** Each pair of neighbouring tubes once, and each tube with the can that is nearest to it. */
function gapsOf(judged: ChassisJudged): { readonly arrows: readonly PlateGap[]; readonly figures: readonly Figure[] } {
  const seen = new Set<string>();
  const arrows: PlateGap[] = [];
  const figures: Figure[] = [];
  const add = (a: string, b: string, one: Parameters<typeof gapArrow>[0], other: Parameters<typeof gapArrow>[1]) => {
    const pair = [a, b].sort().join("~");
    if (seen.has(pair)) return;
    seen.add(pair);
    const of = `glass-gap/${pair}`;
    const arrow = gapArrow(one, other, { ids: [`=${of}`, a, b] });
    if (arrow.millimetres <= 0) return;
    arrows.push(arrow);
    figures.push({ of, value: arrow.millimetres, unit: "mm", text: arrow.words });
  };
  for (const { tube, nearestTube, nearestCan } of tubeDistances(judged)) {
    if (tube.item.face !== "top") continue;
    if (nearestTube !== undefined)
      add(tube.item.item.id, nearestTube.other.item.item.id, tube.bulb.solid, nearestTube.other.bulb.solid);
    const body = nearestCan === undefined ? undefined : canBody(nearestCan.can, "top");
    if (nearestCan !== undefined && body !== undefined && nearestCan.gap <= FAR)
      add(tube.item.item.id, nearestCan.can.item.id, tube.bulb.solid, body.solid);
  }
  return { arrows, figures };
}

/** From the front and from the left, heights listed once. */
function sidePassages(judged: ChassisJudged, sheet: Sheet): readonly Passage[] {
  const room = pageRoom(sheet);
  const { plate } = judged.chassis;
  const longest = Math.max(plate.widthMillimetres, plate.depthMillimetres);
  const drawn = (from: SideFrom, one: number) => atCorner(sideDrawing(judged, { from, scale: 1 / one, legend: false }));
  const arranged = (one: number) => {
    const [front, left] = [drawn("front", one), drawn("left", one)];
    const beside = front.width + left.width + 8 <= room.width;
    return {
      front,
      at: beside ? ([front.width + 8, 0] as const) : ([0, front.height + 6] as const),
      left,
      height: beside ? Math.max(front.height, left.height) : front.height + 6 + left.height,
    };
  };
  const fits = ({ front, left, height }: ReturnType<typeof arranged>) =>
    Math.max(front.width, left.width) <= room.width && height + HEAD <= room.height;
  const scales = SCALES.filter((scale) => longest / scale <= room.width);
  let [one, laid] = [scales[0] ?? 30, arranged(scales[0] ?? 30)];
  for (const smaller of scales.slice(1)) {
    if (fits(laid)) break;
    [one, laid] = [smaller, arranged(smaller)];
  }
  const { front, left, at, height } = laid;
  const stack: Passage = () => [{ height, items: [...front.items, group(at, left.items)], figures: [] }];
  const words = one === 1 ? "true size" : `drawn 1 : ${one}`;
  const flanges = bendsOf(plate).length === 0 ? "" : "; flanges cut through";
  return [section("Sides", `from the front, from the left; ${words}${flanges}`, 3), stack, ...heightPassages(judged)];
}
