import { expect, test } from "vitest";
import { readFileSync } from "node:fs";
import { openCatalogue } from "../../../library/src/index.ts";
import { readDesign } from "../document/read.ts";
import { setPart } from "../document/set-part.ts";
import { solveDesign } from "../solved/solve.ts";
import { signedRatio } from "./goal.ts";
import { curveDifference, harmonicCurve } from "./harmonic-curve.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error("the demo does not read");
const base = file.value.now;
const solve = (ohms: string) => {
  const solved = solveDesign(setPart(base, ["L", "R"], "R4", { value: ohms }), catalogue);
  if (!solved.ok) throw new Error(solved.failure.sentence);
  return solved.value;
};
const curve = (solved: ReturnType<typeof solve>, volts: readonly number[]) => {
  const found = harmonicCurve(solved, volts);
  if (!found.ok) throw new Error(found.failure);
  return found.value;
};
const proven = solve("680");
const now = solve("1k");

test("at the document's own levels a curve is what the design's solve gives", () => {
  const { voicingVolts } = base.targets;
  const found = curve(now, voicingVolts);
  for (const [n, volts] of voicingVolts.entries()) {
    const channel = now.channels[0];
    if (channel === undefined) throw new Error("no channel");
    expect(found.second[n]).toBeCloseTo(signedRatio(channel, volts, 2) ?? Number.NaN, 8);
    expect(found.third[n]).toBeCloseTo(signedRatio(channel, volts, 3) ?? Number.NaN, 8);
  }
});

test("from itself nothing differs; there and back cancel", () => {
  const volts = [0.1, 0.3, 1, 2];
  const [a, b] = [curve(proven, volts), curve(now, volts)];
  expect(curveDifference(a, a).second).toEqual([0, 0, 0, 0]);
  const there = curveDifference(a, b);
  const back = curveDifference(b, a);
  for (const [n, decibels] of there.second.entries()) expect(decibels).toBeCloseTo(-(back.second[n] ?? Number.NaN), 9);
  expect(there.second.some((decibels) => Math.abs(decibels ?? 0) > 0.1)).toBe(true);
});

test("a harmonic that turns its sign has no number of decibels", () => {
  const was = { inputVolts: [1], second: [0.01], third: [0.001] };
  expect(curveDifference(was, { ...was, second: [-0.01] })).toEqual({ inputVolts: [1], second: [null], third: [0] });
});
