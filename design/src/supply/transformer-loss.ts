/**
 * Heat in the copper of every winding, and the VA of the whole against what the iron is good for.
 *
 * Law     P = I² R per winding, R at working temperature. The high tension's pulses reach the primary from both halves in turn:
 *         sqrt2 x half x turns ratio, heaters' sines beside them. Both have the same fundamental in phase, so that their
 *         rms adds as a² + b² + 2 k a b, with k the power factor of the rectifier (1 where its watts are not given: the most).
 * Limits  No magnetising current and no iron loss: a small transformer adds some watts of its own.
 * Sources 70 to 80 % of the VA as a habit: common practice. docs/transformer.md.
 */
import type { ResolvedTransformer } from "./transformer-resolved.ts";
import { HOT_COPPER } from "./transformer-practice.ts";

export interface TransformerCurrents {
  /** rms in each half of a centre-tapped winding; in the whole winding of a bridge. */
  readonly highTensionRmsAmps: number;
  /** Taken from the high tension (unloaded volts times current, mean); left out: its VA, the most it can be. */
  readonly highTensionWatts?: number;
  /** rms by winding. */
  readonly heaters: { readonly [id: string]: number };
}

export interface WindingLoss {
  readonly winding: string;
  readonly rmsAmps: number;
  readonly ohms: number;
  readonly watts: number;
}

export interface CopperLoss {
  readonly windings: readonly WindingLoss[];
  readonly watts: number;
  readonly primaryRmsAmps: number;
  /** As the core and the primary see it. */
  readonly voltAmps: number;
  /** Over what the iron is good for: the careful end and the other. */
  readonly ofRating: readonly [number, number];
  /** From the mains: unloaded volts times current in phase, so all copper is in it; iron loss is not. */
  readonly mainsWatts: number;
}

export function copperLoss(
  resolved: ResolvedTransformer,
  currents: TransformerCurrents,
  copperFactor = HOT_COPPER,
): CopperLoss {
  const { copper, circuit } = resolved;
  const halves = circuit === "centre-tap" ? 2 : 1;
  const high = currents.highTensionRmsAmps;
  const highVoltAmps = copper.half.volts * high * Math.sqrt(halves);
  const highWatts = Math.min(highVoltAmps, currents.highTensionWatts ?? highVoltAmps);
  const heaters = Object.entries(copper.heaters).map(([id, winding]) => ({
    id,
    ...winding,
    amps: currents.heaters[id] ?? 0,
  }));
  const heaterVoltAmps = heaters.reduce((sum, one) => sum + one.volts * one.amps, 0);
  const shape = highVoltAmps > 0 ? highWatts / highVoltAmps : 1;
  const pulse = highVoltAmps / copper.primary.volts;
  const sine = heaterVoltAmps / copper.primary.volts;
  const primaryRmsAmps = Math.sqrt(pulse * pulse + sine * sine + 2 * shape * pulse * sine);
  const loss = (winding: string, rmsAmps: number, ohms: number, count = 1): WindingLoss => ({
    winding,
    rmsAmps,
    ohms: ohms * copperFactor,
    watts: count * rmsAmps * rmsAmps * ohms * copperFactor,
  });
  const windings = [
    loss("primary", primaryRmsAmps, copper.primary.ohms),
    loss("high tension", high, copper.half.ohms, halves),
    ...heaters.map((one) => loss(one.id, one.amps, one.ohms)),
  ];
  const watts = windings.reduce((sum, one) => sum + one.watts, 0);
  const voltAmps = primaryRmsAmps * copper.primary.volts;
  const [low, most] = resolved.ranges.voltAmps;
  return {
    windings,
    watts,
    primaryRmsAmps,
    voltAmps,
    ofRating: [voltAmps / low, voltAmps / most],
    mainsWatts: highWatts + heaterVoltAmps,
  };
}
