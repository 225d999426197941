/** What is read off a spectrum: ratios to the fundamental, signs, totals. Harmonic 2 stands at index 0 of every list. */
import type { Spectrum } from "./answers.ts";

/** Peak amplitude of harmonic k (k = 0: the dc value, signed). */
export function amplitude(spectrum: Spectrum, k: number): number {
  const re = spectrum.real[k] ?? 0;
  return k === 0 ? re : Math.hypot(re, spectrum.imaginary[k] ?? 0);
}

/** Amplitudes of H2, H3, ... over the fundamental. */
export function harmonicRatios(spectrum: Spectrum): readonly number[] {
  const first = amplitude(spectrum, 1);
  return Array.from({ length: Math.max(0, spectrum.real.length - 2) }, (_, i) => amplitude(spectrum, i + 2) / first);
}

/**
 * Sign of H2, H3, ... as a static curve would give it: the phase of harmonic k less k times the fundamental's,
 * +1 where its cosine is not negative. Two inverting stages can cancel, so the sign is carried all the way.
 */
export function harmonicSigns(spectrum: Spectrum): readonly (1 | -1)[] {
  const first = Math.atan2(spectrum.imaginary[1] ?? 0, spectrum.real[1] ?? 0);
  return Array.from({ length: Math.max(0, spectrum.real.length - 2) }, (_, i) => {
    const k = i + 2;
    const phase = Math.atan2(spectrum.imaginary[k] ?? 0, spectrum.real[k] ?? 0) - k * first;
    return Math.cos(phase) >= 0 ? 1 : -1;
  });
}

/** Total harmonic distortion over the fundamental (THD_F), as a ratio. */
export function totalRatio(spectrum: Spectrum): number {
  return Math.hypot(...harmonicRatios(spectrum));
}

/** rms of everything but dc, what a true-rms meter behind a capacitor reads. */
export function rmsVolts(spectrum: Spectrum): number {
  let sum = 0;
  for (let k = 1; k < spectrum.real.length; k++) sum += amplitude(spectrum, k) ** 2;
  return Math.sqrt(sum / 2);
}
