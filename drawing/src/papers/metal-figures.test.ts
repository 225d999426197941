/** Template and fabricator's drawing of plates that the demo is not: every figure found again, and printed as it is. */
import { readFileSync } from "node:fs";
import { type Chassis, judgedChassis, readDesign } from "@platewright/design";
import { expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import { flatten } from "../bounds.ts";
import { fabricatorPaper } from "./fabricator-paper.ts";
import type { PackInput } from "./pack-input.ts";
import { templatePaper } from "./template.ts";
import { metalOf } from "./test-metal.ts";

const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok || file.value.now.chassis === undefined) throw new Error("the demo has a chassis");
const demo = file.value.now;
const chassis = file.value.now.chassis;

const bent: Chassis = {
  ...chassis,
  holes: [],
  plate: {
    ...chassis.plate,
    widthMillimetres: 420,
    depthMillimetres: 260,
    cornerRadiusMillimetres: 4,
    bends: [
      { edge: "left", insideRadiusMillimetres: 1.5, flangeMillimetres: 32 },
      { edge: "rear", insideRadiusMillimetres: 3, flangeMillimetres: 45 },
    ],
  },
};
const ringed = (by: "adapter-ring" | "cover-plate"): Chassis => ({
  ...chassis,
  items: chassis.items.map((one) => (one.id === "V3" ? { ...one, footprint: "7-pin-saddle-above", degrees: 0 } : one)),
  salvage: [{ hole: "H3", item: "V3", by }],
});

test.each([
  ["a bent plate that is not cut yet", bent],
  ["a ring", ringed("adapter-ring")],
  ["a cover plate", ringed("cover-plate")],
])("%s", (_name, plate) => {
  const document = { ...demo, chassis: plate };
  const judged = judgedChassis({ document, footprints, catalogue: openCatalogue() });
  if (judged === undefined) throw new Error("there is a chassis");
  const asked: Pick<PackInput, "document" | "revision" | "date" | "findings" | "chassis" | "size"> = {
    document,
    revision: "A",
    date: "2026-11-25",
    findings: [],
    chassis: judged,
    size: "A4",
  };
  expect(judged.holes.refused).toEqual([]);
  for (const paper of [templatePaper(asked as PackInput), fabricatorPaper(asked as PackInput)]) {
    if (paper === undefined) throw new Error("both are drawn");
    const texts = paper.pages.flatMap((page) => flatten(page.items));
    expect(paper.figures.length).toBeGreaterThan(20);
    for (const figure of paper.figures) {
      // The mass of a bent blank has no second way here; that of a flat plate is in the walk of the pack.
      if (figure.of === "cut/mass" && plate === bent) continue;
      const wanted = metalOf(document, footprints, figure.of);
      expect(wanted, figure.of).toBeTypeOf("number");
      expect(Math.abs(figure.value - (wanted ?? Number.NaN)), figure.of).toBeLessThan(1e-9);
      expect(Math.abs(Number(figure.text.replace("−", "-")) - figure.value), figure.of).toBeLessThanOrEqual(0.005001);
      const stands = texts.some(
        (item) =>
          item.kind === "text" && item.ids?.includes(`=${figure.of}`) === true && item.text.includes(figure.text),
      );
      expect(stands, `${figure.of} ${figure.text}`).toBe(true);
    }
  }
});
