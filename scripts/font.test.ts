/** Every character that the screens, drawings and findings can show is in the page's font. */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import * as fontkit from "fontkit";
import fontverter from "fontverter";
import { expect, test } from "vitest";

const FONT = "web/src/styles/inter-subset.woff2";
const FOLDERS = [
  "engine/src",
  "design/src",
  "drawing/src",
  "library/src",
  "library/data",
  "library/laws",
  "web/src",
  "workshop/src",
  "examples",
];
const SPOKEN = /\.(?:ts|tsx|json|html)$/;
/** Not drawn: they steer the line. */
const UNSEEN = /[\p{Cc}\p{Cf}\u2028\u2029]/u;

const files = (folder: string): readonly string[] =>
  readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((name) => SPOKEN.test(name) && !name.includes(".test."))
    .map((name) => join(folder, name));

function charactersOf(text: string): readonly string[] {
  const escaped = [...text.matchAll(/\\u(?:\{([0-9a-fA-F]{1,6})\}|([0-9a-fA-F]{4}))/g)].map((found) =>
    String.fromCodePoint(Number.parseInt(found[1] ?? found[2] ?? "", 16)),
  );
  return [...new Set([...text, ...escaped])];
}

/** Bounds of character ranges in a pattern, and what stands in for what cannot be written. */
const ONLY_IN_PATTERNS = new Set([
  "\uD7FF",
  "\uE000",
  "\uFFFD",
  "\uFFFF",
  "\u{10000}",
  "\u{10FFFF}",
  "\uD800",
  "\uDFFF",
]);

test("the font has every character that is used", async () => {
  const opened = fontkit.create(await fontverter.convert(readFileSync(FONT), "truetype"));
  if (!("hasGlyphForCodePoint" in opened)) throw new Error("a font collection where a font was expected");
  const missing = new Map<string, string>();
  for (const file of FOLDERS.flatMap(files))
    for (const character of charactersOf(readFileSync(file, "utf8")))
      if (
        !UNSEEN.test(character) &&
        !ONLY_IN_PATTERNS.has(character) &&
        !opened.hasGlyphForCodePoint(character.codePointAt(0) as number)
      )
        missing.set(character, file);
  expect([...missing]).toEqual([]);
});

test("figures are tabular: digits are of one width", async () => {
  const opened = fontkit.create(await fontverter.convert(readFileSync(FONT), "truetype"));
  if (!("layout" in opened)) throw new Error("a font collection where a font was expected");
  const widths = [..."0123456789"].map((digit) => opened.layout(digit, ["tnum"]).advanceWidth);
  expect(new Set(widths).size).toBe(1);
});

const PAPER_FONT = JSON.parse(readFileSync("workshop/src/writers/inter.json", "utf8")) as Record<string, string>;
const PAPER_WIDTHS = JSON.parse(readFileSync("drawing/src/papers/inter-widths.json", "utf8")) as Record<
  string,
  Record<string, number>
>;

test.each(["regular", "bold"])(
  "the papers' %s font has what the page's has, as wide as it is laid out",
  async (name) => {
    const opened = fontkit.create(Buffer.from(PAPER_FONT[name] ?? "", "base64"));
    const page = fontkit.create(await fontverter.convert(readFileSync(FONT), "truetype"));
    if (!("layout" in opened) || !("layout" in page)) throw new Error("a font collection where a font was expected");
    const shown = page.characterSet
      .filter((code) => code >= 0x20 && code !== 0xffff)
      .map((code) => String.fromCodePoint(code));
    expect(shown.filter((one) => PAPER_WIDTHS[name]?.[one] === undefined)).toEqual([]);
    expect(new Set([..."0123456789"].map((digit) => PAPER_WIDTHS[name]?.[digit])).size).toBe(1);
    for (const [character, width] of Object.entries(PAPER_WIDTHS[name] ?? {})) {
      expect(opened.hasGlyphForCodePoint(character.codePointAt(0) as number)).toBe(true);
      const { advanceWidth } = opened.layout(character);
      expect(Math.abs((1000 * advanceWidth) / opened.unitsPerEm - width)).toBeLessThanOrEqual(0.5);
    }
  },
);
