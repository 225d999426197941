import { type LevelCurve, signedAt } from "@platewright/design";

/** Size of harmonic k + 2 at a level at the grid; undefined outside the curve. */
export function sizeAt(curve: LevelCurve, k: number, gridVolts: number): number | undefined {
  const signed = signedAt(curve, k, gridVolts);
  return signed === undefined ? undefined : Math.abs(signed);
}

/** The level nearest to one asked for, by their ratio; undefined where there is none. */
export function nearestLevel<T extends { readonly inputVolts: number }>(
  levels: readonly T[],
  inputVolts: number,
): T | undefined {
  const apart = (one: T) => Math.abs(Math.log(one.inputVolts / inputVolts));
  return levels.reduce<T | undefined>(
    (best, one) => (best === undefined || apart(one) < apart(best) ? one : best),
    undefined,
  );
}
