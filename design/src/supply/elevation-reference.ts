/**
 * What a heater winding is referred by: its centre tap, two resistors, a hum pot, or one end.
 *
 * Law     The ends swing about the reference by their share of the winding's peak: half each from a centre, p and 1 - p from a
 *         hum pot at p. `humVolts` is the rms of the mean of both ends: what couples where both ends couple alike.
 * Sources 2 x 100 Ω of half a watt or more, hum pots of 100 to 500 Ω: common practice.
 */
export type HeaterReference =
  | { readonly kind: "centre-tap" }
  | { readonly kind: "two-resistors"; readonly aOhms: number; readonly bOhms: number }
  | { readonly kind: "hum-pot"; readonly ohms: number; readonly position: number }
  | { readonly kind: "one-end" };

export interface ReferencedWinding {
  /** Peak of each end about the reference. */
  readonly aPeakVolts: number;
  readonly bPeakVolts: number;
  /** The larger: what heater-cathode limits are judged with. */
  readonly peakVolts: number;
  readonly humVolts: number;
  /** Through the resistors or the pot, rms, and their heat. */
  readonly amps: number;
  readonly wattsA: number;
  readonly wattsB: number;
  /** From the winding to the reference. */
  readonly sourceOhms: number;
}

export function heaterReference(reference: HeaterReference, windingVolts: number): ReferencedWinding {
  const from = (share: number, aOhms: number, bOhms: number): ReferencedWinding => {
    const whole = aOhms + bOhms;
    const amps = whole > 0 ? windingVolts / whole : 0;
    const a = share * windingVolts * Math.SQRT2;
    const b = (1 - share) * windingVolts * Math.SQRT2;
    return {
      aPeakVolts: a,
      bPeakVolts: b,
      peakVolts: Math.max(a, b),
      humVolts: Math.abs(share - 0.5) * windingVolts,
      amps,
      wattsA: amps * amps * aOhms,
      wattsB: amps * amps * bOhms,
      sourceOhms: whole > 0 ? (aOhms * bOhms) / whole : 0,
    };
  };
  switch (reference.kind) {
    case "centre-tap":
      return from(0.5, 0, 0);
    case "one-end":
      return from(0, 0, 0);
    case "two-resistors":
      return from(reference.aOhms / (reference.aOhms + reference.bOhms), reference.aOhms, reference.bOhms);
    case "hum-pot": {
      const a = reference.position * reference.ohms;
      return from(reference.position, a, reference.ohms - a);
    }
  }
}
