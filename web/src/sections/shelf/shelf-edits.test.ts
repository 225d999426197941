import { applyChanges, onShelf, resistancesOf, type ShelfFile } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import fc from "fast-check";
import { expect, test } from "vitest";
import { demoOpen, demoShelf } from "../../../test/demo.ts";
import { openBench } from "../../worker/bench.ts";
import { shelfAsks } from "./asks.ts";
import { addTransformer, cellOf, countResistors, countTubes, removeTubes, resistanceAt } from "./shelf-edits.ts";
import { fitTransformer } from "./transformers.tsx";

const { shelf } = demoShelf();
const { document } = demoOpen();
const catalogue = openCatalogue();

function after(from: ShelfFile, { changes }: ReturnType<typeof countTubes>): ShelfFile {
  const changed = applyChanges(from, changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  return changed.value;
}

test("tubes counted are tubes that the searches find on the shelf", () => {
  expect(onShelf(after(shelf, countTubes(shelf, "12AU7A", 7)), catalogue, "12AU7A")).toBe(7);
  expect(onShelf(after(shelf, countTubes(shelf, "5687", 0)), catalogue, "5687")).toBe(0);
  expect(after(shelf, removeTubes(shelf, "5687")).tubes.some((one) => one.type === "5687")).toBe(false);
});

test("a counted resistor is what its cell shows, and the searches may use it while pieces are left (seed 3)", () => {
  fc.assert(
    fc.property(
      fc.constantFrom(10, 100, 1e3, 1e4, 1e5),
      fc.constantFrom(10, 15, 22, 47, 82),
      fc.nat(500),
      (decade, digits, count) => {
        const ohms = resistanceAt(decade, digits as 10);
        const bare = { ...shelf, resistors: [] };
        const next = after(bare, countResistors(bare, 0.6, ohms, count));
        expect(cellOf(next, 0.6, ohms)).toEqual({ kind: "count", count });
        // With nothing left on the shelf the searches fall back to E12.
        if (count > 0) expect(resistancesOf(next)).toEqual([ohms]);
      },
    ),
    { seed: 3 },
  );
});

test("a transformer from the shelf takes over the ids that the heater wires name, and the design still solves", () => {
  const fitted = document.supply?.transformer;
  if (fitted === undefined) throw new Error("the demo has a transformer");
  const other = {
    ...fitted,
    label: "another",
    heaters: fitted.heaters.map((one) => ({ ...one, id: "X9", reference: "0", ratedAmps: 4 })),
  };
  const changes = fitTransformer(document, other);
  if (changes === undefined) throw new Error("it fits");
  const changed = applyChanges(document, changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  expect(changed.value.supply?.transformer.heaters[0]).toMatchObject({
    id: fitted.heaters[0]?.id,
    reference: fitted.heaters[0]?.reference,
    ratedAmps: 4,
  });
  expect(openBench({ document: changed.value, provenKey: "" }, catalogue).now().ok).toBe(true);
  expect(fitTransformer(document, { ...other, heaters: [] })).toBeUndefined();
  expect(after(shelf, addTransformer(shelf, fitted)).transformers).toHaveLength(shelf.transformers.length + 1);
});

test("every type of the library can be laid beside another; each figure has a source and a standing", () => {
  const bench = openBench({ document, provenKey: "" }, catalogue);
  for (const type of catalogue.types) {
    const answer = shelfAsks.compareTubes.run(bench, { types: [type, "12AU7A"] });
    if (!("ok" in answer) || !answer.ok) throw new Error(`${type}: not compared`);
    for (const line of answer.value.lines)
      for (const value of line.values)
        if (value !== null) {
          expect(value.source.length).toBeGreaterThan(2);
          expect(["published", "quoted", "memory", "derived"]).toContain(value.status);
        }
  }
});
