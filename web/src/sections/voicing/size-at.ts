import { type LevelCurve, signedAt } from "@platewright/design";

/** Size of harmonic k + 2 at a level at the grid; undefined outside the curve. */
export function sizeAt(curve: LevelCurve, k: number, gridVolts: number): number | undefined {
  const signed = signedAt(curve, k, gridVolts);
  return signed === undefined ? undefined : Math.abs(signed);
}
