import type { Dash, Item, Point, Role, Scene, TextItem } from "./scene.ts";
import { FONTS } from "./text/index.ts";
import { THEMES, type Theme, type ThemeName } from "./theme.ts";

/** Strokes of a dash and their gaps, in stroke widths. */
export const DASHES: Readonly<Record<Exclude<Dash, "solid">, readonly number[]>> = { dash: [5, 3], dot: [1, 2.5] };

/** Width of the rim of paper around letters, in ems. */
export const HALO_EMS = 0.24;

/**
 * A scene as an SVG document: true size in millimetres, one user unit to the millimetre, no style sheet and nothing
 * fetched, so that a viewer, a page and a printer show the same. The same scene and theme give the same bytes.
 */
export function toSvg(scene: Scene, themeName: ThemeName = "light"): string {
  const theme = THEMES[themeName];
  const width = number(scene.width);
  const height = number(scene.height);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" role="img" width="${width}mm" height="${height}mm" viewBox="0 0 ${width} ${height}"`,
    ` font-family="${FONTS.join(", ")}" font-variant-numeric="tabular-nums lining-nums">\n`,
    `<title>${escapeXml(scene.title)}</title>\n`,
    `<desc>${escapeXml(scene.description)}</desc>\n`,
    `<rect width="${width}" height="${height}" fill="${theme.graphic.paper}"/>\n`,
    ...scene.items.map((item) => write(item, theme)),
    "</svg>\n",
  ].join("");
}

function write(item: Item, theme: Theme): string {
  const ids = item.ids === undefined || item.ids.length === 0 ? "" : ` data-ids="${escapeXml(item.ids.join(" "))}"`;
  switch (item.kind) {
    case "line":
      return `<line${xy(item.from, "1")}${xy(item.to, "2")}${look(item, theme)}${ids}/>\n`;
    case "polyline":
      return `<polyline points="${points(item.points)}"${look(item, theme)}${ids}/>\n`;
    case "path":
      return `<polygon points="${points(item.points)}"${look(item, theme)}${ids}/>\n`;
    case "rect":
      return `<rect${xy(item.at)} width="${number(item.width)}" height="${number(item.height)}"${look(item, theme)}${ids}/>\n`;
    case "circle":
      return `<circle${xy(item.at, "", "c")} r="${number(item.radius)}"${look(item, theme)}${ids}/>\n`;
    case "text":
      return `<text${xy(item.at)}${letters(item, theme)}${ids}>${escapeXml(item.text)}</text>\n`;
    case "group": {
      const inner = item.items.map((each) => write(each, theme)).join("");
      return `<g transform="translate(${number(item.at[0])} ${number(item.at[1])})"${ids}>\n${inner}</g>\n`;
    }
  }
}

interface Drawn {
  readonly kind: Item["kind"];
  readonly role?: Role;
  readonly fill?: Role;
  readonly weight: number;
  readonly dash?: Dash;
}

function look(item: Drawn, theme: Theme): string {
  const fill = item.kind === "line" ? "" : ` fill="${item.fill === undefined ? "none" : theme.graphic[item.fill]}"`;
  if (!(item.weight > 0)) return fill;
  const dash = item.dash === undefined || item.dash === "solid" ? undefined : DASHES[item.dash];
  return [
    fill,
    ` stroke="${theme.graphic[item.role ?? "ink"]}" stroke-width="${number(item.weight)}"`,
    item.kind === "polyline" ? ' stroke-linejoin="round"' : "",
    dash === undefined ? "" : ` stroke-dasharray="${dash.map((d) => number(d * item.weight)).join(" ")}"`,
  ].join("");
}

function letters(item: TextItem, theme: Theme): string {
  const halo = ` stroke="${theme.graphic[item.halo ?? "paper"]}" stroke-width="${number(HALO_EMS * item.size)}" stroke-linejoin="round" paint-order="stroke"`;
  return [
    ` font-size="${number(item.size)}" fill="${theme.text[item.role ?? "ink"]}"`,
    item.bold === true ? ' font-weight="600"' : "",
    item.anchor === undefined || item.anchor === "start" ? "" : ` text-anchor="${item.anchor}"`,
    item.halo !== undefined ? halo : "",
    // Blanks at the ends or in a row are part of the text.
    /^\s|\s$|\s\s/.test(item.text) ? ' xml:space="preserve"' : "",
  ].join("");
}

const xy = ([x, y]: Point, suffix = "", prefix = "") =>
  ` ${prefix}x${suffix}="${number(x)}" ${prefix}y${suffix}="${number(y)}"`;

const points = (list: readonly Point[]) => list.map(([x, y]) => `${number(x)},${number(y)}`).join(" ");

/** To the micrometre, without trailing zeros and without a minus before zero. */
function number(value: number): string {
  if (!Number.isFinite(value)) throw new Error(`a drawing has the coordinate ${value}`);
  return String(Math.round(value * 1000) / 1000 || 0);
}

const ENTITIES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
  "\t": "&#9;",
  "\n": "&#10;",
  "\r": "&#13;",
};

/** What XML 1.0 can carry at all; the rest (control codes, half surrogate pairs) becomes the replacement character. */
const NOT_XML = /[^\t\n\r\u0020-\uD7FF\uE000-\uFFFD\u{10000}-\u{10FFFF}]/gu;

const escapeXml = (text: string): string =>
  text.replace(NOT_XML, "\uFFFD").replace(/[&<>"'\t\n\r]/g, (char) => ENTITIES[char] ?? char);
