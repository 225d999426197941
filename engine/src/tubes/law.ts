/**
 * Tube laws as plain data. `compileTriode` (triode.ts) turns one into a fast evaluator; nothing else knows the forms.
 * Voltages are relative to the cathode.
 */
import type { Volts } from "../units/quantities.ts";

/** Space current ik(vg, va) of a triode, by form. Parameters in SI; names as in docs/laws.md. */
export type SpaceLaw =
  | {
      readonly form: "island";
      readonly G: number;
      readonly mu: number;
      readonly p: number;
      readonly k: number;
      readonly a: number;
      readonly Vt: number;
      readonly Vct: number;
    }
  | {
      readonly form: "koren";
      readonly mu: number;
      readonly ex: number;
      readonly kg1: number;
      readonly kp: number;
      readonly kvb: number;
      readonly Vct: number;
    }
  | {
      readonly form: "softplus";
      readonly G: number;
      readonly mu: number;
      readonly gamma: number;
      readonly C: number;
      readonly Vct: number;
    }
  | { readonly form: "three-halves"; readonly K: number; readonly mu: number; readonly p: number }
  /**
   * A field-effect device as a three-terminal one (gate, drain, source for grid, plate, cathode): square law, the same
   * from both ends, K in A/V^2, threshold Vt, `width` the volts over which the channel opens, `lambda` (1/V) the slope
   * with drain volts; a body diode conducts below -0.7 V.
   */
  | {
      readonly form: "square";
      readonly K: number;
      readonly Vt: number;
      readonly width: number;
      readonly lambda: number;
    };

/** Grid current: ig = Gg sp(C (vg - Vg0))/C to the power xi, sharing ik so that ig <= ik. `none` switches it off. */
export type GridLaw =
  | { readonly form: "none" }
  | { readonly form: "softplus"; readonly Gg: number; readonly xi: number; readonly C: number; readonly Vg0: number };

export interface TriodeLaw {
  readonly space: SpaceLaw;
  readonly grid: GridLaw;
}

/**
 * The same for `count` samples: grid volts from control[gridAt + m], plate volts from control[plateAt + m]; the six
 * results of sample m at out[at + step * result + m], in the order of the evaluator's `out`.
 */
export type TriodeSamples = (
  control: Float64Array,
  gridAt: number,
  plateAt: number,
  count: number,
  out: Float64Array,
  at: number,
  step: number,
) => void;

/** ia and ig with slopes, written into `out`: [ia, dia/dvg, dia/dva, ig, dig/dvg, dig/dva]. ik = ia + ig exactly. */
export interface TriodeEvaluator {
  (gridVolts: number, plateVolts: number, out: Float64Array): void;
  /** Many at once, without a call per sample. */
  readonly samples: TriodeSamples;
}

/**
 * Forward law of one path through a rectifier: i = K v^p for v > 0 (measured or printed curve of one plate), an ideal
 * switch, a junction i = Is (exp(v / nVt) - 1), or several of these one after the other, their drops added.
 */
export type RectifierLaw =
  | { readonly form: "power"; readonly K: number; readonly p: number }
  | { readonly form: "ideal" }
  | { readonly form: "exponential"; readonly Is: number; readonly nVt: number }
  | { readonly form: "series"; readonly laws: readonly RectifierLaw[] };

/**
 * A regulator: no current below `volts`, a slope of `ohms` above, `width` the volts of the bend between. `reverseVolts`:
 * from the other side it conducts beyond these in the same way (a Zener's forward drop); left out: not at all.
 */
export interface KneeLaw {
  readonly form: "knee";
  readonly volts: number;
  readonly ohms: number;
  readonly width: number;
  readonly reverseVolts?: number;
}

/** What a two-terminal device of a circuit may follow. A rectifier's own solve takes no knee. */
export type DiodeLaw = RectifierLaw | KneeLaw;

export interface LawParameter {
  readonly name: string;
  readonly value: number;
  /** Posterior standard deviation of ln(value), or of the value in volts for Vct. */
  readonly sd: number;
  readonly priorSd: number;
  /** False when the data left the parameter at its prior (sd above 0.7 of the prior's). */
  readonly determined: boolean;
}

/** A fitted law with what is known of its quality; stored in the library, frozen into revisions. */
export interface LawRecord {
  readonly type: string;
  readonly law: TriodeLaw;
  readonly parameters: readonly LawParameter[];
  /** Posterior covariance, row-major, in the order of `parameters`. */
  readonly covariance: readonly number[];
  /** What it rests on. */
  readonly basis: "one point" | "two points" | "curves" | "distortion rows";
  readonly residuals: readonly {
    readonly row: string;
    readonly quantity: string;
    readonly published: number;
    readonly predicted: number;
    readonly source: string;
  }[];
  /** Half-width of the 90 % band of H2 and H3 in dB, fit and specimen together. */
  readonly h2BandDecibels: number;
  readonly h3BandDecibels: number;
  /** Spread between specimens: sd of ln G, of ln mu, and of Vct in volts; correlation of ln G between halves. */
  readonly spread: {
    readonly lnG: number;
    readonly lnMu: number;
    readonly contactVolts: Volts;
    readonly halvesCorrelation: number;
  };
  readonly fittedBy: string;
}
