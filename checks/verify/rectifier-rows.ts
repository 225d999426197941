/** Printed regulation points and rating charts of rectifiers, solved with the law through the type's own plate curve. */
import { findRoot, peakOverDc, type RectifierLaw, solveChokeInput, solveRectifier } from "@platewright/engine";
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

/**
 * Choke-input rows that name winding, choke and load. The sheets give the volts at the filter's input and neither copper nor
 * the choke's resistance: both are taken as zero, so predictions should stand a little high.
 */
export function predictedChokeRegulation(): readonly PredictedRegulation[] {
  const catalogue = openCatalogue();
  return catalogue.types.flatMap((type) => {
    const record = catalogue.tube(type)?.rectifier;
    if (record?.law === undefined) return [];
    const { law } = record;
    return record.operation.flatMap((row) => {
      if (row.input !== "choke" || row.henries === undefined) return [];
      const solved = solveChokeInput({
        rmsVolts: row.rmsVoltsPerPlate,
        hertz: /^(EZ|GZ)/.test(type) ? 50 : 60,
        seriesOhms: 0,
        henries: row.henries,
        chokeOhms: 0,
        farads: 40e-6,
        circuit: "full-wave",
        law,
        load: { amps: row.dcAmps },
      });
      const predicted = solved.ok ? solved.value.dcVolts : Number.NaN;
      return [
        {
          type,
          name: `${row.rmsVoltsPerPlate} V rms, choke of ${row.henries} H, ${Number((row.dcAmps * 1000).toPrecision(3))} mA`,
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

export interface PredictedChartPoint {
  readonly name: string;
  readonly source: string;
  readonly status: string;
  readonly publishedAmps: number;
  readonly closedFormAmps: number;
  readonly closedFormError: number;
  /** Undefined where the tube's own drop keeps it from that efficiency at its peak current. */
  readonly solvedAmps?: number;
  readonly solvedError?: number;
}

const CHART_PEAK_AMPS = 0.27;
const CHART_RMS_VOLTS = 300;

/** Points of the EZ80's printed chart II: the direct current at which the peak is 270 mA, at each printed efficiency. */
export function predictedChart(): readonly PredictedChartPoint[] {
  const record = openCatalogue().tube("EZ80")?.rectifier;
  if (record?.law === undefined) return [];
  const { law } = record;
  return record.ratingChart.map((point): PredictedChartPoint => {
    const { efficiency, amps } = point.value;
    const closedForm = CHART_PEAK_AMPS / peakOverDc(efficiency);
    const solved = solvedAtPeak(law, efficiency);
    return {
      name: `efficiency ${efficiency}`,
      source: point.source,
      status: point.status,
      publishedAmps: amps,
      closedFormAmps: closedForm,
      closedFormError: closedForm / amps - 1,
      ...(solved === undefined ? {} : { solvedAmps: solved, solvedError: solved / amps - 1 }),
    };
  });
}

/** Load and series resistance at which both the peak and the efficiency are met: one root inside another. */
function solvedAtPeak(law: RectifierLaw, efficiency: number): number | undefined {
  const answer = (seriesOhms: number, load: number) => {
    const solved = solveRectifier({
      rmsVolts: CHART_RMS_VOLTS,
      hertz: 50,
      seriesOhms,
      firstFarads: 50e-6,
      circuit: "full-wave",
      law,
      load: { amps: load },
    });
    return solved.ok ? solved.value : undefined;
  };
  const loadAt = (seriesOhms: number): number => {
    const excess = (load: number) => (answer(seriesOhms, load)?.platePeakAmps ?? 1) - CHART_PEAK_AMPS;
    const root = findRoot(excess, 0.005, 0.2, 1e-8);
    return root.ok ? root.value.x : Number.NaN;
  };
  const off = (seriesOhms: number) =>
    (answer(seriesOhms, loadAt(seriesOhms))?.dcVolts ?? Number.NaN) / (CHART_RMS_VOLTS * Math.SQRT2) - efficiency;
  const root = findRoot(off, 20, 2000, 1e-4);
  return root.ok ? loadAt(root.value.x) : undefined;
}

const percent = (value: number): string => (Number.isFinite(value) ? `${(100 * value).toFixed(1)} %` : "not solved");

function regulationTable(rows: readonly PredictedRegulation[], titleOf: (code: string) => string): readonly string[] {
  return [
    "| type | row | predicted V | published V | error | source |",
    "|---|---|---|---|---|---|",
    ...rows.map(
      (one) =>
        `| ${one.type} | ${one.name} | ${one.predictedVolts.toFixed(1)} | ${one.publishedVolts} | ${percent(one.error)} | ${titleOf(one.source)} (${one.status}) |`,
    ),
  ];
}

/** The report's sections on rectifiers. */
export function rectifierLines(titleOf: (code: string) => string): readonly string[] {
  const milliamps = (amps: number) => (1000 * amps).toFixed(1);
  return [
    "",
    "## Rectifier regulation",
    "",
    "The law goes through the type's printed plate curve, or through one printed drop with exponent 3/2 where no curve was",
    "seen; the regulation points have informed nothing. Rows marked memory test as much the memory as the model.",
    "",
    ...regulationTable(predictedRegulation(), titleOf),
    "",
    "## Choke input",
    "",
    "The sheets name neither the winding's nor the choke's resistance; both are taken as zero, so predictions stand high by",
    "what the copper drops.",
    "",
    ...regulationTable(predictedChokeRegulation(), titleOf),
    "",
    "## Rating chart of the EZ80",
    "",
    "Direct current at which the peak reaches 270 mA, at each printed efficiency: from the large-capacitor closed form, which",
    "assumes a constant resistance, and solved with the tube's own curve (300 V rms, 50 µF), which is sharper at its peak. The",
    "chart was read to ±4 %. Where nothing is solved, the tube's drop alone keeps it from that efficiency at that peak.",
    "",
    "| point | published mA | closed form mA | error | solved mA | error | source |",
    "|---|---|---|---|---|---|---|",
    ...predictedChart().map(
      (one) =>
        `| ${one.name} | ${milliamps(one.publishedAmps)} | ${milliamps(one.closedFormAmps)} | ${percent(one.closedFormError)} | ${one.solvedAmps === undefined ? "–" : milliamps(one.solvedAmps)} | ${one.solvedError === undefined ? "" : percent(one.solvedError)} | ${titleOf(one.source)} (${one.status}) |`,
    ),
  ];
}
