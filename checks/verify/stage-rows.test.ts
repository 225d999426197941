/**
 * Rows of makers' resistance-coupled tables that no fit has seen, predicted by the fitted laws.
 * Sources: Philips ECC82 data 1959 (PH82), TAD RT-6922 2012 (TAD69), Tung-Sol 12AX7 1947 (TSAX47); the Philips and Mullard
 * ECC83 rows are from memory and say so in the library.
 */
import { describe, expect, test } from "vitest";
import { distortionBand } from "./band.ts";
import { medianAndWorst, type PredictedStage, predictedStages } from "./stage-rows.ts";

const all = predictedStages();
const leftOut = (type: string, table: string, from = 0): readonly PredictedStage[] =>
  all.filter((one) => one.type === type && one.row.table === table && !one.usedInFit && one.row.supplyVolts >= from);

function within(values: readonly (number | undefined)[], median: number, worst: number): void {
  const got = medianAndWorst(values);
  expect(got.count).toBeGreaterThan(0);
  expect(got.median).toBeLessThanOrEqual(median);
  expect(got.worst).toBeLessThanOrEqual(worst);
}

describe("12AU7A, Philips ECC82 table, 150 V and up", () => {
  const rows = leftOut("12AU7A", "Philips ECC82", 150);
  test("plate current: median 2 %, worst 3 %", () =>
    within(
      rows.map((one) => one.currentError),
      0.02,
      0.03,
    ));
  test("gain: median 3 %, worst 5 %", () =>
    within(
      rows.map((one) => one.gainError),
      0.03,
      0.05,
    ));
  test("total distortion: median 1.5 dB, worst 2.5 dB", () =>
    within(
      rows.map((one) => one.distortionDecibels),
      1.5,
      2.5,
    ));
});

describe("6922, TAD table, next grid taken as 1 megohm", () => {
  const rows = leftOut("6922", "TAD RT-6922");
  test("plate current: median 4 %, worst 6 %", () =>
    within(
      rows.map((one) => one.currentError),
      0.04,
      0.06,
    ));
  test("gain: median 3 %, worst 4 %", () =>
    within(
      rows.map((one) => one.gainError),
      0.03,
      0.04,
    ));
  test("total distortion: median 2 dB, worst 3 dB", () =>
    within(
      rows.map((one) => one.distortionDecibels),
      2,
      3,
    ));
});

test("12AX7A, Tung-Sol table: gain, median 6 %, worst 12 %", () =>
  within(
    leftOut("12AX7A", "Tung-Sol 12AX7").map((one) => one.gainError),
    0.06,
    0.12,
  ));

test("at most two rows of a table have informed a fit", () => {
  const used = new Map<string, number>();
  for (const one of all)
    if (one.usedInFit) used.set(`${one.type} ${one.row.table}`, (used.get(`${one.type} ${one.row.table}`) ?? 0) + 1);
  for (const [table, count] of used) expect(count, table).toBeLessThanOrEqual(2);
});

test("80 to 98 % of the uncontested distortion rows left out lie inside the 90 % band of their own stage", () => {
  const rows = all.filter(
    (one) => !one.usedInFit && one.contested === undefined && one.distortionDecibels !== undefined,
  );
  expect(rows.length).toBeGreaterThan(25);
  const inside = rows.filter((one) => Math.abs(one.distortionDecibels as number) <= distortionBand(one)).length;
  expect(inside / rows.length).toBeGreaterThanOrEqual(0.8);
  expect(inside / rows.length).toBeLessThanOrEqual(0.98);
});
