/** Every published resistance-coupled row of the library, predicted with the fitted law; which rows a fit has used. */
import { type CoupledStageRow, type LawRecord, solveStage, stageAtOutput, stageOnset } from "@platewright/engine";
import { openCatalogue } from "@platewright/library";
import { fittedStageRows, stageName, stageOf } from "../../library/fit/observations.ts";

export interface PredictedStage {
  readonly type: string;
  readonly row: CoupledStageRow;
  readonly name: string;
  readonly usedInFit: boolean;
  readonly contested: string | undefined;
  readonly law: LawRecord;
  /** Relative errors; undefined when the row does not print the quantity; NaN when the stage was not solved. */
  readonly currentError: number | undefined;
  readonly gainError: number | undefined;
  readonly distortionDecibels: number | undefined;
  /** Output at the model's onset over the printed output at grid current, dB. */
  readonly onsetDecibels: number | undefined;
  readonly predicted: {
    readonly plateAmps: number;
    readonly gain: number;
    readonly totalPercent: number | undefined;
    readonly onsetOutputVolts: number | undefined;
  };
}

export function predictedStages(): readonly PredictedStage[] {
  const catalogue = openCatalogue();
  const predicted: PredictedStage[] = [];
  for (const type of catalogue.types) {
    const record = catalogue.tube(type);
    const law = catalogue.law(type);
    if (record === undefined || law === undefined) continue;
    const used = new Set(fittedStageRows(record));
    for (const row of record.coupledStages) {
      const solved = solveStage(stageOf(row, law.law, record.capacitances[0]));
      const output = row.outputVoltsRms;
      const level = solved.ok && output !== undefined ? stageAtOutput(solved.value, output) : undefined;
      const onset = solved.ok && row.outputAt?.startsWith("grid") === true ? stageOnset(solved.value) : undefined;
      const amps = solved.ok ? solved.value.bias.plateAmps : Number.NaN;
      const gain = solved.ok ? solved.value.gain : Number.NaN;
      const percent = level === undefined ? undefined : level.ok ? level.value.totalPercent : Number.NaN;
      const onsetOut =
        onset === undefined ? undefined : onset.ok ? (onset.value.outputVolts ?? Number.NaN) : Number.NaN;
      const decibels = (got: number | undefined, wanted: number | undefined) =>
        got === undefined || wanted === undefined ? undefined : 20 * Math.log10(got / wanted);
      predicted.push({
        type,
        row,
        name: stageName(row),
        usedInFit: used.has(row),
        contested: row.contested,
        law,
        currentError: row.plateAmps === undefined ? undefined : amps / row.plateAmps - 1,
        gainError: row.gain === undefined ? undefined : gain / row.gain - 1,
        distortionDecibels: decibels(percent, row.totalDistortionPercent),
        onsetDecibels: decibels(onsetOut, output),
        predicted: { plateAmps: amps, gain, totalPercent: percent, onsetOutputVolts: onsetOut },
      });
    }
  }
  return predicted;
}

/** Median and largest size of the numbers that are there. */
export function medianAndWorst(values: readonly (number | undefined)[]): {
  readonly median: number;
  readonly worst: number;
  readonly count: number;
} {
  const sizes = values
    .filter((value): value is number => value !== undefined)
    .map(Math.abs)
    .sort((a, b) => a - b);
  const middle = sizes.length >> 1;
  const median =
    sizes.length % 2 === 1
      ? (sizes[middle] as number)
      : ((sizes[middle - 1] ?? Number.NaN) + (sizes[middle] ?? Number.NaN)) / 2;
  return { median, worst: sizes[sizes.length - 1] ?? Number.NaN, count: sizes.length };
}
