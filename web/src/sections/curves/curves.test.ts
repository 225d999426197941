import { applyChanges, type Document, expand, placeType, sectionGain, stageCurves } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import fc from "fast-check";
import { expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import { partEdit, twinsOf } from "../../state/edits.ts";
import type { Answer } from "../../worker/ask.ts";
import { type Bench, openBench } from "../../worker/bench.ts";
import { curvesAsks } from "./asks.ts";
import {
  conditionWords,
  helpWords,
  lawWords,
  spanWords,
  spreadWords,
  statusWords,
  voltsWords,
  whereWords,
} from "./words.ts";

const catalogue = openCatalogue();
const { document, revisions } = demoOpen();
const revision = revisions[0];
if (revision === undefined) throw new Error("the demo has a revision");
const { line: _line, seq: _seq, ...proven } = revision;
const benchOf = (one: Document, before?: Bench) =>
  openBench({ document: one, proven, provenKey: "A" }, catalogue, before);
const bench = benchOf(document);

function valueOf<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): A {
  if (!("ok" in answer)) throw new Error("an answer at once");
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}
function failureOf<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): string {
  if (!("ok" in answer)) throw new Error("an answer at once");
  return answer.ok ? "" : answer.failure;
}

const stageOf = (on: Bench, triode = "L.V1a", inputVolts = 1) =>
  valueOf(curvesAsks.curvesStage.run(on, { triode, inputVolts }));

/** The demo with other bottles in its sockets. */
function withType(type: string): Document {
  const expanded = expand(document);
  if (!expanded.ok) throw new Error(expanded.failure.sentence);
  return placeType(document, expanded.value, catalogue, ["V1", "V2"], type).document;
}

test.each(["L.V1a", "L.V1b"])(
  "%s stands on its own load line, as the rooms have it, and its pins are those of its base",
  (triode) => {
    const stage = stageOf(bench, triode);
    const onLine = (stage.dc.openVolts - stage.point.plateVolts) / stage.dc.ohms;
    expect(onLine / stage.point.plateAmps).toBeCloseTo(1, 3);
    const [plate, grid, cathode] = stage.pins;
    expect((plate?.volts ?? 0) - (cathode?.volts ?? 0)).toBeCloseTo(stage.point.plateVolts, 3);
    expect((grid?.volts ?? 0) - (cathode?.volts ?? 0)).toBeCloseTo(stage.point.gridVolts, 3);
    const pins = catalogue.tube("5687")?.bases[0]?.pins ?? {};
    const section = triode === "L.V1a" ? pins[plate?.pin ?? ""] : pins[cathode?.pin ?? ""];
    expect(section?.kind).toBe(triode === "L.V1a" ? "plate" : "cathode");
    expect(stage.swing?.lowPlateVolts).toBeLessThan(stage.point.plateVolts);
    expect(stage.swing?.highPlateVolts).toBeGreaterThan(stage.point.plateVolts);
    const now = bench.now();
    if (!now.ok) throw new Error(now.failure);
    const curves = stageCurves(now.value, triode);
    const gain = sectionGain(now.value, triode);
    if (!curves.ok || !gain.ok) throw new Error("not solved");
    expect(stage.point.plateAmps).toBeCloseTo(curves.value.at.plateAmps, 9);
    expect(stage.gain).toBeCloseTo(gain.value, 6);
  },
);

test("what moves in a drag is answered without the signal solved, and is what it is with it", () => {
  const edit = partEdit(document, twinsOf(document, "L"), "R4", { value: "820" });
  const changed = applyChanges(document, edit.changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  const [quick, whole] = [benchOf(changed.value, bench), benchOf(changed.value)];
  const early = stageOf(quick);
  expect(quick.solved()?.channels).toEqual([]);
  expect(whole.now().ok).toBe(true);
  const late = stageOf(whole);
  expect(early.point.plateAmps / late.point.plateAmps).toBeCloseTo(1, 6);
  expect((early.swing?.highPlateVolts ?? 0) / (late.swing?.highPlateVolts ?? 1)).toBeCloseTo(1, 5);
  expect(early.was?.point.plateAmps).toBe(stageOf(bench).was?.point.plateAmps);
});

test("the family lies in its picture, and every maker's row says its source and what the law gives there", () => {
  const stage = stageOf(bench);
  for (const picture of [stage.pictures.near, stage.pictures.whole]) {
    const family = valueOf(curvesAsks.curvesFamily.run(bench, { triode: "L.V1a", picture }));
    expect(family.curves.length).toBeGreaterThan(5);
    for (const curve of family.curves) {
      expect(Math.max(...curve.plateVolts)).toBeLessThanOrEqual(picture.upToPlateVolts * 1.001);
      expect(Math.max(...curve.plateAmps)).toBeLessThanOrEqual(picture.upToPlateAmps * 1.001);
    }
    for (const point of family.points) {
      expect(point.title.length).toBeGreaterThan(2);
      expect(point.lawAmps / point.plateAmps - 1).toBeCloseTo(point.lawHigherBy, 9);
    }
  }
  const whole = valueOf(curvesAsks.curvesFamily.run(bench, { triode: "L.V1a", picture: stage.pictures.whole }));
  expect(whole.outside).toBe(0);
  expect(whole.provenCurves).toEqual([]);
});

test("a family is the same object through edits of values, and another with another type; the proven one lies behind it", () => {
  const { near } = stageOf(bench).pictures;
  const at = { triode: "L.V1a", picture: near };
  const one = valueOf(curvesAsks.curvesFamily.run(bench, at));
  const edit = applyChanges(document, partEdit(document, twinsOf(document, "L"), "R4", { value: "820" }).changes);
  if (!edit.ok) throw new Error(edit.failure.sentence);
  expect(valueOf(curvesAsks.curvesFamily.run(benchOf(edit.value, bench), at))).toBe(one);
  const other = valueOf(curvesAsks.curvesFamily.run(benchOf(withType("12BH7A"), bench), at));
  expect(other.key).not.toBe(one.key);
  expect([other.type, other.provenType]).toEqual(["12BH7A", "5687"]);
  expect(other.provenCurves).toEqual(one.curves);
  expect(other.curves).not.toEqual(one.curves);
});

test("the point dragged to a current: the part named brings it there within its series (seed 61)", () => {
  const stage = stageOf(bench);
  fc.assert(
    fc.property(fc.double({ min: 0.5, max: 1.2, noNaN: true }), (times) => {
      const wanted = stage.point.plateAmps * times;
      const turned = valueOf(curvesAsks.curvesFollow.run(bench, { triode: "L.V1a", plateAmps: wanted, series: "E96" }));
      const edit = partEdit(document, twinsOf(document, turned.instance), turned.part, { value: turned.value });
      const changed = applyChanges(document, edit.changes);
      if (!changed.ok) throw new Error(changed.failure.sentence);
      return Math.abs(stageOf(benchOf(changed.value, bench)).point.plateAmps / wanted - 1) < 0.02;
    }),
    { seed: 61, numRuns: 6 },
  );
});

test("the load line's end dragged: the plate load named gives that line within its series", () => {
  const stage = stageOf(bench);
  const loadOhms = stage.dc.ohms * 1.5;
  const turned = valueOf(curvesAsks.curvesFollow.run(bench, { triode: "L.V1a", loadOhms, series: "E96" }));
  expect(turned.part).toBe(stage.loadedBy?.part);
  const edit = partEdit(document, twinsOf(document, turned.instance), turned.part, { value: turned.value });
  const changed = applyChanges(document, edit.changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  expect(Math.abs(stageOf(benchOf(changed.value, bench)).dc.ohms / loadOhms - 1)).toBeLessThan(0.02);
});

test("what cannot be reached is answered in a sentence", () => {
  const { dc } = stageOf(bench);
  expect(
    failureOf(curvesAsks.curvesFollow.run(bench, { triode: "L.V1a", plateAmps: 2 * dc.shortAmps, series: "E24" })),
  ).toMatch(/gives no more than/);
  expect(failureOf(curvesAsks.curvesFollow.run(bench, { triode: "L.V1a", series: "E24" }))).toMatch(/Neither/);
  expect(failureOf(curvesAsks.curvesStage.run(bench, { triode: "L.V9", inputVolts: 1 }))).toMatch(/L\.V9/);
});

test("a section that a current sink sets: it is drawn, and says why nothing follows", () => {
  const sunk: Document = {
    ...document,
    blocks: Object.fromEntries(
      Object.entries(document.blocks).map(([name, block]) => [
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
  const on = benchOf(sunk);
  const stage = stageOf(on);
  expect(stage.setBy).toBeNull();
  expect(stage.point.plateAmps).toBeCloseTo(0.006, 3);
  expect(failureOf(curvesAsks.curvesFollow.run(on, { triode: "L.V1a", plateAmps: 0.005, series: "E24" }))).toMatch(
    /current sink/,
  );
});

test("mu, gm and rp pass through the point where the section stands, inside their bands; rows say where they were published", () => {
  const {
    now,
    rows,
    transfer,
    proven: before,
  } = valueOf(curvesAsks.curvesSlopes.run(bench, { triode: "L.V1a", upToPlateAmps: 0.02 }));
  const { plateAmps } = now.at;
  const above = now.plateAmps.findIndex((amps) => amps >= plateAmps);
  expect(now.mu[above - 1]).toBeLessThan(now.at.mu * 1.001);
  expect(now.mu[above]).toBeGreaterThan(now.at.mu * 0.999);
  const near = now.bands.plateAmps.findIndex((amps) => amps >= plateAmps);
  expect(now.bands.mu.low[near]).toBeLessThan(now.at.mu);
  expect(now.bands.mu.high[near]).toBeGreaterThan(now.at.mu);
  const currents = (catalogue.tube("5687")?.points ?? []).flatMap((point) => point.plateAmps ?? []);
  expect(currents).toContain(rows?.fromAmps);
  expect(currents).toContain(rows?.toAmps);
  expect(transfer.at.plateAmps).toBe(plateAmps);
  expect(before?.slopes.at.plateAmps).toBeCloseTo(plateAmps, 9);
});

test("what the data leaves open is of the record of this type", () => {
  const open = valueOf(curvesAsks.curvesOpen.run(bench, { triode: "L.V1a", inputVolts: 1 }));
  const record = catalogue.law("5687");
  expect(open.rows).toBe(3);
  expect(open.open.map((one) => one.name).sort()).toEqual(
    (record?.parameters ?? []).flatMap((one) => (one.determined ? [] : [one.name])).sort(),
  );
  // The 5687 has no cut-off row; the 12BH7A has: it is not what is called the worst.
  const other = valueOf(curvesAsks.curvesOpen.run(benchOf(withType("12BH7A")), { triode: "L.V1a", inputVolts: 1 }));
  expect(Math.abs(other.worst?.share ?? 1)).toBeLessThan(0.15);
  const worst = Math.max(...(record?.residuals ?? []).map((one) => Math.abs(one.predicted / one.published - 1)));
  expect(Math.abs(open.worst?.share ?? 0)).toBeCloseTo(worst, 12);
});

test("words: volts never in thousandths, what is nothing is 0, shares with their sign", () => {
  const said = (text: string) => text.replace(/\s/gu, " ");
  expect([4.853, -0.731, -1.6e-11, 124.4].map((volts) => said(voltsWords(volts)))).toEqual([
    "4.85 V",
    "−0.73 V",
    "0 V",
    "124 V",
  ]);
  expect(said(spanWords(88.51, 126.8))).toBe("89 to 127 V");
  expect(said(spanWords(3.21, 8.04))).toBe("3.21 to 8.04 V");
  const point = {
    plateVolts: 250,
    gridVolts: -10.5,
    plateAmps: 0.0115,
    status: "quoted",
    source: "X",
    title: "A sheet",
    note: "p. 2",
    reading: "curve",
    readTo: { fraction: 0.03 },
    lawAmps: 0.0119,
    lawHigherBy: 0.035,
    id: "row-0",
  };
  expect(said(conditionWords(point))).toBe("250 V, −10.5 V: 11.5 mA");
  expect(said(whereWords(point))).toBe("A sheet; p. 2; read off a curve to ±3 %");
  expect(said(lawWords(point))).toBe("the law gives 11.9 mA here, +3.5 %");
  expect(statusWords({ ...point, status: "memory", confidence: "medium" })).toBe("from memory, medium confidence");
  expect(said(spreadWords("k", 0.5))).toBe("±50 %");
  expect(said(spreadWords("Vct", 0.56))).toBe("±0.56 V");
  expect(said(spreadWords("a", 1.1))).toBe("factor 3");
  expect(
    said(helpWords({ reading: "plate-current", plateVolts: 250, gridVolts: -20, plateAmps: 1.8e-4, leaves: 0.63 }, 1)),
  ).toBe("current at 250 V, −20 V (about 180 µA): 63 %");
});
