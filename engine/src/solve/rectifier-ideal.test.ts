/** The closed form of an ideal switch without resistance, against the event form as its resistance goes to nothing. */
import { describe, expect, test } from "vitest";
import type { RectifierAnswer } from "./answers.ts";
import { type RectifierProblem, solveRectifier } from "./rectifier.ts";

const problem = (circuit: "full-wave" | "half-wave", seriesOhms: number, farads: number) => ({
  rmsVolts: 200,
  hertz: 50,
  seriesOhms,
  firstFarads: farads,
  circuit,
  law: { form: "ideal" } as const,
  load: { ohms: 5000 },
});

describe.each(["full-wave", "half-wave"] as const)("%s", (circuit) => {
  test.each([8e-6, 33e-6, 150e-6])("%f F: inverse volts and ripple are the limit of a small resistance", (farads) => {
    const closed = solveRectifier(problem(circuit, 0, farads));
    if (!closed.ok) throw new Error(JSON.stringify(closed.failure));
    const misses = [0.4, 0.2].map((seriesOhms) => {
      const event = solveRectifier(problem(circuit, seriesOhms, farads));
      if (!event.ok) throw new Error(JSON.stringify(event.failure));
      return [
        Math.abs(event.value.peakInverseVolts - closed.value.peakInverseVolts),
        Math.abs(event.value.ripplePeakToPeakVolts - closed.value.ripplePeakToPeakVolts),
        Math.abs(event.value.dcVolts - closed.value.dcVolts),
      ];
    });
    for (const which of [0, 1, 2]) expect(misses[1]?.[which]).toBeLessThan(0.005 * 200);
    // Half the resistance: nearer.
    expect(misses[1]?.[2]).toBeLessThan(misses[0]?.[2] as number);
    // The inverse volts are the winding's crest and what the capacitor still holds half a cycle later.
    const crest = 200 * Math.SQRT2;
    expect(closed.value.peakInverseVolts).toBeGreaterThan(crest);
    expect(closed.value.peakInverseVolts).toBeLessThanOrEqual(2 * crest * (1 + 1e-12));
  });
});

/** Every figure that does not vanish with the resistance. */
const figuresOf = (answer: RectifierAnswer): Readonly<Record<string, number>> => ({
  dcVolts: answer.dcVolts,
  ripplePeakToPeakVolts: answer.ripplePeakToPeakVolts,
  platePeakAmps: answer.platePeakAmps,
  plateRmsAmps: answer.plateRmsAmps,
  windingRmsAmps: answer.windingRmsAmps,
  capacitorRmsAmps: answer.capacitorRmsAmps,
  peakInverseVolts: answer.peakInverseVolts,
  conductionDegrees: answer.conductionDegrees,
  slopeOhms: answer.slopeOhms,
  windingWatts: answer.balance.windingWatts,
  loadWatts: answer.balance.loadWatts,
  turnOnSeconds: answer.start[0] ?? Number.NaN,
  lengthSeconds: answer.start[1] ?? Number.NaN,
});

/** Read from the event form's samples: the peak is a jump here and a corner there. */
const SAMPLED: Readonly<Record<string, number>> = { platePeakAmps: 3e-3, ripplePeakToPeakVolts: 3e-4 };

const CASES = (["full-wave", "half-wave", "bridge"] as const).flatMap((circuit) =>
  [{ ohms: 5000 }, { ohms: 700 }, { amps: 0.05 }].flatMap((load) =>
    [8e-6, 33e-6, 150e-6].map((firstFarads) => ({ circuit, load, firstFarads })),
  ),
);
test.each(CASES)("$circuit, $load, $firstFarads F: every figure is the limit of the event form", (given) => {
  const at = (seriesOhms: number) => {
    const base: RectifierProblem = { rmsVolts: 200, hertz: 50, seriesOhms, law: { form: "ideal" }, ...given };
    const solved = solveRectifier(base);
    if (!solved.ok) throw new Error(JSON.stringify(solved.failure));
    return solved.value;
  };
  // Time constants of one microsecond and two: what is left after the first order is of the second.
  const step = 1e-6 / given.firstFarads;
  const [closed, near, far] = [at(0), figuresOf(at(step)), figuresOf(at(2 * step))];
  for (const [name, value] of Object.entries(figuresOf(closed))) {
    const limit = 2 * (near[name] as number) - (far[name] as number);
    expect(Math.abs(limit / value - 1), name).toBeLessThan(SAMPLED[name] ?? 3e-5);
  }
  const { windingWatts, loadWatts, heatWatts, capacitorMeanAmps } = closed.balance;
  expect(windingWatts / loadWatts).toBeCloseTo(1, 9);
  expect(heatWatts).toBe(0);
  expect(Math.abs(capacitorMeanAmps)).toBeLessThan(1e-12);
});
