/**
 * Half-widths of the 90 % bands of H2 and H3, dB.
 *
 * Law     1.65 standard deviations of: the law's posterior, carried to a typical stage by numerical slopes; the spread
 *         between specimens, likewise; and what the law itself misses.
 * Limits  Without distortion rows the band is never quoted closer than rows left out have shown: 4 dB from curves or two
 *         points, 7 dB from one point. H3 is never closer than 6 dB nor said to be known beyond 12 (docs/laws.md).
 */
import { type LawRecord, solveStage, stageAtInput } from "@platewright/engine";
import { withGrid } from "./fit.ts";
import { toLaw } from "./parameters.ts";

export const SPREAD = { lnG: 0.13, lnMu: 0.035, contactVolts: 0.1, halvesCorrelation: 0.6 } as const;
/** rms miss of the distortion rows left out of the three tables whose other rows were fitted (docs/laws.md). */
export const MODEL_DECIBELS = 0.8;
export const NINETY = 1.65;
const LEAST_H2_BAND = { "distortion rows": 0, curves: 4, "two points": 4, "one point": 7 } as const;
const LEAST_H3_BAND = 6;
const MOST_H3_BAND = 12;

export interface TypicalStage {
  readonly supplyVolts: number;
  readonly plateLoadOhms: number;
  readonly cathodeOhms: number;
}

/** The sheet's point with three plate resistances of load, self biased. */
export function typicalStage(point: {
  plateVolts: number;
  gridVolts: number;
  plateAmps: number;
  plateOhms: number;
}): TypicalStage {
  const plateLoadOhms = 3 * point.plateOhms;
  const cathodeOhms = Math.max(50, (-point.gridVolts || 1) / point.plateAmps) * 2;
  return { supplyVolts: 1.5 * point.plateVolts, plateLoadOhms, cathodeOhms };
}

export function bandsFor(
  x: Float64Array,
  covariance: Float64Array,
  stage: TypicalStage,
  basis: LawRecord["basis"],
): { readonly h2: number; readonly h3: number } {
  const n = x.length;
  const at = (y: Float64Array): readonly [number, number] => {
    const solved = solveStage({
      ...stage,
      law: withGrid(toLaw(y)),
      gridPlateFarads: 2e-12,
      gridCathodeFarads: 2e-12,
      plateCathodeFarads: 1e-12,
      bypassFarads: 1e-3,
      gridLeakOhms: 1e6,
    });
    if (!solved.ok) return [Number.NaN, Number.NaN];
    const level = stageAtInput(solved.value, Math.max(0.05, -solved.value.bias.gridVolts / 6));
    if (!level.ok) return [Number.NaN, Number.NaN];
    const decibels = (percent: number | undefined) => 20 * Math.log10((percent ?? Number.NaN) / 100);
    return [decibels(level.value.percent[0]), decibels(level.value.percent[1])];
  };
  const slopes = Array.from({ length: n }, (_, j): readonly [number, number] => {
    const h = 0.02;
    const up = Float64Array.from(x);
    const down = Float64Array.from(x);
    up[j] = (x[j] as number) + h;
    down[j] = (x[j] as number) - h;
    const [u, d] = [at(up), at(down)];
    return [(u[0] - d[0]) / (2 * h), (u[1] - d[1]) / (2 * h)];
  });
  const variance = (which: 0 | 1): number => {
    let sum = 0;
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++)
        sum += (slopes[i]?.[which] as number) * (slopes[j]?.[which] as number) * (covariance[i * n + j] as number);
    const specimen = Math.hypot(
      (slopes[0]?.[which] as number) * SPREAD.lnG,
      (slopes[1]?.[which] as number) * SPREAD.lnMu,
      (slopes[6]?.[which] as number) * SPREAD.contactVolts,
    );
    return sum + specimen * specimen + MODEL_DECIBELS * MODEL_DECIBELS;
  };
  const band = (which: 0 | 1) => NINETY * Math.sqrt(variance(which));
  const h3 = band(1);
  return {
    h2: Math.max(LEAST_H2_BAND[basis], band(0)),
    h3: Number.isFinite(h3) ? Math.min(MOST_H3_BAND, Math.max(LEAST_H3_BAND, h3)) : MOST_H3_BAND,
  };
}
