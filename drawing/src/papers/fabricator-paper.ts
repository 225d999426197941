/** The fabricator's drawing: the blank with ordinates from one datum, title block, hole table by size, bends, and what to ask. */
import type { ChassisJudged } from "@platewright/design";
import { cutDrawing, type CutDrawing, cutMass, K_FACTOR } from "../cut/index.ts";
import { FINISH_WORDS, GENERAL_TOLERANCE } from "../cut/words.ts";
import { K_WORDS } from "../cut/flat.ts";
import { DENSITY, DENSITY_WORDS } from "../cut/weight.ts";
import { fabricatorDrawing } from "./fabricator-drawing.ts";
import { fabricatorQuestions, type Marked } from "./fabricator-questions.ts";
import { lengthFigure, millimetres, sizeFigures } from "./hole-figures.ts";
import { type Content, contentsOf } from "./letters.ts";
import { layPaper, pageRoom, type Paper } from "./page.ts";
import { drawingSheet, frameOf, type PackInput } from "./pack-input.ts";
import { drawingPart, fields, paragraph, section, steps } from "./parts.ts";
import { beside, newPage, type Passage } from "./piece.ts";
import { type Cell, type Column, type Row, table } from "./table.ts";

/** Width of the title block beside the drawing. */
const BLOCK = 70;
const GAP = 6;

/** undefined: no chassis, or one that cannot be drawn; `cutDrawing` says why. */
export function fabricatorPaper(input: PackInput): Paper | undefined {
  const { chassis } = input;
  if (chassis === undefined) return undefined;
  const made = cutDrawing(chassis, { face: "top" });
  if (!made.ok) return undefined;
  const drawing = made.value;
  const marked = marksOf(drawing);
  const sheet = drawingSheet(input);
  const { width, height } = pageRoom(sheet);
  const room = { width: width - BLOCK - GAP, height: height - 4 };
  const drawn = fabricatorDrawing(drawing, inOrder(drawing, marked), room);
  const frame = frameOf(
    input,
    "Fabricator's drawing",
    ["a new plate, seen from above; millimetres, from one datum", "do not scale: the numbers count"],
    "Goes with plate.dxf; where they differ, ask before cutting.",
  );
  return layPaper("fabricator", sheet, frame, [
    beside(
      [room.width, BLOCK],
      GAP,
      [drawingPart(drawn.items, { width: drawn.width, height: Math.min(drawn.height, room.height) })],
      [section("Title block"), titleBlock(chassis, drawing, drawn.scale)],
    ),
    newPage,
    section("Holes, by size", "x and y of the centre from the datum; range: how far under and over it may be cut", 1),
    holeTable(marked),
    ...bendPassages(drawing),
    ...drawing.notes.map((note) => paragraph(note)),
    newPage,
    section(
      "To ask before it is cut",
      "common practice; send it along with the files",
      drawing.bends.length > 0 ? 3 : 2,
    ),
    fields(["To", "From", { name: "Pieces", share: 0.4 }, { name: "Wanted by", share: 0.6 }]),
    steps(fabricatorQuestions(chassis, drawing, marked)),
  ]);
}

/** Letters by size, the largest first; a number to each hole of one size. */
function marksOf({ holes }: CutDrawing): readonly Marked[] {
  const sizeOf = (hole: CutDrawing["holes"][number]): number =>
    hole.shape.kind === "circle"
      ? hole.shape.diameterMillimetres
      : 10_000 + hole.shape.widthMillimetres * hole.shape.heightMillimetres;
  const keyOf = (hole: CutDrawing["holes"][number]): string =>
    JSON.stringify([sizeFigures("x", hole.shape).text, hole.thread ?? "", hole.underMillimetres, hole.overMillimetres]);
  const sorted = [...holes].sort(
    (one, other) => sizeOf(other) - sizeOf(one) || (keyOf(one) < keyOf(other) ? -1 : keyOf(one) > keyOf(other) ? 1 : 0),
  );
  let [letter, count, last] = [-1, 0, ""];
  return sorted.map((hole): Marked => {
    const key = keyOf(hole);
    if (key !== last) [letter, count, last] = [letter + 1, 0, key];
    return { hole, mark: `${letterOf(letter)}${++count}` };
  });
}

/** A … Z without I and O, then AA. */
const LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ";
const letterOf = (n: number): string =>
  n < LETTERS.length
    ? (LETTERS[n] ?? "")
    : letterOf(Math.floor(n / LETTERS.length) - 1) + (LETTERS[n % LETTERS.length] ?? "");

const inOrder = ({ holes }: CutDrawing, marked: readonly Marked[]): readonly string[] =>
  holes.map((hole) => marked.find((one) => one.hole === hole)?.mark ?? "");

function titleBlock({ chassis }: ChassisJudged, drawing: CutDrawing, scale: string): Passage {
  const { plate } = chassis;
  const mass = cutMass(drawing);
  const times = " × ";
  const sizes = (of: string, wide: number, deep: number): Content =>
    contentsOf([lengthFigure(`${of}/width`, wide), times, lengthFigure(`${of}/depth`, deep), " mm"]);
  const corner = plate.cornerRadiusMillimetres ?? 0;
  const rows: readonly (readonly [string, Content])[] = [
    ["Part", "chassis plate, 1 piece"],
    ["Material", plate.material],
    ["Thickness", contentsOf([lengthFigure("plate/thickness", plate.thicknessMillimetres), " mm"])],
    ["Finish", FINISH_WORDS[plate.finish ?? "bare"]],
    ["Outside", sizes("plate", plate.widthMillimetres, plate.depthMillimetres)],
    ...(drawing.bends.length === 0
      ? []
      : [["Blank", sizes("flat", drawing.right - drawing.left, drawing.rear - drawing.front)] as const]),
    ["Corners", corner === 0 ? "square" : contentsOf(["radius ", lengthFigure("plate/corner", corner), " mm"])],
    ["Tolerance", `general ±${GENERAL_TOLERANCE} mm (common practice); holes as in the table`],
    ["Edges", "deburred, both faces"],
    ["Scale", `${scale}, millimetres`],
    ["Projection", "one view, from above"],
    ...(mass === undefined
      ? []
      : [
          [
            "Mass",
            contentsOf([
              { of: "cut/mass", value: mass, unit: "", text: mass.toFixed(mass < 0.0995 ? 3 : 2) },
              ` kg, at ${DENSITY[plate.material] ?? 0} kg/m³ (${DENSITY_WORDS})`,
            ]),
          ] as const,
        ]),
    ["Datum", "front left corner of the top face, at the cross"],
    ["Drawn / checked", ""],
  ];
  return table(
    [
      { head: "", bold: true },
      { head: "", grow: 1 },
    ],
    rows.map(([name, content]): Row => ({ cells: [name, content] })),
  );
}

const signed = (value: number): string => millimetres(value);

/** Two holes to a row, as a table of one column would be a long one. */
function holeTable(marked: readonly Marked[]): Passage {
  const half = Math.ceil(marked.length / 2);
  const columns: readonly Column[] = [
    { head: "Mark", bold: true },
    { head: "x", align: "end" },
    { head: "y", align: "end" },
    { head: "Size", align: "end" },
    { head: "Range", align: "end" },
    { head: "For", grow: 1 },
  ];
  return table(
    [...columns, ...columns.map((column, n): Column => (n === 0 ? { ...column, ruled: true } : column))],
    Array.from({ length: half }, (_, n): Row => {
      const [one, other] = [marked[n], marked[n + half]];
      return { cells: [...cellsOf(one), ...cellsOf(other)] };
    }),
  );
}

function cellsOf(marked: Marked | undefined): readonly Cell[] {
  if (marked === undefined) return ["", "", "", "", "", ""];
  const { hole, mark } = marked;
  const id = hole.ids[0] ?? "";
  const size = sizeFigures(`new-hole/${id}`, hole.shape);
  const [first, second] = size.figures;
  return [
    mark,
    lengthFigure(`new-hole/x/${id}`, hole.x),
    lengthFigure(`new-hole/y/${id}`, hole.y),
    contentsOf(
      second === undefined ? ["Ø\u202f", first ?? ""] : [first ?? "", "\u202f×\u202f", second, cornerWords(hole.shape)],
    ),
    hole.underMillimetres === 0 && hole.overMillimetres === 0
      ? `±${GENERAL_TOLERANCE}`
      : `−${signed(hole.underMillimetres)} +${signed(hole.overMillimetres)}`,
    [hole.label, ...(hole.thread === undefined ? [] : [`, tap ${hole.thread}`])].join(""),
  ];
}

function cornerWords(shape: CutDrawing["holes"][number]["shape"]): string {
  if (shape.kind === "circle") return "";
  const { cornerMillimetres: corner = 0, degrees = 0 } = shape;
  return [
    corner === 0 ? "" : ` R\u202f${millimetres(corner)}`,
    degrees % 90 === 0 && degrees % 180 === 0 ? "" : ` at ${millimetres(degrees)}°`,
  ].join("");
}

function bendPassages(drawing: CutDrawing): readonly Passage[] {
  if (drawing.bends.length === 0) return [];
  return [
    section(
      "Bends",
      `90° down, away from the face that is seen; K = ${K_FACTOR}: ${K_WORDS}. Corners between two bends are cut out square.`,
      2,
    ),
    table(
      [
        { head: "Edge", bold: true },
        { head: "Flange outside, mm", align: "end" },
        { head: "Inside radius, mm", align: "end" },
        { head: "Allowance, mm", align: "end" },
        { head: "Deduction, mm", align: "end" },
        { head: "Blank past the outside, mm", align: "end" },
        { head: "Bend line from the outside, mm", align: "end" },
      ],
      drawing.bends.map(
        (bend): Row => ({
          cells: [
            bend.edge,
            lengthFigure(`bend/flange/${bend.edge}`, bend.flangeMillimetres),
            lengthFigure(`bend/radius/${bend.edge}`, bend.insideRadiusMillimetres),
            lengthFigure(`bend/allowance/${bend.edge}`, bend.allowanceMillimetres),
            lengthFigure(`bend/deduction/${bend.edge}`, bend.deductionMillimetres),
            lengthFigure(`bend/past/${bend.edge}`, bend.pastMillimetres),
            lengthFigure(`bend/line/${bend.edge}`, bend.lineFromEdge),
          ],
        }),
      ),
    ),
  ];
}
