/** The closed form of an ideal switch without resistance, against the event form as its resistance goes to nothing. */
import { describe, expect, test } from "vitest";
import { solveRectifier } from "./rectifier.ts";

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
