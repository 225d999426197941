/**
 * What a type's published rows say about its law, each as residuals over their standard deviations.
 *
 * Weights (docs/laws.md): printed tables 3 %, slopes and resistances 3 %; curve readings by how finely they were read;
 * cut-off rows 30 %, 80 % where the sheet gives a wide range; maxima count from one side only; other makers than the main
 * one 3 times, rows from memory 1.5, 2.5 or 4 times the deviation; two rows of each distortion table: gain 2 %, distortion 8 %.
 */
import type {
  Capacitances,
  CharacteristicPoint,
  CoupledStageRow,
  TriodeEvaluator,
  TriodeLaw,
  TubeRecord,
} from "@platewright/engine";
import { compileTriode, solveStage, stageAtOutput } from "@platewright/engine";

export interface Observation {
  /** "250 V, -8.5 V" or "Philips ECC82, 250 V, 47k". */
  readonly row: string;
  readonly quantity: string;
  readonly published: number;
  readonly source: string;
  /** Relative standard deviation. */
  readonly deviation: number;
  /** "above": only predictions above the published number count. */
  readonly side: "both" | "above";
}

export interface ObservedPoint {
  readonly point: CharacteristicPoint;
  readonly observations: readonly Observation[];
}

export interface ObservedStage {
  readonly row: CoupledStageRow;
  readonly observations: readonly Observation[];
}

const TABLE = 0.03;
const SLOPE = 0.03;
const CUT_OFF = 0.3;
const WIDE_CUT_OFF = 0.8;
const CURVE_FLOOR = 0.02;
const OTHER_MAKER = 3;
const STAGE_GAIN = 0.02;
const STAGE_DISTORTION = 0.08;
const FROM_MEMORY = { high: 1.5, medium: 2.5, low: 4 } as const;
const QUOTED = 1.5;

/**
 * The maker whose sheet the law follows: one that also prints a stage table with distortions which nobody contests,
 * else the one with most points, published before quoted before memory.
 */
export function mainSource(points: readonly CharacteristicPoint[], stages: readonly CoupledStageRow[] = []): string {
  const tables = new Set(
    stages
      .filter(
        (row) => row.contested === undefined && row.totalDistortionPercent !== undefined && row.status === "published",
      )
      .map((row) => row.source),
  );
  const withTable = points.find((point) => tables.has(point.source));
  if (withTable !== undefined) return withTable.source;
  const weight = { published: 1000, measured: 1000, derived: 10, quoted: 10, memory: 1 };
  const counts = new Map<string, number>();
  for (const point of points) counts.set(point.source, (counts.get(point.source) ?? 0) + weight[point.status]);
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0] ?? "";
}

function doubt(point: CharacteristicPoint | CoupledStageRow, main: string): number {
  const grade =
    point.status === "memory" ? FROM_MEMORY[point.confidence ?? "low"] : point.status === "quoted" ? QUOTED : 1;
  return grade * (point.source === main ? 1 : OTHER_MAKER);
}

/** Where a published point stands: plate-cathode and grid-cathode volts at its published current. */
export function voltsOf(
  point: CharacteristicPoint,
): { readonly plateVolts: number; readonly gridVolts: number } | undefined {
  const current = point.plateAmps ?? 0;
  const cathode = point.cathodeOhms === undefined ? 0 : current * point.cathodeOhms;
  const gridVolts =
    point.gridVolts ?? (point.cathodeOhms === undefined ? undefined : (point.gridSupplyVolts ?? 0) - cathode);
  const plateVolts = point.plateVolts ?? (point.supplyVolts === undefined ? undefined : point.supplyVolts - cathode);
  return gridVolts === undefined || plateVolts === undefined ? undefined : { plateVolts, gridVolts };
}

/** Points that can be used, equal ones once. `roughSlope` gives A/V of plate conductance for readings off curves. */
export function observePoints(
  points: readonly CharacteristicPoint[],
  main: string,
  roughSlope: (plateVolts: number, gridVolts: number) => number,
): readonly ObservedPoint[] {
  const seen = new Set<string>();
  const observed: ObservedPoint[] = [];
  const ordered = [...points].sort((a, b) => doubt(a, main) - doubt(b, main));
  for (const point of ordered) {
    const at = voltsOf(point);
    if (at === undefined) continue;
    const key = `${at.plateVolts.toFixed(1)} ${at.gridVolts.toFixed(2)}`;
    if (seen.has(key)) continue;
    seen.add(key);
    const row = `${Number(at.plateVolts.toFixed(1))} V, ${Number(at.gridVolts.toFixed(2))} V`;
    const times = doubt(point, main);
    const observations: Observation[] = [];
    const say = (
      quantity: string,
      published: number | undefined,
      deviation: number,
      side: Observation["side"] = "both",
    ) => {
      if (published !== undefined && published > 0)
        observations.push({ row, quantity, published, source: point.source, deviation: deviation * times, side });
    };
    switch (point.reading) {
      case "table":
        say("plateAmps", point.plateAmps, TABLE);
        say("siemens", point.siemens, SLOPE);
        if (point.plateOhms !== undefined) say("plateOhms", point.plateOhms, SLOPE);
        else say("mu", point.mu, SLOPE);
        break;
      case "curve":
        say("plateAmps", point.plateAmps, curveDeviation(point, at, roughSlope));
        break;
      case "cut-off":
        say("plateAmps", point.plateAmps, /\bto\b/.test(point.note ?? "") ? WIDE_CUT_OFF : CUT_OFF);
        break;
      case "maximum":
        say("plateAmps", point.plateAmps, CUT_OFF, "above");
        break;
      case "range": {
        const [low, high] = point.plateAmpsRange ?? [0, 0];
        if (low > 0) say("plateAmps", Math.sqrt(low * high), Math.log(high / low) / 2 / 1.65);
        break;
      }
    }
    if (observations.length > 0) observed.push({ point, observations });
  }
  return observed;
}

function curveDeviation(
  point: CharacteristicPoint,
  at: { readonly plateVolts: number; readonly gridVolts: number },
  roughSlope: (plateVolts: number, gridVolts: number) => number,
): number {
  const current = point.plateAmps ?? Number.NaN;
  const { plateAmps = 0, plateVolts = 0, fraction = 0 } = point.tolerance ?? {};
  const volts = plateVolts > 0 ? (plateVolts * roughSlope(at.plateVolts, at.gridVolts)) / current : 0;
  return Math.max(CURVE_FLOOR, Math.hypot(plateAmps / current, volts, fraction) / 1.5);
}

/** Predictions for a point's observations, in their order. Self bias is solved, not assumed. */
export function predictPoint({ point, observations }: ObservedPoint, evaluate: TriodeEvaluator): readonly number[] {
  const out = new Float64Array(6);
  const at = operate(point, evaluate, out);
  evaluate(at.gridVolts, at.plateVolts, out);
  const ia = out[0] as number;
  const gm = out[1] as number;
  const gp = out[2] as number;
  return observations.map(({ quantity }) => {
    switch (quantity) {
      case "plateAmps":
        return ia;
      case "siemens":
        return gm;
      case "plateOhms":
        return 1 / gp;
      default:
        return gm / gp;
    }
  });
}

function operate(
  point: CharacteristicPoint,
  evaluate: TriodeEvaluator,
  out: Float64Array,
): { plateVolts: number; gridVolts: number } {
  const fixed = voltsOf(point) ?? { plateVolts: Number.NaN, gridVolts: Number.NaN };
  const Rk = point.cathodeOhms;
  if (Rk === undefined) return fixed;
  let i = point.plateAmps ?? 1e-3;
  for (let n = 0; n < 30; n++) {
    const gridVolts = (point.gridSupplyVolts ?? 0) - i * Rk;
    const plateVolts = point.plateVolts ?? (point.supplyVolts as number) - i * Rk;
    evaluate(gridVolts, plateVolts, out);
    const slope = Rk * (out[1] as number) + (point.plateVolts === undefined ? Rk * (out[2] as number) : 0);
    const step = ((out[0] as number) - i) / (1 + slope);
    i += step;
    if (Math.abs(step) < 1e-12 * i) return { plateVolts, gridVolts };
  }
  return { plateVolts: Number.NaN, gridVolts: Number.NaN };
}

/**
 * Rows of a table that a fit may use: the first and the last printed row that give gain and distortion and are not
 * contested. All others stay for prediction.
 */
export function fittedStageRows(record: TubeRecord): readonly CoupledStageRow[] {
  const byTable = new Map<string, CoupledStageRow[]>();
  for (const row of record.coupledStages) {
    if (row.contested !== undefined || row.gain === undefined || row.totalDistortionPercent === undefined) continue;
    if (row.outputVoltsRms === undefined) continue;
    byTable.set(row.table, [...(byTable.get(row.table) ?? []), row]);
  }
  return [...byTable.values()].flatMap((rows) => {
    const [first, last] = [rows[0], rows[rows.length - 1]];
    return first === undefined || last === undefined ? [] : first === last ? [first] : [first, last];
  });
}

export const stageName = (row: CoupledStageRow): string =>
  `${row.table}, ${row.supplyVolts} V, ${Math.round(row.plateLoadOhms / 1000)}k, next ${row.nextGridOhms === undefined ? "none given" : `${Math.round(row.nextGridOhms / 1000)}k`}, Rk ${row.cathodeOhms}`;

export function observeStage(row: CoupledStageRow): ObservedStage {
  const times = doubt(row, row.source);
  const named = { row: stageName(row), source: row.source, side: "both" as const };
  return {
    row,
    observations: [
      { ...named, quantity: "gain", published: row.gain as number, deviation: STAGE_GAIN * times },
      {
        ...named,
        quantity: "totalDistortionPercent",
        published: row.totalDistortionPercent as number,
        deviation: STAGE_DISTORTION * times,
      },
    ],
  };
}

/** A table that does not name the next grid resistor is taken with 1 megohm. */
export const ASSUMED_NEXT_OHMS = 1e6;
const ASSUMED_COUPLING_FARADS = 1e-7;
const ASSUMED_BYPASS_FARADS = 1e-4;
const ASSUMED_LEAK_OHMS = 1e6;
const ASSUMED_CAPACITANCES = { gridPlateFarads: 2e-12, gridCathodeFarads: 2e-12, plateCathodeFarads: 1e-12 };

/** A printed row as a stage. Gains are printed at middle frequencies: coupling and bypass are never the limit at 1 kHz. */
export function stageOf(row: CoupledStageRow, law: TriodeLaw, capacitances: Capacitances | undefined) {
  const c = capacitances ?? ASSUMED_CAPACITANCES;
  return {
    law,
    gridPlateFarads: c.gridPlateFarads,
    gridCathodeFarads: c.gridCathodeFarads,
    plateCathodeFarads: c.plateCathodeFarads,
    supplyVolts: row.supplyVolts,
    plateLoadOhms: row.plateLoadOhms,
    cathodeOhms: row.cathodeOhms,
    bypassFarads: Math.max(row.cathodeFarads ?? ASSUMED_BYPASS_FARADS, ASSUMED_BYPASS_FARADS),
    gridLeakOhms: row.gridLeakOhms ?? ASSUMED_LEAK_OHMS,
    next: {
      couplingFarads: Math.max(row.couplingFarads ?? ASSUMED_COUPLING_FARADS, ASSUMED_COUPLING_FARADS),
      gridOhms: row.nextGridOhms ?? ASSUMED_NEXT_OHMS,
    },
  };
}

/** Gain and distortion of a row under a law; NaN where the stage cannot be solved. */
export function predictStage(
  { row }: ObservedStage,
  law: TriodeLaw,
  capacitances: Capacitances | undefined,
): readonly number[] {
  const solved = solveStage(stageOf(row, law, capacitances));
  if (!solved.ok) return [Number.NaN, Number.NaN];
  const level = stageAtOutput(solved.value, row.outputVoltsRms as number);
  return [solved.value.gain, level.ok ? level.value.totalPercent : Number.NaN];
}

export const evaluatorOf = (law: TriodeLaw): TriodeEvaluator =>
  compileTriode({ space: law.space, grid: { form: "none" } });
