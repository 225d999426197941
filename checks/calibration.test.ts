/**
 * Calibration against makers' distortion tables: a printed row stands for the builder's reading of a proven unit, another
 * row of the same table (other supply, load and cathode resistor) for the unit now.
 *
 * Sources Philips ECC82, Philips and Mullard ECC83, TAD RT-6922: resistance-coupled amplifier tables, as the library holds
 *         them (rows that a fit has used are left out).
 */
import { calibrate, type UnitPrediction } from "@platewright/design";
import { expect, test } from "vitest";
import { type PredictedStage, predictedStages } from "./verify/stage-rows.ts";

const rows = predictedStages().filter(
  (stage) =>
    !stage.usedInFit && stage.contested === undefined && Number.isFinite(stage.distortionDecibels ?? Number.NaN),
);

const unit = (stage: PredictedStage): UnitPrediction => ({
  type: stage.type,
  form: stage.law.law.space.form,
  bandDecibels: stage.law.h2BandDecibels,
  // Printed tables are of average tubes: nothing of a specimen in them.
  specimenDecibels: 0,
  levels: [{ inputVolts: 1, ratio: (stage.predicted.totalPercent ?? Number.NaN) / 100 }],
});

const printed = (stage: PredictedStage): number => (stage.row.totalDistortionPercent ?? Number.NaN) / 100;

test("of other rows of a table, at least 85 in 100 lie in the calibrated 90 % band", () => {
  let inside = 0;
  let pairs = 0;
  const tables = new Set<string>();
  for (const proven of rows)
    for (const now of rows) {
      if (proven === now || proven.type !== now.type || proven.row.table !== now.row.table) continue;
      const answer = calibrate({
        proven: unit(proven),
        now: unit(now),
        sameBottle: false,
        measured: [{ inputVolts: 1, ratio: printed(proven), meterDecibels: 0.3 }],
      });
      if (!answer.ok) throw new Error(answer.failure.kind);
      const level = answer.value.now[0];
      if (level === undefined) throw new Error("no level");
      tables.add(proven.row.table);
      pairs++;
      if (printed(now) >= level.lowRatio && printed(now) <= level.highRatio) inside++;
    }
  expect(tables.size).toBe(3);
  expect(pairs).toBeGreaterThan(300);
  expect(inside / pairs).toBeGreaterThan(0.85);
});
