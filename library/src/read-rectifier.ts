/** A rectifier's rows → its record, with the law of one plate from the printed curve or drop. */
import { amps, farads, ohms, volts, type Provenance, type RatedLimit, type RectifierRecord } from "@platewright/engine";
import type { DataLimitName, DataRectifier, DataTube } from "./data-format.ts";
import { limitValues, micro, milli, provenanceOf } from "./read-row.ts";
import { lawFromCurve, lawFromDrop } from "./rectifier-law.ts";
import { statusRank, trustOf, trustRank } from "./trust.ts";

/** Limits of the type's own variant, every source, lowest first. */
function rated<T extends number>(
  tube: DataTube,
  names: readonly DataLimitName[],
  toSi: (n: number) => T,
): readonly RatedLimit<T>[] | undefined {
  const limits = tube.ratings
    .filter((row) => row.variant === tube.type)
    .flatMap((row) =>
      names.flatMap((name) => {
        const limit = row.limits[name];
        if (limit === undefined) return [];
        return limitValues(limit).map(({ value, note, upToRmsVoltsPerPlate }) => ({
          value: toSi(value),
          ...provenanceOf(row, note ?? row.note),
          system: row.system,
          ...(upToRmsVoltsPerPlate === undefined ? {} : { upToRmsVoltsPerPlate: volts(upToRmsVoltsPerPlate) }),
        }));
      }),
    )
    .sort((one, other) => one.value - other.value || statusRank(one) - statusRank(other));
  return limits.length === 0 ? undefined : limits;
}

/** A printed curve decides; else the printed drop that is known best (the first of equals). */
function readLaw(rows: DataRectifier): Pick<RectifierRecord, "law" | "lawProvenance"> {
  const curve = lawFromCurve(rows.plateCurve.map((row) => ({ dropVolts: row.dropVolts, amps: milli(row.milliamps) })));
  const [first] = rows.plateCurve;
  if (curve !== undefined && first !== undefined)
    return {
      law: curve,
      lawProvenance: { status: "derived", source: first.source, note: "fitted to the printed plate curve" },
    };
  const [drop] = [...rows.drops].sort((one, other) => statusRank(one) - statusRank(other));
  const law = drop === undefined ? undefined : lawFromDrop({ dropVolts: drop.volts, amps: milli(drop.milliamps) });
  if (drop === undefined || law === undefined) return {};
  const others = rows.drops.filter((row) => row.volts !== drop.volts || row.milliamps !== drop.milliamps);
  const remarks = [
    `exponent 3/2 through the printed drop of ${drop.volts} V at ${drop.milliamps} mA`,
    drop.status === "memory" ? `remembered, confidence ${drop.confidence ?? "unknown"}` : drop.status,
    ...others.map((row) => `${row.source} has ${row.volts} V at ${row.milliamps} mA`),
  ];
  return { law, lawProvenance: { status: "derived", source: drop.source, note: remarks.join("; ") } };
}

export function readRectifier(tube: DataTube, rows: DataRectifier): RectifierRecord {
  const limits = {
    peakInverseVolts: rated(tube, ["peakInverseVolts"], volts),
    peakPlateAmps: rated(tube, ["peakPlateMilliamps"], (n) => amps(milli(n))),
    dcAmps: rated(tube, ["dcMilliamps"], (n) => amps(milli(n))),
    transientPlateAmps: rated(tube, ["transientPlateMilliamps"], (n) => amps(milli(n))),
    rmsVoltsPerPlate: rated(tube, ["rmsVoltsPerPlate"], volts),
    firstCapacitorFarads: rated(tube, ["firstCapacitorMicrofarads"], (n) => farads(micro(n))),
    heaterCathodePeakVolts: rated(tube, ["heaterNegativePeakVolts", "heaterCathodeVolts"], volts),
  };
  // The system of the row that is known best among those with an inverse or peak rating.
  const [best] = tube.ratings
    .filter(
      (row) =>
        row.variant === tube.type && (row.limits.peakInverseVolts ?? row.limits.peakPlateMilliamps) !== undefined,
    )
    .sort(
      (one, other) =>
        trustRank(trustOf(one, one.system)) - trustRank(trustOf(other, other.system)) ||
        statusRank(one) - statusRank(other),
    );
  const [warmUp] = rows.warmUp;
  const sourced = <T>(row: Provenance, value: T): { readonly value: T } & Provenance => ({
    value,
    ...provenanceOf(row),
  });
  return {
    ...readLaw(rows),
    limits: Object.fromEntries(Object.entries(limits).filter(([, list]) => list !== undefined)),
    ratingSystem: best?.system ?? "unknown",
    ...(warmUp === undefined ? {} : { warmUp: warmUp.kind }),
    seriesOhms: [...rows.seriesOhms]
      .sort((one, other) => one.rmsVoltsPerPlate - other.rmsVoltsPerPlate)
      .map((row) => sourced(row, { rmsVoltsPerPlate: volts(row.rmsVoltsPerPlate), ohms: ohms(row.ohms) })),
    ratingChart: rows.ratingChart.map((row) =>
      sourced(row, { efficiency: row.efficiency, amps: amps(milli(row.milliamps)) }),
    ),
    plateCurve: rows.plateCurve.map((row) =>
      sourced(row, { dropVolts: volts(row.dropVolts), amps: amps(milli(row.milliamps)) }),
    ),
    operation: rows.operation.map((row) => ({
      ...provenanceOf(row),
      input: row.input,
      rmsVoltsPerPlate: volts(row.rmsVoltsPerPlate),
      ...(row.microfarads === undefined ? {} : { farads: farads(micro(row.microfarads)) }),
      ...(row.henries === undefined ? {} : { henries: row.henries }),
      ...(row.supplyOhmsPerPlate === undefined ? {} : { supplyOhmsPerPlate: ohms(row.supplyOhmsPerPlate) }),
      dcAmps: amps(milli(row.dcMilliamps)),
      dcVolts: volts(row.dcVolts),
      reading: row.reading,
    })),
  };
}
