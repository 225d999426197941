/**
 * Writes the page's own subset of Inter (SIL OFL 1.1): the characters of `web/src/styles/glyphs.txt`, weights 400 to 700,
 * tabular figures kept. Run after a new character is used; `font.test.ts` says which are missing.
 */
import { readFileSync, writeFileSync } from "node:fs";
import subsetFont from "subset-font";

const SOURCE = "node_modules/inter-ui/variable/InterVariable.woff2";

const GLYPHS = "web/src/styles/glyphs.txt";
const FONT = "web/src/styles/inter-subset.woff2";

const wanted = (): string => readFileSync(GLYPHS, "utf8").replace(/\n/g, "");

const font = await subsetFont(readFileSync(SOURCE), wanted(), {
  targetFormat: "woff2",
  keepFeatures: ["tnum", "lnum", "kern", "calt", "ccmp", "zero"],
  noHinting: true,
  variationAxes: { wght: { min: 400, max: 700, default: 400 }, opsz: 14 },
});
writeFileSync(FONT, font);
console.log(`${FONT}: ${font.length} bytes, ${[...wanted()].length} characters`);
