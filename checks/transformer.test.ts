/**
 * Transformers and heaters against numbers that others have printed or that follow from definitions. Sources stand beside each.
 */
import { type RectifierProblem, solveRectifier } from "@platewright/engine";
import {
  readTransformerLabel,
  resolveTransformer,
  sourceOhmsFrom,
  transformerFromLabel,
  wireOhms,
} from "@platewright/design";
import { describe, expect, test } from "vitest";

describe("copper wire, NBS Handbook 100 (1966), standard annealed copper at 20 °C, ohms per 1000 ft (from memory)", () => {
  test.each([
    [16, 4.016],
    [18, 6.385],
    [20, 10.15],
    [22, 16.14],
    [24, 25.67],
  ])("AWG %i: %f", (awg, per1000feet) => {
    const ohms = wireOhms({ awg, metres: 304.8 / 8 });
    if (!ohms.ok) throw new Error(ohms.failure);
    // There and back over an eighth of 1000 ft is a quarter of the printed value.
    expect((4 * ohms.value) / per1000feet).toBeCloseTo(1, 3);
  });
});

describe("transformer regulation, textbook", () => {
  test("250 V at 100 mA from 270 V open is 200 Ω", () => {
    const source = sourceOhmsFrom("high tension", {
      primaryOhms: 10,
      mainsVolts: 230,
      unloadedVolts: 270,
      windingOhms: 180,
      loaded: { amps: 0.1, volts: 250 },
    });
    expect(source.ok && source.value.ohms).toBeCloseTo(200, 9);
  });
  test("180 Ω and 10 Ω by (250/230)² are 191.8 Ω", () => {
    const source = sourceOhmsFrom("high tension", {
      primaryOhms: 10,
      mainsVolts: 230,
      unloadedVolts: 250,
      windingOhms: 180,
    });
    expect(source.ok && source.value.range[0]).toBeCloseTo(191.8, 1);
  });
});

describe("makers' factors for a capacitor input against the rectifier's own solve", () => {
  /** Ideal rectifier, large capacitor: series ohms as a share of the load. */
  const rmsOverDc = (circuit: RectifierProblem["circuit"], share: number): number => {
    const answer = solveRectifier({
      rmsVolts: 250,
      hertz: 50,
      seriesOhms: 10_000 * share,
      firstFarads: 200e-6,
      circuit,
      law: { form: "ideal" },
      load: { ohms: 10_000 },
    });
    if (!answer.ok) throw new Error(answer.failure.kind);
    return answer.value.windingRmsAmps / (answer.value.dcVolts / 10_000);
  };
  test.each([
    // One winder, "Design Guide for Rectifier Use": 1.00, 1/0.62, 1/0.28. Another, "Determining Secondary Current Ratings": 1.2, 1.8, 2.6.
    ["full-wave", 1, 1.2],
    ["bridge", 1 / 0.62, 1.8],
    ["half-wave", 2.6, 1 / 0.28],
  ] as const)("%s: between them, or 20 %% about them, at 2 to 10 %% of series ohms", (circuit, one, other) => {
    for (const share of [0.02, 0.05, 0.1]) {
      const computed = rmsOverDc(circuit, share);
      expect(computed).toBeGreaterThan(Math.min(one, other) * 0.8);
      expect(computed).toBeLessThan(Math.max(one, other) * 1.25);
    }
  });
});

describe("labels of ordinary iron against what such iron measures (common practice of builders)", () => {
  test.each([
    // A half winding of preamplifier iron has some 100 to 400 Ω with its share of the primary; unloaded volts stand 8 to 25 % high.
    ["230-0-230 V 60 mA, 6.3 V 3 A"],
    ["250-0-250 V 75 mA, 6.3 V 3 A, 5 V 2 A"],
    ["300-0-300 V 80 mA, 6.3 V 3.5 A"],
    ["250-0-250 V 50 mA, 6.3 V 2 A"],
  ])("%s", (text) => {
    const label = readTransformerLabel(text);
    if (!label.ok) throw new Error(label.failure.kind);
    const assumed = transformerFromLabel(label.value, { mainsVolts: 230 });
    if (!assumed.ok) throw new Error(assumed.failure.kind);
    const { ohmsPerHalf, unloadedRmsVoltsPerHalf, ratedRmsVoltsPerHalf } = assumed.value.transformer.highTension;
    expect(ohmsPerHalf).toBeGreaterThan(100);
    expect(ohmsPerHalf).toBeLessThan(450);
    expect(unloadedRmsVoltsPerHalf / ratedRmsVoltsPerHalf).toBeGreaterThan(1.08);
    expect(unloadedRmsVoltsPerHalf / ratedRmsVoltsPerHalf).toBeLessThan(1.25);
    const resolved = resolveTransformer({
      mains: { volts: 230, hertz: 50, lowPercent: -10, highPercent: 10 },
      transformer: assumed.value.transformer,
    });
    expect(resolved.ok && resolved.value.knownBy).toBe("label");
  });
});
