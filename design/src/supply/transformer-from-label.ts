/**
 * Winding data assumed from a label.
 *
 * Law     VA of the whole from the label, else heaters plus what a capacitor input leaves of the high tension; regulation r
 *         and primary ohms by VA as the trade finds them; windings loaded alike, so that half of r is lost in the primary:
 *         unloaded = rated (1 + r), own ohms of a half = (r / 2) V / I rms, plus the primary's ohms by the square of the ratio.
 * Limits  Common practice, not data: the ranges say how far one transformer may stand from it. A reading goes before it.
 */
import { ok, fail, type Result } from "@platewright/engine";
import type { Transformer } from "../document/schema.ts";
import type { TransformerFailure } from "./transformer-failures.ts";
import type { TransformerLabel } from "./transformer-label.ts";
import {
  CAPACITOR_INPUT_SHARE,
  DC_PER_RMS,
  type Range,
  rangeMiddle,
  type RectifierKind,
  REGULATION_SPREAD,
  scaleRange,
  spreadOf,
  usualPrimaryOhms,
  usualRegulation,
} from "./transformer-practice.ts";

export type CurrentRating = NonNullable<Transformer["currentRating"]>;

export interface LabelOptions {
  readonly mainsVolts: number;
  readonly currentRating?: CurrentRating;
  readonly circuit?: RectifierKind;
  /** Net that the heater windings are referred to. */
  readonly reference?: string;
}

/** DC volts over the rms of the half, capacitor input with a tube: 1.15 to 1.35, the middle taken. */
export const DC_PER_HALF_VOLT = 1.25;

/** DC amperes that a rating allows, lowest and highest of the conventions. */
export function dcAmps(ratedAmps: number, rating: CurrentRating, circuit: RectifierKind): Range {
  return rating === "dc-after-capacitor" ? [ratedAmps, ratedAmps] : scaleRange(DC_PER_RMS[circuit], ratedAmps);
}

/** rms in one half (the winding, for a bridge) at a dc current: the middle of the makers' factors. */
export const rmsForDc = (dc: number, circuit: RectifierKind): number => dc / rangeMiddle(DC_PER_RMS[circuit]);

/** VA of the whole from its windings. */
export function voltAmpsOf(voltsPerHalf: number, dc: number, heaterVoltAmps: number): number {
  return (DC_PER_HALF_VOLT * voltsPerHalf * dc) / CAPACITOR_INPUT_SHARE + heaterVoltAmps;
}

/** Own ohms of a half and reflected primary, as usual for iron of this size. */
export function usualHalf(
  voltsPerHalf: number,
  dc: number,
  voltAmps: number,
  mainsVolts: number,
  circuit: RectifierKind,
): { readonly own: number; readonly reflected: number } {
  const half = usualRegulation(voltAmps) / 2;
  return {
    own: (half * voltsPerHalf) / rmsForDc(dc, circuit),
    reflected: usualPrimaryOhms(voltAmps, mainsVolts) * (voltsPerHalf / mainsVolts) ** 2,
  };
}

export interface AssumedTransformer {
  readonly transformer: Transformer;
  readonly ranges: { readonly ohmsPerHalf: Range; readonly unloadedRmsVoltsPerHalf: Range; readonly ratedAmps: Range };
  readonly notes: readonly string[];
}

export function transformerFromLabel(
  label: TransformerLabel,
  options: LabelOptions,
): Result<AssumedTransformer, TransformerFailure> {
  const circuit = options.circuit ?? (label.highTension.halves === 2 ? "centre-tap" : "bridge");
  const rating = options.currentRating ?? "dc-after-capacitor";
  const { rmsVolts, amps } = label.highTension;
  if (amps === undefined) return fail({ kind: "no-current", where: "The high-tension winding", volts: rmsVolts });
  const heaters = label.others.filter((one) => one.rmsVolts < 50);
  const bare = heaters.find((one) => one.amps === undefined);
  if (bare !== undefined) return fail({ kind: "no-current", where: "A heater winding", volts: bare.rmsVolts });
  const dc = dcAmps(amps, rating, circuit);
  const heaterVoltAmps = heaters.reduce((sum, one) => sum + one.rmsVolts * (one.amps ?? 0), 0);
  const voltAmps = label.voltAmps ?? voltAmpsOf(rmsVolts, dc[0], heaterVoltAmps);
  const regulation = usualRegulation(voltAmps);
  const half = usualHalf(rmsVolts, dc[0], voltAmps, options.mainsVolts, circuit);
  const ohmsPerHalf = half.own + half.reflected;
  const [least, most] = spreadOf(regulation, REGULATION_SPREAD);
  const round = (value: number) => Number(value.toPrecision(4));
  const transformer: Transformer = {
    label: label.text.slice(0, 120),
    highTension: {
      ratedRmsVoltsPerHalf: rmsVolts,
      ratedAmps: amps,
      unloadedRmsVoltsPerHalf: round(rmsVolts * (1 + regulation)),
      ohmsPerHalf: round(ohmsPerHalf),
    },
    heaters: heaters.slice(0, 6).map((one, n) => ({
      id: `H${n + 1}`,
      ratedVolts: one.rmsVolts,
      ratedAmps: one.amps ?? 0,
      unloadedVolts: round(one.rmsVolts * (1 + regulation)),
      reference: options.reference ?? "0",
    })),
    ...(options.currentRating === undefined ? {} : { currentRating: rating }),
    ...(label.voltAmps === undefined ? {} : { ratedVoltAmps: label.voltAmps }),
    ...primaryOf(label, options.mainsVolts),
  };
  return ok({
    transformer,
    ranges: {
      ohmsPerHalf: spreadOf(ohmsPerHalf, REGULATION_SPREAD),
      unloadedRmsVoltsPerHalf: [rmsVolts * (1 + least), rmsVolts * (1 + most)],
      ratedAmps: dc,
    },
    notes: [
      `Regulation ${(100 * regulation).toFixed(0)} % and ${ohmsPerHalf.toFixed(0)} Ω per half are assumed for iron of ${voltAmps.toFixed(0)} VA (common practice); measure the unloaded volts and the ohms.`,
    ],
  });
}

/** The tap that lies nearest to the mains is taken as the one in use. */
function primaryOf(label: TransformerLabel, mainsVolts: number): Pick<Transformer, "primary"> {
  const taps = label.primaryVolts.slice(0, 8);
  if (taps.length === 0) return {};
  const used = taps.reduce((best, one) => (Math.abs(one - mainsVolts) < Math.abs(best - mainsVolts) ? one : best));
  return {
    primary: {
      tapVolts: [...taps],
      usedTapVolts: used,
      ...(label.hertz === undefined ? {} : { ratedHertz: label.hertz }),
    },
  };
}
