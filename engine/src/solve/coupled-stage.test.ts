/** One coupled stage: closed forms of a tube with constant slopes, and what must hold between its levels. */
import { describe, expect, test } from "vitest";
import type { SpaceLaw, TriodeLaw } from "../tubes/law.ts";
import {
  type CoupledStage,
  type SolvedStage,
  solveStage,
  stageAtInput,
  stageAtOutput,
  stageOnset,
} from "./coupled-stage.ts";
import { ONSET_AMPS } from "./levels.ts";
import { GRID, KOREN_12AX7, NO_GRID } from "./test-circuits.ts";

const value = <T>(result: { ok: true; value: T } | { ok: false; failure: unknown }): T => {
  if (!result.ok) throw new Error(JSON.stringify(result.failure));
  return result.value;
};

const [mu, rp] = [22, 9000];
const FLAT: SpaceLaw = { form: "three-halves", K: 1 / rp, mu, p: 1 };
const stage = (more: Partial<CoupledStage>): CoupledStage => ({
  law: { space: FLAT, grid: NO_GRID },
  gridPlateFarads: 0,
  gridCathodeFarads: 0,
  plateCathodeFarads: 0,
  supplyVolts: 240,
  plateLoadOhms: 47e3,
  cathodeOhms: 1200,
  gridLeakOhms: 1e6,
  ...more,
});
/** So large that a kilohertz does not see it. */
const SHORT = 1;

describe.each([0, 0.5, 30, 1200])("constant slopes, %d Ω in the cathode", (cathodeOhms) => {
  describe.each([
    ["nothing follows", undefined],
    ["a grid follows", { couplingFarads: SHORT, gridOhms: 220e3 }],
  ] as const)("%s", (_, next) => {
    test.each([
      ["bypassed", SHORT],
      ["not bypassed", undefined],
    ] as const)("%s: bias, gain and output impedance", (__, bypassFarads) => {
      const solved = value(
        solveStage(
          stage({
            cathodeOhms,
            ...(bypassFarads === undefined ? {} : { bypassFarads }),
            ...(next === undefined ? {} : { next }),
          }),
        ),
      );
      const amps = 240 / (rp + 47e3 + (mu + 1) * cathodeOhms);
      expect(solved.bias.plateAmps / amps).toBeCloseTo(1, 8);
      expect(solved.bias.cathodeVolts).toBeCloseTo(amps * cathodeOhms, 7);
      expect(solved.bias.gridVolts).toBeCloseTo(-amps * cathodeOhms, 7);
      expect(solved.bias.plateVolts).toBeCloseTo(240 - amps * (47e3 + cathodeOhms), 6);
      expect(solved.bias.plateWatts).toBeCloseTo(solved.bias.plateVolts * solved.bias.plateAmps, 12);
      expect(solved.bias.mu).toBeCloseTo(mu, 9);
      expect(solved.bias.plateOhms / rp).toBeCloseTo(1, 9);
      expect(solved.bias.siemens / (mu / rp)).toBeCloseTo(1, 9);
      const load = next === undefined ? 47e3 : 1 / (1 / 47e3 + 1 / next.gridOhms);
      const below = bypassFarads === undefined ? cathodeOhms : 0;
      expect(solved.gain / ((mu * load) / (rp + load + (mu + 1) * below))).toBeCloseTo(1, 6);
      expect(solved.outputOhms * (1 / load + 1 / (rp + (mu + 1) * below))).toBeCloseTo(1, 6);
      expect(solved.effort.steps).toBeGreaterThan(0);
    });
  });
});

test("a coupling capacitor and the resistor behind it divide as a high-pass does", () => {
  // At 1 kHz the reactance of 10 nF is 15.9 kΩ: in series with 22 kΩ, the whole behind the plate.
  const solved = value(solveStage(stage({ cathodeOhms: 0, next: { couplingFarads: 10e-9, gridOhms: 22e3 } })));
  const x = -1 / (2 * Math.PI * 1000 * 10e-9);
  const source = 1 / (1 / rp + 1 / 47e3);
  expect(solved.gain / ((mu / rp) * source * (22e3 / Math.hypot(source + 22e3, x)))).toBeCloseTo(1, 9);
  const [re, im] = [source, x];
  const size = (22e3 * Math.hypot(re, im)) / Math.hypot(re + 22e3, im);
  expect(solved.outputOhms / size).toBeCloseTo(1, 9);
});

describe("levels of a stage with a grid that conducts", () => {
  const law: TriodeLaw = { space: KOREN_12AX7, grid: GRID };
  const solved: SolvedStage = value(
    solveStage(
      stage({
        law,
        supplyVolts: 300,
        plateLoadOhms: 100e3,
        cathodeOhms: 1500,
        bypassFarads: 47e-6,
        gridPlateFarads: 1.7e-12,
        next: { couplingFarads: 1e-6, gridOhms: 470e3 },
      }),
    ),
  );

  test.each([1, 10, 30])("%d V out: asked by output and by input it is one answer", (outputVolts) => {
    const byOutput = value(stageAtOutput(solved, outputVolts));
    expect(byOutput.outputVolts / outputVolts).toBeCloseTo(1, 7);
    const byInput = value(stageAtInput(solved, byOutput.inputVolts));
    expect(byInput.outputVolts / outputVolts).toBeCloseTo(1, 6);
    expect(byInput.totalPercent / byOutput.totalPercent).toBeCloseTo(1, 4);
    // Total: the root of the sum of squares of what is listed; output: with the fundamental, in rms.
    expect(byInput.totalPercent).toBeCloseTo(Math.hypot(...byInput.percent), 9);
    const first = Math.hypot(byInput.answer.output.real[1] ?? 0, byInput.answer.output.imaginary[1] ?? 0);
    const second = Math.hypot(byInput.answer.output.real[2] ?? 0, byInput.answer.output.imaginary[2] ?? 0);
    expect(byInput.percent[0]).toBeCloseTo((100 * second) / first, 9);
    const sum = (first * Math.hypot(1, byInput.totalPercent / 100)) / Math.SQRT2;
    expect(byInput.outputVolts).toBeCloseTo(sum, 6);
    // Second order: H2 goes with the level, small enough.
    const half = value(stageAtInput(solved, byOutput.inputVolts / 2));
    if (outputVolts <= 10) expect((byInput.percent[0] ?? 0) / (half.percent[0] ?? 1)).toBeCloseTo(2, 1);
  });

  test("small levels have the gain of the small signal", () => {
    const level = value(stageAtInput(solved, 1e-3));
    expect(level.outputVolts / 1e-3 / solved.gain).toBeCloseTo(1, 4);
  });

  test("the onset is where the mean grid current says; below it the search answers nothing", () => {
    const onset = value(stageOnset(solved));
    expect(onset.searchedTo).toBe(100);
    const input = onset.inputVolts ?? Number.NaN;
    const there = value(stageAtInput(solved, input));
    expect((there.answer.triodes.get("V1")?.meanGridAmps ?? 0) / ONSET_AMPS).toBeCloseTo(1, 2);
    expect((onset.outputVolts ?? Number.NaN) / there.outputVolts).toBeCloseTo(1, 3);
    expect(value(stageOnset(solved, input * 0.9))).toEqual({
      inputVolts: null,
      outputVolts: null,
      searchedTo: input * 0.9,
    });
    // More than a stage can give is named.
    expect(stageAtOutput(solved, 500)).toMatchObject({ ok: false, failure: { kind: "not-settled" } });
  });
});
