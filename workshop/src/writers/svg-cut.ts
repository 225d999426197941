/**
 * A cut drawing as SVG: width, height and view box in millimetres, 1:1; layers as groups with the ids CUT, ENGRAVE and NOTES.
 *
 * Law     y runs down there, so y is turned over; arcs stay arcs. Strokes are hairlines without a fill, as cutters want them;
 *         text stays text. The same drawing gives the same bytes.
 */
import { CUT_LAYERS, type CutContour, type CutDrawing, type CutLayer } from "@platewright/drawing";
import { arcOf } from "@platewright/design";

const COLOURS: Readonly<Record<CutLayer, string>> = { CUT: "#ff0000", ENGRAVE: "#0000ff", NOTES: "#008000" };
const HAIR = 0.1;
const MARGIN = 8;
/** Width of a letter over its height, for the room of the notes: an upper estimate. */
const LETTER = 0.8;

export function toCutSvg(drawing: CutDrawing): string {
  const { words } = drawing;
  const left = Math.min(drawing.left, ...words.map((one) => one.x)) - MARGIN;
  const right =
    Math.max(drawing.right, ...words.map((one) => one.x + [...one.text].length * LETTER * one.heightMillimetres)) +
    MARGIN;
  const front = Math.min(drawing.front, ...words.map((one) => one.y)) - MARGIN;
  const rear = drawing.rear + MARGIN;
  const [width, height] = [right - left, rear - front];
  const layer = (name: CutLayer): string => {
    const own = [
      ...drawing.contours.filter((one) => one.layer === name).map(contourElement),
      ...drawing.lines
        .filter((one) => one.layer === name)
        .map(
          ({ from, to, what }) =>
            `<line x1="${real(from.x)}" y1="${real(-from.y)}" x2="${real(to.x)}" y2="${real(-to.y)}"${what === "bend" ? ' stroke-dasharray="4 2"' : ""}/>`,
        ),
      ...words
        .filter((one) => one.layer === name)
        .map(
          (one) =>
            // Without a stroke: a cutter that follows lines leaves it alone.
            `<text x="${real(one.x)}" y="${real(-one.y)}" font-size="${real(one.heightMillimetres / CAP)}" text-anchor="${one.anchor}" fill="${COLOURS[name]}" stroke="none">${escaped(one.text)}</text>`,
        ),
    ];
    return [
      `<g id="${name}" fill="none" stroke="${COLOURS[name]}" stroke-width="${HAIR}" font-family="sans-serif">`,
      ...own,
      "</g>",
    ].join("\n");
  };
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<svg xmlns="http://www.w3.org/2000/svg" width="${real(width)}mm" height="${real(height)}mm" viewBox="${real(left)} ${real(-rear)} ${real(width)} ${real(height)}">`,
    `<title>${escaped(drawing.title)}</title>`,
    ...CUT_LAYERS.map(layer),
    "</svg>",
    "",
  ].join("\n");
}

/** Height of a capital over the em. */
const CAP = 0.72;

/** Six decimals; no minus before nought. */
function real(value: number): string {
  if (!Number.isFinite(value)) throw new Error(`a cut drawing has the number ${value}`);
  const text = value.toFixed(6);
  return Number(text) === 0 ? "0" : text.replace(/\.?0+$/, "");
}

function contourElement(contour: CutContour): string {
  if (contour.kind === "circle")
    return `<circle cx="${real(contour.x)}" cy="${real(-contour.y)}" r="${real(contour.diameterMillimetres / 2)}"/>`;
  const [first] = contour.corners;
  if (first === undefined) return "";
  const pieces = contour.corners.map((from, n) => {
    const to = contour.corners[(n + 1) % contour.corners.length] ?? first;
    const end = `${real(to.x)} ${real(-to.y)}`;
    if (from.bulge === 0) return `L ${end}`;
    const radius = real(arcOf(from, to, from.bulge).radius);
    const large = Math.abs(from.bulge) > 1 ? 1 : 0;
    // Counter-clockwise with y up is the way of falling angles with y down.
    return `A ${radius} ${radius} 0 ${large} ${from.bulge > 0 ? 0 : 1} ${end}`;
  });
  return `<path d="M ${real(first.x)} ${real(-first.y)} ${pieces.join(" ")} Z"/>`;
}

/** For XML; characters that XML has no place for are left out. */
const escaped = (text: string): string =>
  text
    .replace(/[\p{Cc}\p{Cs}]|\p{Noncharacter_Code_Point}/gu, "")
    .replace(/[&<>"]/g, (char) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[char] ?? char);
