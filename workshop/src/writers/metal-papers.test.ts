/** Template and fabricator's drawing of random plates: nothing leaves its page, every hole is written, all can be printed. */
import {
  cutDrawing,
  fabricatorPaper,
  flatten,
  missingLetters,
  offPage,
  type PageSize,
  templatePaper,
} from "@platewright/drawing";
import fc from "fast-check";
import { expect, test } from "vitest";
import { judgedOf, metalInput, plates } from "./test-plates.ts";

const SEED = 60_622;
test(`of any plate on any paper (seed ${SEED})`, () => {
  fc.assert(
    fc.property(plates, fc.constantFrom<PageSize>("A4", "A3", "Letter"), (chassis, size) => {
      const judged = judgedOf(chassis);
      const input = metalInput(chassis, size);
      const [template, fabricator] = [templatePaper(input), fabricatorPaper(input)];
      if (template === undefined || fabricator === undefined) throw new Error("both are drawn");
      for (const paper of [template, fabricator])
        for (const page of paper.pages) {
          expect(offPage(page)).toEqual([]);
          for (const item of flatten(page.items)) {
            if (item.kind !== "text") continue;
            expect(missingLetters(item.text)).toEqual([]);
            expect(item.size).toBeGreaterThanOrEqual(3.18);
          }
        }
      const drawing = cutDrawing(judged, { face: "top" });
      if (!drawing.ok) throw new Error(drawing.failure.sentence);
      // Two marks to a hole at most in the drawing, each once in the table.
      const texts = fabricator.pages[1] === undefined ? [] : flatten(fabricator.pages.flatMap((page) => page.items));
      const figures = fabricator.figures.filter((one) => one.of.startsWith("new-hole/x/"));
      expect(figures).toHaveLength(drawing.value.holes.length);
      expect(texts.length).toBeGreaterThan(0);
      // Every circle whole on one sheet at least stands there as a circle of its own size.
      for (const hole of drawing.value.holes) {
        if (hole.shape.kind !== "circle" || hole.shape.diameterMillimetres > 10) continue;
        const radius = hole.shape.diameterMillimetres / 2;
        const whole = template.pages.flatMap((page) =>
          flatten(page.items).filter((item) => item.kind === "circle" && item.ids?.[0] === hole.ids[0]),
        );
        expect(whole.length).toBeGreaterThanOrEqual(2);
        for (const one of whole) expect(one.kind === "circle" && Math.abs(one.radius - radius)).toBeLessThan(1e-9);
      }
    }),
    { seed: SEED, numRuns: 25 },
  );
});
