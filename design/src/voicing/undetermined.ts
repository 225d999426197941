/**
 * What the data of a tube type leaves open, as it matters at one section: which parameters of its law the rows do not set,
 * what each moves, and the one reading that would settle most of it.
 *
 * Law     Linear and Gaussian, as in rank-measurements.ts. What a parameter moves is what H2, gain or current move with it
 *         when it is off by its posterior deviation and all others by what they then are on average: knowing it would take
 *         just that out of the band.
 * Method  Slopes of H2 and gain through the solved circuit (law-slopes.ts); of static currents through the law alone. A
 *         reading of current is taken against the current where the section stands, so that how strong the one bottle is
 *         falls out. Candidates: H2 and gain of the channel, currents at half, the same and twice its plate volts.
 * Limits  What the law itself misses is in no parameter.
 */
import { compileTriode, fail, type LawRecord, ok, type Result, type TriodeEvaluator } from "@platewright/engine";
import type { SolvedDesign } from "../solved/types.ts";
import { NINETY } from "./gaussian.ts";
import { type LawSlopes, lawSlopes, moved, specimenSpread } from "./law-slopes.ts";
import { gridVoltsAt } from "./plate-curves.ts";
import { USUAL_METERS } from "./rank-measurements.ts";

/** A reading, and the share of the parameter's deviation that it would leave. */
export type Help = { readonly leaves: number } & (
  | { readonly reading: "h2" | "gain" }
  | {
      readonly reading: "plate-current";
      readonly plateVolts: number;
      readonly gridVolts: number;
      /** What the law expects there. */
      readonly plateAmps: number;
    }
);

export interface OpenParameter {
  /** As the law's record names it: "p", "k", "a", "Vt", "Vct" ... */
  readonly name: string;
  /** 90 %, as a share of the value; of a contact potential, in volts. */
  readonly spread: number;
  /** 90 % half-widths that stand open with it. */
  readonly h2Decibels: number;
  readonly gainDecibels: number;
  /** Left out when no single reading would take away enough. */
  readonly help?: Help;
}

export interface Undetermined {
  readonly parameters: readonly OpenParameter[];
  /** 90 % half-width of the channel's gain, posterior and specimen together, dB. */
  readonly gainDecibels: number;
}

/** Where currents might be read: plate volts and currents over those at which the section stands. */
const PLATE_VOLTS = [0.5, 1, 2] as const;
const CURRENTS = [0.02, 0.1, 0.4, 2, 4] as const;
/** 90 %: an ammeter on the plate, and how near the grid is set. Common practice. */
const METER_SHARE = 0.03;
const GRID_VOLTS = 0.03;
const STEP = 0.02;
/** A reading that leaves more than this share is not worth the bench. */
const WORTH_SAYING = 0.85;

/** What the section's plate may take; readings beyond are not proposed. */
export interface Bounds {
  readonly watts?: number;
  readonly volts?: number;
}

/** Open parameters of a section's law, those that move H2 most first. */
export function undetermined(
  solved: SolvedDesign,
  triode: string,
  inputVolts: number,
  bounds: Bounds = {},
): Result<Undetermined, string> {
  const record = solved.laws.get(triode);
  const rest = solved.bias.triodes.get(triode);
  const instance = solved.expanded.triodes.find((one) => one.id === triode)?.instance;
  if (record === undefined || rest === undefined || instance === undefined)
    return fail(`${triode} is no section of this design that has a law.`);
  const slopes = lawSlopes(solved, instance, inputVolts, { triode, record });
  if (!slopes.ok) return slopes;
  const readings = candidates(slopes.value, rest, bounds);
  const of = (which: "h2" | "gain") => slopes.value.slopes.map((one) => one[which]);
  const open = record.parameters.flatMap(({ name, determined }, p): readonly OpenParameter[] => {
    const variance = covarianceAt(record, p, p);
    if (determined || !(variance > 0)) return [];
    const moves = (weights: readonly number[]) =>
      (NINETY * Math.abs(withParameter(record, p, weights))) / Math.sqrt(variance);
    const best = readings
      .map(({ help, weights, noise }) => {
        const shared = withParameter(record, p, weights) ** 2 / (variance * (spreadOf(record, weights) + noise));
        return { ...help, leaves: Math.sqrt(Math.max(0, 1 - shared)) };
      })
      .reduce<Help | undefined>((a, b) => (a === undefined || b.leaves < a.leaves ? b : a), undefined);
    return [
      {
        name,
        spread: NINETY * Math.sqrt(variance),
        h2Decibels: moves(of("h2")),
        gainDecibels: moves(of("gain")),
        ...(best === undefined || best.leaves > WORTH_SAYING ? {} : { help: best }),
      },
    ];
  });
  return ok({
    parameters: open.sort((a, b) => b.h2Decibels - a.h2Decibels),
    gainDecibels: NINETY * Math.sqrt(spreadOf(record, of("gain"))),
  });
}

interface Candidate {
  readonly help: Omit<Help, "leaves"> & Help;
  /** How ln of the reading (in dB where it is a ratio of volts) moves with each parameter. */
  readonly weights: readonly number[];
  /** Variance of the reading itself. */
  readonly noise: number;
}

function candidates(
  { record, slopes }: LawSlopes,
  { plateVolts, gridVolts, plateAmps }: { plateVolts: number; gridVolts: number; plateAmps: number },
  { watts: mostWatts = Infinity, volts: mostVolts = Infinity }: Bounds,
): readonly Candidate[] {
  const inCircuit = (["h2", "gain"] as const).map(
    (reading): Candidate => ({
      help: { reading, leaves: 1 },
      weights: slopes.map((one) => one[reading]),
      noise: (USUAL_METERS[reading] / NINETY) ** 2,
    }),
  );
  const here = currentSlopes(record, gridVolts, plateVolts);
  const still = PLATE_VOLTS.flatMap((volts) =>
    CURRENTS.flatMap((times): readonly Candidate[] => {
      const v = rounded(volts * plateVolts);
      const exact = gridVoltsAt(record.law, v, times * plateAmps, volts * gridVolts);
      if (exact === undefined) return [];
      const there = -rounded(-exact);
      const { weights, perVolt, amps } = currentSlopes(record, there, v);
      if (v > mostVolts || amps * v > mostWatts) return [];
      return [
        {
          help: { reading: "plate-current", plateVolts: v, gridVolts: there, plateAmps: amps, leaves: 1 },
          weights: weights.map((one, i) => one - (here.weights[i] as number)),
          noise: (2 * METER_SHARE ** 2 + (perVolt * GRID_VOLTS) ** 2) / NINETY ** 2,
        },
      ];
    }),
  );
  return [...inCircuit, ...still];
}

/** d ln ia by each parameter, and by the grid's volts. */
function currentSlopes(record: LawRecord, gridVolts: number, plateVolts: number) {
  const out = new Float64Array(6);
  const logOf = (evaluate: TriodeEvaluator) => {
    evaluate(gridVolts, plateVolts, out);
    return Math.log(out[0] as number);
  };
  const weights = record.parameters.map(({ name }) => {
    const [up, down] = [STEP, -STEP].map((by) => logOf(compileTriode(moved(record.law, name, by))));
    return ((up as number) - (down as number)) / (2 * STEP);
  });
  compileTriode(record.law)(gridVolts, plateVolts, out);
  const [amps, slope] = [out[0] as number, out[1] as number];
  return { weights, amps, perVolt: slope / amps };
}

/** Volts as they would be set at a bench: two figures, from 5 upward the second of them 0 or 5. */
function rounded(volts: number): number {
  if (!(volts > 0)) return 0;
  const decade = 10 ** Math.floor(Math.log10(volts));
  const step = volts < 5 * decade ? decade / 10 : decade / 2;
  return Number((Math.round(volts / step) * step).toPrecision(3));
}

const covarianceAt = ({ covariance, parameters }: LawRecord, i: number, j: number): number =>
  covariance[i * parameters.length + j] ?? 0;

/** Covariance of a parameter with what `weights` makes of all. */
const withParameter = (record: LawRecord, p: number, weights: readonly number[]): number =>
  weights.reduce((sum, weight, i) => sum + weight * covarianceAt(record, i, p), 0);

/** Variance of what `weights` makes of the parameters, and of how specimens differ in them. */
function spreadOf(record: LawRecord, weights: readonly number[]): number {
  const specimens = specimenSpread(record);
  return weights.reduce(
    (sum, weight, p) => sum + weight * withParameter(record, p, weights) + (weight * (specimens[p] ?? 0)) ** 2,
    0,
  );
}
