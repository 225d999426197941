/**
 * A cut drawing as DXF: R12 (AC1009) ASCII, millimetres, 1:1.
 *
 * Law     Every contour is one closed entity: CIRCLE, or a POLYLINE that is closed, with bulges for arcs. Layers CUT (red), ENGRAVE
 *         (blue), NOTES (green). Group codes and values on lines of their own, CRLF, numbers with eight decimals, handles
 *         in order: the same drawing gives the same bytes.
 * Limits  R12 has no place for units; $INSUNITS 4 and $MEASUREMENT 1 are written for the readers that look for them, and the notes
 *         say millimetres in words. Text is ASCII: `TEXT_FOR` says what is written for signs that are not; any other
 *         character is refused by its code.
 * Sources the published reference of the format: group codes of HEADER, TABLES and ENTITIES.
 */
import { CUT_LAYERS, type CutContour, type CutDrawing, type CutLayer } from "@platewright/drawing";
import { fail, ok, type Result } from "@platewright/engine";

export interface DxfFailure {
  readonly kind: "letter";
  readonly sentence: string;
}

/** Signs of the trade in ASCII; %%c, %%p and %%d are the format's own diameter, plus-minus and degree. */
export const TEXT_FOR: Readonly<Record<string, string>> = {
  Ø: "%%c",
  "±": "%%p",
  "°": "%%d",
  "%": "%%%",
  Ω: "ohm",
  "\u2126": "ohm",
  µ: "u",
  μ: "u",
  "≤": "<=",
  "≥": ">=",
  "×": "x",
  "→": "->",
  "−": "-",
  "–": "-",
  "—": "-",
  "…": "...",
  "·": ".",
  "’": "'",
  "‘": "'",
  "“": '"',
  "”": '"',
  "½": "1/2",
  "¼": "1/4",
  "²": "2",
  "³": "3",
  "\u00a0": " ",
  "\u202f": " ",
  ß: "ss",
  æ: "ae",
  Æ: "AE",
  ø: "o",
  œ: "oe",
  Œ: "OE",
  ł: "l",
  Ł: "L",
};

const COLOURS: Readonly<Record<CutLayer, number>> = { CUT: 1, ENGRAVE: 5, NOTES: 3 };

type Tag = readonly [code: number, value: string | number];

export function toDxf(drawing: CutDrawing): Result<string, DxfFailure> {
  const texts: string[] = [];
  for (const { text } of drawing.words) {
    const plain = dxfText(text);
    if (!plain.ok) return plain;
    texts.push(plain.value);
  }
  const handle = handles();
  const entities: Tag[] = [
    ...drawing.contours.flatMap((contour) => contourTags(contour, handle)),
    ...drawing.lines.flatMap(({ layer, from, to, what }): readonly Tag[] => [
      [0, "LINE"],
      [5, handle()],
      [8, layer],
      ...(what === "bend" ? ([[6, "DASHED"]] as const) : []),
      ...point(from.x, from.y),
      ...point(to.x, to.y, 1),
    ]),
    ...drawing.words.flatMap((words, n): readonly Tag[] => [
      [0, "TEXT"],
      [5, handle()],
      [8, words.layer],
      ...point(words.x, words.y),
      [40, real(words.heightMillimetres)],
      [1, texts[n] ?? ""],
      [7, "STANDARD"],
      ...(words.anchor === "middle" ? ([[72, 1], ...point(words.x, words.y, 1)] as const) : []),
    ]),
  ];
  const all: readonly Tag[] = [
    ...section("HEADER", headerTags(drawing)),
    ...section("TABLES", TABLES),
    ...section("BLOCKS", []),
    ...section("ENTITIES", entities),
    [0, "EOF"],
  ];
  return ok(all.map(([code, value]) => `${String(code).padStart(3)}\r\n${value}\r\n`).join(""));
}

const section = (name: string, tags: readonly Tag[]): readonly Tag[] => [
  [0, "SECTION"],
  [2, name],
  ...tags,
  [0, "ENDSEC"],
];

/** Handles from 20 hexadecimal on, in order. */
function handles(): () => string {
  let next = 0x20;
  return () => (next++).toString(16).toUpperCase();
}

/** Eight decimals; no minus before nought. */
function real(value: number): string {
  if (!Number.isFinite(value)) throw new Error(`a cut drawing has the number ${value}`);
  const text = value.toFixed(8);
  return Number(text) === 0 ? "0.00000000" : text;
}

const point = (x: number, y: number, nth = 0): readonly Tag[] => [
  [10 + nth, real(x)],
  [20 + nth, real(y)],
  [30 + nth, real(0)],
];

const headerTags = ({ left, right, front, rear }: CutDrawing): readonly Tag[] => [
  [9, "$ACADVER"],
  [1, "AC1009"],
  [9, "$INSBASE"],
  ...point(0, 0),
  [9, "$EXTMIN"],
  ...point(left, front),
  [9, "$EXTMAX"],
  ...point(right, rear),
  [9, "$LUNITS"],
  [70, 2],
  [9, "$LUPREC"],
  [70, 3],
  [9, "$MEASUREMENT"],
  [70, 1],
  [9, "$INSUNITS"],
  [70, 4],
];

const tableOf = (name: string, entries: readonly (readonly Tag[])[]): readonly Tag[] => [
  [0, "TABLE"],
  [2, name],
  [70, entries.length],
  ...entries.flat(),
  [0, "ENDTAB"],
];

const lineType = (name: string, words: string, dashes: readonly number[]): readonly Tag[] => [
  [0, "LTYPE"],
  [2, name],
  [70, 0],
  [3, words],
  [72, 65],
  [73, dashes.length],
  [40, real(dashes.reduce((sum, one) => sum + Math.abs(one), 0))],
  ...dashes.map((dash): Tag => [49, real(dash)]),
];

const TABLES: readonly Tag[] = [
  ...tableOf("LTYPE", [lineType("CONTINUOUS", "Solid line", []), lineType("DASHED", "Dashes", [4, -2])]),
  ...tableOf(
    "LAYER",
    ["0", ...CUT_LAYERS].map((name): readonly Tag[] => [
      [0, "LAYER"],
      [2, name],
      [70, 0],
      [62, name === "0" ? 7 : COLOURS[name as CutLayer]],
      [6, "CONTINUOUS"],
    ]),
  ),
  ...tableOf("STYLE", [
    [
      [0, "STYLE"],
      [2, "STANDARD"],
      [70, 0],
      [40, real(0)],
      [41, real(1)],
      [50, real(0)],
      [71, 0],
      [42, real(3.5)],
      [3, "txt"],
      [4, ""],
    ],
  ]),
];

function contourTags(contour: CutContour, handle: () => string): readonly Tag[] {
  if (contour.kind === "circle")
    return [
      [0, "CIRCLE"],
      [5, handle()],
      [8, contour.layer],
      ...point(contour.x, contour.y),
      [40, real(contour.diameterMillimetres / 2)],
    ];
  return [
    [0, "POLYLINE"],
    [5, handle()],
    [8, contour.layer],
    [66, 1],
    ...point(0, 0),
    [70, 1],
    ...contour.corners.flatMap((corner): readonly Tag[] => [
      [0, "VERTEX"],
      [5, handle()],
      [8, contour.layer],
      ...point(corner.x, corner.y),
      ...(corner.bulge === 0 ? [] : ([[42, real(corner.bulge)]] as const)),
    ]),
    [0, "SEQEND"],
    [5, handle()],
    [8, contour.layer],
  ];
}

/** Text in ASCII: signs by the table, letters without their accents. */
export function dxfText(text: string): Result<string, DxfFailure> {
  let plain = "";
  for (const char of text) {
    const { [char]: mapped } = TEXT_FOR;
    const bare = char.normalize("NFD").replace(/\p{M}/gu, "");
    if (mapped !== undefined) plain += mapped;
    else if (/^[ -~]$/.test(char)) plain += char;
    else if (/^[A-Za-z]$/.test(bare)) plain += bare;
    else {
      const code = (char.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, "0");
      return fail({
        kind: "letter",
        sentence: `'${text.slice(0, 60)}' has a character (U+${code}) that a DXF of this version cannot hold; Latin letters and the signs of the trade are accepted.`,
      });
    }
  }
  return ok(plain);
}
