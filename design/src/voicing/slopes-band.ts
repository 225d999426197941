/**
 * mu, gm and rp against current with their 90 % bands.
 *
 * Method  Laws drawn from the posterior of the record and the spread of its specimens (seed 1, so that a band repeats), each
 *         asked at the same plate volts and currents, with the grid set anew as a builder would; the band runs from
 *         their 5th to their 95th percentile. A linear rule is not enough: laws from two points leave the island share
 *         open to a factor of three, and mu bends over that.
 * Limits  What the law itself misses is not in it: a band says how well the rows set the law, not how good the law is.
 */
import { type LawRecord, quantile, seededRandom, type TriodeLaw } from "@platewright/engine";
import { moved, specimenSpread } from "./law-slopes.ts";
import { slopesAgainstCurrent, type SlopesAgainstCurrent } from "./plate-curves.ts";
import { upperFactor } from "./rank-measurements.ts";

export interface Between {
  readonly low: readonly number[];
  readonly high: readonly number[];
}

export interface SlopeBands {
  readonly plateAmps: readonly number[];
  readonly mu: Between;
  readonly siemens: Between;
  readonly plateOhms: Between;
}

export interface SlopesWithBands extends SlopesAgainstCurrent {
  readonly bands: SlopeBands;
}

const DRAWS = 200;
/** Currents at which a band is worked out; straight between them. */
const STATIONS = 16;

export function slopesWithBands(record: LawRecord, plateVolts: number, upToPlateAmps: number): SlopesWithBands {
  const draw = lawDraws(record, 1);
  const drawn = Array.from({ length: DRAWS }, () => slopesAgainstCurrent(draw(), plateVolts, upToPlateAmps, STATIONS));
  const plateAmps = slopesAgainstCurrent(record.law, plateVolts, upToPlateAmps, STATIONS).plateAmps;
  const bandOf = (which: "mu" | "siemens" | "plateOhms"): Between => {
    const at = (share: number) =>
      plateAmps.map((_, i) => {
        const values = drawn.flatMap((one) => one[which][i] ?? []);
        // Where many of the laws do not come to that current, the rest are no fair sample.
        return values.length < 0.9 * DRAWS ? Number.NaN : quantile(values, share);
      });
    return { low: at(0.05), high: at(0.95) };
  };
  return {
    ...slopesAgainstCurrent(record.law, plateVolts, upToPlateAmps),
    bands: { plateAmps, mu: bandOf("mu"), siemens: bandOf("siemens"), plateOhms: bandOf("plateOhms") },
  };
}

/** Laws drawn from a record's posterior and specimens, one after another. */
export function lawDraws(record: LawRecord, seed: number): () => TriodeLaw {
  const n = record.parameters.length;
  const factor = upperFactor(record.covariance, n);
  const specimens = specimenSpread(record);
  const random = seededRandom(seed);
  return () => {
    const z = Array.from({ length: n }, () => random.normal());
    let law = record.law;
    for (const [i, { name }] of record.parameters.entries()) {
      const fit = z.reduce((sum, x, k) => sum + (factor[i * n + k] as number) * x, 0);
      law = moved(law, name, fit + (specimens[i] as number) * random.normal());
    }
    return law;
  };
}
