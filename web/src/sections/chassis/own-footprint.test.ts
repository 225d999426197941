/** Measured parts: every footprint of the library goes through its form and comes out as it was, or with what was typed. */
import { readFileSync } from "node:fs";
import { applyChanges, type OwnFootprint, readDesign } from "@platewright/design";
import type { Footprint } from "@platewright/engine";
import { footprints } from "@platewright/library";
import fc from "fast-check";
import { expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import { FOOTPRINT_KINDS } from "./kind-words.ts";
import { keepFootprint } from "./metal-edits.ts";
import { filledFrom, measured, measuresOf, roundPart } from "./own-footprint.ts";

const { document } = demoOpen();

/** Through the file and back: what the schema refuses is seen. */
function kept(own: OwnFootprint) {
  const edit = keepFootprint(document, own, undefined);
  if (!edit.ok) throw new Error(edit.failure);
  const after = applyChanges(document, edit.value.changes);
  if (!after.ok) throw new Error(after.failure.sentence);
  const file = JSON.parse(readFileSync("examples/hearth/hearth.design.json", "utf8")) as Record<string, unknown>;
  const read = readDesign(JSON.stringify({ ...file, now: after.value }));
  if (!read.ok) throw new Error(read.failure.sentence);
  return read.value.now.chassis?.footprints ?? [];
}

const named = ({ id, label }: Pick<Footprint, "id" | "label">) => ({ id: `my-${id}`, label: `my ${label}`, note: "" });

test.each(footprints.all.map((one) => [one.id, one] as const))(
  "%s, untouched, is the same part and is read again",
  (_id, print) => {
    const read = measured(print, filledFrom(measuresOf(print)), named(print));
    if (!read.ok) throw new Error(read.failure);
    const [own] = kept(read.value);
    const { provenance: _provenance, ...plain } = print;
    expect(own).toEqual(JSON.parse(JSON.stringify({ ...plain, id: `my-${print.id}`, label: `my ${print.label}` })));
  },
);

test("every kind of the library has its words, and a round part of every kind is read again", () => {
  for (const { kind } of footprints.all) expect(FOOTPRINT_KINDS.map((one) => one.value)).toContain(kind);
  for (const { value } of FOOTPRINT_KINDS) {
    const print = roundPart(value);
    const read = measured(print, filledFrom(measuresOf(print)), { id: "mine", label: "mine", note: "as bought" });
    if (!read.ok) throw new Error(read.failure);
    expect(kept(read.value)[0]?.note).toBe("as bought");
  }
});

test("a typed size is the part's, and only that, seed 46", () => {
  fc.assert(
    fc.property(
      fc.constantFrom(...footprints.all),
      fc.nat(30),
      fc.integer({ min: 5, max: 190 }).map((n) => n / 10),
      (print, at, size) => {
        const measures = measuresOf(print);
        const one = measures[at % measures.length];
        if (one === undefined) return;
        const read = measured(print, { ...filledFrom(measures), [one.key]: String(size) }, named(print));
        if (!read.ok) throw new Error(read.failure);
        const after = measuresOf({
          ...read.value,
          provenance: { status: "measured", source: "document" },
        } as Footprint);
        for (const [n, { key, millimetres }] of after.entries())
          if (key === one.key) expect(millimetres).toBeCloseTo(size, 9);
          else expect(millimetres, key).toBe(measures[n]?.millimetres);
      },
    ),
    { seed: 46, numRuns: 300 },
  );
});

test("the 7-pin socket with screws at 24 mm: both move, about the middle", () => {
  const print = footprints.footprint("7-pin-saddle-above");
  if (print === undefined) throw new Error("the library has it");
  const measures = measuresOf(print);
  const apart = measures.find((one) => one.key.includes("apart"));
  expect(apart?.millimetres).toBeCloseTo(22.2, 9);
  const read = measured(print, { ...filledFrom(measures), [apart?.key ?? ""]: "24" }, named(print));
  if (!read.ok) throw new Error(read.failure);
  const screws = read.value.holes.filter((one) => one.purpose === "screw");
  expect(screws.map((one) => Math.hypot(one.x, one.y))).toEqual([12, 12]);
});

test("what is wrong is said with the name of its field", () => {
  const print = roundPart("lamp");
  const filled = filledFrom(measuresOf(print));
  const said = (more: Record<string, string>, id = "mine", label = "mine") => {
    const read = measured(print, { ...filled, ...more }, { id, label, note: "" });
    return read.ok ? "" : read.failure;
  };
  expect(said({ "holes.0.diameter": "wide" })).toMatch(/^Hole of the body, diameter: 'wide' is not a length/);
  expect(said({ "holes.0.diameter": "0" })).toMatch(/above 0/);
  expect(said({ thickest: "80" })).toMatch(/Plate, thickest that it takes:.*50 mm/);
  expect(said({}, "my lamp")).toMatch(/Short name/);
  expect(said({}, "mine", " ")).toMatch(/called/);
});
