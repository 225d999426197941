/**
 * Iron of unknown rating: volts and ohms as read, current by estimates, and no sale until tests have settled it.
 *
 * Law     As by readings for what was read; what was not is usual for iron of the estimated size.
 * Limits  The current used is the careful end of the estimates, until a load test has established it.
 * Sources transformer-estimates.ts; docs/transformer.md.
 */
import { ok, type Result } from "@platewright/engine";
import type { Transformer } from "../document/schema.ts";
import { estimateRating } from "./transformer-estimates.ts";
import type { TransformerFailure } from "./transformer-failures.ts";
import { dcAmps, rmsForDc, usualHalf, voltAmpsOf } from "./transformer-from-label.ts";
import { HOT_COPPER, rangeMiddle, type RectifierKind, REGULATION_SPREAD, spreadOf } from "./transformer-practice.ts";
import { heaterVoltAmpsOf, type ResolvedTransformer, type TransformerSetting } from "./transformer-resolved.ts";

/** VA left for heaters when the document names none: common practice. */
const USUAL_HEATER_VOLT_AMPS = 15;

export function byEstimate(
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
  const beyond =
    transformer.ratingEstablished === true && ratedAmps > rating.value.amps[1]
      ? [
          `The established ${(1000 * ratedAmps).toFixed(0)} mA lies above what the estimates allow; test its temperature again.`,
        ]
      : [];
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
      ...beyond,
      ...(established ? [] : [`Not for sale with this transformer yet: ${wanting.join(" and ")}.`]),
    ],
  });
}
