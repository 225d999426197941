/**
 * Circuit P2 driven by 1 kHz: fundamental and harmonics to every printed digit of an independent computation (Python,
 * SciPy 1.17: nodal harmonic balance of its own, K = 64, 512 samples; scipy/harmonics/ repeats it).
 */
import { amps, ohms, type Part } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import {
  decibelsOf,
  fundamental,
  harmonicsAt,
  KOREN_12AX7,
  NO_GRID,
  RSD_1,
  ready,
  twoStages,
} from "./harmonics-circuits.ts";

/** Source volts peak; fundamental, volts peak (4 decimals); H2.. in dB, as printed. */
const PRINTED: readonly (readonly [number, number, readonly string[]])[] = [
  [1e-3, 2.4251, ["-46.50", "-88.54", "-138.33", "-188.8", "-215.8"]],
  [5e-3, 12.0766, ["-32.44", "-60.53", "-96.54", "-131.4", "-145.4"]],
  [20e-3, 45.1188, ["-19.11", "-36.10", "-67.74", "-70.29", "-79.02"]],
  [50e-3, 83.3985, ["-9.54", "-31.72", "-28.29", "-41.00", "-46.38"]],
];

describe("two 12AX7 stages (Koren parameters) without grid current", () => {
  const p2 = ready(twoStages({ space: KOREN_12AX7, grid: NO_GRID }));
  test.each(PRINTED)("%d V peak: %d V peak and H2 to H6", (peak, first, printed) => {
    // H4 and above stand below -180 dB at the lowest level: iterate out.
    const answer = harmonicsAt(p2, peak, { limits: { residualFraction: 1e-13, firstHarmonics: 12 } });
    expect(answer.outcome).toBe("settled");
    expect(fundamental(answer).toFixed(4)).toBe(first.toFixed(4));
    printed.forEach((text, i) => {
      const decimals = text.split(".")[1]?.length ?? 0;
      expect(decibelsOf(answer, i + 2).toFixed(decimals), `H${i + 2}`).toBe(text);
    });
  });

  test.each([20e-3, 50e-3])(
    "%d V peak: what K leaves out of H1 to H5 stays below the first harmonic left out",
    (peak) => {
      const exact = harmonicsAt(p2, peak, { harmonics: 64, limits: { residualFraction: 1e-13 } });
      const errors = [8, 12, 16, 24].map((K) => {
        const short = harmonicsAt(p2, peak, { harmonics: K, limits: { residualFraction: 1e-13 } });
        let worst = 0;
        for (let k = 1; k <= 5; k++) {
          const re = (short.output.real[k] as number) - (exact.output.real[k] as number);
          const im = (short.output.imaginary[k] as number) - (exact.output.imaginary[k] as number);
          worst = Math.max(worst, Math.hypot(re, im));
        }
        const leftOut = Math.hypot(exact.output.real[K + 1] as number, exact.output.imaginary[K + 1] as number);
        // Rounding: 1e-13 of the fundamental.
        expect(worst, `K = ${K}`).toBeLessThan(leftOut + 1e-13 * fundamental(exact));
        return worst / fundamental(exact);
      });
      // Spectral: each four harmonics more gain a factor, not a power, until rounding at 1e-12.
      for (let i = 1; i < errors.length; i++) {
        const before = errors[i - 1] as number;
        if (before > 1e-9) expect(errors[i] as number).toBeLessThan(before / 10);
      }
    },
  );
});

describe("the same with specimen RSD-1, the second grid clipping", () => {
  // The printed figures are for ia = ik - ig with ig not shared and a constant leak Ig0 = 80.25 nA in each grid; here the
  // leak is a current sink and the grid takes ik g / (ik + g): less than g by g / ik, a few percent where a grid is 0.5 V
  // positive. That is below the printed digits up to 20 mV and below 0.06 % of the clipped output beyond.
  const leak = (grid: string, cathode: string): Part => ({
    kind: "current-sink",
    id: `leak ${grid}`,
    from: grid,
    to: cathode,
    amps: amps(8.025e-8),
    parallelOhms: ohms(Infinity),
  });
  const p2 = ready([...twoStages(RSD_1), leak("g1", "k1"), leak("g2", "k2")]);
  test.each([
    [10e-3, 28.1, 0.005],
    [20e-3, 51.46, 0.005],
    [50e-3, 67.0, 0.02],
    [100e-3, 68.11, 0.04],
  ])("%d V peak gives %d V peak to %d V", (peak, wanted, difference) => {
    const answer = harmonicsAt(p2, peak, { harmonics: 48 });
    expect(Math.abs(fundamental(answer) - wanted)).toBeLessThan(difference);
  });
});
