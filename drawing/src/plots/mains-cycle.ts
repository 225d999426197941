import type { Scene } from "../scene.ts";
import { supplyFigure } from "./supply-figure.ts";
import type { TimeFigure } from "./time-figure.ts";

/**
 * A settled supply over one cycle of the mains: the winding and the first capacitor above, the pulses of the rectifier
 * below. 180 by 120 mm unless told.
 */
export function mainsCycleFigure(figure: TimeFigure): Scene {
  return supplyFigure(figure, { description: "A settled supply over one cycle of the mains", named: "cycling" });
}
