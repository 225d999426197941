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

// A half-empty capacitor and a few hundredths of an ohm: the capacitor follows ten thousand times faster than the pulse.
test.each([0.1, 0.07, 0.0625, 0.03, 0.02, 0.013])("%f Ω at 8 uF: near the closed form, in balance", (seriesOhms) => {
  const problem: RectifierProblem = {
    rmsVolts: 200,
    hertz: 50,
    seriesOhms,
    firstFarads: 8e-6,
    circuit: "half-wave",
    law: { form: "ideal" },
    load: { ohms: 700 },
  };
  const solved = solveRectifier(problem);
  const closed = solveRectifier({ ...problem, seriesOhms: 0 });
  if (!solved.ok || !closed.ok) throw new Error("no answer");
  const { balance, plateRmsAmps, dcVolts, platePeakAmps } = solved.value;
  expect(Math.abs(plateRmsAmps / closed.value.plateRmsAmps - 1)).toBeLessThan(1e-3);
  expect(Math.abs(dcVolts / closed.value.dcVolts - 1)).toBeLessThan(1e-3);
  expect(Math.abs(platePeakAmps / closed.value.platePeakAmps - 1)).toBeLessThan(5e-3);
  expect((balance.heatWatts + balance.loadWatts) / balance.windingWatts).toBeCloseTo(1, 6);
});

test("a resistance whose time constant is under 0.1 us is none; above it is one", () => {
  const at = (seriesOhms: number) =>
    solveRectifier({
      rmsVolts: 200,
      hertz: 50,
      seriesOhms,
      firstFarads: 10e-6,
      circuit: "full-wave",
      law: { form: "ideal" },
      load: { amps: 0.05 },
    });
  expect(at(0.0099)).toEqual(at(0));
  const [above, none] = [at(0.0101), at(0)];
  if (!above.ok || !none.ok) throw new Error("no answer");
  expect(above.value.seriesWatts).toBeGreaterThan(0);
  expect(Math.abs(above.value.dcVolts - none.value.dcVolts)).toBeLessThan(5e-3);
});
