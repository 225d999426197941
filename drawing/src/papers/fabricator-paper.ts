/** The fabricator's drawing: the blank with ordinates from one datum, title block, hole table by size, bends, and what to ask. */
import type { ChassisJudged } from "@platewright/design";
import { carrierDrawings, cutDrawing, type CutDrawing, cutMass, K_FACTOR } from "../cut/index.ts";
import { FINISH_WORDS, GENERAL_TOLERANCE } from "../cut/words.ts";
import { K_WORDS } from "../cut/flat.ts";
import { DENSITY, DENSITY_WORDS } from "../cut/weight.ts";
import { fabricatorDrawing } from "./fabricator-drawing.ts";
import { holeList, holeTable, inOrder, marksOf } from "./fabricator-holes.ts";
import { fabricatorQuestions } from "./fabricator-questions.ts";
import { lengthFigure, millimetres } from "./hole-figures.ts";
import { type Content, contentsOf } from "./letters.ts";
import { layPaper, pageRoom, type Paper } from "./page.ts";
import { drawingSheet, frameOf, type PackInput } from "./pack-input.ts";
import { drawingPart, fields, paragraph, section, steps } from "./parts.ts";
import { beside, newPage, type Passage } from "./piece.ts";
import { type Row, table } from "./table.ts";

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
    ...carrierPassages(chassis, room),
  ]);
}

/** Rings and plates for the plate as it is: what is made when no new plate is. */
function carrierPassages(
  judged: ChassisJudged,
  room: { readonly width: number; readonly height: number },
): readonly Passage[] {
  return carrierDrawings(judged).flatMap(({ drawing, name, carrier }, n): readonly Passage[] => {
    const marked = marksOf(drawing);
    const left = room.width / 2 - GAP;
    const drawn = fabricatorDrawing(drawing, inOrder(drawing, marked), { width: left, height: room.height / 2 });
    const title = `${drawing.title}; goes with ${name}.dxf`;
    return [
      ...(n === 0 ? [newPage, section("Rings and plates", "for the plate as it is, instead of a new one")] : []),
      section(
        title,
        `${millimetres(carrier.thicknessMillimetres)} mm ${carrier.material}, one piece, ${drawn.scale}; ${drawing.notes.join("; ")}; x and y from the left and the front of its own outline`,
      ),
      beside([left, room.width + BLOCK - left], GAP, [drawingPart(drawn.items, drawn)], [holeList(marked)]),
    ];
  });
}

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
