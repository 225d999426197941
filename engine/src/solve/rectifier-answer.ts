/** What a settled pulse of a rectifier amounts to: means, peaks, rms, heat, balance and the slope. See rectifier.ts. */
import { dropVolts, lawElements } from "../tubes/diode-series.ts";
import { amps, ohms, volts, watts } from "../units/quantities.ts";
import type { RectifierAnswer } from "./answers.ts";
import type { RectifierSolveLimits } from "./rectifier.ts";
import {
  AREA,
  CHARGE,
  fireWhole,
  GIVEN,
  offArea,
  type Pulse,
  type PulseNode,
  SQUARES,
  stagesFor,
  V,
  V_LENGTH,
  V_LOAD,
  V_ON,
  VOLT_SQUARES,
  voltsAfter,
  voltsOnPulse,
} from "./rectifier-pulse.ts";

export function describePulse(
  pulse: Pulse,
  tOn: number,
  length: number,
  shots: number,
  limits: RectifierSolveLimits,
): RectifierAnswer {
  const { peak, period, problem, pulses, constantAmps, loadSiemens } = pulse;
  const stages = stagesFor(pulse, length, tOn, limits);
  const shot = fireWhole(pulse, tOn, length, stages);
  const y = shot.state;
  const at = (place: number) => y[place] as number;
  const off = period - length;
  const vOff = at(V);
  const [area, areaOfVolts, areaOfOff, areaOfLoad] = offArea(pulse, vOff, off);
  const mean = (at(AREA) + area) / period;
  // Implicit: residuals stay zero as the load moves.
  const [a, c] = shot.byOn;
  const [b, d] = shot.byLength;
  const [p, q] = shot.byLoad;
  const determinant = a * d - b * c;
  const onByLoad = -(d * p - b * q) / determinant;
  const lengthByLoad = -(a * q - c * p) / determinant;
  const meanByLoad =
    (at(AREA + 1) * onByLoad +
      at(AREA + 2) * lengthByLoad +
      at(AREA + 3) +
      areaOfVolts * (at(V_ON) * onByLoad + at(V_LENGTH) * lengthByLoad + at(V_LOAD)) -
      areaOfOff * lengthByLoad +
      areaOfLoad) /
    period;
  const crest = crestOf(pulse, tOn, length, shot.nodes);
  const out = new Float64Array(2);
  pulse.current(crest.u, out);
  const inverse =
    problem.circuit === "bridge"
      ? peak
      : problem.circuit === "full-wave"
        ? crest.inverse
        : peak + voltsAfter(pulse, vOff, 0.75 / problem.hertz - (tOn + length));
  // Of v^2 and of the load's current over the off interval, for energy and ripple current.
  const end = voltsAfter(pulse, vOff, off);
  const voltSquares =
    at(VOLT_SQUARES) + (loadSiemens === 0 ? 0 : ((vOff * vOff - end * end) * problem.firstFarads) / (2 * loadSiemens));
  const loadWatts = constantAmps * mean + (loadSiemens * voltSquares) / period;
  const loadMean = constantAmps + loadSiemens * mean;
  const inputMean = at(CHARGE) / period;
  const squares = at(SQUARES) / period;
  // Mean of (i - load)^2; the mean of i times v is what the load takes, in a steady state.
  const capacitorSquares = squares - constantAmps * inputMean - loadSiemens * loadWatts;
  const pathSquares = at(SQUARES) * problem.hertz;
  const windingSquares = problem.circuit === "bridge" ? 2 * pathSquares : pathSquares;
  const elementWatts = lawElements(problem.law).map((law) => {
    // Ends vanish with their slopes: equal weights keep the order of the steps.
    let sum = 0;
    for (const node of shot.nodes) sum += 6 * node.s * (1 - node.s) * dropVolts(law, node.amps) * node.amps * length;
    return watts((sum / stages) * problem.hertz);
  });
  const rectifierWatts = elementWatts.reduce((sum, one) => sum + one, 0);
  const seriesWatts = problem.seriesOhms * windingSquares;
  const windings = problem.circuit === "full-wave" ? 2 : 1;
  return {
    dcVolts: volts(mean),
    ripplePeakToPeakVolts: volts(crest.highest - crest.lowest),
    platePeakAmps: amps(out[0] as number),
    plateRmsAmps: amps(Math.sqrt(pathSquares)),
    windingRmsAmps: amps(Math.sqrt(windingSquares)),
    capacitorRmsAmps: amps(Math.sqrt(Math.max(0, capacitorSquares))),
    rectifierWatts: watts(rectifierWatts),
    elementWatts,
    seriesWatts: watts(seriesWatts),
    balance: {
      windingWatts: watts(at(GIVEN) / period),
      heatWatts: watts(pulses * rectifierWatts + windings * seriesWatts),
      loadWatts: watts(loadWatts),
      capacitorMeanAmps: amps(inputMean - loadMean),
    },
    peakInverseVolts: volts(inverse),
    conductionDegrees: length * problem.hertz * 360,
    slopeOhms: ohms(meanByLoad),
    effort: {
      steps: shots,
      factorings: 0,
      lawCalls: (shots + 1) * stages * 4,
      residual: Math.max(Math.abs(shot.residual[0]), Math.abs(shot.residual[1])),
    },
    start: Float64Array.of(tOn, length),
  };
}

/** Where u, v and the inverse volts are largest, on the cubic through the steps' ends. */
function crestOf(
  pulse: Pulse,
  tOn: number,
  length: number,
  nodes: readonly PulseNode[],
): { u: number; highest: number; lowest: number; inverse: number } {
  const { peak, omega } = pulse;
  const last = nodes.length - 1;
  const angleAt = (s: number) => omega * (tOn + length * s * s * (3 - 2 * s));
  const e = nodes.map((node) => peak * Math.sin(angleAt(node.s)));
  /** The largest of byE e + byV v. */
  const largest = (byE: number, byV: number): number => {
    let best = 0;
    let top = -Infinity;
    for (let n = 0; n <= last; n++) {
      const here = byE * (e[n] as number) + byV * (nodes[n] as PulseNode).volts;
      if (here > top) {
        top = here;
        best = n;
      }
    }
    const slopeAt = (s: number) =>
      byE * peak * omega * length * 6 * s * (1 - s) * Math.cos(angleAt(s)) + byV * voltsOnPulse(nodes, s)[1];
    // Both slopes vanish at the very ends, by the map from s to time.
    let low = Math.max(best - 1, 0.05) / last;
    let high = Math.min(best + 1, last - 0.05) / last;
    let atLow = slopeAt(low);
    let atHigh = slopeAt(high);
    if (!(atLow > 0 && atHigh < 0)) return top;
    let s = low;
    // False position with the stale end halved; the value errs as the square of the place.
    for (let n = 0; n < 12 && high - low > 1e-5; n++) {
      s = low + ((high - low) * atLow) / (atLow - atHigh);
      const here = slopeAt(s);
      if (here > 0) {
        low = s;
        atLow = here;
        atHigh /= 2;
      } else {
        high = s;
        atHigh = here;
        atLow /= 2;
      }
      if (Math.abs(here) < 1e-6 * peak) break;
    }
    return Math.max(top, byE * peak * Math.sin(angleAt(s)) + byV * voltsOnPulse(nodes, s)[0]);
  };
  return { u: largest(1, -1), highest: largest(0, 1), lowest: -largest(0, -1), inverse: largest(1, 1) };
}
