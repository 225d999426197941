/**
 * A transformer as the builder knows it (by its label, by readings, or hardly at all) turned into the numbers that the
 * supply is solved with, at the document's own mains.
 *
 * Law     Volts scale with mains over tap. An rms rating allows dc by the lower of two makers' factors. Readings go before the
 *         label (transformer-readings.ts), estimates stand where there is neither (transformer-unknown.ts).
 * Limits  Linear: no leakage reactance, no iron losses; what heaters draw does not yet pull the high tension down.
 * Sources docs/transformer.md.
 */
import { fail, ok, type Result } from "@platewright/engine";
import type { Transformer } from "../document/schema.ts";
import type { TransformerFailure } from "./transformer-failures.ts";
import { dcAmps, usualHalf, voltAmpsOf } from "./transformer-from-label.ts";
import { implausibleAmps } from "./transformer-label.ts";
import { type RectifierKind, spreadOf } from "./transformer-practice.ts";
import { byReadings } from "./transformer-readings.ts";
import { heaterVoltAmpsOf, type ResolvedTransformer, type TransformerSetting } from "./transformer-resolved.ts";
import { byEstimate } from "./transformer-unknown.ts";

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
