/**
 * Rating of iron that nobody knows: independent estimates, and the range that they leave.
 *
 * Law     VA by primary ohms, by the core's cross-section, by weight; high-tension amperes from each as (0.65 VA - heaters)
 *         over the dc volts; amperes by the drop in the half's own copper.
 * Method  The range is what all estimates allow, no narrower than a fifth either way; where they allow nothing in common it is all that any allows, and it is said.
 * Limits  Every one is common practice with a spread of its own. A transformer is not rated by them: it is not sold on them.
 * Sources transformer-practice.ts.
 */
import { fail, ok, type Result } from "@platewright/engine";
import type { Transformer } from "../document/schema.ts";
import type { TransformerFailure } from "./transformer-failures.ts";
import { DC_PER_HALF_VOLT } from "./transformer-from-label.ts";
import {
  ampsByCopperDrop,
  CAPACITOR_INPUT_SHARE,
  hull,
  overlap,
  PRIMARY_TABLE_VOLT_AMPS,
  type Range,
  rangeMiddle,
  spreadOf,
  voltAmpsByCore,
  voltAmpsByPrimaryOhms,
  voltAmpsByWeight,
} from "./transformer-practice.ts";

export interface Estimate {
  readonly by: "primary ohms" | "core" | "weight" | "copper drop";
  readonly voltAmps?: Range;
  readonly amps: Range;
  readonly note?: string;
}

export interface EstimatedRating {
  readonly estimates: readonly Estimate[];
  readonly amps: Range;
  /** Undefined when no estimate speaks of the whole. */
  readonly voltAmps?: Range;
  /** Whether the estimates have something in common. */
  readonly agree: boolean;
  readonly notes: readonly string[];
}

export interface EstimateGround {
  readonly unknown: NonNullable<Transformer["unknown"]>;
  /** Mains that the primary is wound for, as far as is known: the mains it was read at. */
  readonly primaryVolts: number;
  readonly hertz: number;
  /** What the heaters are to draw; about 15 VA when nothing is known. */
  readonly heaterVoltAmps: number;
}

export function estimateRating(ground: EstimateGround): Result<EstimatedRating, TransformerFailure> {
  const { unknown } = ground;
  const dcVolts = DC_PER_HALF_VOLT * unknown.unloadedRmsVoltsPerHalf;
  const fromVoltAmps = ([low, high]: Range): Range => [
    Math.max(0, (CAPACITOR_INPUT_SHARE * low - ground.heaterVoltAmps) / dcVolts),
    Math.max(0, (CAPACITOR_INPUT_SHARE * high - ground.heaterVoltAmps) / dcVolts),
  ];
  const estimates: Estimate[] = [];
  const wanting: string[] = [];
  const whole = (by: Estimate["by"], voltAmps: Range, note?: string) =>
    estimates.push({ by, voltAmps, amps: fromVoltAmps(voltAmps), ...(note === undefined ? {} : { note }) });
  if (unknown.primaryOhms === undefined) wanting.push("the primary's ohms");
  else {
    const voltAmps = voltAmpsByPrimaryOhms(unknown.primaryOhms, ground.primaryVolts);
    const outside = voltAmps[0] < PRIMARY_TABLE_VOLT_AMPS[0] || voltAmps[1] > PRIMARY_TABLE_VOLT_AMPS[1];
    whole("primary ohms", voltAmps, outside ? "drawn out beyond the table, 30 to 160 VA" : undefined);
  }
  if (unknown.tongueMillimetres === undefined || unknown.stackMillimetres === undefined)
    wanting.push("width of the core's tongue and height of its stack");
  else whole("core", voltAmpsByCore(unknown.tongueMillimetres * unknown.stackMillimetres, ground.hertz));
  if (unknown.kilograms === undefined) wanting.push("its weight");
  else whole("weight", voltAmpsByWeight(unknown.kilograms));
  if (unknown.ohmsPerHalf === undefined) wanting.push("ohms of a half winding");
  else
    estimates.push({
      by: "copper drop",
      amps: ampsByCopperDrop(unknown.unloadedRmsVoltsPerHalf, unknown.ohmsPerHalf),
    });
  if (estimates.length < 2) return fail({ kind: "too-few-estimates", have: estimates.map((one) => one.by), wanting });

  const amps = combine(estimates.map((one) => one.amps));
  const wholes = estimates.flatMap((one) => (one.voltAmps === undefined ? [] : [one.voltAmps]));
  const voltAmps = wholes.length === 0 ? undefined : combine(wholes);
  const say = ([low, high]: Range) => `${(1000 * low).toFixed(0)} to ${(1000 * high).toFixed(0)} mA`;
  const each = estimates.map((one) => `${one.by} ${say(one.amps)}${one.note === undefined ? "" : ` (${one.note})`}`);
  const ampsRange = noNarrower(amps.range);
  return ok({
    estimates,
    amps: ampsRange,
    ...(voltAmps === undefined ? {} : { voltAmps: noNarrower(voltAmps.range) }),
    agree: amps.agree && (voltAmps?.agree ?? true),
    notes: [
      amps.agree
        ? `High tension ${say(ampsRange)} is what all estimates allow, taken no narrower than a fifth either way: ${each.join("; ")}.`
        : `The estimates disagree, so the range is all that any of them allows, ${say(ampsRange)}: ${each.join("; ")}.`,
    ],
  });
}

/** Wide estimates that touch by chance do not make a sharp one: at least a fifth either way, assumed. */
const NARROWEST = 0.2;
const noNarrower = (range: Range): Range => hull(range, spreadOf(rangeMiddle(range), NARROWEST));

/** What all have in common, else all that any allows. */
export function combine(ranges: readonly Range[]): { readonly range: Range; readonly agree: boolean } {
  const [first, ...rest] = ranges;
  if (first === undefined) throw new Error("no ranges to combine");
  const common = rest.reduce<Range | undefined>((so, one) => (so === undefined ? undefined : overlap(so, one)), first);
  return common === undefined ? { range: rest.reduce(hull, first), agree: false } : { range: common, agree: true };
}
