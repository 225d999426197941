/** What papers are laid out of: nothing leaves its cell or its page, no row is lost, none stands alone. */
import fc from "fast-check";
import { expect, test } from "vitest";
import { flatten, itemBox } from "../bounds.ts";
import type { Scene, TextItem } from "../scene.ts";
import { letterBox, PAPER_SIZES, type Run, runsOf, runsWidth, wrapRuns } from "./letters.ts";
import type { Passage } from "./piece.ts";
import { fillPages, layPaper, offPage, pageRoom, pageSize, type PageSize } from "./page.ts";
import { box, cautionBox, checkBar, fields, paragraph, section, steps, tickLine, wordsOf } from "./parts.ts";
import { type Column, columnWidths, type Row, table } from "./table.ts";

const SEED = 60_206;
const words = fc.string({ unit: fc.constantFrom(..."abcdefghiWM1234567890Ωµ≤→± -/".split("")), maxLength: 60 });
const columns = fc.array(
  fc.record(
    {
      head: fc.constantFrom("Point", "Where", "Expect", "Band", "Left, V1", "x"),
      align: fc.constantFrom("start" as const, "end" as const),
      grow: fc.integer({ min: 0, max: 3 }),
      most: fc.integer({ min: 8, max: 60 }),
      ruled: fc.boolean(),
    },
    { requiredKeys: ["head"] },
  ),
  { minLength: 1, maxLength: 8 },
);
const tables = columns.chain((list) =>
  fc.record({
    columns: fc.constant(list as readonly Column[]),
    rows: fc.array(
      fc.array(words, { minLength: list.length, maxLength: list.length }).map((cells): Row => ({ cells })),
      { minLength: 1, maxLength: 90 },
    ),
  }),
);
const frame = {
  title: "Bench sheet",
  under: ["first power and dc readings", "meter 10 MΩ"],
  design: "Hearth line box",
  revision: "B",
  date: "25 Nov 2026",
  notice: "Invented design.",
};
const sheets = fc.record({
  size: fc.constantFrom<PageSize>("A4", "A3", "Letter"),
  landscape: fc.boolean(),
});

const textsOf = (scene: Scene): readonly TextItem[] =>
  flatten(scene.items).filter((item): item is TextItem => item.kind === "text");

test(`columns fill the width of their table (seed ${SEED})`, () => {
  fc.assert(
    fc.property(tables, fc.integer({ min: 90, max: 390 }), ({ columns: list, rows }, width) => {
      const widths = columnWidths(list, rows, width);
      expect(widths.every((one) => one > 0)).toBe(true);
      expect(widths.reduce((sum, one) => sum + one, 0)).toBeCloseTo(width, 6);
    }),
    { seed: SEED, numRuns: 300 },
  );
});

test(`no text leaves its cell, and no character of a row is lost (seed ${SEED})`, () => {
  fc.assert(
    fc.property(tables, fc.integer({ min: 90, max: 390 }), ({ columns: list, rows }, width) => {
      const widths = columnWidths(list, rows, width);
      const edges = widths.reduce<number[]>((all, one) => [...all, (all[all.length - 1] ?? 0) + one], [0]);
      const pieces = table(list, rows)(width);
      for (const piece of pieces)
        for (const item of flatten(piece.items)) {
          if (item.kind !== "text") continue;
          const { left, right } = letterBox(item);
          const column = edges.findLastIndex((edge) => edge <= left + 1e-6);
          expect(right).toBeLessThanOrEqual((edges[column + 1] ?? width) + 1e-6);
          expect(itemBox(item).bottom).toBeLessThanOrEqual(piece.height + 0.2);
        }
      const bare = (text: string) => text.replace(/\s+/g, "").split("").sort().join("");
      const printed = pieces
        .slice(1)
        .flatMap((piece) => flatten(piece.items))
        .map((item) => (item.kind === "text" ? item.text : ""))
        .join("");
      expect(bare(printed)).toBe(
        bare(rows.flatMap((row) => row.cells.map((cell) => wordsOf(cell as string))).join("")),
      );
    }),
    { seed: SEED, numRuns: 200 },
  );
});

test(`pages hold every row once, the head on each, and no row alone (seed ${SEED})`, () => {
  fc.assert(
    fc.property(tables, sheets, ({ columns: list, rows }, sheet) => {
      const named = rows.map((row, n): Row => ({ ...row, ids: [`row-${n}`], cells: [`r${n}`, ...row.cells.slice(1)] }));
      const paper = layPaper("test", sheet, frame, [section("Points", "words", 1), table(list, named)]);
      const seen = paper.pages.map((page) => [
        ...new Set(textsOf(page).flatMap((item) => (item.ids ?? []).filter((id) => id.startsWith("row-")))),
      ]);
      expect(seen.flat().filter((id, n, all) => all.indexOf(id) === n)).toEqual(named.map((_, n) => `row-${n}`));
      for (const page of paper.pages) {
        expect(offPage(page)).toEqual([]);
        for (const item of textsOf(page)) expect(item.size).toBeGreaterThanOrEqual(PAPER_SIZES.text);
        const head = textsOf(page).filter(
          (item) => item.bold === true && item.text.startsWith((list[0]?.head ?? "").split(" ")[0] ?? ""),
        );
        expect(head.length).toBeGreaterThan(0);
      }
      if (rows.length >= 4 && rows.every((row) => row.cells.every((cell) => wordsOf(cell as string).length < 8)))
        for (const ids of seen) expect(ids.length).toBeGreaterThanOrEqual(2);
    }),
    { seed: SEED, numRuns: 120 },
  );
});

test(`lines of runs fit their width and keep their looks (seed ${SEED})`, () => {
  const runs = fc.array(fc.record({ text: words, bold: fc.boolean() }), { maxLength: 8 });
  fc.assert(
    fc.property(runs, fc.integer({ min: 6, max: 120 }), (list, width) => {
      const lines = wrapRuns(list as readonly Run[], width, PAPER_SIZES.text);
      for (const line of lines) expect(runsWidth(line, PAPER_SIZES.text)).toBeLessThanOrEqual(width + 1e-6);
      const bolds = (all: readonly Run[]) =>
        all
          .filter((run) => run.bold === true)
          .map((run) => run.text.replace(/\s/g, ""))
          .join("");
      expect(bolds(lines.flat())).toBe(bolds(list));
    }),
    { seed: SEED, numRuns: 500 },
  );
});

test(`anything a page is made of stays on it (seed ${SEED})`, () => {
  fc.assert(
    fc.property(fc.array(words, { minLength: 1, maxLength: 30 }), sheets, (texts, sheet) => {
      const paper = layPaper("test", sheet, frame, [
        cautionBox(texts[0] ?? ""),
        section("Section", texts.join(" "), 1),
        ...texts.map((text) => paragraph([text, { text: " bold ", bold: true }, text])),
        box("A trap", texts.slice(0, 3), { weight: 0.75 }),
        fields(["Serial", "Date", { name: "Mains today", share: 1, after: "V" }]),
        tickLine(["All in band", "Not passed"]),
        steps(texts),
      ]);
      for (const page of paper.pages) {
        expect(offPage(page)).toEqual([]);
        const { height, width } = pageSize(sheet);
        expect([page.width, page.height]).toEqual([width, height]);
      }
    }),
    { seed: SEED, numRuns: 60 },
  );
});

test("a chain of pieces higher than a page is parted, none is lost", () => {
  const piece = (height: number, n: number) => ({ height, items: [], figures: [], keep: true, above: n });
  const pages = fillPages(
    Array.from({ length: 40 }, (_, n) => piece(30, n % 3)),
    200,
  );
  expect(pages.flat()).toHaveLength(40);
  for (const page of pages) {
    const used = page.reduce((sum, one, n) => sum + one.height + (n === 0 ? 0 : (one.above ?? 0)), 0);
    expect(used).toBeLessThanOrEqual(200);
  }
});

test("a very long cell is parted between lines and runs on", () => {
  const long = Array.from({ length: 900 }, (_, n) => `word${n}`).join(" ");
  const paper = layPaper("test", { size: "A4" }, frame, [
    table([{ head: "Note", grow: 1 }, { head: "x" }], [{ cells: [long, "1"] }]),
  ]);
  expect(paper.pages.length).toBeGreaterThan(1);
  const printed = paper.pages
    .flatMap(textsOf)
    .map((item) => item.text)
    .join(" ");
  for (const n of [0, 450, 899]) expect(printed).toContain(`word${n}`);
  for (const page of paper.pages) expect(offPage(page)).toEqual([]);
});

test("a check bar is 100 mm long with every stroke inside", () => {
  for (const way of ["across", "up"] as const) {
    const { items } = checkBar(way);
    const boxes = items.map(itemBox);
    const across = Math.max(...boxes.map((one) => one.right)) - Math.min(...boxes.map((one) => one.left));
    const up = Math.max(...boxes.map((one) => one.bottom)) - Math.min(...boxes.map((one) => one.top));
    expect(way === "across" ? across : up).toBeCloseTo(100, 9);
  }
});

test("a figure is one word with its unit and keeps what it is", () => {
  const figure = { of: "volts/nominal/B1", value: 287.3, unit: "V", text: "287 V" };
  const [line = []] = wrapRuns(runsOf(["B1 at ", figure, ", loaded"]), 100, PAPER_SIZES.text);
  expect(line.map((run) => run.text)).toEqual(["B1 at ", "287 V", ", loaded"]);
  expect(line[1]?.figure).toBe(figure);
  expect(pageRoom({ size: "A4" }).width).toBe(180);
});

test(`a last page with a line on it is drawn back where the room between pieces allows it (seed ${SEED})`, () => {
  const room = pageRoom({ size: "A4" }).height;
  fc.assert(
    fc.property(fc.integer({ min: 10, max: 24 }), fc.double({ min: 0.2, max: 8, noNaN: true }), (many, past) => {
      // Pieces with 4 mm above each; the whole reaches `past` millimetres further than the page.
      const height = (room + past - 4 * (many - 1)) / many;
      const passage: Passage = () => Array.from({ length: many }, () => ({ height, items: [], figures: [], above: 4 }));
      const spare = 4 * 0.55 * (many - 1);
      expect(layPaper("test", { size: "A4" }, frame, [passage]).pages.length).toBe(past < spare ? 1 : 2);
    }),
    { seed: SEED, numRuns: 200 },
  );
});
