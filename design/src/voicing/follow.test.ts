import { readFileSync } from "node:fs";
import { openCatalogue } from "@platewright/library";
import fc from "fast-check";
import { expect, test } from "vitest";
import { readDesign } from "../document/read.ts";
import { solveDesign } from "../solved/solve.ts";
import { stageCurves } from "./curves.ts";
import { followCurrent, followLoad } from "./follow.ts";
import { withOhms } from "./part-ohms.ts";

const catalogue = openCatalogue();
const read = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!read.ok) throw new Error(read.failure.sentence);
const solved = solveDesign(read.value.now, catalogue, { detail: "bias" });
if (!solved.ok) throw new Error(solved.failure.sentence);

test("the value found puts the section where it was asked, to 0.1 % (seed 21)", () => {
  fc.assert(
    fc.property(fc.constantFrom("L.V1a", "L.V1b"), fc.double({ min: 0.5, max: 1.6, noNaN: true }), (triode, times) => {
      const wanted = (solved.value.bias.triodes.get(triode)?.plateAmps ?? 0) * times;
      const found = followCurrent(solved.value, catalogue, triode, wanted);
      // Beyond what the tube gives at zero bias there is no value: said in words, not guessed.
      if (!found.ok) return /No value|no current/.test(found.failure);
      const again = solveDesign(withOhms(solved.value.document, found.value.part, found.value.ohms), catalogue, {
        detail: "bias",
      });
      if (!again.ok) throw new Error(again.failure.sentence);
      return Math.abs((again.value.bias.triodes.get(triode)?.plateAmps ?? 0) / wanted - 1) < 1e-3;
    }),
    { seed: 21, numRuns: 24 },
  );
});

test("a load line dragged to a slope has that slope", () => {
  const before = stageCurves(solved.value, "L.V1a");
  if (!before.ok) throw new Error(before.failure);
  const wanted = before.value.dc.ohms * 1.3;
  const found = followLoad(solved.value, "L.V1a", before.value.dc.ohms, wanted);
  if (!found.ok) throw new Error(found.failure);
  const again = solveDesign(withOhms(solved.value.document, found.value.part, found.value.ohms), catalogue, {
    detail: "bias",
  });
  if (!again.ok) throw new Error(again.failure.sentence);
  const after = stageCurves(again.value, "L.V1a");
  if (!after.ok) throw new Error(after.failure);
  expect(after.value.dc.ohms / wanted).toBeCloseTo(1, 2);
});

test("nothing to turn: a section whose current a sink sets says so", () => {
  const document = {
    ...solved.value.document,
    blocks: Object.fromEntries(
      Object.entries(solved.value.document.blocks).map(([name, block]) => [
        name,
        {
          ...block,
          parts: block.parts.map((part) =>
            part.kind === "resistor" && part.id === "R4"
              ? {
                  kind: "current-sink" as const,
                  id: "R4",
                  value: "6m",
                  parallelOhms: "100k",
                  pins: part.pins.a === "0" ? { from: part.pins.b, to: "0" } : { from: part.pins.a, to: part.pins.b },
                }
              : part,
          ),
        },
      ]),
    ),
  };
  const sunk = solveDesign(document, catalogue, { detail: "bias" });
  if (!sunk.ok) throw new Error(sunk.failure.sentence);
  expect(followCurrent(sunk.value, catalogue, "L.V1a", 0.006).ok).toBe(false);
});
