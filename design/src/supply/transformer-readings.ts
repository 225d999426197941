/**
 * A transformer by the builder's own readings.
 *
 * Law     Rs = Rhalf + Rprimary (Ns/Np)², the ratio from unloaded volts, copper 40 K above the bench; or
 *         (unloaded - loaded) / amperes of a reading under load, which goes first because it holds leakage and heat.
 * Limits  Linear. A reading under load is taken to load its own winding alone.
 * Sources docs/transformer.md.
 */
import { fail, ok, type Result } from "@platewright/engine";
import type { Transformer } from "../document/schema.ts";
import type { TransformerFailure } from "./transformer-failures.ts";
import { dcAmps, rmsForDc, voltAmpsOf } from "./transformer-from-label.ts";
import { HOT_COPPER, type Range, type RectifierKind, REGULATION_SPREAD, spreadOf } from "./transformer-practice.ts";
import { heaterVoltAmpsOf, type ResolvedTransformer, type TransformerSetting } from "./transformer-resolved.ts";

export interface SourceReading {
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

export function byReadings(
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
