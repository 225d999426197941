/** Tubes side by side: one line per quantity, each number with its unit, source and standing. SI values. */
import type { Catalogue, LimitName, Provenance, TubeRecord } from "@platewright/engine";
import { trustOf, type Trust } from "./trust.ts";

export interface ComparedValue {
  readonly value: number;
  readonly provenance: Provenance;
  /** Set on limits. */
  readonly trust?: Trust;
  /** "250 V, -8.5 V" beside a characteristic; the rating system beside a limit. */
  readonly condition?: string;
}

export interface ComparedLine {
  readonly id: string;
  readonly label: string;
  readonly unit: "V" | "A" | "W" | "Ohm" | "S" | "F" | "m" | "";
  /** In the order asked; undefined where nothing is known. */
  readonly values: readonly (ComparedValue | undefined)[];
}

const LIMIT_LINES: readonly (readonly [LimitName, string, ComparedLine["unit"]])[] = [
  ["plateVolts", "plate volts, limit", "V"],
  ["coldPlateVolts", "plate volts cold, limit", "V"],
  ["plateWatts", "dissipation each, limit", "W"],
  ["plateWattsTogether", "dissipation both, limit", "W"],
  ["cathodeAmps", "cathode current, limit", "A"],
  ["cathodePositiveDcVolts", "cathode above heater, dc limit", "V"],
  ["cathodePositivePeakVolts", "cathode above heater, peak limit", "V"],
  ["cathodeNegativeDcVolts", "cathode below heater, dc limit", "V"],
  ["cathodeNegativePeakVolts", "cathode below heater, peak limit", "V"],
  ["gridOhmsFixedBias", "grid circuit, fixed bias, limit", "Ohm"],
  ["gridOhmsCathodeBias", "grid circuit, cathode bias, limit", "Ohm"],
];

type Read = (tube: TubeRecord) => ComparedValue | undefined;

/** The printed point with the most plate volts: the one a sheet puts first for a line stage. */
function headlinePoint(
  tube: TubeRecord,
  field: "plateAmps" | "siemens" | "plateOhms" | "mu",
): ComparedValue | undefined {
  const points = tube.points.filter((point) => point.reading === "table" && point[field] !== undefined);
  const point = points.reduce<(typeof points)[number] | undefined>(
    (best, one) => (best === undefined || (one.plateVolts ?? 0) > (best.plateVolts ?? 0) ? one : best),
    undefined,
  );
  const value = point?.[field];
  if (point === undefined || value === undefined) return undefined;
  const bias =
    point.gridVolts !== undefined
      ? `${point.gridVolts} V`
      : point.cathodeOhms !== undefined
        ? `Rk ${point.cathodeOhms} Ω`
        : "bias not given";
  return { value, provenance: point, condition: `${point.plateVolts ?? point.supplyVolts ?? "?"} V, ${bias}` };
}

const heaterAmps =
  (nominal: number): Read =>
  (tube) => {
    const heater = tube.heaters.find((one) => Math.abs(one.volts - nominal) < 0.02 * nominal);
    return heater === undefined
      ? undefined
      : { value: heater.amps, provenance: heater.provenance, condition: heater.wiring };
  };

const capacitance =
  (field: "gridPlateFarads" | "gridCathodeFarads" | "plateCathodeFarads"): Read =>
  (tube) => {
    const [row] = tube.capacitances;
    return row === undefined ? undefined : { value: row[field], provenance: row.provenance };
  };

const size =
  (field: "seatedHeight" | "overallHeight" | "diameter"): Read =>
  (tube) => {
    const row = tube.dimensions[field];
    return row === undefined ? undefined : { value: row.value, provenance: row };
  };

const rectifierLimit =
  (field: "peakInverseVolts" | "peakPlateAmps" | "dcAmps" | "rmsVoltsPerPlate" | "firstCapacitorFarads"): Read =>
  (tube) => {
    const lowest = tube.rectifier?.limits[field]?.[0];
    if (lowest === undefined) return undefined;
    return { value: lowest.value, provenance: lowest, trust: trustOf(lowest, lowest.system), condition: lowest.system };
  };

const READ_LINES: readonly (readonly [string, string, ComparedLine["unit"], Read])[] = [
  ["heater.2.5", "heater at 2.5 V", "A", heaterAmps(2.5)],
  ["heater.5", "heater at 5 V", "A", heaterAmps(5)],
  ["heater.6.3", "heater at 6.3 V", "A", heaterAmps(6.3)],
  ["heater.12.6", "heater at 12.6 V", "A", heaterAmps(12.6)],
  ["plateAmps", "plate current", "A", (tube) => headlinePoint(tube, "plateAmps")],
  ["siemens", "transconductance", "S", (tube) => headlinePoint(tube, "siemens")],
  ["plateOhms", "plate resistance", "Ohm", (tube) => headlinePoint(tube, "plateOhms")],
  ["mu", "mu", "", (tube) => headlinePoint(tube, "mu")],
  ["gridPlateFarads", "grid to plate", "F", capacitance("gridPlateFarads")],
  ["gridCathodeFarads", "input", "F", capacitance("gridCathodeFarads")],
  ["plateCathodeFarads", "output", "F", capacitance("plateCathodeFarads")],
  ["peakInverseVolts", "peak inverse volts, limit", "V", rectifierLimit("peakInverseVolts")],
  ["peakPlateAmps", "peak plate current, limit", "A", rectifierLimit("peakPlateAmps")],
  ["dcAmps", "dc output, limit", "A", rectifierLimit("dcAmps")],
  ["rmsVoltsPerPlate", "rms volts per plate, limit", "V", rectifierLimit("rmsVoltsPerPlate")],
  ["firstCapacitorFarads", "first capacitor, limit", "F", rectifierLimit("firstCapacitorFarads")],
  ["seatedHeight", "seated height", "m", size("seatedHeight")],
  ["overallHeight", "overall height", "m", size("overallHeight")],
  ["diameter", "diameter", "m", size("diameter")],
];

/**
 * Lines for the named tubes; a name may be an equivalent or a version ("12AX7", "5687WA"), whose own limits then stand.
 * Unknown names are left to the caller: `catalogue.tube(name)` says so. Lines on which nothing is known are left out.
 */
export function compareTubes(catalogue: Catalogue, names: readonly string[]): readonly ComparedLine[] {
  const tubes = names.map((name) => catalogue.tube(name));
  const read = READ_LINES.map(
    ([id, label, unit, of]): ComparedLine => ({
      id,
      label,
      unit,
      values: tubes.map((tube) => (tube === undefined ? undefined : of(tube))),
    }),
  );
  const limits = LIMIT_LINES.map(
    ([name, label, unit]): ComparedLine => ({
      id: name,
      label,
      unit,
      values: names.map((tube) => {
        const limit = catalogue.limit(tube, name);
        if (limit === undefined) return undefined;
        return { value: limit.value, provenance: limit.provenance, trust: limit.trust, condition: limit.system };
      }),
    }),
  );
  return [...limits, ...read].filter((line) => line.values.some((value) => value !== undefined));
}
