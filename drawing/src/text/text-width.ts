import WIDTHS from "./widths.json" with { type: "json" };

/** The fonts that exporters name, in this order; widths are kept for the widest of them. */
export const FONTS = ["Inter", "Liberation Sans", "Arial", "DejaVu Sans", "sans-serif"] as const;

/** Height of capitals and figures, and depth of descenders, in ems (Inter 0.73, DejaVu Sans 0.73 and 0.24). */
export const CAP_EMS = 0.73;
export const DESCENT_EMS = 0.24;

const REGULAR = new Map(Object.entries(WIDTHS.regular));
const BOLD = new Map(Object.entries(WIDTHS.bold));

/** Ems kept for a character that was not measured: wide scripts and pictures, and all others. */
const WIDE_EMS = 1.4;
const OTHER_EMS = 1.05;

/**
 * Room that one line of text needs, in the unit of `size` (the em).
 *
 * Method  Sum of advance widths, each the widest of the measured fonts; no kerning. An upper estimate by intent.
 * Sources `widths.json`, written by `drawing/fonts/measure-widths.py`.
 */
export function textWidth(text: string, size: number, bold = false): number {
  const table = bold ? BOLD : REGULAR;
  let ems = 0;
  for (const char of text) {
    const width = table.get(char);
    ems += width === undefined ? ((char.codePointAt(0) ?? 0) >= 0x1100 ? WIDE_EMS : OTHER_EMS) : width / 1000;
  }
  return ems * size;
}
