/**
 * What a library must answer. The engine and the design rooms ask through these types and never see files.
 * Every value carries its status and source, so that a limit can be judged by how well it is known.
 */
import type { Amps, Farads, Metres, Ohms, Siemens, Volts, Watts } from "../units/quantities.ts";
import type { LawRecord, RectifierLaw } from "./law.ts";

/** published: seen in the document named; quoted: seen in a secondary source; memory: with a confidence;
 *  derived: computed from other rows; measured: the user's own reading. */
export type Status = "published" | "quoted" | "memory" | "derived" | "measured";
export type Confidence = "high" | "medium" | "low";

export interface Provenance {
  readonly status: Status;
  readonly confidence?: Confidence;
  /** Code of the document in `Catalogue.sources`, e.g. "PH82". */
  readonly source: string;
  /** How it was read when off a printed curve, page, condition, remark. */
  readonly note?: string;
}
export interface Sourced<T> extends Provenance {
  readonly value: T;
}

export interface SourceDocument {
  readonly code: string;
  readonly title: string;
  readonly status: Status;
  readonly where?: string;
}

export type RatingSystem = "design-centre" | "design-maximum" | "absolute" | "unknown";

/** Limits of one section unless the name says otherwise. Heater-cathode is signed: cathode minus heater. */
export interface TubeLimits {
  readonly plateVolts: Volts;
  /** Plate volts while the cathode is cold or the tube cut off. */
  readonly coldPlateVolts: Volts;
  readonly plateWatts: Watts;
  /** Both plates of one envelope together. */
  readonly plateWattsTogether: Watts;
  readonly cathodeAmps: Amps;
  readonly peakCathodeAmps: Amps;
  readonly cathodePositiveDcVolts: Volts;
  readonly cathodePositivePeakVolts: Volts;
  readonly cathodeNegativeDcVolts: Volts;
  readonly cathodeNegativePeakVolts: Volts;
  readonly gridNegativeVolts: Volts;
  readonly gridPositiveVolts: Volts;
  readonly gridOhmsFixedBias: Ohms;
  readonly gridOhmsCathodeBias: Ohms;
  readonly heaterCathodeOhms: Ohms;
}
export type LimitName = keyof TubeLimits;

/** One maker's set of limits; several rows may exist for one type (variants, systems, makers). */
export interface RatingRow {
  /** What the row is for: "12AU7A", "5687WA", "6922EH" ... */
  readonly variant: string;
  readonly label: string;
  readonly system: RatingSystem;
  readonly systemFrom: string;
  readonly limits: { readonly [N in LimitName]?: Sourced<TubeLimits[N]> };
}

/** The limit that counts after "the lower of two sources, within one variant and one rating system". */
export interface EffectiveLimit {
  readonly name: LimitName;
  readonly value: number;
  readonly system: RatingSystem;
  readonly variant: string;
  readonly provenance: Provenance;
  /** Other sources of the same variant and system that say something else. */
  readonly disagreements: readonly { readonly value: number; readonly provenance: Provenance }[];
  /** "ok": may say ok; "ok-from-memory": ok, marked from memory; "watch-at-best": unverified or of unknown system. */
  readonly trust: "ok" | "ok-from-memory" | "watch-at-best";
}

/** plate/grid/cathode of a section; heater ends a and b, tap; rectifier plates are plate of section 1 and 2. */
export type PinRole =
  | { readonly kind: "plate" | "grid" | "cathode"; readonly section: 1 | 2 }
  | { readonly kind: "heater"; readonly end: "a" | "b" | "tap" }
  | { readonly kind: "heater-and-cathode"; readonly end: "a" | "b" }
  | { readonly kind: "shield" | "none" | "internal" };

export interface Base {
  /** Normalised: "noval", "octal", "7-pin miniature", "UX4", "UY5". */
  readonly socket: string;
  /** "9A", "9H", "9DE", ... when known. */
  readonly basing?: string;
  readonly pins: { readonly [pin: string]: PinRole };
  readonly provenance: Provenance;
}

export interface HeaterOption {
  readonly volts: Volts;
  readonly amps: Amps;
  /** "series": ends a to b; "parallel": a and b joined, against the tap; "single": the tube has no tap. */
  readonly wiring: "series" | "parallel" | "single";
  readonly filament: boolean;
  readonly provenance: Provenance;
}

export interface Capacitances {
  readonly gridPlateFarads: Farads;
  readonly gridCathodeFarads: Farads;
  readonly plateCathodeFarads: Farads;
  readonly provenance: Provenance;
}

/** A published static point; a missing field was not given. Distances from cathode. */
export interface CharacteristicPoint extends Provenance {
  readonly plateVolts?: Volts;
  readonly gridVolts?: Volts;
  /** Instead of gridVolts: self bias. */
  readonly cathodeOhms?: Ohms;
  readonly supplyVolts?: Volts;
  readonly gridSupplyVolts?: Volts;
  readonly plateAmps?: Amps;
  readonly plateAmpsRange?: readonly [number, number];
  readonly siemens?: Siemens;
  readonly plateOhms?: Ohms;
  readonly mu?: number;
  readonly section?: 1 | 2;
  readonly reading: "table" | "curve" | "cut-off" | "maximum" | "range";
  /** How finely the point was read, as plus or minus; absent for printed numbers. */
  readonly tolerance?: { readonly plateVolts?: Volts; readonly plateAmps?: Amps; readonly fraction?: number };
}

/** One row of a maker's resistance-coupled amplifier table. */
export interface CoupledStageRow extends Provenance {
  readonly table: string;
  readonly supplyVolts: Volts;
  readonly plateLoadOhms: Ohms;
  readonly nextGridOhms?: Ohms;
  readonly cathodeOhms: Ohms;
  readonly cathodeFarads?: Farads;
  readonly couplingFarads?: Farads;
  readonly gridLeakOhms?: Ohms;
  readonly plateAmps?: Amps;
  readonly outputVoltsRms?: Volts;
  /** What the output column means: at a stated grid current, at a stated distortion, at grid-current point ... */
  readonly outputAt?: string;
  readonly gain?: number;
  readonly totalDistortionPercent?: number;
  /** A remark when makers contradict themselves or each other; no bar rests on such a row. */
  readonly contested?: string;
}

/** A rectifier's limit with the rating system of its row. Where it falls with the winding, `upToRmsVoltsPerPlate` is set
 *  and the entry with the smallest such volts that still covers the winding counts. */
export interface RatedLimit<T> extends Sourced<T> {
  readonly system: RatingSystem;
  readonly upToRmsVoltsPerPlate?: Volts;
}

/** Limits of the type's own variant, every source, lowest first. */
export interface RectifierLimits {
  readonly peakInverseVolts?: readonly RatedLimit<Volts>[];
  readonly peakPlateAmps?: readonly RatedLimit<Amps>[];
  readonly dcAmps?: readonly RatedLimit<Amps>[];
  readonly transientPlateAmps?: readonly RatedLimit<Amps>[];
  readonly rmsVoltsPerPlate?: readonly RatedLimit<Volts>[];
  readonly firstCapacitorFarads?: readonly RatedLimit<Farads>[];
  /** Cathode positive, total of dc and peak. */
  readonly heaterCathodePeakVolts?: readonly RatedLimit<Volts>[];
}

/** A rating that is a curve. x is rms volts per plate, or the efficiency Vdc/(sqrt2 Vrms); points ascend in x. */
export interface RectifierChart {
  readonly limits: "dc-by-winding" | "dc-by-efficiency";
  /** "chart": read off a printed chart; "rows": a table's rows; "closed-form": from the peak rating (diode-chart.ts). */
  readonly origin: "chart" | "rows" | "closed-form";
  /** "line": between its points a straight line; "step": the next point above, as nothing is printed between. */
  readonly between: "line" | "step";
  readonly system: RatingSystem;
  readonly points: readonly Sourced<{ readonly x: number; readonly amps: Amps }>[];
}

export interface RectifierRecord {
  readonly law?: RectifierLaw;
  /** Where the law comes from: fitted to the printed plate curve, or to one printed drop. */
  readonly lawProvenance?: Provenance;
  readonly limits: RectifierLimits;
  readonly ratingSystem: RatingSystem;
  readonly warmUp?: "direct" | "indirect";
  /** Minimum total resistance per plate at a winding voltage, ascending in volts. */
  readonly seriesOhms: readonly Sourced<{ readonly rmsVoltsPerPlate: Volts; readonly ohms: Ohms }>[];
  /** Rectification efficiency Vdc/(sqrt2 Vrms) against permitted dc. */
  readonly ratingChart: readonly Sourced<{ readonly efficiency: number; readonly amps: Amps }>[];
  readonly plateCurve: readonly Sourced<{ readonly dropVolts: Volts; readonly amps: Amps }>[];
  readonly operation: readonly (Provenance & {
    readonly input: "capacitor" | "choke";
    readonly rmsVoltsPerPlate: Volts;
    readonly farads?: Farads;
    readonly henries?: number;
    readonly supplyOhmsPerPlate?: Ohms;
    readonly dcAmps: Amps;
    readonly dcVolts: Volts;
    readonly reading: "table" | "curve";
  })[];
}

export interface TubeRecord {
  readonly type: string;
  readonly kind: "triode" | "rectifier" | "regulator";
  readonly sections: 1 | 2;
  readonly equivalents: readonly { readonly name: string; readonly how: "same" | "similar" | "near" }[];
  readonly bases: readonly Base[];
  readonly heaters: readonly HeaterOption[];
  readonly ratings: readonly RatingRow[];
  readonly capacitances: readonly Capacitances[];
  readonly dimensions: {
    readonly seatedHeight?: Sourced<Metres>;
    readonly overallHeight?: Sourced<Metres>;
    readonly diameter?: Sourced<Metres>;
  };
  readonly points: readonly CharacteristicPoint[];
  readonly coupledStages: readonly CoupledStageRow[];
  readonly rectifier?: RectifierRecord;
  readonly regulator?: {
    readonly runningVolts: Sourced<Volts>;
    readonly minimumAmps: Sourced<Amps>;
    readonly maximumAmps: Sourced<Amps>;
    readonly strikingVolts?: Sourced<Volts>;
  };
  readonly traps: readonly string[];
}

export interface Catalogue {
  /** Exact type or "same" equivalent, case and spaces ignored. */
  tube(name: string): TubeRecord | undefined;
  /** Types near to a name, best first, for "did you mean". */
  near(name: string): readonly string[];
  readonly types: readonly string[];
  /** The fitted law of a triode type (section 2 when the halves differ). */
  law(type: string, section?: 1 | 2): LawRecord | undefined;
  /** Values in use, several sources weighed; undefined when nothing is known. */
  limit(type: string, name: LimitName, variant?: string): EffectiveLimit | undefined;
  source(code: string): SourceDocument | undefined;
}
