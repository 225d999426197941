import { describe, expect, test } from "vitest";
import { seededRandom } from "../numerics/random.ts";
import type { Spectrum } from "./answers.ts";
import { amplitude, harmonicRatios, harmonicSigns, rmsVolts, totalRatio } from "./spectrum.ts";

/** Harmonics of samples by the sum itself. */
function analysed(wave: (theta: number) => number, K: number): Spectrum {
  const N = 4096;
  const real = new Float64Array(K + 1);
  const imaginary = new Float64Array(K + 1);
  for (let k = 0; k <= K; k++)
    for (let m = 0; m < N; m++) {
      const theta = (2 * Math.PI * m) / N;
      real[k] = (real[k] as number) + ((k === 0 ? 1 : 2) * wave(theta) * Math.cos(k * theta)) / N;
      imaginary[k] = (imaginary[k] as number) - ((k === 0 ? 1 : 2) * wave(theta) * Math.sin(k * theta)) / N;
    }
  return { real, imaginary };
}

test("rms is that of the samples without their mean, amplitudes those of the parts (seed 5)", () => {
  const random = seededRandom(5);
  for (let n = 0; n < 20; n++) {
    const a = [
      random.uniform() - 0.5,
      1 + random.uniform(),
      random.uniform() - 0.5,
      random.uniform() - 0.5,
      random.uniform() - 0.5,
    ];
    const wave = (t: number) => a.reduce((sum, size, k) => sum + size * Math.cos(k * t + 0.7 * k * k), 0);
    const spectrum = analysed(wave, 6);
    let squares = 0;
    let mean = 0;
    const N = 4096;
    for (let m = 0; m < N; m++) mean += wave((2 * Math.PI * m) / N) / N;
    for (let m = 0; m < N; m++) squares += (wave((2 * Math.PI * m) / N) - mean) ** 2 / N;
    expect(rmsVolts(spectrum)).toBeCloseTo(Math.sqrt(squares), 9);
    expect(amplitude(spectrum, 0)).toBeCloseTo(mean, 9);
    for (const k of [1, 2, 3, 4]) expect(amplitude(spectrum, k)).toBeCloseTo(Math.abs(a[k] as number), 9);
    const ratios = harmonicRatios(spectrum);
    expect(ratios).toHaveLength(5);
    expect(ratios[0]).toBeCloseTo(Math.abs((a[2] as number) / (a[1] as number)), 9);
    expect(totalRatio(spectrum)).toBeCloseTo(Math.hypot(...ratios), 12);
  }
});

describe("signs are those of the curve, whatever the phase of the wave", () => {
  test.each([0, 0.4, 1.3, 2.9, 4.4])("phase %d", (phase) => {
    // y = x + 0.1 x^2 - 0.2 x^3 of a cosine: H2 with its sign, H3 against it.
    const curve = (x: number) => x + 0.1 * x * x - 0.2 * x ** 3;
    const signs = harmonicSigns(analysed((t) => curve(Math.cos(t + phase)), 4));
    expect(signs.slice(0, 2)).toEqual([1, -1]);
    const other = harmonicSigns(
      analysed((t) => -0.1 * Math.cos(t + phase) ** 2 + Math.cos(t + phase) + 0.2 * Math.cos(t + phase) ** 3, 4),
    );
    expect(other.slice(0, 2)).toEqual([-1, 1]);
    expect(signs).toHaveLength(3);
  });
});

test("between in phase and against it the sign changes at a quarter turn, the fundamental's phase taken along", () => {
  for (const own of [0, 0.7, -2])
    for (const [shift, sign] of [
      [0.3, 1],
      [1.5, 1],
      [-1.5, 1],
      [1.65, -1],
      [-1.65, -1],
      [3, -1],
    ] as const) {
      const wave = (t: number) => Math.cos(t + own) + 0.1 * Math.cos(2 * (t + own) + shift);
      expect(harmonicSigns(analysed(wave, 2)), `${own} ${shift}`).toEqual([sign]);
    }
});

test("nothing beyond the fundamental is an empty list", () => {
  const silent: Spectrum = { real: Float64Array.of(1, 2), imaginary: Float64Array.of(0, 0) };
  expect(harmonicRatios(silent)).toEqual([]);
  expect(harmonicSigns(silent)).toEqual([]);
  expect(totalRatio(silent)).toBe(0);
});
