/**
 * A transformer as the builder knows it (by its label, by readings, or hardly at all) turned into the numbers that the
 * supply is solved with, at the document's own mains.
 *
 * Law     Volts scale with mains over tap. Ohms of a half: Rs = Rhalf + Rprimary (Ns/Np)², copper 40 K above the bench;
 *         or (unloaded - loaded) / amperes of a reading under load, which goes first because it holds leakage and heat.
 *         An rms rating allows dc by the lower of two makers' factors.
 * Limits  Linear: no leakage reactance, no iron losses; what heaters draw does not yet pull the high tension down.
 * Sources docs/transformer.md.
 */
import { fail, ok, type Result } from "@platewright/engine";
import type { Supply, Transformer } from "../document/schema.ts";
import { estimateRating, type Estimate } from "./transformer-estimates.ts";
import type { TransformerFailure } from "./transformer-failures.ts";
import { dcAmps, rmsForDc, usualHalf, voltAmpsOf } from "./transformer-from-label.ts";
import { implausibleAmps } from "./transformer-label.ts";
import {
  HOT_COPPER,
  type Range,
  rangeMiddle,
  type RectifierKind,
  spreadOf,
  REGULATION_SPREAD,
} from "./transformer-practice.ts";

export type KnownBy = "label" | "measured" | "unknown";

/** dc ohms of each winding on the bench, and the volts it has with nothing connected, at the document's mains. */
export interface TransformerCopper {
  readonly primary: { readonly ohms: number; readonly volts: number };
  readonly half: { readonly ohms: number; readonly volts: number };
  readonly heaters: { readonly [id: string]: { readonly ohms: number; readonly volts: number } };
  /** Whether the primary's share was read or is taken as usual for iron of this size. */
  readonly from: "readings" | "usual shares";
}

export interface TransformerRanges {
  /** DC that the high tension may give. */
  readonly ratedAmps: Range;
  readonly ohmsPerHalf: Range;
  readonly unloadedRmsVoltsPerHalf: Range;
  readonly voltAmps: Range;
}

export interface ResolvedTransformer {
  /** The same shape as in the document, at its mains; `ratedAmps` is dc after a capacitor input, the careful end. */
  readonly transformer: Transformer;
  readonly knownBy: KnownBy;
  readonly circuit: RectifierKind;
  readonly ranges: TransformerRanges;
  readonly copper: TransformerCopper;
  /** Mains of the document over the tap in use. */
  readonly mainsOverTap: number;
  readonly estimates: readonly Estimate[];
  /** Not to be sold with: unknown iron whose insulation is not tested or whose rating is not established. */
  readonly saleStop: boolean;
  readonly notes: readonly string[];
}

export type TransformerSetting = Pick<Supply, "mains" | "transformer">;

export function resolveTransformer(
  setting: TransformerSetting,
  options: { readonly circuit?: RectifierKind } = {},
): Result<ResolvedTransformer, TransformerFailure> {
  const { transformer } = setting;
  const wrong = wrongNumber(transformer);
  if (wrong !== undefined) return fail(wrong);
  const circuit = options.circuit ?? "centre-tap";
  const common = commonNotes(setting);
  if (transformer.unknown !== undefined) return byEstimate(setting, transformer.unknown, circuit, common);
  if (transformer.measured !== undefined) return byReadings(setting, transformer.measured, circuit, common);
  return byLabel(setting, circuit, common);
}

function wrongNumber(transformer: Transformer): TransformerFailure | undefined {
  const { highTension } = transformer;
  const numbers: readonly (readonly [string, number])[] = [
    ...Object.entries(highTension).map(([name, value]) => [`transformer.highTension.${name}`, value] as const),
    ...transformer.heaters.flatMap((one) =>
      (["ratedVolts", "ratedAmps", "unloadedVolts"] as const).map(
        (name) => [`transformer.heaters[${one.id}].${name}`, one[name]] as const,
      ),
    ),
  ];
  for (const [where, given] of numbers)
    if (!(given > 0 && given < Infinity)) return { kind: "bad-number", where, given, need: "finite and above 0" };
  return (
    implausibleAmps("transformer.highTension.ratedAmps", highTension.ratedRmsVoltsPerHalf, highTension.ratedAmps) ??
    transformer.heaters
      .map((one) => implausibleAmps(`transformer.heaters[${one.id}].ratedAmps`, one.ratedVolts, one.ratedAmps))
      .find((one) => one !== undefined)
  );
}

function commonNotes({ mains, transformer }: TransformerSetting): readonly string[] {
  const notes: string[] = [];
  const { primary } = transformer;
  if (transformer.currentRating === "ac-rms")
    notes.push("The current rating is taken as ac rms; the lower of two makers' factors gives the dc.");
  if (primary === undefined) return notes;
  const factor = mains.volts / primary.usedTapVolts;
  if (Math.abs(factor - 1) > 0.02)
    notes.push(
      `${mains.volts} V on the ${primary.usedTapVolts} V tap: every winding stands at ${(100 * factor).toFixed(0)} % of its label.`,
    );
  const nearer = primary.tapVolts.reduce((best, one) =>
    Math.abs(one - mains.volts) < Math.abs(best - mains.volts) ? one : best,
  );
  if (Math.abs(nearer - mains.volts) < Math.abs(primary.usedTapVolts - mains.volts) - 1e-9)
    notes.push(`The ${nearer} V tap lies nearer to ${mains.volts} V.`);
  const flux = (factor * (primary.ratedHertz ?? mains.hertz)) / mains.hertz;
  if (flux > 1.1)
    notes.push(
      `The core carries ${(100 * flux).toFixed(0)} % of the flux it was made for (volts over frequency): it may hum, saturate and run hot.`,
    );
  return notes;
}

const heaterVoltAmpsOf = (heaters: Transformer["heaters"]): number =>
  heaters.reduce((sum, one) => sum + one.ratedVolts * one.ratedAmps, 0);

function byLabel(
  { mains, transformer }: TransformerSetting,
  circuit: RectifierKind,
  common: readonly string[],
): Result<ResolvedTransformer, TransformerFailure> {
  const tap = transformer.primary?.usedTapVolts ?? mains.volts;
  const factor = mains.volts / tap;
  const { highTension } = transformer;
  const dc = dcAmps(highTension.ratedAmps, transformer.currentRating ?? "dc-after-capacitor", circuit);
  const voltAmps =
    transformer.ratedVoltAmps ??
    voltAmpsOf(highTension.ratedRmsVoltsPerHalf, dc[0], heaterVoltAmpsOf(transformer.heaters));
  const heaters = transformer.heaters.map((one) => ({
    ...one,
    ratedVolts: one.ratedVolts * factor,
    unloadedVolts: one.unloadedVolts * factor,
  }));
  const unloaded = highTension.unloadedRmsVoltsPerHalf * factor;
  const usual = usualHalf(highTension.ratedRmsVoltsPerHalf, dc[0], voltAmps, tap, circuit);
  const reflected = (highTension.ohmsPerHalf * usual.reflected) / (usual.own + usual.reflected);
  return ok({
    transformer: {
      ...transformer,
      highTension: {
        ratedRmsVoltsPerHalf: highTension.ratedRmsVoltsPerHalf * factor,
        ratedAmps: dc[0],
        unloadedRmsVoltsPerHalf: unloaded,
        ohmsPerHalf: highTension.ohmsPerHalf,
      },
      heaters,
    },
    knownBy: "label",
    circuit,
    ranges: {
      ratedAmps: dc,
      ohmsPerHalf: [highTension.ohmsPerHalf, highTension.ohmsPerHalf],
      unloadedRmsVoltsPerHalf: [unloaded, unloaded],
      voltAmps: transformer.ratedVoltAmps === undefined ? spreadOf(voltAmps, 0.2) : [voltAmps, voltAmps],
    },
    copper: {
      primary: { ohms: reflected * (mains.volts / unloaded) ** 2, volts: mains.volts },
      half: { ohms: highTension.ohmsPerHalf - reflected, volts: unloaded },
      heaters: Object.fromEntries(
        heaters.map((one) => [
          one.id,
          // Windings loaded alike: half of a heater winding's drop is its own.
          { ohms: Math.max(0, one.unloadedVolts - one.ratedVolts) / one.ratedAmps / 2, volts: one.unloadedVolts },
        ]),
      ),
      from: "usual shares",
    },
    mainsOverTap: factor,
    estimates: [],
    saleStop: false,
    notes: common,
  });
}

interface SourceReading {
  readonly ohms: number;
  readonly range: Range;
  readonly note?: string;
}

/** Source ohms of a winding from dc ohms (cold to warm) and from one reading under load. */
export function sourceOhmsFrom(
  where: string,
  given: {
    readonly windingOhms?: number;
    readonly primaryOhms: number;
    readonly mainsVolts: number;
    readonly unloadedVolts: number;
    readonly loaded?: { readonly amps: number; readonly volts: number; readonly mainsVolts?: number | undefined };
  },
): Result<SourceReading, TransformerFailure> {
  const reflected = given.primaryOhms * (given.unloadedVolts / given.mainsVolts) ** 2;
  const cold = given.windingOhms === undefined ? undefined : given.windingOhms + reflected;
  const { loaded } = given;
  if (loaded === undefined) {
    if (cold === undefined)
      // A heater winding's milliohms are below a meter: taken as losing as much as the primary does for it.
      return ok({ ohms: 2 * reflected * HOT_COPPER, range: spreadOf(2 * reflected * HOT_COPPER, REGULATION_SPREAD) });
    return ok({ ohms: cold * HOT_COPPER, range: [cold, cold * HOT_COPPER] });
  }
  const unloaded = (given.unloadedVolts * (loaded.mainsVolts ?? given.mainsVolts)) / given.mainsVolts;
  const ohms = (unloaded - loaded.volts) / loaded.amps;
  if (!(ohms > 0)) return fail({ kind: "volts-do-not-sag", where, unloaded, loaded: loaded.volts });
  if (cold === undefined) return ok({ ohms, range: [ohms, ohms] });
  const far = ohms > 1.25 * cold * HOT_COPPER || ohms < 0.8 * cold;
  return ok({
    ohms,
    range: [Math.min(cold, ohms), Math.max(cold * HOT_COPPER, ohms)],
    ...(far
      ? {
          note: `${where}: the reading under load gives ${ohms.toPrecision(3)} Ω, the windings' ohms give ${cold.toPrecision(3)} Ω; one of the readings is wrong, or the load was not the winding alone.`,
        }
      : {}),
  });
}

function byReadings(
  { mains, transformer }: TransformerSetting,
  measured: NonNullable<Transformer["measured"]>,
  circuit: RectifierKind,
  common: readonly string[],
): Result<ResolvedTransformer, TransformerFailure> {
  const known = transformer.heaters.map((one) => one.id);
  const stranger = Object.keys(measured.heaters).find((one) => !known.includes(one));
  if (stranger !== undefined)
    return fail({ kind: "unknown-winding", where: `transformer.measured.heaters.${stranger}`, known });
  const factor = mains.volts / measured.mainsVolts;
  const dc = dcAmps(transformer.highTension.ratedAmps, transformer.currentRating ?? "dc-after-capacitor", circuit);
  const high = sourceOhmsFrom("transformer.measured.highTension", {
    windingOhms: measured.highTension.ohmsPerHalf,
    primaryOhms: measured.primaryOhms,
    mainsVolts: measured.mainsVolts,
    unloadedVolts: measured.highTension.unloadedRmsVoltsPerHalf,
    ...(measured.highTension.loaded === undefined ? {} : { loaded: measured.highTension.loaded }),
  });
  if (!high.ok) return high;
  const unloaded = measured.highTension.unloadedRmsVoltsPerHalf * factor;
  const rated = unloaded - high.value.ohms * rmsForDc(dc[0], circuit);
  if (!(rated > 0))
    return fail({
      kind: "bad-number",
      where: "transformer.highTension.ratedAmps",
      given: dc[0],
      need: "a current at which volts are left",
    });
  const notes = [...common, ...(high.value.note === undefined ? [] : [high.value.note])];
  const heaters: Transformer["heaters"] = [];
  const copper: { [id: string]: { ohms: number; volts: number } } = {};
  const tapFactor = mains.volts / (transformer.primary?.usedTapVolts ?? mains.volts);
  for (const heater of transformer.heaters) {
    const reading = measured.heaters[heater.id];
    if (reading === undefined) {
      const scaled = {
        ...heater,
        ratedVolts: heater.ratedVolts * tapFactor,
        unloadedVolts: heater.unloadedVolts * tapFactor,
      };
      heaters.push(scaled);
      copper[heater.id] = {
        ohms: Math.max(0, scaled.unloadedVolts - scaled.ratedVolts) / scaled.ratedAmps / 2,
        volts: scaled.unloadedVolts,
      };
      continue;
    }
    const source = sourceOhmsFrom(`transformer.measured.heaters.${heater.id}`, {
      primaryOhms: measured.primaryOhms,
      mainsVolts: measured.mainsVolts,
      unloadedVolts: reading.unloadedVolts,
      ...(reading.ohms === undefined ? {} : { windingOhms: reading.ohms }),
      ...(reading.loaded === undefined ? {} : { loaded: reading.loaded }),
    });
    if (!source.ok) return source;
    if (source.value.note !== undefined) notes.push(source.value.note);
    const volts = reading.unloadedVolts * factor;
    const ratedVolts = volts - source.value.ohms * heater.ratedAmps;
    if (!(ratedVolts > 0))
      return fail({
        kind: "bad-number",
        where: `transformer.heaters[${heater.id}].ratedAmps`,
        given: heater.ratedAmps,
        need: "a current at which volts are left",
      });
    heaters.push({ ...heater, unloadedVolts: volts, ratedVolts });
    const reflected = measured.primaryOhms * (reading.unloadedVolts / measured.mainsVolts) ** 2;
    copper[heater.id] = { ohms: reading.ohms ?? Math.max(0, source.value.ohms / HOT_COPPER - reflected), volts };
  }
  const voltAmps = transformer.ratedVoltAmps ?? voltAmpsOf(rated, dc[0], heaterVoltAmpsOf(heaters));
  return ok({
    transformer: {
      ...transformer,
      highTension: {
        ratedRmsVoltsPerHalf: rated,
        ratedAmps: dc[0],
        unloadedRmsVoltsPerHalf: unloaded,
        ohmsPerHalf: high.value.ohms,
      },
      heaters,
    },
    knownBy: "measured",
    circuit,
    ranges: {
      ratedAmps: dc,
      ohmsPerHalf: high.value.range,
      unloadedRmsVoltsPerHalf: [unloaded, unloaded],
      voltAmps: transformer.ratedVoltAmps === undefined ? spreadOf(voltAmps, 0.2) : [voltAmps, voltAmps],
    },
    copper: {
      primary: { ohms: measured.primaryOhms, volts: mains.volts },
      half: { ohms: measured.highTension.ohmsPerHalf, volts: unloaded },
      heaters: copper,
      from: "readings",
    },
    mainsOverTap: tapFactor,
    estimates: [],
    saleStop: false,
    notes,
  });
}

/** Volts for 15 VA of heaters, when the document names none. */
const USUAL_HEATER_VOLT_AMPS = 15;

function byEstimate(
  { mains, transformer }: TransformerSetting,
  unknown: NonNullable<Transformer["unknown"]>,
  circuit: RectifierKind,
  common: readonly string[],
): Result<ResolvedTransformer, TransformerFailure> {
  const factor = mains.volts / unknown.mainsVolts;
  const heaterVoltAmps =
    transformer.heaters.length > 0 ? heaterVoltAmpsOf(transformer.heaters) : USUAL_HEATER_VOLT_AMPS;
  const rating = estimateRating({
    unknown,
    primaryVolts: transformer.primary?.usedTapVolts ?? unknown.mainsVolts,
    hertz: transformer.primary?.ratedHertz ?? mains.hertz,
    heaterVoltAmps,
  });
  if (!rating.ok) return rating;
  const unloaded = unknown.unloadedRmsVoltsPerHalf * factor;
  // An established rating is what the document says; else the careful end of the estimates.
  const ratedAmps =
    transformer.ratingEstablished === true
      ? dcAmps(transformer.highTension.ratedAmps, transformer.currentRating ?? "dc-after-capacitor", circuit)[0]
      : Math.max(1e-3, rating.value.amps[0]);
  const middle = Math.max(ratedAmps, rangeMiddle([ratedAmps, Math.max(ratedAmps, rating.value.amps[1])]));
  const voltAmps =
    rating.value.voltAmps ?? spreadOf(voltAmpsOf(unknown.unloadedRmsVoltsPerHalf, middle, heaterVoltAmps), 0.3);
  const usual = usualHalf(unknown.unloadedRmsVoltsPerHalf, middle, rangeMiddle(voltAmps), unknown.mainsVolts, circuit);
  const ratio = unknown.unloadedRmsVoltsPerHalf / unknown.mainsVolts;
  const own = unknown.ohmsPerHalf ?? usual.own;
  const primaryOhms = unknown.primaryOhms ?? usual.reflected / ratio ** 2;
  const cold = own + primaryOhms * ratio ** 2;
  const read = unknown.ohmsPerHalf !== undefined && unknown.primaryOhms !== undefined;
  const ohmsPerHalf = cold * HOT_COPPER;
  const rated = Math.max(unloaded * 0.5, unloaded - ohmsPerHalf * rmsForDc(ratedAmps, circuit));
  const established = transformer.insulationTested === true && transformer.ratingEstablished === true;
  const wanting = [
    ...(transformer.insulationTested === true ? [] : ["test the insulation of every winding"]),
    ...(transformer.ratingEstablished === true
      ? []
      : ["establish the rating by a load test (10 % sag or its temperature ends it)"]),
  ];
  return ok({
    transformer: {
      ...transformer,
      highTension: { ratedRmsVoltsPerHalf: rated, ratedAmps, unloadedRmsVoltsPerHalf: unloaded, ohmsPerHalf },
    },
    knownBy: "unknown",
    circuit,
    ranges: {
      ratedAmps: rating.value.amps,
      ohmsPerHalf: read ? [cold, ohmsPerHalf] : spreadOf(ohmsPerHalf, REGULATION_SPREAD),
      unloadedRmsVoltsPerHalf: [unloaded, unloaded],
      voltAmps,
    },
    copper: {
      primary: { ohms: primaryOhms, volts: mains.volts },
      half: { ohms: own, volts: unloaded },
      heaters: Object.fromEntries(
        transformer.heaters.map((one) => [
          one.id,
          { ohms: Math.max(0, one.unloadedVolts - one.ratedVolts) / one.ratedAmps / 2, volts: one.unloadedVolts },
        ]),
      ),
      from: read ? "readings" : "usual shares",
    },
    mainsOverTap: mains.volts / (transformer.primary?.usedTapVolts ?? mains.volts),
    estimates: rating.value.estimates,
    saleStop: !established,
    notes: [
      ...common,
      ...rating.value.notes,
      ...(established ? [] : [`Not for sale with this transformer yet: ${wanting.join(" and ")}.`]),
    ],
  });
}
