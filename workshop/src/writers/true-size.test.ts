/** The template from our PDF under a ruler: bars of 100 mm, holes where the document has them, sheets that join. */
import type { Chassis } from "@platewright/design";
import { flatten, type Item, type PageSize, type Paper, templatePaper } from "@platewright/drawing";
import { expect, test } from "vitest";
import { toPdf } from "./pdf.ts";
import { bentPlate, demo, judgedOf, metalInput } from "./test-plates.ts";
import { HAS_POPPLER, inkAt, inkEnds, type Raster, rasters } from "./test-raster.ts";

const value = <T>(
  done: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: unknown },
): T => {
  if (!done.ok) throw new Error(JSON.stringify(done.failure));
  return done.value;
};
function templateOf(chassis: Chassis, size: PageSize): Paper {
  const paper = templatePaper(metalInput(chassis, size));
  if (paper === undefined) throw new Error("there is a template");
  return paper;
}

const rasterOf = (paper: Paper, dotsPerInch: number): readonly Raster[] =>
  rasters(value(toPdf(paper.pages, { title: "Template", date: "2026-11-25" })), dotsPerInch);

type Flat = Exclude<Item, { readonly kind: "group" }>;
type Circle = Extract<Flat, { readonly kind: "circle" }>;
type Rect = Extract<Flat, { readonly kind: "rect" }>;

/** Fields of the bars: ten millimetres by 2.4, on every sheet ten of them across and ten up. */
function barsOf(items: readonly Flat[]): { readonly across: readonly Rect[]; readonly up: readonly Rect[] } {
  const fields = items.filter(
    (item): item is Rect => item.kind === "rect" && item.weight === 0 && item.fill !== "band",
  );
  return {
    across: fields.filter((one) => one.width === 10 && one.height < 5),
    up: fields.filter((one) => one.height === 10 && one.width < 5),
  };
}

test.skipIf(!HAS_POPPLER).each(["A4", "A3", "Letter"] as const)(
  "both bars of every sheet measure 100.0 ± 0.1 mm at 254 dots to the inch on %s",
  (size) => {
    const paper = templateOf(demo().chassis, size);
    const dots = rasterOf(paper, 254);
    expect(dots).toHaveLength(paper.pages.length);
    for (const [n, page] of paper.pages.entries()) {
      const raster = dots[n] as Raster;
      expect(Math.abs(raster.width / 10 - page.width)).toBeLessThanOrEqual(0.11);
      const { across, up } = barsOf(flatten(page.items));
      expect([across.length, up.length]).toEqual([10, 10]);
      const [ax, ay] = across[0]?.at ?? [0, 0];
      const [ux, uy] = up[0]?.at ?? [0, 0];
      const [left, right] = inkEnds(raster, "across", ay + 1.2, ax - 3, ax + 102.5);
      const [top, bottom] = inkEnds(raster, "up", ux + 1.2, uy - 3, uy + 101.9);
      expect(Math.abs(right - left - 100)).toBeLessThanOrEqual(0.1);
      expect(Math.abs(bottom - top - 100)).toBeLessThanOrEqual(0.1);
      const words = flatten(page.items).flatMap((item) => (item.kind === "text" ? [item.text] : []));
      const all = words.join(" ").replaceAll("\u202f", " ");
      expect(all).toMatch(/Do not cut if off by more\s+than\s+0.3 mm/);
      expect(all).toMatch(/Print at 100 %, never fit to page/);
      expect(all).toMatch(n < paper.pages.length / 2 ? /TOP, seen from above/ : /UNDERSIDE, seen from below, mirrored/);
    }
  },
);

/** Where the ring of a circle really stands: halfway between its two crossings of a row, and of a column. */
function ringCentre(raster: Raster, { at: [x, y], radius }: Circle): readonly [number, number] {
  const off = Math.min(1.1, 0.45 * radius);
  const half = Math.sqrt(radius * radius - off * off);
  const middle = (way: "across" | "up", line: number, near: number): number =>
    (inkAt(raster, way, line, near - half, 0.4) + inkAt(raster, way, line, near + half, 0.4)) / 2;
  // On both sides of the centre lines, so that a slanted ring would show.
  const mean = (way: "across" | "up", line: number, near: number) =>
    (middle(way, line - off, near) + middle(way, line + off, near)) / 2;
  return [mean("across", y, x), mean("up", x, y)];
}

/** Where a register mark really stands: its arms, read beside its circle. */
const markCentre = (raster: Raster, { at: [x, y] }: Circle): readonly [number, number] => [
  (inkAt(raster, "across", y - 1.9, x, 0.4) + inkAt(raster, "across", y + 1.9, x, 0.4)) / 2,
  inkAt(raster, "up", x - 3, y, 0.4),
];

interface Sheet {
  readonly under: boolean;
  /** Measured place, and the document's, of every hole and mark that is whole on the sheet. */
  readonly holes: readonly {
    readonly id: string;
    readonly at: readonly [number, number];
    readonly wanted: readonly [number, number];
  }[];
  readonly marks: readonly {
    readonly name: string;
    readonly at: readonly [number, number];
    readonly wanted: readonly [number, number];
  }[];
}

function measured(chassis: Chassis, size: PageSize): readonly Sheet[] {
  const paper = templateOf(chassis, size);
  const dots = rasterOf(paper, 254);
  const holes = new Map(judgedOf(chassis).holes.holes.map((hole) => [hole.id, hole]));
  return paper.pages.map((page, n): Sheet => {
    const items = flatten(page.items);
    const raster = dots[n] as Raster;
    const circles = items.filter((item): item is Circle => item.kind === "circle");
    const texts = items.filter((item) => item.kind === "text");
    return {
      under: texts.some((one) => one.text.startsWith("UNDERSIDE")),
      holes: circles.flatMap((one) => {
        const hole = holes.get(one.ids?.[0] ?? "");
        return hole === undefined
          ? []
          : [{ id: hole.id, at: ringCentre(raster, one), wanted: [hole.x, hole.y] as const }];
      }),
      marks: circles
        .filter((one) => one.radius === 1.6 && one.ids === undefined)
        .map((one) => {
          // Its name and its place on the plate stand beside it, as they are printed.
          const beside = texts.filter((text) => Math.hypot(text.at[0] - one.at[0], text.at[1] - one.at[1]) < 6);
          const [x = Number.NaN, y = Number.NaN] = (beside.find((text) => /^-?[\d.]+, /.test(text.text))?.text ?? "")
            .split(", ")
            .map(Number);
          const name = beside.find((text) => /^[A-Z]\d+$/.test(text.text))?.text ?? "";
          return { name, at: markCentre(raster, one), wanted: [x, y] as const };
        }),
    };
  });
}

const median = (all: readonly number[]): number =>
  [...all].sort((a, b) => a - b)[Math.floor(all.length / 2)] ?? Number.NaN;

test.skipIf(!HAS_POPPLER).each([
  { name: "the demo on A4", chassis: demo().chassis, size: "A4" as const },
  { name: "the demo on A3", chassis: demo().chassis, size: "A3" as const },
  { name: "the demo on Letter", chassis: demo().chassis, size: "Letter" as const },
  { name: "450 × 300 mm with flanges on A4", chassis: bentPlate(), size: "A4" as const },
])(
  "$name: holes within 0.05 mm of the document on both faces, sheets join within 0.1 mm",
  ({ chassis, size }) => {
    const sheets = measured(chassis, size);
    const seen = new Set<string>();
    for (const { under, holes, marks } of sheets) {
      // One shift of the whole sheet is its place on the paper; nothing is scaled or turned. The underside runs the other way.
      const sign = under ? -1 : 1;
      const all = [...holes, ...marks];
      if (all.length === 0) continue;
      const [left, base] = [
        median(all.map((one) => one.at[0] - sign * one.wanted[0])),
        median(all.map((one) => one.at[1] + one.wanted[1])),
      ];
      for (const one of all) {
        const away = [one.at[0] - sign * one.wanted[0] - left, one.at[1] + one.wanted[1] - base];
        expect(Math.abs(away[0] ?? 1), JSON.stringify(one)).toBeLessThanOrEqual(0.05);
        expect(Math.abs(away[1] ?? 1), JSON.stringify(one)).toBeLessThanOrEqual(0.05);
      }
      for (const hole of holes) seen.add(`${under ? "under" : "top"} ${hole.id}`);
    }
    const round = judgedOf(chassis).holes.holes.filter((hole) => hole.shape.kind === "circle");
    expect(seen.size).toBe(2 * round.length);
    for (const under of [false, true]) {
      const face = sheets.filter((one) => one.under === under);
      let joints = 0;
      for (const [n, one] of face.entries())
        for (const other of face.slice(n + 1)) {
          const shared = one.marks.flatMap((mark) => {
            const twin = other.marks.find((found) => found.name === mark.name);
            return twin === undefined ? [] : [[mark, twin] as const];
          });
          if (shared.length < 2) continue;
          joints++;
          // Laid cross on cross, the second sheet is shifted by the mean; each pair then agrees.
          for (const axis of [0, 1] as const) {
            const shifts = shared.map(([mark, twin]) => mark.at[axis] - twin.at[axis]);
            const mean = shifts.reduce((sum, shift) => sum + shift, 0) / shifts.length;
            for (const shift of shifts) expect(Math.abs(shift - mean)).toBeLessThanOrEqual(0.05);
            // And what both show of the same hole falls together.
            for (const hole of one.holes) {
              const twin = other.holes.find((found) => found.id === hole.id);
              if (twin !== undefined) expect(Math.abs(hole.at[axis] - twin.at[axis] - mean)).toBeLessThanOrEqual(0.1);
            }
          }
        }
      if (face.length > 1) expect(joints).toBeGreaterThanOrEqual(face.length - 1);
    }
  },
  60_000,
);
