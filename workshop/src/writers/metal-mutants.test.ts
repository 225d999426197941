/** Mutants of the demo's chassis: whatever reads is drawn whole or refused with a sentence; nothing throws, nothing is no number. */
import { readFileSync } from "node:fs";
import { readDesign } from "@platewright/design";
import { carrierDrawings, cutDrawing, fabricatorPaper, offPage, templatePaper } from "@platewright/drawing";
import { seededRandom } from "@platewright/engine";
import { expect, test } from "vitest";
import { toDxf } from "./dxf.ts";
import { toCutSvg } from "./svg-cut.ts";
import { judgedOf, metalInput, withRing } from "./test-plates.ts";

const SEED = 60_623;
interface DesignText {
  now: { chassis: Record<string, unknown> };
}

test(`300 mutants (seed ${SEED})`, () => {
  const random = seededRandom(SEED);
  const at = (length: number) => Math.floor(random.uniform() * length);
  const demo = JSON.parse(readFileSync("examples/hearth/hearth.design.json", "utf8")) as DesignText;
  const bends = ["front", "rear", "left", "right"].map((edge) => ({
    edge,
    insideRadiusMillimetres: 2,
    flangeMillimetres: 25,
  }));
  const counts = { unread: 0, refused: 0, drawn: 0 };
  for (let n = 0; n < 300; n++) {
    const chassis: Record<string, unknown> = { ...withRing() };
    if (at(2) === 0) chassis.plate = { ...withRing().plate, bends: bends.slice(at(4)) };
    if (at(3) === 0) chassis.holes = [];
    if (Array.isArray(chassis.holes) && chassis.holes.length === 0) delete chassis.salvage;
    let text = JSON.stringify(chassis);
    for (let m = 0; m <= at(3); m++) {
      const numbers = [...text.matchAll(/:(\d+(?:\.\d+)?)(?=[,}])/g)];
      const one = numbers[at(numbers.length)];
      if (one === undefined) continue;
      const value = [0, 0.001, Number(one[1]) * (0.5 + random.uniform()), 10 ** (at(5) - 1), -5][at(5)] ?? 1;
      text = `${text.slice(0, one.index)}:${value}${text.slice(one.index + one[0].length)}`;
    }
    demo.now.chassis = JSON.parse(text) as Record<string, unknown>;
    const read = readDesign(JSON.stringify({ ...demo, revisions: [], proven: undefined }));
    if (!read.ok || read.value.now.chassis === undefined) {
      counts.unread++;
      continue;
    }
    const mutant = read.value.now.chassis;
    const judged = judgedOf(mutant);
    for (const face of ["top", "under"] as const)
      for (const plate of ["new", "as-it-is"] as const) {
        const drawn = cutDrawing(judged, { face, plate });
        if (!drawn.ok) {
          counts.refused++;
          expect(drawn.failure.sentence).toMatch(/\.$/);
          expect(drawn.failure.sentence).not.toMatch(/NaN|undefined|Infinity/);
          continue;
        }
        counts.drawn++;
        const dxf = toDxf(drawn.value);
        expect(dxf.ok && dxf.value).not.toMatch(/NaN|Infinity|undefined/);
        expect(toCutSvg(drawn.value)).not.toMatch(/NaN|Infinity|undefined/);
      }
    for (const { drawing } of carrierDrawings(judged)) expect(toDxf(drawing).ok).toBe(true);
    if (n % 6 !== 0 || mutant.plate.widthMillimetres > 900 || mutant.plate.depthMillimetres > 900) continue;
    for (const paper of [templatePaper(metalInput(mutant, "A4")), fabricatorPaper(metalInput(mutant, "A4"))])
      for (const page of paper?.pages ?? []) expect(offPage(page)).toEqual([]);
  }
  expect(counts.drawn).toBeGreaterThan(200);
  expect(counts.refused).toBeGreaterThan(20);
  expect(counts.unread).toBeGreaterThan(20);
});
