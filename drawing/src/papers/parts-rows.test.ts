import { readFileSync } from "node:fs";
import { type Document, judgedChassis, readDesign, solveDesign } from "@platewright/design";
import { expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import type { PackInput } from "./pack-input.ts";
import { sizeOf } from "./part-size.ts";
import { partsRows, partsTable } from "./parts-rows.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error("the demo does not read");
const demo = file.value.now;

function inputOf(document: Document): PackInput {
  const solved = solveDesign(document, catalogue);
  if (!solved.ok) throw new Error(solved.failure.sentence);
  const chassis = judgedChassis({ document, catalogue, footprints });
  return {
    document,
    revision: "A",
    date: "2026-11-25",
    solved: solved.value,
    findings: [],
    ...(chassis === undefined ? {} : { chassis }),
    tubes: [],
    catalogue,
    size: "A4",
  };
}

const rowOf = (input: PackInput, id: string) => partsRows(input).find((row) => row.ids.includes(id));

test("gangs on one shaft are one control; apart on the plate, or without a plate, they are two", () => {
  const together = rowOf(inputOf(demo), "L.P1");
  expect([together?.count, together?.value]).toEqual([1, "50k log, dual"]);
  const { chassis, ...bare } = demo;
  expect([rowOf(inputOf(bare), "L.P1")?.count, rowOf(inputOf(bare), "L.P1")?.value]).toEqual([2, "50k log"]);
  if (chassis === undefined) throw new Error("the demo has a chassis");
  const items = chassis.items.flatMap((item) =>
    item.id === "DRIVE"
      ? [
          { ...item, what: { part: "L.P1" } },
          { ...item, id: "DRIVE-R", what: { part: "R.P1" }, x: 150 },
        ]
      : [item],
  );
  expect(rowOf(inputOf({ ...demo, chassis: { ...chassis, items } }), "L.P1")?.count).toBe(2);
});

test("sections of one can name each other", () => {
  const input = inputOf(demo);
  expect(rowOf(input, "PS.C1")?.what).toMatch(/in one body with PS\.C2$/);
  expect(rowOf(input, "PS.C2")?.what).toMatch(/in one body with PS\.C1$/);
  expect(rowOf(input, "PS.C3")?.what).not.toMatch(/one body/);
});

test("sizes: of the footprint, of the sheet, usual for the watts, else none", () => {
  const input = inputOf(demo);
  const can = footprints.footprint("can-30-clamp")?.above.find((body) => body.what === "can");
  expect(sizeOf(input, { part: "PS.C1" })).toEqual({ words: `Ø 30 × ${can?.heightMillimetres ?? 0}`, usual: false });
  const sheet = catalogue.tube("5687")?.dimensions;
  expect(sizeOf(input, { envelope: "V1" })?.words).toContain(`Ø ${1000 * (sheet?.diameter?.value ?? Number.NaN)}`);
  expect(sizeOf(input, { socketOf: "V1" })?.words).toBe("hole Ø 22");
  expect(sizeOf(input, { part: "L.R3" })).toEqual({ words: "Ø 5.5 × 16", usual: true });
  expect(sizeOf(input, { part: "L.C2" })).toBeUndefined();
});

test("the CSV has the sizes in a column of their own, plain", () => {
  const [head, ...rows] = partsTable(inputOf(demo));
  const column = head?.indexOf("size mm") ?? -1;
  expect(column).toBeGreaterThan(0);
  expect(rows.every((row) => row.length === head?.length)).toBe(true);
  expect(rows.find((row) => row[0] === "PS.C1")?.[column]).toBe("Ø 30 × 50");
});
