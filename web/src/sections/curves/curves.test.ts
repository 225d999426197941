import { applyChanges } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import { expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import { partEdit, twinsOf } from "../../state/edits.ts";
import type { Answer } from "../../worker/ask.ts";
import { openBench } from "../../worker/bench.ts";
import { curvesAsks } from "./asks.ts";

const catalogue = openCatalogue();
const { document } = demoOpen();
const bench = openBench({ document, provenKey: "" }, catalogue);

function valueOf<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): A {
  if (!("ok" in answer)) throw new Error("an answer at once");
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}

test.each(["L.V1a", "L.V1b"])("%s stands on its own load line and on its own curve", (triode) => {
  const stage = valueOf(curvesAsks.curvesStage.run(bench, { triode, inputVolts: 1 }));
  const onLine = (stage.dc.openVolts - stage.point.plateVolts) / stage.dc.ohms;
  expect(onLine / stage.point.plateAmps).toBeCloseTo(1, 3);
  expect(stage.pins.plate - stage.pins.cathode).toBeCloseTo(stage.point.plateVolts, 3);
  expect(stage.swing?.lowPlateVolts).toBeLessThan(stage.point.plateVolts);
  expect(stage.swing?.highPlateVolts).toBeGreaterThan(stage.point.plateVolts);
});

test("the family lies in its picture, and every maker's row says its source and what the law gives there", () => {
  const stage = valueOf(curvesAsks.curvesStage.run(bench, { triode: "L.V1a", inputVolts: 1 }));
  const family = valueOf(curvesAsks.curvesFamily.run(bench, { triode: "L.V1a", picture: stage.picture }));
  expect(family.curves.length).toBeGreaterThan(3);
  for (const curve of family.curves) {
    expect(Math.max(...curve.plateVolts)).toBeLessThanOrEqual(stage.picture.upToPlateVolts * 1.001);
    expect(Math.max(...curve.plateAmps)).toBeLessThanOrEqual(stage.picture.upToPlateAmps * 1.001);
  }
  for (const point of family.points) {
    expect(point.title.length).toBeGreaterThan(2);
    expect(point.lawAmps / point.plateAmps - 1).toBeCloseTo(point.lawHigherBy, 9);
  }
});

test("the point dragged to a current: the part named brings it there within its series", () => {
  const stage = valueOf(curvesAsks.curvesStage.run(bench, { triode: "L.V1a", inputVolts: 1 }));
  const wanted = stage.point.plateAmps * 0.8;
  const turned = valueOf(curvesAsks.curvesFollow.run(bench, { triode: "L.V1a", plateAmps: wanted, series: "E96" }));
  const edit = partEdit(document, twinsOf(document, turned.instance), turned.part, { value: turned.value });
  const changed = applyChanges(document, edit.changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  const there = valueOf(
    curvesAsks.curvesStage.run(openBench({ document: changed.value, provenKey: "" }, catalogue), {
      triode: "L.V1a",
      inputVolts: 1,
    }),
  );
  expect(Math.abs(there.point.plateAmps / wanted - 1)).toBeLessThan(0.02);
});
