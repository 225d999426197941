/**
 * Writes our own subsets of Inter (SIL OFL 1.1) from the characters of `web/src/styles/glyphs.txt`: for the page one WOFF2,
 * weights 400 to 700, tabular figures kept; for the papers two TTF of the weights that drawings use, and their advance
 * widths. Run after a new character is used; `font.test.ts` says which are missing.
 */
import { readFileSync, writeFileSync } from "node:fs";
import * as fontkit from "fontkit";
import subsetFont from "subset-font";
import { withTabularFigures } from "./tabular-font.ts";

const SOURCE = "node_modules/inter-ui/variable/InterVariable.woff2";

const GLYPHS = "web/src/styles/glyphs.txt";
const FONT = "web/src/styles/inter-subset.woff2";
/** Base64 in JSON, so that sources, tests and the bundle load it alike. */
const PAPER_FONT = "workshop/src/writers/inter.json";
const PAPER_WIDTHS = "drawing/src/papers/inter-widths.json";

/** Weights of plain and bold text, as every exporter has them. */
const PAPER_WEIGHTS = { regular: 400, bold: 600 } as const;

const wanted = (): string => readFileSync(GLYPHS, "utf8").replace(/\n/g, "");

const font = await subsetFont(readFileSync(SOURCE), wanted(), {
  targetFormat: "woff2",
  keepFeatures: ["tnum", "lnum", "kern", "calt", "ccmp", "zero"],
  noHinting: true,
  variationAxes: { wght: { min: 400, max: 700, default: 400 }, opsz: 14 },
});
writeFileSync(FONT, font);
console.log(`${FONT}: ${font.length} bytes, ${[...wanted()].length} characters`);

const fonts: Record<string, string> = {};
const widths: Record<string, Record<string, number>> = {};
for (const [name, wght] of Object.entries(PAPER_WEIGHTS)) {
  const bytes = withTabularFigures(
    await subsetFont(readFileSync(SOURCE), wanted(), {
      targetFormat: "sfnt",
      keepFeatures: ["tnum", "lnum"],
      noHinting: true,
      variationAxes: { wght, opsz: 14 },
    }),
  );
  fonts[name] = bytes.toString("base64");
  const opened = fontkit.create(bytes);
  if (!("layout" in opened)) throw new Error("a font collection where a font was expected");
  widths[name] = Object.fromEntries(
    [...new Set(wanted())]
      .filter((character) => opened.hasGlyphForCodePoint(character.codePointAt(0) as number))
      .sort()
      .map((character) => [character, Math.round((1000 * opened.layout(character).advanceWidth) / opened.unitsPerEm)]),
  );
}
writeFileSync(PAPER_FONT, `${JSON.stringify(fonts)}\n`);
writeFileSync(PAPER_WIDTHS, `${JSON.stringify(widths)}\n`);
