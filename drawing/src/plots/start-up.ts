import type { Scene } from "../scene.ts";
import { type TimeFigure, timeFigure } from "./supply-figure.ts";

/**
 * A supply from the moment it is switched on: volts of the nodes above, amperes below, each trace named at its end with
 * the value it settles at, the limits heavy with what is beyond them hatched. 180 by 120 mm unless told.
 */
export function startUpFigure(figure: TimeFigure): Scene {
  return timeFigure(figure, {
    description: "A supply against time after switching on",
    ending: true,
    voltsLabel: "Volts",
    ampsLabel: "Amperes",
  });
}
