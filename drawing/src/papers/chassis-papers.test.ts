/** Hole chart and layout: every figure found again in the engine, nothing off a page, nothing said that is not so. */
import { readFileSync } from "node:fs";
import {
  carrierWords,
  chassisFindings,
  type Document,
  judgedChassis,
  judgeDesign,
  orderOfWork,
  plateWords,
  rotationOf,
  salvageOptions,
  solveDesign,
  threadOrNut,
} from "@platewright/design";
import { describe, expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import { flatten, overlap } from "../bounds.ts";
import { carrierNotes } from "../chassis/carrier-section.ts";
import { testPlates } from "../chassis/test-plates.ts";
import type { TextItem } from "../scene.ts";
import { chartGroups } from "./chart-rows.ts";
import { holeChart, runs } from "./hole-chart.ts";
import { layoutPaper } from "./layout-paper.ts";
import { letterBox, missingLetters, PAPER_SIZES } from "./letters.ts";
import type { PackInput } from "./pack-input.ts";
import { offPage, type PageSize, type Paper } from "./page.ts";
import { CHECK_BAR_MILLIMETRES } from "./parts.ts";
import { chartOf } from "./test-chart.ts";

const catalogue = openCatalogue();
const { decided, demo, randomDocument, with7Pin, withChassis } = testPlates(
  readFileSync("examples/hearth/hearth.design.json", "utf8"),
  footprints,
  catalogue,
);

const solvedDemo = solveDesign(demo, catalogue);
if (!solvedDemo.ok) throw new Error("the demo solves");
const solved = solvedDemo.value;

/** Metal alone differs: the circuit stays solved as it is. */
function inputOf(document: Document, size: PageSize): PackInput {
  const findings = judgeDesign(document, catalogue, solved, { fixes: false, footprints });
  const chassis = judgedChassis({ document, footprints, catalogue, solved });
  if (!findings.ok || chassis === undefined) throw new Error("the demo is judged");
  return {
    document,
    revision: "B",
    date: "2026-11-25",
    solved,
    findings: findings.value,
    chassis,
    tubes: [],
    catalogue,
    size,
  };
}

const covered = withChassis((chassis) => ({
  ...chassis,
  plate: {
    ...chassis.plate,
    thicknessMillimetres: 3,
    coverMillimetres: 75,
    ventSquareMillimetres: 2000,
    bends: [
      { edge: "front", insideRadiusMillimetres: 2, flangeMillimetres: 40 },
      { edge: "rear", insideRadiusMillimetres: 2, flangeMillimetres: 40 },
    ],
  },
}));

/** A lamp that wants a larger hole, a switch that went. */
const small = withChassis((chassis) => ({
  ...chassis,
  items: chassis.items.filter((one) => one.id !== "SWITCH"),
  holes: chassis.holes.map((one) =>
    one.id === "H8" ? { ...one, x: one.x + 0.3, shape: { kind: "circle", diameterMillimetres: 6 } } : one,
  ),
  salvage: [{ hole: "H9", by: "blank-plug" }],
}));

const cases = [
  ["as built", demo, "A4"],
  ["as built", demo, "A3"],
  ["a 7-pin socket over the 22 mm hole", with7Pin, "A4"],
  ["a ring over it", decided("adapter-ring"), "Letter"],
  ["a cover plate over it", decided("cover-plate"), "A4"],
  ["a sub-plate over it", decided("sub-plate"), "A3"],
  ["thick, bent, under a cover", covered, "A4"],
  ["holes opened and closed", small, "A4"],
  ["seven parts anywhere", randomDocument(31, 7), "Letter"],
  ["forty parts anywhere", randomDocument(32, 40), "A4"],
] as const;

const textsOf = (paper: Paper): readonly TextItem[] =>
  paper.pages.flatMap((page) => flatten(page.items)).filter((item): item is TextItem => item.kind === "text");

describe.each(cases)("%s, on %3$s", (_, document, size) => {
  const input = inputOf(document, size);
  const judged = input.chassis;
  const papers = [holeChart(input), layoutPaper(input)].filter((one) => one !== undefined);
  const engine = chartOf({ document, footprints, catalogue, solved });

  test("every figure is the engine's, and stands on a page as it is printed", () => {
    expect(papers).toHaveLength(2);
    for (const paper of papers) {
      const printed = new Map<string, string>();
      for (const item of textsOf(paper))
        for (const id of item.ids ?? []) printed.set(id, `${printed.get(id) ?? ""} ${item.text}`);
      const known = new Map(paper.figures.map((one) => [one.of, engine(one.of)]));
      for (const figure of paper.figures) {
        const wanted = known.get(figure.of);
        expect(wanted, `${figure.of} is known to nobody`).toBeTypeOf("number");
        expect(Math.abs(figure.value - (wanted ?? 0)), figure.of).toBeLessThan(1e-6);
        const number = Number.parseFloat(figure.text.replace("−", "-"));
        const places = /\.(\d+)/.exec(figure.text)?.[1]?.length ?? 0;
        const half = Math.max(0.5 * 10 ** -places, 0.006 * Math.abs(figure.value));
        expect(Math.abs(number - figure.value), `${figure.of} prints ${figure.text}`).toBeLessThanOrEqual(half * 1.001);
        expect(printed.get(`=${figure.of}`) ?? "", figure.of).toContain(figure.text);
      }
    }
  });

  test("every hole has its row once, with its place and size", () => {
    const [chart] = papers;
    const ofs = chart?.figures.map((one) => one.of) ?? [];
    for (const hole of judged?.holes.holes ?? []) {
      expect(ofs.filter((of) => of === `hole/x/${hole.id}`)).toHaveLength(1);
      expect(ofs.filter((of) => of === `hole/y/${hole.id}`)).toHaveLength(1);
      expect(ofs).toContain(`hole/${hole.shape.kind === "circle" ? "diameter" : "width"}/${hole.id}`);
    }
  });

  test("what is to be done stands before what is there, and bold", () => {
    if (judged === undefined) return;
    const rows = chartGroups(judged).flatMap((one) => one.holes);
    expect(rows.map((one) => one.number)).toEqual(rows.map((_, n) => n + 1));
    const lastDue = rows.findLastIndex((one) => one.hole.work === "cut" || one.hole.work === "open-up");
    const firstThere = rows.findIndex((one) => one.hole.work === "done");
    if (lastDue >= 0 && firstThere >= 0) expect(lastDue).toBeLessThan(firstThere);
    const [chart] = papers;
    for (const { hole, due } of rows)
      for (const item of chart === undefined ? [] : textsOf(chart))
        if (item.ids?.includes(`=hole/x/${hole.id}`) === true) expect(item.bold === true, hole.id).toBe(due);
  });

  test("no number in millimetres, kelvin or inches stands anywhere that is not of the chassis", () => {
    if (judged === undefined) return;
    const allowed = sentencesOf(input);
    for (const paper of papers)
      for (const item of textsOf(paper)) {
        if ((item.ids ?? []).some((id) => id.startsWith("="))) continue;
        for (const [found] of item.text.matchAll(
          /[−+]?\d+(?:\.\d+)?[\u202f\u00a0 ]?(?:mm|cm²|K|W|in)(?![A-Za-z0-9])/gu,
        ))
          expect(
            allowed.has(Math.abs(Number.parseFloat(found.replace("−", "-")))),
            `${paper.kind}: ${found} in '${item.text}'`,
          ).toBe(true);
      }
  });

  test("nothing leaves its page, nothing is small, everything can be printed, no two texts meet", () => {
    for (const paper of papers)
      for (const page of paper.pages) {
        expect(
          offPage(page).map((item) => ("text" in item ? item.text : item.kind)),
          page.title,
        ).toEqual([]);
        const texts = flatten(page.items).filter((item): item is TextItem => item.kind === "text");
        expect(Math.min(...texts.map((item) => item.size))).toBeGreaterThanOrEqual(PAPER_SIZES.text - 1e-9);
        expect(texts.flatMap((item) => missingLetters(item.text))).toEqual([]);
        const boxes = texts.map((item) => {
          const box = letterBox(item);
          return { item, box: /[gjpqyQ,;()|]/.test(item.text) ? box : { ...box, bottom: item.at[1] } };
        });
        const met = boxes.flatMap((one, n) =>
          boxes
            .slice(n + 1)
            .filter((other) => overlap(one.box, other.box, -0.08))
            .map((other) => `'${one.item.text}' and '${other.item.text}'`),
        );
        expect(met, paper.kind).toEqual([]);
      }
  });
});

/** Numbers of the chassis that sentences of the engine and of the document carry. */
function sentencesOf(input: PackInput): ReadonlySet<number> {
  const judged = input.chassis;
  if (judged === undefined) return new Set();
  const { chassis, holes } = judged;
  const open = [...new Set(holes.holes.flatMap((one) => (one.work === "unresolved" ? (one.existing ?? []) : [])))];
  const ways = open.flatMap((hole) => {
    const item = holes.holes.find((one) => one.existing === hole && one.work === "unresolved")?.item;
    const options = salvageOptions({ chassis, library: footprints }, hole, item);
    return options.ok ? options.value.flatMap((one) => [one.title, one.words, one.obstacle ?? ""]) : [];
  });
  const words = [
    ...ways,
    ...holes.carriers.flatMap((one) => [carrierWords(one), ...carrierNotes(one), `${one.thicknessMillimetres} mm`]),
    ...holes.refused.map((one) => one.why),
    ...chartGroups(judged)
      .flatMap((one) => one.holes)
      .flatMap(({ tool }) => [tool?.words ?? "", ...(tool?.traps ?? [])]),
    ...orderOfWork(chassis, holes).map((one) => one.words),
    ...chassisFindings(judged).map((one) => one.title),
    ...judged.items
      .flatMap((item) => rotationOf(judged, item) ?? [])
      .flatMap(({ now, turns }) => [now, ...turns])
      .map((turn) => `${Math.round(turn.gridMillimetres)} ${Math.round(turn.heaterMillimetres)}`),
    ...[3, 4].map((screw) => threadOrNut(screw, chassis.plate.thicknessMillimetres)),
    plateWords(chassis),
    ...(chassis.plate.bends ?? []).map((one) => `${one.flangeMillimetres} mm`),
    `${chassis.plate.thicknessMillimetres} mm, ${chassis.plate.coverMillimetres ?? 0} mm`,
    ...chassis.holes.map(({ shape }) =>
      shape.kind === "circle"
        ? `${Math.round(shape.diameterMillimetres * 10) / 10}`
        : `${Math.round(shape.widthMillimetres * 10) / 10} ${Math.round(shape.heightMillimetres * 10) / 10}`,
    ),
    ...holes.holes.map(({ shape }) =>
      shape.kind === "circle"
        ? `${Math.round(shape.diameterMillimetres * 10) / 10}`
        : `${Math.round(shape.widthMillimetres * 10) / 10} ${Math.round(shape.heightMillimetres * 10) / 10}`,
    ),
    // How far the centre of a hole that is opened moves.
    ...holes.holes.flatMap((hole) => {
      const there = hole.work === "open-up" ? chassis.holes.find((one) => one.id === hole.existing) : undefined;
      return there === undefined
        ? []
        : [hole.x - there.x, hole.y - there.y].map((off) => String(Math.abs(Math.round(off * 100) / 100)));
    }),
    // The bar, and how far off a print may be.
    `${CHECK_BAR_MILLIMETRES} mm, 0.3 mm`,
  ];
  return new Set(words.flatMap((text) => [...text.matchAll(/\d+(?:\.\d+)?/g)].map(([found]) => Number(found))));
}

test("both bars of the chart are 100 mm and stand clear of everything", () => {
  for (const size of ["A4", "A3", "Letter"] as const) {
    const [page] = holeChart(inputOf(demo, size))?.pages ?? [];
    const fields = flatten(page?.items ?? []).filter((item) => item.kind === "rect" && item.weight === 0);
    const across = fields.filter((item) => item.kind === "rect" && item.width === 10);
    const up = fields.filter((item) => item.kind === "rect" && item.height === 10);
    expect(across).toHaveLength(10);
    expect(up).toHaveLength(10);
    const lefts = across.map((item) => (item.kind === "rect" ? item.at[0] : 0));
    expect(Math.max(...lefts) + 10 - Math.min(...lefts)).toBeCloseTo(100, 9);
    const tops = up.map((item) => (item.kind === "rect" ? item.at[1] : 0));
    expect(Math.max(...tops) + 10 - Math.min(...tops)).toBeCloseTo(100, 9);
  }
});

test("a wrong hole is not called work to do: its ways stand with what they cost, a new plate beside them", () => {
  const paper = holeChart(inputOf(with7Pin, "A4"));
  const texts = paper === undefined ? [] : textsOf(paper).map((item) => item.text);
  expect(texts.some((text) => text.startsWith("Not decided: do not cut"))).toBe(true);
  expect(texts.join(" ")).toContain("Make a new plate");
  expect(paper?.figures.map((one) => one.of)).toContain("way-cost/H3/new-plate");
});

test("the caution stands before the order of work where a plate is built", () => {
  const paper = holeChart(inputOf(decided("cover-plate"), "A4"));
  const texts = paper === undefined ? [] : textsOf(paper).map((item) => item.text);
  const [caution, order] = [
    texts.indexOf("Danger: high voltage"),
    texts.findIndex((text) => text.includes("Order of work")),
  ];
  expect(caution).toBeGreaterThanOrEqual(0);
  expect(caution).toBeLessThan(order);
});

test("a design without a chassis has neither paper; the same input has the same pages", () => {
  const { chassis: _, ...bare } = inputOf(demo, "A4");
  expect(holeChart(bare)).toBeUndefined();
  expect(layoutPaper(bare)).toBeUndefined();
  const input = inputOf(demo, "A4");
  expect(JSON.stringify(layoutPaper(input))).toBe(JSON.stringify(layoutPaper(inputOf(demo, "A4"))));
});

test("runs of numbers are said short", () => {
  expect(runs([3, 1, 2, 7, 9, 8, 5])).toBe("1 to 3, 5, 7 to 9");
  expect(runs([1, 2])).toBe("1, 2");
  expect(runs([])).toBe("");
});
