/** Our PDF under a ruler, read back by programs that we did not write (poppler). */
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Item, PAGE_SIZES, type PageSize, type Scene } from "@platewright/drawing";
import fc from "fast-check";
import { PNG } from "pngjs";
import { expect, test } from "vitest";
import { toPdf } from "./pdf.ts";

const HOW = { title: "Test", date: "2026-11-25" } as const;
const HAS_POPPLER = existsSync("/usr/bin/pdftoppm");
/** At 254 dots to the inch a dot is 0.1 mm. */
const DOTS_PER_MILLIMETRE = 10;

const scene = (width: number, height: number, items: readonly Item[]): Scene => ({
  units: "mm",
  width,
  height,
  title: "Test page",
  description: "",
  items,
});

function render(pdf: Uint8Array, page = 1): PNG {
  const folder = mkdtempSync(join(tmpdir(), "platewright-pdf-"));
  try {
    writeFileSync(join(folder, "in.pdf"), pdf);
    const done = spawnSync(
      "pdftoppm",
      ["-r", "254", "-png", "-gray", "-f", String(page), "-l", String(page), "-singlefile", "in.pdf", "out"],
      { cwd: folder, encoding: "utf8" },
    );
    if (done.status !== 0) throw new Error(`pdftoppm: ${done.stderr}`);
    return PNG.sync.read(readFileSync(join(folder, "out.png")));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function text(pdf: Uint8Array): string {
  const done = spawnSync("pdftotext", ["-", "-"], { input: pdf, encoding: "utf8" });
  return done.stdout;
}

const pdfOf = (pages: readonly Scene[], how = HOW): Uint8Array => {
  const done = toPdf(pages, how);
  if (!done.ok) throw new Error(done.failure.sentence);
  return done.value;
};

/** Length in millimetres of the ink in a row or a column of dots, part-grey dots counted by their ink. */
function inkLength(png: PNG, way: "across" | "up", at: number): number {
  const line = Math.round(at * DOTS_PER_MILLIMETRE);
  const dots = way === "across" ? png.width : png.height;
  let ink = 0;
  for (let n = 0; n < dots; n++) {
    const [x, y] = way === "across" ? [n, line] : [line, n];
    ink += 1 - (png.data[4 * (y * png.width + x)] ?? 255) / 255;
  }
  return ink / DOTS_PER_MILLIMETRE;
}

const pages = (["A4", "A3", "Letter"] as readonly PageSize[]).flatMap((size) => [
  { name: size, width: PAGE_SIZES[size][0], height: PAGE_SIZES[size][1] },
  { name: `${size} landscape`, width: PAGE_SIZES[size][1], height: PAGE_SIZES[size][0] },
]);

test.skipIf(!HAS_POPPLER).each(pages)("a 100 mm bar measures 100.0 mm on $name", ({ width, height }) => {
  const bars: readonly Item[] = [
    { kind: "rect", at: [40.03, 180.04], width: 100, height: 3, weight: 0, fill: "ink" },
    { kind: "rect", at: [20.02, 60.07], width: 3, height: 100, weight: 0, fill: "ink" },
    { kind: "line", from: [60, 20], to: [160, 20], weight: 0.5 },
    {
      kind: "path",
      points: [
        [60, 40],
        [160, 40],
        [160, 43],
        [60, 43],
      ],
      weight: 0,
      fill: "ink",
    },
  ];
  const png = render(pdfOf([scene(width, height, bars)]));
  expect(Math.abs(png.width / DOTS_PER_MILLIMETRE - width)).toBeLessThanOrEqual(0.11);
  expect(Math.abs(png.height / DOTS_PER_MILLIMETRE - height)).toBeLessThanOrEqual(0.11);
  for (const [way, at] of [
    ["across", 181.5],
    ["up", 21.5],
    ["across", 20],
    ["across", 41.5],
  ] as const)
    expect(Math.abs(inkLength(png, way, at) - 100)).toBeLessThanOrEqual(0.1);
});

test.skipIf(!HAS_POPPLER)("circles stand where they should, to 0.05 mm", () => {
  const centres = [
    [30.25, 40.5],
    [150.1, 220.75],
    [99.99, 12.3],
  ] as const;
  const png = render(
    pdfOf([
      scene(
        210,
        297,
        centres.map(([x, y]): Item => ({ kind: "circle", at: [x, y], radius: 8, weight: 0, fill: "ink" })),
      ),
    ]),
  );
  for (const [x, y] of centres) {
    let [sum, alongX, alongY] = [0, 0, 0];
    for (let row = Math.floor((y - 9) * 10); row < (y + 9) * 10; row++)
      for (let column = Math.floor((x - 9) * 10); column < (x + 9) * 10; column++) {
        const ink = 1 - (png.data[4 * (row * png.width + column)] ?? 255) / 255;
        sum += ink;
        alongX += ink * (column + 0.5);
        alongY += ink * (row + 0.5);
      }
    expect(Math.abs(alongX / sum / 10 - x)).toBeLessThanOrEqual(0.05);
    expect(Math.abs(alongY / sum / 10 - y)).toBeLessThanOrEqual(0.05);
    expect(2 * Math.sqrt(sum / 100 / Math.PI)).toBeCloseTo(16, 1);
  }
});

const words = (line: string, more: Partial<Extract<Item, { kind: "text" }>> = {}): Item => ({
  kind: "text",
  at: [100, 50],
  text: line,
  size: 3.7,
  ...more,
});

test.skipIf(!HAS_POPPLER)("the signs of the trade are in the file's own font", () => {
  const line = "4.7 kΩ, 0.47 µF, ≤ 60 V → ±5 %, −8.5 dB, 22 × 16 mm, Ø";
  const pdf = pdfOf([scene(210, 297, [words(line), words(line, { bold: true, at: [100, 90] })])]);
  expect(text(pdf).replace(/\s/g, "")).toContain(line.replace(/\s/g, ""));
  const fonts = spawnSync("pdffonts", ["-"], { input: pdf, encoding: "utf8" }).stdout.trim().split("\n").slice(2);
  expect(fonts).toHaveLength(2);
  for (const one of fonts) expect(one).toMatch(/TrueType\s+Identity-H\s+yes yes yes/);
});

test.skipIf(!HAS_POPPLER)("text stands where its anchor says, as wide as it was laid out", () => {
  const line = "Hill 1118.50 Hz";
  const png = render(
    pdfOf([
      scene(210, 297, [
        words(line, { size: 7, at: [20, 50] }),
        words(line, { size: 7, at: [190, 100], anchor: "end" }),
        words(line, { size: 7, at: [105, 150], anchor: "middle" }),
      ]),
    ]),
  );
  const edges = (y: number) => {
    let [left, right] = [Infinity, 0];
    for (let row = (y - 6) * 10; row < y * 10; row++)
      for (let x = 0; x < png.width; x++)
        if ((png.data[4 * (row * png.width + x)] ?? 255) < 128) [left, right] = [Math.min(left, x), Math.max(right, x)];
    return [left / 10, right / 10] as const;
  };
  const [start, startEnd] = edges(50);
  const [, end] = edges(100);
  const [middleFrom, middleTo] = edges(150);
  expect(start).toBeGreaterThan(20);
  expect(start).toBeLessThan(21);
  expect(end).toBeLessThan(190);
  expect(end).toBeGreaterThan(189);
  expect((middleFrom + middleTo) / 2).toBeCloseTo(105, 0);
  expect(startEnd - start).toBeCloseTo(middleTo - middleFrom, 0);
});

test("the same scenes give the same bytes, whatever else was written", () => {
  const page = scene(210, 297, [
    words("47 kΩ"),
    { kind: "circle", at: [50, 50], radius: 11, weight: 0.3, dash: "dash" },
  ]);
  const first = pdfOf([page, page]);
  pdfOf([scene(100, 100, [words("other", { halo: "paper" })])]);
  expect(Buffer.from(pdfOf([page, page])).equals(Buffer.from(first))).toBe(true);
  expect(Buffer.from(pdfOf([page, page], { ...HOW, date: "2026-11-26" } as never)).equals(Buffer.from(first))).toBe(
    false,
  );
});

test("a character that the font lacks is named with its page, and nothing is written", () => {
  const done = toPdf([scene(210, 297, [words("ok")]), scene(210, 297, [words("炉 line box")])], HOW);
  expect(done.ok).toBe(false);
  if (done.ok) return;
  expect(done.failure.kind).toBe("glyph-missing");
  expect(done.failure.sentence).toMatch(/Test page: '炉 line box'.*U\+7089/);
  expect(toPdf([], HOW).ok).toBe(false);
  expect(toPdf([scene(210, 297, [])], { ...HOW, date: "yesterday" }).ok).toBe(false);
});

test("any text is written or refused", () => {
  fc.assert(
    fc.property(fc.string({ unit: "grapheme", maxLength: 40 }), (line) => {
      const done = toPdf([scene(210, 297, [words(line)])], HOW);
      if (done.ok) expect(Buffer.from(done.value).subarray(0, 5).toString()).toBe("%PDF-");
      else expect(done.failure.sentence).toMatch(/U\+[0-9A-F]{4,6}/);
    }),
    { seed: 60_207, numRuns: 60 },
  );
});

test("a coordinate that is no number is a broken promise", () => {
  expect(() => toPdf([scene(210, 297, [{ kind: "circle", at: [Number.NaN, 1], radius: 2, weight: 1 }])], HOW)).toThrow(
    /coordinate/,
  );
});
