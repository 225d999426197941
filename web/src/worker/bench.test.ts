import { solveDesign } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import { expect, test } from "vitest";
import { partEdit, twinsOf } from "../state/edits.ts";
import { demoOpen } from "../../test/demo.ts";
import { openBench } from "./bench.ts";
import { applyChanges } from "@platewright/design";

const catalogue = openCatalogue();
const { document, revisions } = demoOpen();
const revision = revisions[0];
if (revision === undefined) throw new Error("the demo has a revision");
const { line: _line, seq: _seq, ...proven } = revision;

test("a bench that starts from the last edit answers as one that starts cold, over a walk of values", () => {
  let bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  let now = document;
  for (const value of ["820", "1k", "1k5", "560", "680"]) {
    const changed = applyChanges(now, partEdit(now, twinsOf(now, "L"), "R4", { value }).changes);
    if (!changed.ok) throw new Error(changed.failure.sentence);
    now = changed.value;
    bench = openBench({ document: now, proven, provenKey: "A" }, catalogue, bench);
    const warm = bench.now();
    const cold = solveDesign(now, catalogue);
    if (!warm.ok || !cold.ok) throw new Error("not solved");
    for (const [net, volts] of cold.value.bias.netVolts)
      expect(Math.abs((warm.value.bias.netVolts.get(net) ?? 0) - volts)).toBeLessThan(1e-6);
    expect(bench.findings().ok).toBe(true);
  }
});

test("what stands without the signal is what stands with it, whichever is solved first", () => {
  const [first, second] = [
    openBench({ document, provenKey: "" }, catalogue),
    openBench({ document, provenKey: "" }, catalogue),
  ];
  const [early, now] = [first.standing(), first.now()];
  const [whole, late] = [second.now(), second.standing()];
  if (!early.ok || !now.ok || !whole.ok || !late.ok) throw new Error("not solved");
  expect(early.value.channels).toEqual([]);
  expect(now.value.channels.length).toBeGreaterThan(0);
  expect(late.value).toBe(whole.value);
  for (const [net, volts] of whole.value.bias.netVolts)
    for (const one of [early.value, now.value])
      expect(Math.abs((one.bias.netVolts.get(net) ?? Number.NaN) - volts)).toBeLessThan(1e-6);
});

test("nothing pinned: the design is its own reference and nothing differs", () => {
  const bench = openBench({ document, provenKey: "" }, catalogue);
  const differences = bench.differences();
  if (!differences.ok) throw new Error(differences.failure);
  for (const { proven: was, now } of differences.value) expect(now).toBe(was);
});

test("the proven unit is judged as a unit of its own would be, and only once", () => {
  const changed = applyChanges(document, partEdit(document, twinsOf(document, "L"), "R4", { value: "1k" }).changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  const bench = openBench({ document: changed.value, proven, provenKey: "A" }, catalogue);
  const alone = openBench({ document: proven.document, provenKey: "" }, catalogue);
  const [judged, own] = [bench.provenFindings(), alone.findings()];
  if (!judged.ok || !own.ok) throw new Error("not judged");
  expect(judged.value.map(({ id, level, value }) => ({ id, level, value }))).toEqual(
    own.value.map(({ id, level, value }) => ({ id, level, value })),
  );
  const next = openBench({ document, proven, provenKey: "A" }, catalogue, bench);
  expect(next.provenFindings()).toBe(judged);
});

test("metal that moves moves no volt: what was solved stands, and is judged with the plate as it is now", () => {
  const bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  const solved = bench.now();
  const moved = applyChanges(document, [{ target: "chassis.items[V3].x", before: 165, after: 166 }]);
  if (!moved.ok) throw new Error(moved.failure.sentence);
  const next = openBench({ document: structuredClone(moved.value), proven, provenKey: "A" }, catalogue, bench);
  expect(next.now()).toBe(solved);
  expect(next.study()).toBe(bench.study());
  expect(next.chassis()?.chassis.items.find((one) => one.id === "V3")?.x).toBe(166);
  const alone = openBench({ document: moved.value, proven, provenKey: "A" }, catalogue);
  expect(next.findings()).toEqual(alone.findings());
  const edited = applyChanges(document, partEdit(document, twinsOf(document, "L"), "R4", { value: "1k" }).changes);
  if (!edited.ok) throw new Error(edited.failure.sentence);
  expect(openBench({ document: edited.value, proven, provenKey: "A" }, catalogue, next).now()).not.toBe(solved);
});
