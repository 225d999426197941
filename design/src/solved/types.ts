/** A document solved whole in one condition: what findings, differences and printed tables read. */
import type {
  Bias,
  CompiledCircuit,
  Effort,
  HarmonicAnswer,
  Hertz,
  Ohms,
  Part,
  RectifierAnswer,
  Volts,
  Amps,
  LawRecord,
  Watts,
} from "@platewright/engine";
import type { Document } from "../document/schema.ts";
import type { Expanded } from "../document/expanded.ts";

/** The conditions that ratings are judged in. */
export type JudgedCondition = "nominal" | "mains-low" | "mains-high" | "cold" | "cold-mains-high";

export interface Condition {
  /** The other ids are of the supply's study: bottles out of their sockets, and the bench lamp in the mains lead. */
  readonly id: JudgedCondition | "pulled" | `without-${string}` | "lamp-no-tubes" | "lamp-rectifier" | "lamp-all";
  /** In words, as printed: "running, mains nominal". */
  readonly words: string;
  readonly mainsFactor: number;
  /** cold: rectifier up, signal tubes not yet drawing. */
  readonly tubes: "running" | "cold";
  /** Bottles out of their sockets. */
  readonly absent?: readonly string[];
}

export interface SolvedHeater {
  readonly winding: string;
  readonly amps: Amps;
  readonly ratedAmps: Amps;
  /** Across the winding at this load and mains. */
  readonly volts: Volts;
  /** Volts of the winding's reference to ground. */
  readonly referenceVolts: Volts;
  /** Per envelope: the volts its heater gets through the pins as wired, and what it wants. */
  readonly envelopes: readonly {
    readonly envelope: string;
    readonly volts: Volts;
    readonly wantedVolts: Volts;
    readonly amps: Amps;
  }[];
}

/** A choke between rectifier and first capacitor. */
export interface SolvedChoke {
  /** "discontinuous": its current falls to zero in every cycle, and the volts rise towards the crest. */
  readonly outcome: "continuous" | "discontinuous";
  readonly henries: number;
  /** Least inductance for a continuous current at this load (closed form); Infinity half-wave. */
  readonly criticalHenries: number;
  readonly leastAmps: Amps;
  readonly peakAmps: Amps;
  readonly rmsAmps: Amps;
  readonly watts: Watts;
}

export interface SolvedSupply {
  readonly rectifier: RectifierAnswer;
  readonly loadAmps: Amps;
  readonly sourceOhmsPerPlate: Ohms;
  readonly unloadedRmsVolts: Volts;
  readonly passes: number;
  /** Of a choke input. */
  readonly choke?: SolvedChoke;
}

export interface LevelPoint {
  readonly inputVolts: Volts;
  readonly outputVolts: Volts;
  /** rms of harmonic k over the fundamental, index 0 = H2; signed: phase relative to the fundamental's, ±1 . */
  readonly ratios: readonly number[];
  readonly signs: readonly (1 | -1)[];
  readonly answer: HarmonicAnswer;
}

export interface SolvedChannel {
  readonly instance: string;
  /** Set when another instance is equal in every value; its figures are the same objects. */
  readonly sameAs?: string;
  readonly inputNet: string;
  readonly outputNet: string;
  /** Output over input e.m.f. at 1 kHz, small signal, real part sign gives inversion. */
  readonly gain: number;
  readonly inverts: boolean;
  readonly outputOhms: Ohms;
  readonly minusOneDecibelLow: Hertz | null;
  readonly minusOneDecibelHigh: Hertz | null;
  readonly levels: readonly LevelPoint[];
  /** rms input at which the mean grid current of a section reaches 0.3 uA; null: not below `searchedTo`. */
  readonly onset: readonly { readonly triode: string; readonly inputVolts: Volts | null; readonly searchedTo: Volts }[];
  /** The harmonic answer at the document's largest input. */
  readonly largest: LevelPoint;
}

export interface SolvedDesign {
  readonly document: Document;
  readonly condition: Condition;
  readonly expanded: Expanded;
  readonly parts: readonly Part[];
  /** Kept so that a solve near by need not compile its net list again. */
  readonly circuit: CompiledCircuit;
  readonly bias: Bias;
  readonly supply?: SolvedSupply;
  readonly heaters: readonly SolvedHeater[];
  readonly channels: readonly SolvedChannel[];
  readonly laws: ReadonlyMap<string, LawRecord>;
  readonly effort: Effort;
}
