import { applyChanges, type Document, signedAt, solveDesign, turnForFraction } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import { describe, expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import { partEdit, twinsOf } from "../../state/edits.ts";
import type { Answer } from "../../worker/ask.ts";
import { openBench } from "../../worker/bench.ts";
import { angleBetween, turnByKey } from "../../parts/knob.tsx";
import { voicingAsks } from "./asks.ts";
import { readLevel } from "./read-level.ts";

const catalogue = openCatalogue();
const { document, revisions } = demoOpen();
const { line: _line, seq: _seq, ...proven } = revisions[0] ?? (undefined as never);

function valueOf<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): A {
  if (!("ok" in answer)) throw new Error("an answer at once");
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}

/** A run in steps to its end, and how many there were. */
function inSteps<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): { readonly value: A; readonly steps: number } {
  if ("ok" in answer) return { value: valueOf(answer), steps: 0 };
  for (let steps = 0; ; steps++) {
    const step = answer.next();
    if (step.done === true) return { value: valueOf(step.value), steps };
  }
}

test("the curve passes through the levels that the whole design was solved at", () => {
  const bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  const curve = valueOf(voicingAsks.voicingCurves.run(bench, {}));
  const solved = solveDesign(document, catalogue);
  if (!solved.ok) throw new Error(solved.failure.sentence);
  for (const level of solved.value.channels[0]?.levels ?? []) {
    const at = valueOf(voicingAsks.voicingAt.run(bench, { inputVolts: level.inputVolts }));
    expect(Math.abs(at.signed[0] ?? 0)).toBeCloseTo(level.ratios[0] ?? Number.NaN, 8);
    expect(at.outputVolts).toBeCloseTo(level.outputVolts, 8);
    expect(at.gridVolts).toBeCloseTo(level.inputVolts * curve.gridShare, 9);
    const drawn = signedAt(curve.now, 0, at.gridVolts) ?? Number.NaN;
    expect(Math.abs(20 * Math.log10(drawn / (at.signed[0] ?? 1)))).toBeLessThan(0.3);
  }
});

test("what is refined behind agrees with what is drawn first, and gives way between its steps", () => {
  const bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  const coarse = valueOf(voicingAsks.voicingCurves.run(bench, {}));
  const { value: fine, steps } = inSteps(voicingAsks.voicingRefined.run(bench, {}));
  expect(steps).toBeGreaterThan(4);
  expect(fine.now.gridVolts.length).toBeGreaterThan(3 * coarse.now.gridVolts.length);
  expect(fine.now.tailDecibels).toBeLessThan(coarse.now.tailDecibels);
  for (const volts of [0.1, 0.5, 1, 2])
    for (const k of [0, 1]) {
      const [a, b] = [signedAt(coarse.now, k, volts), signedAt(fine.now, k, volts)];
      expect(Math.abs(20 * Math.log10((a ?? 0) / (b ?? 1)))).toBeLessThan(1);
    }
});

test("drive moves H2, level does not: the colour stays the same at any loudness; the curve stays where it is", () => {
  const solvedWith = (part: string, position: number) => {
    const changed = applyChanges(document, partEdit(document, twinsOf(document, "L"), part, { position }).changes);
    if (!changed.ok) throw new Error(changed.failure.sentence);
    const bench = openBench({ document: changed.value, provenKey: "" }, catalogue);
    return {
      at: valueOf(voicingAsks.voicingAt.run(bench, { inputVolts: 1 })),
      curves: valueOf(voicingAsks.voicingCurves.run(bench, {})),
    };
  };
  const bench = openBench({ document, provenKey: "" }, catalogue);
  const controls = valueOf(voicingAsks.voicingControls.run(bench, {}));
  if (controls.drive === null || controls.level === null) throw new Error("the demo has both controls");
  const [low, high] = [solvedWith(controls.drive.part, 0.6), solvedWith(controls.drive.part, 0.9)];
  expect((high.at.signed[0] ?? 0) / (low.at.signed[0] ?? 1)).toBeGreaterThan(1.5);
  expect(low.curves.now.gridVolts).toEqual(high.curves.now.gridVolts);
  expect((signedAt(low.curves.now, 0, 0.5) ?? 0) / (signedAt(high.curves.now, 0, 0.5) ?? 1)).toBeCloseTo(1, 2);
  const [quiet, loud] = [solvedWith(controls.level.part, 0.4), solvedWith(controls.level.part, 0.8)];
  expect(loud.at.outputVolts / quiet.at.outputVolts).toBeGreaterThan(2);
  expect(Math.abs(20 * Math.log10((loud.at.signed[0] ?? 1) / (quiet.at.signed[0] ?? 1)))).toBeLessThan(0.5);
});

test("a drive fully down is said, not computed", () => {
  const changed = applyChanges(document, partEdit(document, twinsOf(document, "L"), "P1", { position: 0 }).changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  const bench = openBench({ document: changed.value, proven, provenKey: "A" }, catalogue);
  for (const answer of [voicingAsks.voicingCurves.run(bench, {}), voicingAsks.voicingAt.run(bench, { inputVolts: 1 })])
    expect(answer).toMatchObject({ ok: false, failure: expect.stringContaining("fully down") });
});

test("values for a wished H2 bring it: the document with them has it", () => {
  const bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  const found = valueOf(voicingAsks.voicingReach.run(bench, { inputVolts: 1, ratio: 0.0135 }));
  const changed = applyChanges(document, found.changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  const there = valueOf(
    voicingAsks.voicingAt.run(openBench({ document: changed.value, provenKey: "" }, catalogue), { inputVolts: 1 }),
  );
  const miss = Math.abs(20 * Math.log10(Math.abs(there.signed[0] ?? 0) / 0.0135));
  expect(miss).toBeCloseTo(found.thenDecibels ?? Number.NaN, 2);
  expect(miss).toBeLessThan(1);
});

test("two tones: a low order first, a higher one where the stage clips; figures of the unit as it is were those of proven", () => {
  const bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  const clean = inSteps(voicingAsks.voicingTones.run(bench, { inputVolts: 0.5 }));
  expect(clean.steps).toBe(1);
  expect(clean.value.now.modulation.settled).toBe(true);
  const same = inSteps(
    voicingAsks.voicingTones.run(openBench({ document: proven.document, proven, provenKey: "A" }, catalogue), {
      inputVolts: 0.5,
    }),
  );
  expect(same.value.now.modulation.ratio).toBeCloseTo(same.value.was?.modulation.ratio ?? Number.NaN, 9);
});

test("at the unity mark the channel's gain is one, within what a pot can be set to", () => {
  const bench = openBench({ document, provenKey: "" }, catalogue);
  const controls = valueOf(voicingAsks.voicingControls.run(bench, {}));
  const position = controls.unityTurn;
  if (position === null || controls.level === null) throw new Error("the demo reaches unity");
  const edit = partEdit(document, twinsOf(document, "L"), controls.level.part, { position });
  const changed = applyChanges(document, edit.changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  const there = valueOf(
    voicingAsks.voicingControls.run(openBench({ document: changed.value, provenKey: "" }, catalogue), {}),
  );
  expect(Math.abs(20 * Math.log10(there.gain))).toBeLessThan(0.6);
});

describe("readings of the proven unit", () => {
  const inputVolts = 1;
  const bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  const ratio = Math.abs(valueOf(voicingAsks.voicingAt.run(bench, { inputVolts })).was?.signed[0] ?? 0.01);
  const withReadings = (...measuredH2: readonly NonNullable<Document["targets"]["measuredH2"]>[number][]) => {
    const read = { ...document, targets: { ...document.targets, measuredH2: [...measuredH2] } };
    return valueOf(
      voicingAsks.voicingCalibrated.run(openBench({ document: read, proven, provenKey: "A" }, catalogue), {}),
    );
  };
  const written = (times: number) => `${(100 * ratio * times).toPrecision(4)} %`;
  const near = ({ now }: ReturnType<typeof withReadings>) => now.find((one) => one.inputVolts >= inputVolts);

  test("that agree narrow the band and leave the figure; one that is far off is called a surprise", () => {
    const agrees = withReadings({ inputVolts, reading: written(1) });
    expect(near(agrees)?.bandDecibels).toBeLessThan(0.6 * (near(agrees)?.priorBandDecibels ?? 0));
    expect(20 * Math.log10((near(agrees)?.ratio ?? 1) / (near(agrees)?.predictedRatio ?? 1))).toBeCloseTo(0, 1);
    expect(agrees.surprise).toBe(false);
    expect(withReadings({ inputVolts, reading: written(4) }).surprise).toBe(true);
  });

  test("with the drive elsewhere count at the level that reached the grid", () => {
    const here = withReadings({ inputVolts, reading: written(1) });
    const { drive, gridShare } = valueOf(voicingAsks.voicingControls.run(bench, {}));
    if (drive === null) throw new Error("the demo has a drive");
    // Twice the level with half of it let through is the same reading.
    const turned = withReadings({
      inputVolts: 2 * inputVolts,
      reading: written(1),
      drivePosition: turnForFraction(drive.taper, drive.fraction / 2),
    });
    expect(gridShare).toBeGreaterThan(0.9);
    expect(near(turned)?.ratio).toBeCloseTo(near(here)?.ratio ?? Number.NaN, 9);
  });

  test("that cannot be read, or lie beyond the levels, are not used and do not stop the others", () => {
    const mixed = withReadings(
      { inputVolts, reading: "much" },
      { inputVolts: 60, reading: "1 %" },
      { inputVolts, reading: written(1) },
    );
    expect(mixed.readings.map((one) => one.used)).toEqual([false, false, true]);
    expect(mixed.readings.map((one) => one.deviations !== null)).toEqual([false, false, true]);
  });
});

test.each([
  ["1 V", 1],
  ["316m", 0.316],
  ["+4 dBu", 1.2277],
  ["−10 dBV", 0.31623],
  ["0 dBu", 0.7746],
])("an input of %s", (text, volts) => {
  expect(readLevel(text)).toBeCloseTo(volts, 4);
});
test.each(["", "loud", "500 V", "-90 dBu", "0.1m"])("no input: %j", (text) => {
  expect(readLevel(text)).toBeUndefined();
});

describe("the knob", () => {
  test("goes around the bottom the short way", () => {
    expect(angleBetween(170, -170)).toBe(20);
    expect(angleBetween(-170, 170)).toBe(-20);
    expect(angleBetween(10, 40)).toBe(30);
  });
  test("keys stay within its ends; Shift is finer; others turn nothing", () => {
    expect(turnByKey("ArrowUp", 0.5, false)).toBeCloseTo(0.51, 12);
    expect(turnByKey("ArrowUp", 0.5, true)).toBeCloseTo(0.502, 12);
    expect(turnByKey("PageDown", 0.05, false)).toBe(0);
    expect(turnByKey("End", 0.3, false)).toBe(1);
    expect(turnByKey("a", 0.3, false)).toBeUndefined();
  });
});
