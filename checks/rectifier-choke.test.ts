/**
 * Choke input against closed forms. Textbook limits (memory, no page): 0.9 Vrms, form factor 1 for a large choke,
 * L = R/(3 w) = R/(6 pi f) for the critical inductance from the second harmonic alone. The exact trough of the ideal
 * choke's current and the ripple are derived beside the check; capacitor input is the limit of no choke.
 */
import {
  bridgePath,
  type ChokeInputProblem,
  criticalHenries,
  siliconLaw,
  solveChokeInput,
  solveCriticalHenries,
  solveRectifier,
} from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { predictedChokeRegulation } from "./verify/rectifier-rows.ts";

const HERTZ = 50;
const OMEGA = 2 * Math.PI * HERTZ;
const IDEAL: ChokeInputProblem = {
  rmsVolts: 300,
  hertz: HERTZ,
  seriesOhms: 0,
  henries: 10,
  chokeOhms: 0,
  farads: 50e-6,
  circuit: "full-wave",
  law: { form: "ideal" },
  load: { ohms: 4000 },
};
const solve = (more: Partial<ChokeInputProblem>) => {
  const solved = solveChokeInput({ ...IDEAL, ...more });
  if (!solved.ok) throw new Error(solved.failure.kind);
  return solved.value;
};

describe.each(["full-wave", "bridge"] as const)("ideal %s above the critical inductance", (circuit) => {
  test("0.9 Vrms: exactly 2 sqrt(2)/pi of it, whatever load and choke", () => {
    for (const henries of [8, 10, 30])
      for (const ohms of [2000, 4000, 6000])
        expect(solve({ circuit, henries, load: { ohms } }).dcVolts / 300).toBeCloseTo((2 * Math.SQRT2) / Math.PI, 6);
  });

  test("form factor of the choke's current goes to 1 as the choke grows, the excess as 1/L^2", () => {
    const excess = [10, 20, 40].map((henries) => {
      const { chokeRmsAmps, dcVolts } = solve({ circuit, henries });
      return chokeRmsAmps / (dcVolts / 4000) - 1;
    });
    expect(excess[0]).toBeLessThan(0.06);
    expect((excess[0] as number) / (excess[1] as number)).toBeCloseTo(4, 0);
    expect((excess[1] as number) / (excess[2] as number)).toBeCloseTo(4, 1);
    expect(
      solve({ circuit, henries: 400 }).chokeRmsAmps / (solve({ circuit, henries: 400 }).dcVolts / 4000),
    ).toBeCloseTo(1, 4);
  });

  test("winding rms of a large choke: the load's current in a bridge, 1/sqrt(2) of it per half of a centre tap", () => {
    const { windingRmsAmps, dcVolts } = solve({ circuit, henries: 400 });
    expect(windingRmsAmps / (dcVolts / 4000)).toBeCloseTo(circuit === "bridge" ? 1 : Math.SQRT1_2, 3);
  });
});

describe("critical inductance", () => {
  test("solved for a large capacitor, it is the closed form 0.2105 E/(w I), within 1 % of R/(3 w)", () => {
    for (const ohms of [2000, 4500, 20000]) {
      const solved = solveCriticalHenries({ ...IDEAL, farads: 10, load: { ohms } });
      if (!solved.ok) throw new Error(solved.failure.kind);
      const dcAmps = ((2 * Math.SQRT2) / Math.PI) * (300 / ohms);
      expect(solved.value / criticalHenries(300, HERTZ, dcAmps)).toBeCloseTo(1, 5);
      expect(solved.value / (ohms / OMEGA)).toBeCloseTo(0.33067, 4);
      expect(solved.value / (ohms / (3 * OMEGA))).toBeGreaterThan(0.99);
      expect(solved.value / (ohms / (3 * OMEGA))).toBeLessThan(1);
    }
  });

  test("60 Hz and 5 k: the common rule R/1130 henries (common practice) within 1 %", () => {
    const dcAmps = ((2 * Math.SQRT2) / Math.PI) * (300 / 5000);
    expect(criticalHenries(300, 60, dcAmps) / (5000 / 1130)).toBeCloseTo(1, 1);
    expect(Math.abs(criticalHenries(300, 60, dcAmps) / (5000 / 1130) - 1)).toBeLessThan(0.01);
  });

  test("a tube's drop and the copper ask a little more than the ideal", () => {
    const solved = solveCriticalHenries({
      ...IDEAL,
      law: { form: "power", K: 7.433e-4, p: 1.4878 },
      seriesOhms: 100,
      chokeOhms: 200,
      load: { amps: 0.06 },
    });
    expect(solved.ok && solved.value / criticalHenries(300, HERTZ, 0.06)).toBeGreaterThan(1);
    expect(solved.ok && solved.value / criticalHenries(300, HERTZ, 0.06)).toBeLessThan(1.05);
  });

  test("half-wave has none: no choke keeps its current up", () => {
    expect(solve({ circuit: "half-wave", henries: 100 }).outcome).toBe("discontinuous");
    expect(solveCriticalHenries({ ...IDEAL, circuit: "half-wave" })).toEqual({ ok: true, value: Infinity });
  });
});

test("ripple of a large choke and capacitor: 4 E/(3 pi) at twice the mains, over w^2 L C - 1, within its fourth harmonic", () => {
  // Peak to peak of the second harmonic; the fourth adds at most (1/5)(1/4) of it.
  const second = (4 * 300 * Math.SQRT2) / (3 * Math.PI);
  const got = solve({ henries: 20, farads: 100e-6 }).ripplePeakToPeakVolts;
  const wanted = (2 * second) / ((2 * OMEGA) ** 2 * 20 * 100e-6 - 1);
  expect(Math.abs(got / wanted - 1)).toBeLessThan(0.02);
});

test.each([
  ["tube, full-wave", { circuit: "full-wave", law: { form: "power", K: 7.433e-4, p: 1.4878 }, seriesOhms: 215 }],
  ["silicon bridge", { circuit: "bridge", law: bridgePath(siliconLaw()), seriesOhms: 150 }],
  ["tube, half-wave", { circuit: "half-wave", law: { form: "power", K: 7.433e-4, p: 1.4878 }, seriesOhms: 215 }],
] as const)("without a choke worth the name it is capacitor input, to 0.01 %%: %s", (_, more) => {
  const choke = solve({ ...more, henries: 1e-3, load: { amps: 0.05 } });
  const capacitor = solveRectifier({
    rmsVolts: 300,
    hertz: HERTZ,
    firstFarads: IDEAL.farads,
    load: { amps: 0.05 },
    ...more,
  });
  if (!capacitor.ok) throw new Error(capacitor.failure.kind);
  expect(choke.outcome).toBe("discontinuous");
  expect(Math.abs(choke.dcVolts / capacitor.value.dcVolts - 1)).toBeLessThan(1e-4);
  expect(choke.plateRmsAmps / capacitor.value.plateRmsAmps).toBeCloseTo(1, 2);
  expect(choke.platePeakAmps / capacitor.value.platePeakAmps).toBeCloseTo(1, 2);
});

test("the remembered choke-input rows of the sheets within 4 %, high where the copper is left out", () => {
  const rows = predictedChokeRegulation();
  expect(rows.length).toBeGreaterThanOrEqual(8);
  for (const row of rows) {
    expect(row.error, `${row.type} ${row.name}`).toBeLessThan(0.04);
    expect(row.error, `${row.type} ${row.name}`).toBeGreaterThan(-0.01);
  }
});
