/** H2 and H3 of a unit at more levels than its document names, and how far they are from another's. */
import { fail, type HarmonicLimits, ok, type Result } from "@platewright/engine";
import { solveChannel } from "../solved/channel.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { signedRatio } from "./goal.ts";

export interface HarmonicCurve {
  /** rms at the input jack. */
  readonly inputVolts: readonly number[];
  /** Signed ratios to the fundamental. */
  readonly second: readonly number[];
  readonly third: readonly number[];
}

/** The first channel of a solved design at these levels; its bias stays as it is. */
export function harmonicCurve(
  solved: SolvedDesign,
  inputVolts: readonly number[],
  harmonicLimits: Partial<HarmonicLimits> = {},
): Result<HarmonicCurve, string> {
  const [first] = solved.expanded.channels;
  const largest = Math.max(...inputVolts);
  if (first === undefined) return fail("The design has no channel with an input and an output.");
  const channel = solveChannel(solved.circuit, solved.bias, solved.expanded, first, {
    levels: inputVolts,
    largestInputVolts: largest,
    detail: "levels",
    harmonicLimits,
  });
  if (!channel.ok) return channel;
  const ratios = (k: number) => inputVolts.map((volts) => signedRatio(channel.value, volts, k) ?? Number.NaN);
  return ok({ inputVolts, second: ratios(2), third: ratios(3) });
}

export interface CurveDifference {
  readonly inputVolts: readonly number[];
  /** dB above the reference; null where the harmonic has the other sign, which no number of dB tells. */
  readonly second: readonly (number | null)[];
  readonly third: readonly (number | null)[];
}

/** How far a curve is from a reference at the same levels. */
export function curveDifference(reference: HarmonicCurve, curve: HarmonicCurve): CurveDifference {
  const apart = (were: readonly number[], are: readonly number[]) =>
    are.map((is, n) => {
      const was = were[n] ?? Number.NaN;
      const decibels = 20 * Math.log10(Math.abs(is / was));
      return Math.sign(is) === Math.sign(was) && Number.isFinite(decibels) ? decibels : null;
    });
  return {
    inputVolts: curve.inputVolts,
    second: apart(reference.second, curve.second),
    third: apart(reference.third, curve.third),
  };
}
