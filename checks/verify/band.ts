/** 90 % band of the total distortion of one printed row: the law's posterior carried to that very stage, and its own miss. */
import { openCatalogue } from "@platewright/library";
import { MODEL_DECIBELS, NINETY } from "../../library/fit/band.ts";
import { withGrid } from "../../library/fit/fit.ts";
import { observeStage, predictStage } from "../../library/fit/observations.ts";
import { toLaw, toVector } from "../../library/fit/parameters.ts";
import type { PredictedStage } from "./stage-rows.ts";

const STEP = 0.02;

/** Half-width in dB. Specimen spread is not in it: a maker's table is of average tubes. */
export function distortionBand(one: PredictedStage): number {
  const { space } = one.law.law;
  if (space.form !== "island") return Number.NaN;
  const x = toVector(space);
  const capacitances = openCatalogue().tube(one.type)?.capacitances[0];
  const stage = observeStage(one.row);
  const decibels = (y: Float64Array) =>
    20 * Math.log10(predictStage(stage, withGrid(toLaw(y)), capacitances)[1] as number);
  const slopes = Array.from(x, (_, j) => {
    const up = Float64Array.from(x);
    const down = Float64Array.from(x);
    up[j] = (x[j] as number) + STEP;
    down[j] = (x[j] as number) - STEP;
    return (decibels(up) - decibels(down)) / (2 * STEP);
  });
  let variance = MODEL_DECIBELS * MODEL_DECIBELS;
  for (const [i, a] of slopes.entries())
    for (const [j, b] of slopes.entries()) variance += a * b * (one.law.covariance[i * x.length + j] as number);
  return NINETY * Math.sqrt(variance);
}
