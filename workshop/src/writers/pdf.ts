/**
 * Scenes as one PDF, a page to the scene, at true size: 25.4 mm to 72 points, nothing scaled.
 *
 * Method  pdfkit writes the file; our subset of Inter is embedded, with figures of one width, as the papers are laid out.
 * Limits  Text is checked first: a character that the font lacks is an answer, and nothing is written. The same scenes,
 *         title and date give the same bytes.
 */
import {
  DASHES,
  flatten,
  HALO_EMS,
  type Item,
  missingLetters,
  type Point,
  type Role,
  type Scene,
  type TextItem,
  THEMES,
} from "@platewright/drawing";
import { fail, ok, type Result } from "@platewright/engine";
import PdfDocument from "pdfkit";
import INTER from "./inter.json" with { type: "json" };

export interface PdfHow {
  /** Of the file, as a reader shows it. */
  readonly title: string;
  /** "2026-11-25": what the papers are dated. The file carries it too, so that no clock is asked. */
  readonly date: string;
  /** Pages by name, for a reader's side bar; pages are counted from 0. */
  readonly bookmarks?: readonly { readonly title: string; readonly page: number }[];
}

export interface PdfFailure {
  readonly kind: "glyph-missing" | "no-pages" | "date";
  readonly sentence: string;
}

type Doc = InstanceType<typeof PdfDocument>;
type Drawn = Exclude<Item, { kind: "group" }>;

const POINTS = 72 / 25.4;
const PRINT = THEMES.print;

/** The font itself has figures of one width and no kerning: widths are sums. */
const LETTERS = { lineBreak: false, baseline: "alphabetic" } as const;

export function toPdf(pages: readonly Scene[], how: PdfHow): Result<Uint8Array, PdfFailure> {
  const date = new Date(`${how.date}T00:00:00Z`);
  if (!/^\d{4}-\d{2}-\d{2}$/.test(how.date) || Number.isNaN(date.getTime()))
    return fail({ kind: "date", sentence: `'${how.date.slice(0, 40)}' is no date; write it like 2026-11-25.` });
  if (pages.length === 0) return fail({ kind: "no-pages", sentence: "There is no page to write." });
  const lacking = pages.flatMap(lackingIn)[0];
  if (lacking !== undefined) return fail({ kind: "glyph-missing", sentence: lacking });

  const doc = new PdfDocument({
    autoFirstPage: false,
    // No standard font: those would be read from the disk and be in no file.
    font: "",
    pdfVersion: "1.7",
    lang: "en",
    displayTitle: true,
    info: { Title: how.title, Producer: "Platewright", Creator: "Platewright", CreationDate: date, ModDate: date },
  });
  doc.registerFont("regular", Buffer.from(INTER.regular, "base64"));
  doc.registerFont("bold", Buffer.from(INTER.bold, "base64"));
  for (const [index, page] of pages.entries()) {
    doc.addPage({ size: [page.width * POINTS, page.height * POINTS], margin: 0 });
    for (const one of how.bookmarks ?? []) if (one.page === index) doc.outline.addItem(one.title);
    for (const item of flatten(page.items)) draw(doc, item);
  }
  doc.end();
  return ok(readAll(doc));
}

/** What the document has written; everything is there when `end` returns. */
function readAll(doc: Doc): Uint8Array {
  const chunks: Uint8Array[] = [];
  for (;;) {
    const chunk = doc.read() as Uint8Array | null;
    if (chunk === null) return Buffer.concat(chunks);
    chunks.push(chunk);
  }
}

function lackingIn(page: Scene): readonly string[] {
  return flatten(page.items).flatMap((item) => {
    if (item.kind !== "text") return [];
    const [first] = missingLetters(item.text);
    if (first === undefined) return [];
    const code = (first.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, "0");
    return [
      `${page.title}: '${item.text.slice(0, 60)}' has a character (U+${code}) that the papers' font lacks; Latin letters, Ω, µ and common signs are printed.`,
    ];
  });
}

function draw(doc: Doc, item: Drawn): void {
  switch (item.kind) {
    case "line":
      doc.moveTo(...points(item.from)).lineTo(...points(item.to));
      return paint(doc, item);
    case "polyline":
    case "path": {
      const [first, ...rest] = item.points;
      if (first === undefined) return;
      doc.moveTo(...points(first));
      for (const point of rest) doc.lineTo(...points(point));
      if (item.kind === "path") doc.closePath();
      return paint(doc, item);
    }
    case "rect":
      doc.rect(...points(item.at), item.width * POINTS, item.height * POINTS);
      return paint(doc, item);
    case "circle":
      doc.circle(...points(item.at), item.radius * POINTS);
      return paint(doc, item);
    case "text":
      return letters(doc, item);
  }
}

function paint(doc: Doc, item: Exclude<Drawn, TextItem>): void {
  const fill = "fill" in item && item.fill !== undefined ? colour(item.fill) : undefined;
  if (!(item.weight > 0)) {
    if (fill === undefined) doc.stroke().restore();
    else doc.fill(fill);
    return;
  }
  doc.lineWidth(item.weight * POINTS).lineJoin(item.kind === "polyline" ? "round" : "miter");
  if (item.dash === undefined || item.dash === "solid") doc.undash();
  else {
    const [on = 1, off = 1] = DASHES[item.dash].map((one) => one * item.weight * POINTS);
    doc.dash(on, { space: off });
  }
  const stroke = colour(item.role ?? "ink");
  if (fill === undefined) doc.stroke(stroke);
  else doc.fillAndStroke(fill, stroke);
}

function letters(doc: Doc, item: TextItem): void {
  const size = item.size * POINTS;
  doc.font(item.bold === true ? "bold" : "regular").fontSize(size);
  const [x, y] = points(item.at);
  const width = item.anchor === "middle" || item.anchor === "end" ? doc.widthOfString(item.text) : 0;
  const left = item.anchor === "middle" ? x - width / 2 : item.anchor === "end" ? x - width : x;
  if (item.halo !== undefined) {
    doc
      .undash()
      .lineJoin("round")
      .lineWidth(HALO_EMS * size)
      .strokeColor(PRINT.graphic[item.halo]);
    doc.text(item.text, left, y, { ...LETTERS, stroke: true, fill: false });
  }
  doc.fillColor(PRINT.text[item.role ?? "ink"]);
  doc.text(item.text, left, y, LETTERS);
}

const colour = (role: Role): string => PRINT.graphic[role];

function points([x, y]: Point): [number, number] {
  if (!Number.isFinite(x) || !Number.isFinite(y)) throw new Error(`a drawing has the coordinate ${x}, ${y}`);
  return [x * POINTS, y * POINTS];
}
