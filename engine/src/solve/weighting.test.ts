/** The A-weighting against the standard's table, its poles and white noise. */
import { describe, expect, test } from "vitest";
import { hertz } from "../units/quantities.ts";
import { A_WEIGHTING_POLES, aWeightingDecibels, aWeightingPower } from "./weighting.ts";

describe("A-weighting", () => {
  // IEC 61672-1:2013 Table 3 (values from memory): nominal octave frequency, band number n (exact frequency 10^(n/10) Hz), dB.
  // The table is rounded to 0.1 dB, hence the tolerance of 0.05 dB.
  test.each([
    [16, 12, -56.7],
    [31.5, 15, -39.4],
    [63, 18, -26.2],
    [125, 21, -16.1],
    [250, 24, -8.6],
    [500, 27, -3.2],
    [1000, 30, 0],
    [2000, 33, 1.2],
    [4000, 36, 1.0],
    [8000, 39, -1.1],
    [16000, 42, -6.6],
  ])("%d Hz of the standard's table", (_, n, wanted) => {
    expect(Math.abs(aWeightingDecibels(hertz(10 ** (n / 10))) - wanted)).toBeLessThanOrEqual(0.05);
  });

  // The same table between the octaves, ends of the audio band included.
  test.each([
    [20, 13, -50.5],
    [25, 14, -44.7],
    [40, 16, -34.6],
    [50, 17, -30.2],
    [80, 19, -22.5],
    [100, 20, -19.1],
    [160, 22, -13.4],
    [200, 23, -10.9],
    [315, 25, -6.6],
    [400, 26, -4.8],
    [630, 28, -1.9],
    [800, 29, -0.8],
    [1250, 31, 0.6],
    [1600, 32, 1.0],
    [2500, 34, 1.3],
    [3150, 35, 1.2],
    [5000, 37, 0.5],
    [6300, 38, -0.1],
    [10000, 40, -2.5],
    [12500, 41, -4.3],
    [20000, 43, -9.3],
  ])("%d Hz of the standard's table, third octaves", (_, n, wanted) => {
    expect(Math.abs(aWeightingDecibels(hertz(10 ** (n / 10))) - wanted)).toBeLessThanOrEqual(0.05);
  });

  test("poles are those the standard's annex prints (20.60, 107.7, 737.9, 12194 Hz; from memory)", () => {
    const printed = [
      [20.6, 0.005],
      [107.7, 0.05],
      [737.9, 0.05],
      [12194, 0.5],
    ] as const;
    for (const [i, [value, half]] of printed.entries())
      expect(Math.abs((A_WEIGHTING_POLES[i] ?? Number.NaN) - value)).toBeLessThanOrEqual(half);
  });

  test("one at 1 kHz and nothing at rest", () => {
    expect(aWeightingPower(hertz(1000))).toBe(1);
    expect(aWeightingPower(hertz(0))).toBe(0);
    expect(aWeightingDecibels(hertz(0))).toBe(-Infinity);
  });
});
