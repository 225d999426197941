/** Printed regulation points of rectifiers, solved with the law through the type's own printed plate curve. */
import { solveRectifier } from "@platewright/engine";
import { openCatalogue } from "@platewright/library";

export interface PredictedRegulation {
  readonly type: string;
  readonly name: string;
  readonly source: string;
  readonly status: string;
  readonly publishedVolts: number;
  readonly predictedVolts: number;
  readonly error: number;
}

/** Capacitor-input rows that name winding, resistance, capacitor and load. Sheets of 50 Hz countries at 50 Hz, others at 60. */
export function predictedRegulation(): readonly PredictedRegulation[] {
  const catalogue = openCatalogue();
  return catalogue.types.flatMap((type) => {
    const record = catalogue.tube(type)?.rectifier;
    if (record?.law === undefined) return [];
    const { law } = record;
    return record.operation.flatMap((row) => {
      if (row.input !== "capacitor" || row.farads === undefined || row.supplyOhmsPerPlate === undefined) return [];
      const solved = solveRectifier({
        rmsVolts: row.rmsVoltsPerPlate,
        hertz: /^(EZ|GZ)/.test(type) ? 50 : 60,
        seriesOhms: row.supplyOhmsPerPlate,
        firstFarads: row.farads,
        circuit: "full-wave",
        law,
        load: { amps: row.dcAmps },
      });
      const predicted = solved.ok ? solved.value.dcVolts : Number.NaN;
      return [
        {
          type,
          name: `${row.rmsVoltsPerPlate} V rms, ${row.supplyOhmsPerPlate} Ω, ${Number((row.farads * 1e6).toPrecision(3))} µF, ${Number((row.dcAmps * 1000).toPrecision(3))} mA`,
          source: row.source,
          status: row.status,
          publishedVolts: row.dcVolts,
          predictedVolts: predicted,
          error: predicted / row.dcVolts - 1,
        },
      ];
    });
  });
}
