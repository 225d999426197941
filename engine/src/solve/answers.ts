/** Shapes of what the solvers answer. Every answer has a named outcome and carries its effort (docs/solves.md). */
import type { Net } from "../circuit/parts.ts";
import type { Amps, Hertz, Ohms, Siemens, Volts, Watts } from "../units/quantities.ts";

export interface Effort {
  readonly steps: number;
  readonly factorings: number;
  readonly lawCalls: number;
  /** The largest residual left, in the unit of the unknown (A or V). */
  readonly residual: number;
}

export type CompileFailure =
  | { readonly kind: "duplicate-part"; readonly part: string }
  | {
      readonly kind: "bad-value";
      readonly part: string;
      readonly field: string;
      readonly given: number;
      readonly need: string;
    }
  | { readonly kind: "lonely-net"; readonly net: Net; readonly part: string }
  | { readonly kind: "floating-net"; readonly net: Net; readonly parts: readonly string[] }
  | { readonly kind: "floating-grid"; readonly part: string; readonly net: Net }
  | { readonly kind: "shorted-source"; readonly parts: readonly string[] }
  | { readonly kind: "no-ground" };

export type SolveFailure =
  | { readonly kind: "no-operating-point"; readonly effort: Effort; readonly worst: Net }
  | { readonly kind: "not-settled"; readonly effort: Effort; readonly what: string }
  | { readonly kind: "law-not-finite"; readonly part: string }
  | { readonly kind: "singular"; readonly net: Net }
  | { readonly kind: "unknown-name"; readonly name: string };

/** The quiescent state of one triode section, relative to its cathode unless said. */
export interface TriodeBias {
  readonly plateVolts: Volts;
  readonly gridVolts: Volts;
  readonly plateAmps: Amps;
  readonly gridAmps: Amps;
  readonly siemens: Siemens;
  readonly plateOhms: Ohms;
  readonly mu: number;
  readonly plateWatts: Watts;
}

export interface Bias {
  /** Volts to ground by net, all nets of the circuit. */
  readonly netVolts: ReadonlyMap<Net, Volts>;
  readonly triodes: ReadonlyMap<string, TriodeBias>;
  /** Slopes of every device at bias, four per device in circuit order: dia/dvg, dia/dva, dig/dvg, dig/dva (A/V). */
  readonly slopes: Float64Array;
  readonly effort: Effort;
  /** Unknowns of the solve, to warm-start the next one. */
  readonly unknowns: Float64Array;
}

export interface Complex {
  readonly re: number;
  readonly im: number;
}

export interface Response {
  readonly hertz: readonly Hertz[];
  /** Output volts per volt of the source's e.m.f. */
  readonly transfer: readonly Complex[];
}

/** Harmonics of a waveform: complex peak amplitudes relative to the source's cosine, index 0 the mean. */
export interface Spectrum {
  readonly real: Float64Array;
  readonly imaginary: Float64Array;
}

/** One triode over the cycle: means, and extremes among the samples. Volts relative to its cathode unless said. */
export interface TriodeCycle {
  readonly meanPlateAmps: Amps;
  readonly meanGridAmps: Amps;
  readonly minimumPlateAmps: Amps;
  readonly maximumPlateAmps: Amps;
  readonly maximumGridAmps: Amps;
  /** Highest grid-cathode volts. */
  readonly peakGridVolts: Volts;
  /** Highest and lowest plate-cathode volts. */
  readonly peakPlateVolts: Volts;
  readonly minimumPlateVolts: Volts;
  /** Highest and lowest cathode-to-ground volts. */
  readonly cathodeVoltsHigh: Volts;
  readonly cathodeVoltsLow: Volts;
}

export interface HarmonicAnswer {
  /** "settled": tail below the rule; "tail-not-reached": settled at this K, but the last harmonics are above the rule. */
  readonly outcome: "settled" | "tail-not-reached";
  readonly harmonics: number;
  /** Largest of the last two harmonics over the fundamental, dB. */
  readonly tailDecibels: number;
  readonly sourceVoltsPeak: Volts;
  readonly output: Spectrum;
  readonly triodes: ReadonlyMap<string, TriodeCycle>;
  readonly effort: Effort;
  /** Current samples of the devices, to warm-start the next level or edit. */
  readonly samples: readonly Float64Array[];
}

/** Means over a cycle: what the winding gives is what becomes heat and what the load takes. */
export interface RectifierBalance {
  /** E.m.f. of the winding times its current. */
  readonly windingWatts: Watts;
  /** In all series resistances and all drops, from the law and the current. */
  readonly heatWatts: Watts;
  readonly loadWatts: Watts;
  /** Of the first capacitor; 0 in a steady state. */
  readonly capacitorMeanAmps: Amps;
}

export interface RectifierAnswer {
  readonly dcVolts: Volts;
  readonly ripplePeakToPeakVolts: Volts;
  readonly platePeakAmps: Amps;
  /** Through one plate, or one path of a bridge, over the whole mains cycle. */
  readonly plateRmsAmps: Amps;
  /** In the copper: each half of a centre-tapped winding, the whole winding of a bridge. */
  readonly windingRmsAmps: Amps;
  /** Ripple current of the first capacitor. */
  readonly capacitorRmsAmps: Amps;
  /** Heat of one plate, or of one path of a bridge (both its diodes). */
  readonly rectifierWatts: Watts;
  /** The same by element, in the order of the law's elements; one entry for a simple law. */
  readonly elementWatts: readonly Watts[];
  /** Heat of the series resistance of one plate; of the whole winding of a bridge. */
  readonly seriesWatts: Watts;
  readonly balance: RectifierBalance;
  /** Across one plate, or one diode of a bridge. */
  readonly peakInverseVolts: Volts;
  readonly conductionDegrees: number;
  /** d(dcVolts)/d(load amperes), negative; a load resistance stays in place while the added current is drawn. */
  readonly slopeOhms: Ohms;
  readonly effort: Effort;
  readonly start: Float64Array;
}
