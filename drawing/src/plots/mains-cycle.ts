import type { Scene } from "../scene.ts";
import { type TimeFigure, timeFigure } from "./supply-figure.ts";

/**
 * A settled supply over one cycle of the mains: the winding and the first capacitor above, the pulses of the rectifier
 * below. 180 by 120 mm unless told.
 */
export function mainsCycleFigure(figure: TimeFigure): Scene {
  return timeFigure(figure, {
    description: "A settled supply over one cycle of the mains",
    ending: false,
    voltsLabel: "Volts",
    ampsLabel: "Amperes",
  });
}
