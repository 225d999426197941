/** Data rows → what the Catalogue answers, in SI. Nothing is chosen here except the order: best status first. */
import {
  amps,
  farads,
  metres,
  ohms,
  siemens,
  volts,
  watts,
  type Base,
  type Capacitances,
  type CharacteristicPoint,
  type HeaterOption,
  type LimitName,
  type Metres,
  type RatingRow,
  type Sourced,
  type TubeLimits,
  type TubeRecord,
} from "@platewright/engine";
import type { DataCurve, DataLimit, DataLimitName, DataPoint, DataStageTable, DataTube } from "./data-format.ts";
import { readPins, sameRole } from "./pins.ts";
import { readRectifier } from "./read-rectifier.ts";
import { kilo, limitValues, mega, micro, milli, pico, provenanceOf } from "./read-row.ts";
import { readStages } from "./read-stages.ts";

export const SOCKETS = ["noval", "octal", "7-pin miniature", "UX4", "UY5"] as const;

/** The limits a printed name sets, and the factor to SI. Heater-cathode becomes cathode minus heater. */
const LIMITS: { readonly [N in DataLimitName]?: readonly [(printed: number) => number, ...LimitName[]] } = {
  plateVolts: [volts, "plateVolts"],
  coldPlateVolts: [volts, "coldPlateVolts"],
  plateWatts: [watts, "plateWatts"],
  plateWattsTogether: [watts, "plateWattsTogether"],
  cathodeMilliamps: [milli, "cathodeAmps"],
  peakCathodeMilliamps: [milli, "peakCathodeAmps"],
  heaterCathodeVolts: [
    volts,
    "cathodePositiveDcVolts",
    "cathodePositivePeakVolts",
    "cathodeNegativeDcVolts",
    "cathodeNegativePeakVolts",
  ],
  heaterCathodeDcVolts: [volts, "cathodePositiveDcVolts", "cathodeNegativeDcVolts"],
  // A heater positive of the cathode is a cathode negative of the heater.
  heaterPositiveDcVolts: [volts, "cathodeNegativeDcVolts"],
  heaterPositivePeakVolts: [volts, "cathodeNegativePeakVolts"],
  heaterNegativePeakVolts: [volts, "cathodePositivePeakVolts"],
  cathodePositiveVolts: [volts, "cathodePositiveDcVolts", "cathodePositivePeakVolts"],
  cathodeNegativeVolts: [volts, "cathodeNegativeDcVolts", "cathodeNegativePeakVolts"],
  gridNegativeVolts: [volts, "gridNegativeVolts"],
  gridPositiveVolts: [volts, "gridPositiveVolts"],
  gridMegohms: [mega, "gridOhmsFixedBias", "gridOhmsCathodeBias"],
  gridMegohmsFixedBias: [mega, "gridOhmsFixedBias"],
  gridMegohmsCathodeBias: [mega, "gridOhmsCathodeBias"],
  heaterCathodeKilohms: [kilo, "heaterCathodeOhms"],
};

/** One maker's limits. Where two printed limits set the same one (either way, and dc one way), the lower stands. */
export function readRating(row: DataTube["ratings"][number]): RatingRow {
  const limits: { [N in LimitName]?: Sourced<number> } = {};
  for (const [printed, limit] of Object.entries(row.limits) as [DataLimitName, DataLimit][]) {
    const rule = LIMITS[printed];
    if (rule === undefined) continue; // a rectifier's limit: read-rectifier.ts
    const [toSi, ...names] = rule;
    for (const { value, note } of limitValues(limit))
      for (const name of names) {
        const si = toSi(value);
        if (si < (limits[name]?.value ?? Infinity))
          limits[name] = { value: si, ...provenanceOf(row, note ?? row.note) };
      }
  }
  return {
    variant: row.variant,
    label: row.label,
    system: row.system,
    systemFrom: row.systemFrom,
    limits: limits as { [N in LimitName]?: Sourced<TubeLimits[N]> },
  };
}

function readHeaters(tube: DataTube): readonly HeaterOption[] {
  const options: HeaterOption[] = [];
  for (const row of tube.heaters)
    for (const option of row.options)
      if (!options.some((known) => known.wiring === option.wiring))
        options.push({
          volts: volts(option.volts),
          amps: amps(option.amps),
          wiring: option.wiring,
          filament: row.filament ?? false,
          provenance: provenanceOf(row),
        });
  return options;
}

const mean = (numbers: readonly number[]): number => numbers.reduce((sum, n) => sum + n, 0) / numbers.length;

function readCapacitances(tube: DataTube): readonly Capacitances[] {
  return tube.capacitances.flatMap((row) => {
    const { gridPlatePicofarads: plate, inputPicofarads: input, outputPicofarads: output } = row;
    if (plate === undefined || input === undefined || output === undefined) return [];
    return {
      gridPlateFarads: farads(pico(mean(plate))),
      gridCathodeFarads: farads(pico(mean(input))),
      plateCathodeFarads: farads(pico(mean(output))),
      provenance: provenanceOf(row),
    };
  });
}

type SizeName = "overallMillimetres" | "seatedMillimetres" | "diameterMillimetres";

/** The largest of the printed maxima counts for clearance, first-hand rows before remembered ones. */
function readSize(tube: DataTube, name: SizeName): Sourced<Metres> | undefined {
  const rows = tube.dimensions.filter((row) => row[name] !== undefined);
  const seen = rows.filter((row) => row.status === "published");
  const largest = (seen.length > 0 ? seen : rows).reduce<(typeof rows)[number] | undefined>(
    (best, row) => (best === undefined || (row[name] ?? 0) > (best[name] ?? 0) ? row : best),
    undefined,
  );
  const millimetres = largest?.[name];
  if (largest === undefined || millimetres === undefined) return undefined;
  return { value: metres(milli(millimetres)), ...provenanceOf(largest) };
}

function readPoint(row: DataPoint): CharacteristicPoint {
  return {
    ...provenanceOf(row),
    reading: row.reading,
    ...(row.plateVolts === undefined ? {} : { plateVolts: volts(row.plateVolts) }),
    ...(row.gridVolts === undefined ? {} : { gridVolts: volts(row.gridVolts) }),
    ...(row.cathodeOhms === undefined ? {} : { cathodeOhms: ohms(row.cathodeOhms) }),
    ...(row.supplyVolts === undefined ? {} : { supplyVolts: volts(row.supplyVolts) }),
    ...(row.gridSupplyVolts === undefined ? {} : { gridSupplyVolts: volts(row.gridSupplyVolts) }),
    ...(row.milliamps === undefined ? {} : { plateAmps: amps(milli(row.milliamps)) }),
    ...(row.milliampsRange === undefined
      ? {}
      : { plateAmpsRange: [milli(row.milliampsRange[0]), milli(row.milliampsRange[1])] as const }),
    ...(row.micromhos === undefined ? {} : { siemens: siemens(micro(row.micromhos)) }),
    ...(row.plateOhms === undefined ? {} : { plateOhms: ohms(row.plateOhms) }),
    ...(row.mu === undefined ? {} : { mu: row.mu }),
    ...(row.section === undefined ? {} : { section: row.section }),
  };
}

function readCurve(curve: DataCurve): readonly CharacteristicPoint[] {
  const { plateVolts, milliamps, fraction } = curve.tolerance;
  const tolerance = {
    ...(plateVolts === undefined ? {} : { plateVolts: volts(plateVolts) }),
    ...(milliamps === undefined ? {} : { plateAmps: amps(milli(milliamps)) }),
    ...(fraction === undefined ? {} : { fraction }),
  };
  return curve.points.map(([plate, grid, current]) => ({
    ...provenanceOf(curve, curve.where),
    reading: "curve",
    plateVolts: volts(plate),
    gridVolts: volts(grid),
    plateAmps: amps(milli(current)),
    tolerance,
  }));
}

function readRegulator(tube: DataTube): TubeRecord["regulator"] {
  const first = (name: "runningVolts" | "minimumMilliamps" | "maximumMilliamps" | "strikingSupplyVolts") => {
    const row = tube.regulator?.find((one) => one[name] !== undefined);
    return row === undefined ? undefined : { value: row[name] ?? 0, ...provenanceOf(row) };
  };
  const [running, least, most, striking] = [
    first("runningVolts"),
    first("minimumMilliamps"),
    first("maximumMilliamps"),
    first("strikingSupplyVolts"),
  ];
  if (running === undefined || least === undefined || most === undefined) return undefined;
  return {
    runningVolts: { ...running, value: volts(running.value) },
    minimumAmps: { ...least, value: amps(milli(least.value)) },
    maximumAmps: { ...most, value: amps(milli(most.value)) },
    ...(striking === undefined ? {} : { strikingVolts: { ...striking, value: volts(striking.value) } }),
  };
}

const readBase = (row: DataTube["bases"][number]): Base => ({
  socket: row.socket,
  ...(row.basing === undefined ? {} : { basing: row.basing }),
  pins: row.pins === undefined ? {} : readPins(row.pins),
  provenance: provenanceOf(row),
});

const samePins = (one: Base, other: Base): boolean =>
  Object.keys(one.pins).length === Object.keys(other.pins).length &&
  Object.entries(one.pins).every(([pin, role]) => {
    const there = other.pins[pin];
    return there !== undefined && sameRole(role, there);
  });

/**
 * Whole basings before partial ones, in the order of the file within each: `bases[0]` is the one to wire by. A row without
 * a basing code takes the code of another row with the same pins, or of one that gives the code alone.
 */
function readBases(tube: DataTube): readonly Base[] {
  const bases = tube.bases.map(readBase);
  return bases
    .map((base) => {
      const basing =
        base.basing ??
        bases.find((one) => one.basing !== undefined && (samePins(one, base) || Object.keys(one.pins).length === 0))
          ?.basing;
      return basing === undefined ? base : { ...base, basing };
    })
    .sort((one, other) => Object.keys(other.pins).length - Object.keys(one.pins).length);
}

export function readTube(tube: DataTube, curves: readonly DataCurve[], tables: readonly DataStageTable[]): TubeRecord {
  const [seatedHeight, overallHeight, diameter] = [
    readSize(tube, "seatedMillimetres"),
    readSize(tube, "overallMillimetres"),
    readSize(tube, "diameterMillimetres"),
  ];
  const regulator = readRegulator(tube);
  return {
    type: tube.type,
    kind: tube.kind,
    sections: tube.sections,
    equivalents: tube.names.map(({ name, how }) => ({ name, how })),
    bases: readBases(tube),
    heaters: readHeaters(tube),
    ratings: tube.ratings.map(readRating),
    capacitances: readCapacitances(tube),
    dimensions: {
      ...(seatedHeight === undefined ? {} : { seatedHeight }),
      ...(overallHeight === undefined ? {} : { overallHeight }),
      ...(diameter === undefined ? {} : { diameter }),
    },
    points: [...tube.points.map(readPoint), ...curves.filter((one) => one.type === tube.type).flatMap(readCurve)],
    coupledStages: tables.filter((one) => one.type === tube.type).flatMap(readStages),
    ...(tube.rectifier === undefined ? {} : { rectifier: readRectifier(tube, tube.rectifier) }),
    ...(regulator === undefined ? {} : { regulator }),
    traps: tube.traps,
  };
}
