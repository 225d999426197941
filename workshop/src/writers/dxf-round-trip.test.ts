/** Our own DXF read back by our own import: the same plate and holes; and files that were damaged on the way. */
import { boundsOf, type Chassis, contourArea, contourOf, importDxf, outlineOf, solidOf } from "@platewright/design";
import { cutDrawing } from "@platewright/drawing";
import type { HoleShape } from "@platewright/engine";
import fc from "fast-check";
import { expect, test } from "vitest";
import { toDxf } from "./dxf.ts";
import { demo, judgedOf, plates } from "./test-plates.ts";

const [SEED, MUTANTS] = [60_602, 60_603];

function fileOf(chassis: Chassis) {
  const drawing = cutDrawing(judgedOf(chassis), { face: "top" });
  if (!drawing.ok) throw new Error(drawing.failure.sentence);
  const text = toDxf(drawing.value);
  if (!text.ok) throw new Error(text.failure.sentence);
  return { drawing: drawing.value, text: text.value };
}

/** What does not depend on how an outline is told: a box, an area, the corner's radius. */
function measuresOf(shape: HoleShape, x: number, y: number): readonly number[] {
  const outline = outlineOf(shape, { x, y });
  const { left, right, front, rear } = boundsOf(solidOf(outline));
  const area =
    outline.kind === "circle" ? (Math.PI / 4) * outline.diameterMillimetres ** 2 : contourArea(contourOf(outline));
  return [left, right, front, rear, Math.sqrt(area)];
}

test(`sizes and holes come back within a millionth of a millimetre (seed ${SEED})`, () => {
  fc.assert(
    fc.property(plates, (chassis) => {
      const flat: Chassis = { ...chassis, plate: { ...chassis.plate, bends: [] } };
      const { drawing, text } = fileOf(flat);
      const back = importDxf(text, { state: "planned" });
      if (!back.ok) throw new Error(back.failure.sentence);
      expect(back.value.refused).toEqual([]);
      expect(back.value.units).toBe("mm");
      expect(back.value.widthMillimetres).toBeCloseTo(chassis.plate.widthMillimetres, 6);
      expect(back.value.depthMillimetres).toBeCloseTo(chassis.plate.depthMillimetres, 6);
      expect(back.value.cornerRadiusMillimetres ?? 0).toBeCloseTo(chassis.plate.cornerRadiusMillimetres ?? 0, 6);
      expect(back.value.holes).toHaveLength(drawing.holes.length);
      for (const hole of drawing.holes) {
        const wanted = measuresOf(hole.shape, hole.x, hole.y);
        const found = back.value.holes.some((one) =>
          measuresOf(one.shape, one.x, one.y).every((value, n) => Math.abs(value - (wanted[n] ?? 0)) <= 1e-6),
        );
        expect(found, JSON.stringify(hole)).toBe(true);
      }
    }),
    { seed: SEED, numRuns: 150 },
  );
});

test(`2,000 damaged files are answered, none throws (seed ${MUTANTS})`, () => {
  const { text } = fileOf(demo().chassis);
  const lines = text.split("\r\n");
  const words = [
    "",
    "NaN",
    "1e308",
    "-1e308",
    "INSERT",
    "SECTION",
    "ENDSEC",
    "EOF",
    "POLYLINE",
    "VERTEX",
    "0",
    "8",
    "42",
    "70",
    "\u0000",
    "9".repeat(400),
  ];
  const harm = fc.record({
    at: fc.integer({ min: 0, max: lines.length - 1 }),
    how: fc.constantFrom("value", "value", "value", "replace", "drop", "twice", "swap", "cut"),
    word: fc.oneof(fc.constantFrom(...words), fc.string({ maxLength: 12 }), fc.double().map(String)),
  });
  let read = 0;
  fc.assert(
    fc.property(fc.array(harm, { minLength: 1, maxLength: 4 }), (harms) => {
      let all = [...lines];
      for (const { at, how, word } of harms) {
        const n = at % Math.max(1, all.length);
        // Codes and values alternate: a changed value leaves the file readable.
        if (how === "value") all[n | 1] = word;
        else if (how === "replace") all[n] = word;
        else if (how === "drop") all.splice(n, 1);
        else if (how === "twice") all.splice(n, 0, all[n] ?? "");
        else if (how === "swap") [all[n], all[n - 1]] = [all[n - 1] ?? "", all[n] ?? ""];
        else all = all.slice(0, n);
      }
      const done = importDxf(all.join("\r\n"), { state: "cut" });
      if (!done.ok) {
        expect(done.failure.sentence.length).toBeGreaterThan(10);
        // What stands in the file itself is quoted.
        expect(done.failure.sentence.replace(/'[^']*'/, "")).not.toMatch(/NaN|undefined|Infinity/);
        return;
      }
      read++;
      for (const one of done.value.holes)
        for (const value of measuresOf(one.shape, one.x, one.y)) expect(Number.isFinite(value)).toBe(true);
    }),
    { seed: MUTANTS, numRuns: 2000 },
  );
  expect(read).toBeGreaterThan(200);
});
