import { readFileSync } from "node:fs";
import { openCatalogue } from "@platewright/library";
import { describe, expect, test } from "vitest";
import { readDesign } from "../document/read.ts";
import { setPart } from "../document/set-part.ts";
import { solveDesign } from "../solved/solve.ts";
import { channelProblem } from "./channel-problem.ts";
import { harmonicShares } from "./harmonic-shares.ts";
import { cycleOf, levelAt } from "./level-at.ts";
import {
  gridVoltsWhere,
  type LevelCurve,
  levelCurve,
  levelsTowardTheTop,
  logarithmicLevels,
  signedAt,
} from "./level-curve.ts";
import { sameStage } from "./same-stage.ts";
import { inputAtDrive } from "./turn.ts";
import { twoTones } from "./two-tones.ts";

const catalogue = openCatalogue();
const read = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!read.ok) throw new Error(read.failure.sentence);
const document = read.value.now;
const must = <T>(answer: { ok: true; value: T } | { ok: false; failure: unknown }): T => {
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
};
const solvedWith = (part?: string, edit?: { readonly position?: number; readonly value?: string }) =>
  must(
    solveDesign(
      part === undefined || edit === undefined ? document : setPart(document, ["L", "R"], part, edit),
      catalogue,
      {
        detail: "levels",
      },
    ),
  );
const solved = solvedWith();
const decibels = (a: number, b: number) => 20 * Math.log10(Math.abs(a / b));

describe("harmonics against the level at the grid", () => {
  test("agree with the levels that the design was solved at", () => {
    const share = must(channelProblem(solved, "L")).gridShare;
    const levels = solved.channels[0]?.levels ?? [];
    const curve = must(
      levelCurve(
        solved,
        "L",
        levels.map((one) => one.inputVolts * share),
      ),
    );
    for (const [n, level] of levels.entries()) {
      expect(curve.inputVolts[n]).toBeCloseTo(level.inputVolts, 9);
      expect(Math.abs(curve.signed[0]?.[n] ?? 0)).toBeCloseTo(level.ratios[0] ?? Number.NaN, 9);
      expect(Math.sign(curve.signed[0]?.[n] ?? 0)).toBe(level.signs[0]);
      expect(curve.outputVolts[n]).toBeCloseTo(level.outputVolts, 8);
    }
  });

  test("the curve stays where it is while the drive is turned: only the level at the jack moves", () => {
    const levels = logarithmicLevels(0.05, 1.5, 6);
    const [up, down] = [
      must(levelCurve(solved, "L", levels)),
      must(levelCurve(solvedWith("P1", { position: 0.6 }), "L", levels)),
    ];
    for (const n of levels.keys()) {
      expect(Math.abs(decibels(down.signed[0]?.[n] ?? 0, up.signed[0]?.[n] ?? 1))).toBeLessThan(0.02);
      expect((down.inputVolts[n] ?? 0) / (up.inputVolts[n] ?? 1)).toBeGreaterThan(3);
    }
  });

  test("says where a grid begins to conduct, at any drive: as the design's own onset has it", () => {
    const levels = logarithmicLevels(0.05, 5, 40);
    const share = must(channelProblem(solved, "L")).gridShare;
    const onset = must(levelCurve(solved, "L", levels)).onsetGridVolts ?? Number.NaN;
    const full = must(solveDesign(document, catalogue)).channels[0]?.onset.flatMap((one) => one.inputVolts ?? []) ?? [];
    expect(onset / (Math.min(...full) * share)).toBeCloseTo(1, 1);
    // The design looks no farther than twice its largest input; the curve looks as far as it is drawn.
    const turned = must(levelCurve(solvedWith("P1", { position: 0.6 }), "L", levels)).onsetGridVolts ?? Number.NaN;
    expect(turned / onset).toBeGreaterThan(0.9);
    expect(turned / onset).toBeLessThan(1.3);
    expect(must(levelCurve(solved, "L", [0.1, 0.5])).onsetGridVolts).toBeNull();
  });

  test("levels towards the top keep their ends and come ever closer", () => {
    const levels = levelsTowardTheTop(0.05, 5, 12);
    expect([levels[0], levels.at(-1)]).toEqual([0.05, 5]);
    const steps = levels.slice(1).map((one, n) => Math.log(one / (levels[n] as number)));
    expect(steps.every((step, n) => step > 0 && (n === 0 || step < (steps[n - 1] as number)))).toBe(true);
  });

  test("a drive fully down is said in words", () => {
    const silent = levelCurve(solvedWith("P1", { position: 0 }), "L", [0.1, 1]);
    expect(silent).toMatchObject({ ok: false, failure: expect.stringContaining("fully down") });
  });

  test("few harmonics are told by their tail", () => {
    const levels = [3.5, 4.5];
    const coarse = must(levelCurve(solved, "L", levels, { mostHarmonics: 12 }));
    const fine = must(levelCurve(solved, "L", levels, { mostHarmonics: 96 }));
    expect(coarse.tailDecibels).toBeGreaterThan(fine.tailDecibels + 20);
  });

  test("the level of a wanted H2 lies on the curve; the nearest where it comes by twice; none where it does not", () => {
    const curve: LevelCurve = {
      gridVolts: [0.1, 1, 2, 4],
      inputVolts: [0.1, 1, 2, 4],
      outputVolts: [1, 10, 20, 40],
      signed: [[0.001, 0.01, 0.02, -0.005]],
      tailDecibels: -150,
      onsetGridVolts: null,
    };
    expect(gridVoltsWhere(curve, 0.005, 0.3)).toBeCloseTo(0.5, 12);
    expect(gridVoltsWhere(curve, 0.012, 3)).toBeGreaterThan(2);
    expect(gridVoltsWhere(curve, 0.012, 1)).toBeCloseTo(1.2, 12);
    expect(gridVoltsWhere(curve, 0.5, 1)).toBeUndefined();
    expect(signedAt(curve, 0, 0.5)).toBeCloseTo(0.005, 12);
    // Between two signs it is straight, and passes through nothing.
    expect(signedAt(curve, 0, 2 * 2 ** 0.8)).toBeCloseTo(0, 12);
    expect(signedAt(curve, 0, 5)).toBeUndefined();
    expect(signedAt(curve, 0, 0.05)).toBeUndefined();
  });
});

describe("one cycle", () => {
  const point = must(levelAt(solved, "L", 2));
  const { signal, residue } = cycleOf(point.answer.output);
  const rms = (wave: readonly number[]) =>
    Math.sqrt(wave.slice(1).reduce((sum, v) => sum + v * v, 0) / (wave.length - 1));

  test("its rms is the output's, that of the residue the harmonics'", () => {
    expect(rms(signal) / point.outputVolts).toBeCloseTo(1, 6);
    const total = Math.hypot(...point.ratios);
    expect(rms(residue) / point.outputVolts).toBeCloseTo(total / Math.hypot(1, total), 6);
  });

  test("begins where its fundamental rises through zero, and ends there", () => {
    const fundamental = signal.map((value, n) => value - (residue[n] ?? 0));
    expect(fundamental[0]).toBeCloseTo(0, 9);
    expect(fundamental[1]).toBeGreaterThan(0);
    expect(signal.at(-1)).toBeCloseTo(signal[0] ?? Number.NaN, 9);
  });

  test("the sign of H2 is that of the crests: the one it adds to stands farther out", () => {
    const [high, low] = [Math.max(...signal), -Math.min(...signal)];
    expect(Math.sign(high - low)).toBe(point.signs[0]);
  });
});

describe("which section makes it", () => {
  test("the sections' shares sum to the whole while the level is small; near clipping curvature meets curvature", () => {
    const miss = (inputVolts: number) => {
      const { whole, together } = must(harmonicShares(solved, "L", inputVolts));
      return Math.abs(together.h2 / whole.h2);
    };
    expect(miss(0.1)).toBeLessThan(1e-5);
    expect(miss(0.8)).toBeLessThan(1e-4);
    expect(miss(2)).toBeGreaterThan(10 * miss(0.1));
  });

  test("the follower makes less than the gain section ahead of it, and takes away from it", () => {
    const { sections } = must(harmonicShares(solved, "L", 1));
    expect(sections.map((one) => one.role)).toEqual(["gain", "follower"]);
    expect(Math.abs(sections[0]?.h2 ?? 0)).toBeGreaterThan(3 * Math.abs(sections[1]?.h2 ?? 1));
    expect(Math.sign(sections[0]?.h2 ?? 0)).toBe(-Math.sign(sections[1]?.h2 ?? 0));
  });
});

describe("two tones", () => {
  test("follow the harmonics as a static curve has it, while the level is small (docs/intermodulation.md)", () => {
    const level = must(levelAt(solved, "L", 0.1));
    const [modulation, difference] = [
      must(twoTones(solved, "L", 0.1, "modulation")),
      must(twoTones(solved, "L", 0.1, "difference")),
    ];
    const h2 = level.ratios[0] ?? 0;
    expect(Math.abs(decibels(modulation.second, 3.2 * h2))).toBeLessThan(0.5);
    expect(Math.abs(decibels(difference.second, 0.5 * h2))).toBeLessThan(0.5);
  });

  test("each line said is where the tones put it; the figure is no less than its largest line", () => {
    const modulation = must(twoTones(solved, "L", 1, "modulation"));
    expect(modulation.lines.map((one) => one.hertz)).toEqual([6820, 6880, 6940, 7060, 7120, 7180]);
    expect(modulation.ratio).toBeGreaterThan(Math.max(...modulation.lines.map((one) => one.ratio)));
    const difference = must(twoTones(solved, "L", 1, "difference"));
    expect(difference.lines.map((one) => one.hertz)).toEqual([1000, 2000, 17_000, 18_000, 21_000, 22_000]);
    expect(difference.lines[0]?.ratio).toBeCloseTo(2 * difference.second, 9);
  });
});

test("a stage is the same with another follower, not with another load or current", () => {
  expect(sameStage(solved, solved, "L")).toBe(true);
  expect(sameStage(solved, solvedWith("P2", { position: 0.3 }), "L")).toBe(true);
  expect(sameStage(solved, solvedWith("R4", { value: "820" }), "L")).toBe(false);
  expect(sameStage(solved, solvedWith("R3", { value: "22k" }), "L")).toBe(false);
});

test("a level read with the drive elsewhere is the level that puts the same on the grid", () => {
  const turned = solvedWith("P1", { position: 0.6 });
  const there = must(channelProblem(turned, "L")).gridShare;
  const here = must(channelProblem(solved, "L")).gridShare;
  expect(inputAtDrive(solved, "L", 1, 0.6) * here).toBeCloseTo(there, 2);
  expect(inputAtDrive(solved, "L", 1, 1)).toBeCloseTo(1, 12);
});
