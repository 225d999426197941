import { applyChanges, solveDesign } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import { expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import { partEdit, twinsOf } from "../../state/edits.ts";
import type { Answer } from "../../worker/ask.ts";
import { openBench } from "../../worker/bench.ts";
import { voicingAsks } from "./asks.ts";

const catalogue = openCatalogue();
const { document, revisions } = demoOpen();
const { line: _line, seq: _seq, ...proven } = revisions[0] ?? (undefined as never);

function valueOf<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): A {
  if (!("ok" in answer)) throw new Error("an answer at once");
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}

test("the curve passes through the levels that the whole design was solved at", () => {
  const bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  const curve = valueOf(voicingAsks.voicingCurves.run(bench, {}));
  const solved = solveDesign(document, catalogue);
  if (!solved.ok) throw new Error(solved.failure.sentence);
  for (const level of solved.value.channels[0]?.levels ?? []) {
    const at = valueOf(voicingAsks.voicingAt.run(bench, { inputVolts: level.inputVolts }));
    expect(at.ratios[0]).toBeCloseTo(level.ratios[0] ?? Number.NaN, 8);
    expect(at.outputVolts).toBeCloseTo(level.outputVolts, 8);
    const n = curve.now.inputVolts.findIndex((volts) => volts > level.inputVolts);
    const [low, high] = [curve.now.ratios[0]?.[n - 1] ?? 0, curve.now.ratios[0]?.[n] ?? 0];
    expect(level.ratios[0]).toBeGreaterThan(0.98 * low);
    expect(level.ratios[0]).toBeLessThan(1.02 * high);
  }
});

test("one cycle is the sum of its harmonics: its rms is the output's, its residue's that of the distortion", () => {
  const bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  const level = valueOf(voicingAsks.voicingAt.run(bench, { inputVolts: 2 }));
  const rms = (wave: readonly number[]) =>
    Math.sqrt(wave.slice(1).reduce((sum, value) => sum + value * value, 0) / (wave.length - 1));
  expect(rms(level.wave.signal) / level.outputVolts).toBeCloseTo(1, 3);
  const fundamental = level.outputVolts / Math.hypot(1, level.total);
  expect(rms(level.wave.residue) / (fundamental * level.total)).toBeCloseTo(1, 2);
});

test("drive moves H2, level does not: the colour stays the same at any loudness", () => {
  const h2With = (part: string, position: number) => {
    const changed = applyChanges(document, partEdit(document, twinsOf(document, "L"), part, { position }).changes);
    if (!changed.ok) throw new Error(changed.failure.sentence);
    const bench = openBench({ document: changed.value, provenKey: "" }, catalogue);
    return valueOf(voicingAsks.voicingAt.run(bench, { inputVolts: 1 }));
  };
  const bench = openBench({ document, provenKey: "" }, catalogue);
  const controls = valueOf(voicingAsks.voicingControls.run(bench, {}));
  if (controls.drive === null || controls.level === null) throw new Error("the demo has both controls");
  const [low, high] = [h2With(controls.drive.part, 0.6), h2With(controls.drive.part, 0.9)];
  expect((high.ratios[0] ?? 0) / (low.ratios[0] ?? 1)).toBeGreaterThan(1.5);
  const [quiet, loud] = [h2With(controls.level.part, 0.4), h2With(controls.level.part, 0.8)];
  expect(loud.outputVolts / quiet.outputVolts).toBeGreaterThan(2);
  expect(Math.abs(20 * Math.log10((loud.ratios[0] ?? 1) / (quiet.ratios[0] ?? 1)))).toBeLessThan(0.5);
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

test("readings of the proven unit that agree with the prediction narrow the band and leave the figure; one that is far off is called a surprise", () => {
  const bench = openBench({ document, proven, provenKey: "A" }, catalogue);
  const curve = valueOf(voicingAsks.voicingCurves.run(bench, {}));
  const n = 8;
  const [inputVolts, ratio] = [curve.now.inputVolts[n] ?? 1, curve.now.ratios[0]?.[n] ?? 0.01];
  const withReading = (times: number) => {
    const reading = `${(100 * ratio * times).toPrecision(3)} %`;
    const read = { ...document, targets: { ...document.targets, measuredH2: [{ inputVolts, reading }] } };
    return valueOf(
      voicingAsks.voicingCalibrated.run(openBench({ document: read, proven, provenKey: "A" }, catalogue), {}),
    );
  };
  const agrees = withReading(1);
  const level = agrees.now.find((one) => one.inputVolts === inputVolts);
  expect(level?.bandDecibels).toBeLessThan(0.6 * (level?.priorBandDecibels ?? 0));
  expect(20 * Math.log10((level?.ratio ?? 1) / (level?.predictedRatio ?? 1))).toBeCloseTo(0, 0);
  expect(agrees.surprise).toBe(false);
  expect(withReading(4).surprise).toBe(true);
});
