import { studySupply } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import fc from "fast-check";
import { expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import type { Answer } from "../../worker/ask.ts";
import { openBench } from "../../worker/bench.ts";
import { supplyAsks } from "./asks.ts";
import { decimated } from "./decimated.ts";

const catalogue = openCatalogue();
const { document } = demoOpen();
const bench = openBench({ document, provenKey: "" }, catalogue);

function valueOf<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): A {
  if (!("ok" in answer)) throw new Error("an answer at once");
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}

test("the sheet's volts and shares are the study's, node by node and part by part", () => {
  const study = studySupply(document, catalogue);
  if (!study.ok) throw new Error(study.failure.sentence);
  const shown = valueOf(supplyAsks.supplyConditions.run(bench, {}));
  expect(shown.nodes.length).toBeGreaterThan(4);
  for (const [n, condition] of shown.conditions.entries()) {
    const row = study.value.rows.find((one) => one.condition.id === condition.id);
    for (const node of shown.nodes) expect(node.volts[n]).toBeCloseTo(row?.nodes[node.net]?.volts ?? Number.NaN, 3);
    for (const part of shown.parts)
      if (part.shares[n] !== null) expect(part.shares[n]).toBeCloseTo(row?.parts[part.id]?.fraction ?? Number.NaN, 4);
  }
});

test("a mains cycle closes: its ends agree, and the mean of the path currents is the load", () => {
  const cycle = valueOf(supplyAsks.supplyCycle.run(bench, {}));
  const nominal = valueOf(supplyAsks.supplyNominal.run(bench, {}));
  const volts = cycle.firstCapacitorVolts;
  expect(Math.abs((volts[0] ?? 0) - (volts.at(-1) ?? 0))).toBeLessThan(0.2);
  const span = (cycle.seconds.at(-1) ?? 0) - (cycle.seconds[0] ?? 0);
  let charge = 0;
  for (const path of cycle.pathAmps)
    for (let n = 1; n < path.length; n++)
      charge += (((path[n] ?? 0) + (path[n - 1] ?? 0)) / 2) * ((cycle.seconds[n] ?? 0) - (cycle.seconds[n - 1] ?? 0));
  expect(charge / span / nominal.loadAmps).toBeCloseTo(1, 1);
});

test("a wish for volts is answered by a change that brings them", () => {
  const fix = valueOf(supplyAsks.supplyWish.run(bench, { what: "B2", value: 240 }));
  expect(fix.changes.length).toBeGreaterThan(0);
  expect(fix.title).toMatch(/R1/);
});

test("a curve thinned keeps its ends, rises, and never has a gap wider than two of its steps (seed 8)", () => {
  fc.assert(
    fc.property(
      fc.array(fc.double({ min: 1e-6, max: 1, noNaN: true }), { minLength: 2, maxLength: 400 }),
      fc.integer({ min: 3, max: 120 }),
      (steps, most) => {
        let at = 0;
        const times = steps.map((step) => (at += step));
        const kept = decimated(times, most);
        expect(kept[0]).toBe(0);
        expect(kept.at(-1)).toBe(times.length - 1);
        expect(kept.length).toBeLessThanOrEqual(Math.max(most + 1, times.length <= most ? times.length : 0));
        for (let n = 1; n < kept.length; n++) expect(kept[n]).toBeGreaterThan(kept[n - 1] ?? -1);
      },
    ),
    { seed: 8 },
  );
});
