import type { Scene } from "../scene.ts";
import { supplyFigure } from "./supply-figure.ts";
import type { TimeFigure } from "./time-figure.ts";
import { type Warming, warmingHeight, withWarming } from "./warming.ts";

export interface StartUpFigure extends TimeFigure {
  /** Below the plot, a bar for each. */
  readonly warming?: readonly Warming[];
}

/**
 * A supply from the moment it is switched on: volts of the nodes above, amperes below, each trace named at its end with
 * the value it settles at, the limits heavy with what is beyond them hatched. 180 by 120 mm unless told.
 */
export function startUpFigure({ warming = [], height = 120, ...figure }: StartUpFigure): Scene {
  const scene = supplyFigure(
    { ...figure, height: height - warmingHeight(warming) },
    { description: "A supply against time after switching on", named: "settled" },
  );
  return withWarming(scene, warming);
}
