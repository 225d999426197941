/**
 * The hole chart: the plate as large as the sheet takes with every hole numbered, bars to check the print by, the table of all
 * holes in millimetres and inches, the order of work, rings and plates with their sections, and the ways for what is not decided.
 *
 * Law     What is to be done at this revision stands first and bold. A size is what the metal is to have; limits are what the part
 *         still takes. Tools are the builder's own, by what they really cut.
 */
import { type ChassisJudged, orderOfWork, plateWords, threadOrNut } from "@platewright/design";
import { type Item, WEIGHTS } from "../scene.ts";
import { CHART_COLUMNS, type ChartGroup, chartGroups, chartRow } from "./chart-rows.ts";
import { plateSigns, signList } from "./chart-signs.ts";
import { carrierPassages, decisionPassages, smallPassages, wayPassages } from "./chart-ways.ts";
import { letterWidth, PAPER_SIZES } from "./letters.ts";
import { layPaper, pageRoom, type Paper, type Sheet } from "./page.ts";
import { drawingSheet, frameOf, type PackInput } from "./pack-input.ts";
import { box, cautionBox, CHECK_BAR_MILLIMETRES, checkBar, fields, paragraph, section, steps } from "./parts.ts";
import { group, type Passage, type Piece } from "./piece.ts";
import { atCorner, columnBeside, plateToScale, scaleWords } from "./plate-figure.ts";
import { type Row, table } from "./table.ts";

/** A print that is off by more in a bar's length is not cut by; common practice. */
const OFF = 0.3;

/** undefined: the design has no chassis. */
export function holeChart(input: PackInput): Paper | undefined {
  const { chassis: judged } = input;
  if (judged === undefined) return undefined;
  const sheet = drawingSheet(input);
  const groups = chartGroups(judged);
  const [first, said] = firstPage(judged, groups, sheet);
  const all = groups.flatMap((one) => one.holes);
  const todo = all.filter((one) => one.due).length;
  const open = all.filter((one) => one.hole.work === "unresolved").length;
  const frame = frameOf(
    input,
    "Hole chart",
    [
      `top plate seen from above, ${plateWords(judged.chassis)}; x and y in mm from the front left corner`,
      [
        todo === 0
          ? "nothing to cut at this revision"
          : `${todo} ${todo === 1 ? "hole" : "holes"} to make, open or close: first and bold`,
        ...(open === 0 ? [] : [`${open} not decided: do not cut ${open === 1 ? "it" : "them"}`]),
      ].join("; "),
    ],
    `${said}; the check bars are true size. To cut by, print the template.`,
  );
  return layPaper("hole-chart", sheet, frame, [
    first,
    ...holeTable(judged, groups),
    ...workPassages(judged),
    ...judged.holes.carriers.flatMap((carrier) => carrierPassages(judged, carrier)),
    ...smallPassages(judged),
    ...decisionPassages(judged),
    ...wayPassages(input, judged),
  ]);
}

const GAP = 6;
/** Room of the bar at the right of the drawing, and under it. */
const BAR = 8;
const BAR_WORDS = 5.5;

function firstPage(judged: ChassisJudged, groups: readonly ChartGroup[], sheet: Sheet): readonly [Passage, string] {
  const room = pageRoom(sheet);
  const column = Math.max(70, Math.min(96, room.width * 0.3));
  const marks = new Map(groups.flatMap((one) => one.holes).map((one) => [one.hole.id, String(one.number)]));
  const look = {
    face: "top",
    bodies: true,
    names: true,
    keys: true,
    bends: true,
    datum: true,
    edges: true,
    dimensions: true,
    marks,
  } as const;
  const scaled = plateToScale(judged, look, {
    width: room.width - column - GAP - BAR,
    height: room.height - BAR - BAR_WORDS,
  });
  const drawn = atCorner(scaled.drawing);
  const words = scaleWords(scaled);
  const { unplaced } = scaled.drawing;
  const passage: Passage = (width) => {
    const right = columnBeside(
      [
        box(`Do not cut if off by more than ${OFF}\u202fmm`, [
          `Hold a ruler to both bars of this print: each is ${CHECK_BAR_MILLIMETRES}.0\u202fmm. Print at 100\u202f%, never fit to page.`,
        ]),
        fields([
          { name: "Across", share: 1, after: "mm" },
          { name: "up", share: 1, after: "mm" },
        ]),
        section("Signs", words),
        signList(plateSigns(judged, look)),
        paragraph("Numbers are those of the table; bold: to do."),
        ...metalWords(judged).map((line) => paragraph(line)),
      ],
      unplaced,
      { width: column, height: room.height },
    );
    const height = Math.min(
      room.height,
      Math.max(Math.max(drawn.height + 3.5, CHECK_BAR_MILLIMETRES) + BAR_WORDS + 2.4, right.height),
    );
    const piece: Piece = {
      height,
      items: [...drawn.items, ...barItems(drawn, -scaled.drawing.box.left), group([width - column, 0], right.items)],
      figures: right.figures,
    };
    return [piece];
  };
  return [passage, words.charAt(0).toUpperCase() + words.slice(1)];
}

/** One bar under the drawing from the plate's left edge, one at its right. */
function barItems(drawn: { readonly width: number; readonly height: number }, left: number): readonly Item[] {
  const [across, up] = [checkBar("across"), checkBar("up")];
  const text = (words: string, x: number, y: number): Item => ({
    kind: "text",
    at: [x, y],
    text: words,
    size: PAPER_SIZES.text,
    bold: true,
  });
  const bar = `${CHECK_BAR_MILLIMETRES}.0\u202fmm`;
  const top = Math.max(drawn.height + 3.5, CHECK_BAR_MILLIMETRES - across.height);
  const right = Math.max(drawn.width, left + CHECK_BAR_MILLIMETRES + 26) + 3;
  // Both end on one line, their words under it: clear of the drawing whatever its height.
  const foot = top + across.height;
  return [
    group([left, top], across.items),
    text(`across, ${bar}`, left, foot + 4),
    group([right, foot - up.height], up.items),
    text(`up, ${bar}`, right + up.width - letterWidth(`up, ${bar}`, PAPER_SIZES.text, true), foot + 4),
  ];
}

const SCREWS = [3, 4] as const;
const FINISHES = { bare: "bare", "powder-coat": "powder-coated", anodised: "anodised" } as const;

/** Thick metal, a coat, threads. */
function metalWords({ chassis, items }: ChassisJudged): readonly string[] {
  const { plate } = chassis;
  const studs = items.filter((item) => item.footprint.kind === "earth-stud").map((item) => item.item.id);
  const coated = plate.finish !== undefined && plate.finish !== "bare";
  return [
    ...SCREWS.map((screw) => `${threadOrNut(screw, plate.thicknessMillimetres)}.`),
    ...(plate.thicknessMillimetres > 2
      ? ["Thick metal: check that each punch takes it, and that each bush is long enough."]
      : []),
    ...(coated
      ? [
          `${FINISHES[plate.finish ?? "bare"]}: sizes are of the bare hole, a coat takes from them${studs.length === 0 ? "" : `; bare metal under ${studs.join(", ")}, both faces`}.`,
        ]
      : []),
  ];
}

function holeTable(judged: ChassisJudged, groups: readonly ChartGroup[]): readonly Passage[] {
  const rows = groups.flatMap(({ title, holes }): readonly Row[] => [
    { title: true, cells: [`${title}: ${holes.length}`] },
    ...holes.map((one) => chartRow(judged, one)),
  ]);
  if (rows.length === 0) return [paragraph("There is no hole in the plate, and none to be made.")];
  const traps = [...new Set(groups.flatMap((one) => one.holes).flatMap((one) => one.tool?.traps ?? []))];
  return [
    section("Holes", "from the front left corner of the top plate seen from above; x to the right, y to the rear", 1),
    table(CHART_COLUMNS, rows),
    ...(traps.length === 0
      ? []
      : [
          box(
            "Go by what a tool cuts",
            traps.map((one) => `${one}.`),
            { weight: WEIGHTS.heavy },
          ),
        ]),
  ];
}

function workPassages(judged: ChassisJudged): readonly Passage[] {
  const numbers = new Map(
    chartGroups(judged)
      .flatMap((one) => one.holes)
      .map((one) => [one.hole.id, one.number]),
  );
  const work = orderOfWork(judged.chassis, judged.holes);
  if (work.length === 0) return [];
  return [
    ...(work.some((one) => one.caution !== undefined) ? [cautionBox()] : []),
    section("Order of work", "", 2),
    steps(
      work.map(({ words, holes }) => {
        const own = holes.flatMap((id) => numbers.get(id) ?? []);
        return own.length === 0 ? words : `${words} ${own.length === 1 ? "Hole" : "Holes"} ${runs(own)}.`;
      }),
    ),
  ];
}

/** "1 to 4, 7". */
export function runs(numbers: readonly number[]): string {
  const sorted = [...new Set(numbers)].sort((a, b) => a - b);
  const parts: string[] = [];
  for (let n = 0; n < sorted.length; ) {
    let last = n;
    while (sorted[last + 1] === (sorted[last] ?? 0) + 1) last++;
    const [from, to] = [sorted[n], sorted[last]];
    parts.push(last - n >= 2 ? `${from} to ${to}` : sorted.slice(n, last + 1).join(", "));
    n = last + 1;
  }
  return parts.join(", ");
}
