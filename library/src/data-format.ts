/**
 * Shape of the files in `library/data`. Numbers stand as the documents print them, with the unit in the name; `read-*.ts`
 * turns them into SI. Every row carries its source, its status and, when remembered, a confidence.
 * `data.test.ts` checks the files against the same shapes.
 */
import type { Confidence, RatingSystem, Status } from "@platewright/engine";

export interface DataProvenance {
  readonly source: string;
  readonly status: Status;
  readonly confidence?: Confidence;
  readonly note?: string;
}

/** A number, or a number with a remark of its own, or several that fall with the winding's volts. */
export type DataLimit =
  | number
  | { readonly value: number; readonly note?: string }
  | readonly { readonly value: number; readonly upToRmsVoltsPerPlate: number; readonly note?: string }[];

/**
 * Names of limits as printed. Heater-cathode comes in every convention: `heaterPositive…` means the heater positive of the
 * cathode; `cathodePositive…` the opposite; plain `heaterCathodeVolts` either way, dc and peak together.
 */
export type DataLimitName =
  | "plateVolts"
  | "coldPlateVolts"
  | "plateWatts"
  | "plateWattsTogether"
  | "cathodeMilliamps"
  | "peakCathodeMilliamps"
  | "heaterCathodeVolts"
  | "heaterCathodeDcVolts"
  | "heaterPositiveDcVolts"
  | "heaterPositivePeakVolts"
  | "heaterNegativePeakVolts"
  | "cathodePositiveVolts"
  | "cathodeNegativeVolts"
  | "gridNegativeVolts"
  | "gridPositiveVolts"
  | "gridMegohms"
  | "gridMegohmsFixedBias"
  | "gridMegohmsCathodeBias"
  | "heaterCathodeKilohms"
  | "peakInverseVolts"
  | "peakPlateMilliamps"
  | "dcMilliamps"
  | "dcMilliampsChoke"
  | "transientPlateMilliamps"
  | "rmsVoltsPerPlate"
  | "rmsVoltsPerPlateChoke"
  | "firstCapacitorMicrofarads";

export interface DataRating extends DataProvenance {
  readonly variant: string;
  readonly label: string;
  readonly system: RatingSystem;
  readonly systemFrom: string;
  readonly limits: { readonly [N in DataLimitName]?: DataLimit };
  /** Printed values that no rule uses, kept for reading. */
  readonly other?: Readonly<Record<string, number>>;
}

export interface DataPoint extends DataProvenance {
  readonly reading: "table" | "cut-off" | "maximum" | "range";
  readonly plateVolts?: number;
  readonly gridVolts?: number;
  readonly cathodeOhms?: number;
  readonly supplyVolts?: number;
  readonly gridSupplyVolts?: number;
  readonly milliamps?: number;
  readonly milliampsRange?: readonly [number, number];
  readonly micromhos?: number;
  readonly plateOhms?: number;
  readonly mu?: number;
  readonly section?: 1 | 2;
}

export interface DataTube {
  readonly type: string;
  readonly kind: "triode" | "rectifier" | "regulator";
  readonly sections: 1 | 2;
  /** Where type, kind and names come from. */
  readonly identity: DataProvenance;
  readonly names: readonly {
    readonly name: string;
    readonly how: "same" | "similar" | "near";
    readonly note?: string;
  }[];
  /** Only where ratings differ between versions; the first is the type itself. */
  readonly variants?: readonly {
    readonly name: string;
    readonly names: readonly string[];
    /** The later version that may stand wherever this one stood. */
    readonly supersededBy?: string;
  }[];
  readonly bases: readonly (DataProvenance & {
    readonly socket: string;
    readonly basing?: string;
    /** "1 P2, 2 G2, ...": P, G, K with the section, H and HK with the end (a, b, t tap), S shield, N none, I internal. */
    readonly pins?: string;
  })[];
  readonly heaters: readonly (DataProvenance & {
    readonly filament?: boolean;
    readonly options: readonly {
      readonly volts: number;
      readonly amps: number;
      readonly wiring: "series" | "parallel" | "single";
    }[];
  })[];
  readonly ratings: readonly DataRating[];
  /** Per section where two numbers stand. */
  readonly capacitances: readonly (DataProvenance & {
    readonly gridPlatePicofarads?: readonly number[];
    readonly inputPicofarads?: readonly number[];
    readonly outputPicofarads?: readonly number[];
    readonly heaterCathodePicofarads?: number;
    readonly platePlatePicofarads?: number;
  })[];
  readonly dimensions: readonly (DataProvenance & {
    readonly overallMillimetres?: number;
    readonly seatedMillimetres?: number;
    readonly diameterMillimetres?: number;
  })[];
  readonly points: readonly DataPoint[];
  readonly rectifier?: DataRectifier;
  readonly regulator?: readonly (DataProvenance & {
    readonly runningVolts?: number;
    readonly minimumMilliamps?: number;
    readonly maximumMilliamps?: number;
    readonly strikingSupplyVolts?: number;
    readonly regulationVolts?: number;
  })[];
  readonly traps: readonly string[];
}

export interface DataRectifier {
  readonly warmUp: readonly (DataProvenance & { readonly kind: "direct" | "indirect" })[];
  /** Printed drop of one plate. */
  readonly drops: readonly (DataProvenance & { readonly volts: number; readonly milliamps: number })[];
  readonly seriesOhms: readonly (DataProvenance & { readonly rmsVoltsPerPlate: number; readonly ohms: number })[];
  readonly operation: readonly (DataProvenance & {
    readonly input: "capacitor" | "choke";
    readonly rmsVoltsPerPlate: number;
    readonly microfarads?: number;
    readonly henries?: number;
    readonly supplyOhmsPerPlate?: number;
    readonly dcMilliamps: number;
    readonly dcVolts: number;
    readonly reading: "table" | "curve";
  })[];
  readonly plateCurve: readonly (DataProvenance & { readonly dropVolts: number; readonly milliamps: number })[];
  readonly ratingChart: readonly (DataProvenance & { readonly efficiency: number; readonly milliamps: number })[];
}

/** Points read off one printed chart: [plate volts, grid volts, milliamperes]. */
export interface DataCurve extends DataProvenance {
  readonly type: string;
  readonly where: string;
  readonly tolerance: { readonly plateVolts?: number; readonly milliamps?: number; readonly fraction?: number };
  readonly points: readonly (readonly [number, number, number])[];
}

/** One maker's table of resistance-coupled stages. */
export interface DataStageTable extends DataProvenance {
  readonly type: string;
  readonly table: string;
  /** What the output column means. */
  readonly outputAt?: string;
  readonly contested?: string;
  readonly rows: readonly {
    readonly supplyVolts: number;
    readonly plateLoadKilohms: number;
    readonly nextGridKilohms?: number;
    readonly cathodeOhms: number;
    readonly cathodeMicrofarads?: number;
    readonly couplingMicrofarads?: number;
    readonly gridLeakMegohms?: number;
    readonly milliamps?: number;
    readonly outputVoltsRms?: number;
    readonly outputVoltsPeak?: number;
    readonly gain?: number;
    readonly distortionPercent?: number;
    readonly note?: string;
  }[];
}

export interface DataSource {
  readonly code: string;
  readonly title: string;
  readonly status: Status;
  readonly where?: string;
}
