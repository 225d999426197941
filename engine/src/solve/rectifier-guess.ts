/** First guess of turn-on and length of conduction: the large-capacitor closed form, moved by the ripple. */
import { dropVolts } from "../tubes/diode-series.ts";
import type { RectifierProblem } from "./rectifier.ts";

/**
 * tan(theta) - theta = pi R / p R_load gives the half-angle at constant capacitor volts, R the series resistance and the
 * rectifier's own at its peak. With a finite capacitor the pulse starts lower by half the droop and ends higher by it.
 */
export function closedFormGuess(problem: RectifierProblem, scale: number): Float64Array {
  const peak = problem.rmsVolts * Math.SQRT2;
  const pulses = problem.circuit === "half-wave" ? 1 : 2;
  let theta = 0.5;
  let idc = 0;
  for (let pass = 0; pass < 8; pass++) {
    const dc = peak * Math.cos(theta);
    idc = "amps" in problem.load ? problem.load.amps : dc / problem.load.ohms;
    const pulsePeak = (idc * Math.PI * 2) / (pulses * theta * (4 / 3));
    const resistance = problem.seriesOhms + dropVolts(problem.law, pulsePeak) / pulsePeak;
    const next = halfAngle((Math.PI * resistance * idc) / (pulses * Math.max(dc, peak * 0.05)));
    const settled = Math.abs(next - theta) < 1e-4;
    theta = next;
    if (settled) break;
  }
  theta = Math.min(1.45, theta * scale);
  const omega = 2 * Math.PI * problem.hertz;
  const droop = (idc * ((2 * Math.PI) / pulses - 2 * theta)) / (omega * problem.firstFarads);
  const share = Math.min(droop / (2 * peak), 0.5 * Math.cos(theta), 0.8 * (1 - Math.cos(theta)));
  const on = Math.asin(Math.cos(theta) - share);
  const end = Math.PI - Math.asin(Math.cos(theta) + share);
  return Float64Array.of(on / omega, (end - on) / omega);
}

/** Solves tan(theta) - theta = x. */
function halfAngle(x: number): number {
  let theta = Math.min(1.4, Math.cbrt(3 * x));
  for (let n = 0; n < 50; n++) {
    const t = Math.tan(theta);
    const step = (t - theta - x) / (t * t);
    theta = Math.max(theta / 3, Math.min((theta + Math.PI / 2) / 2, theta - step));
    if (Math.abs(step) < 1e-6) break;
  }
  return theta;
}
