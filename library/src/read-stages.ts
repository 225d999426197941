/** Makers' resistance-coupled tables → rows in SI. */
import { amps, farads, ohms, volts, type CoupledStageRow } from "@platewright/engine";
import type { DataStageTable } from "./data-format.ts";
import { kilo, mega, micro, milli, provenanceOf } from "./read-row.ts";

export function readStages(table: DataStageTable): readonly CoupledStageRow[] {
  return table.rows.map((row) => {
    const note = [table.note, row.note].filter((one) => one !== undefined).join("; ");
    const rms =
      row.outputVoltsRms ?? (row.outputVoltsPeak === undefined ? undefined : row.outputVoltsPeak * Math.SQRT1_2);
    return {
      ...provenanceOf(table, note === "" ? undefined : note),
      table: table.table,
      supplyVolts: volts(row.supplyVolts),
      plateLoadOhms: ohms(kilo(row.plateLoadKilohms)),
      ...(row.nextGridKilohms === undefined ? {} : { nextGridOhms: ohms(kilo(row.nextGridKilohms)) }),
      cathodeOhms: ohms(row.cathodeOhms),
      ...(row.cathodeMicrofarads === undefined ? {} : { cathodeFarads: farads(micro(row.cathodeMicrofarads)) }),
      ...(row.couplingMicrofarads === undefined ? {} : { couplingFarads: farads(micro(row.couplingMicrofarads)) }),
      ...(row.gridLeakMegohms === undefined ? {} : { gridLeakOhms: ohms(mega(row.gridLeakMegohms)) }),
      ...(row.milliamps === undefined ? {} : { plateAmps: amps(milli(row.milliamps)) }),
      ...(rms === undefined ? {} : { outputVoltsRms: volts(rms) }),
      ...(table.outputAt === undefined ? {} : { outputAt: table.outputAt }),
      ...(row.gain === undefined ? {} : { gain: row.gain }),
      ...(row.distortionPercent === undefined ? {} : { totalDistortionPercent: row.distortionPercent }),
      ...(table.contested === undefined ? {} : { contested: table.contested }),
    };
  });
}
