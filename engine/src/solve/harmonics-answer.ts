/** What is read off a settled collocation: the output spectrum and what each triode sees over the cycle. */
import { amps, volts } from "../units/quantities.ts";
import type { HarmonicAnswer, Spectrum, TriodeCycle } from "./answers.ts";
import { analyseRow, type Collocation } from "./collocation.ts";
import { toSamples } from "./transform.ts";

/** Observer 0 is the output, observers 1... the cathodes of the triodes in order. Call right after an evaluation. */
export function describe(work: Collocation, peakVolts: number, effort: HarmonicAnswer["effort"]): HarmonicAnswer {
  const { model, samples: N, current } = work;
  const K = model.harmonics;
  for (let r = 0; r < work.liveCount; r++) analyseRow(work, current, work.live[r] as number);
  const output = observed(work, 0, peakVolts);
  const size = (k: number) => Math.hypot(output.real[k] as number, output.imaginary[k] as number);
  const tail = Math.max(size(K), K > 1 ? size(K - 1) : 0) / size(1);
  const kept = Float64Array.from(current);
  return {
    outcome: "settled",
    harmonics: K,
    // A silent output (no fundamental) has no tail.
    tailDecibels: tail > 0 ? 20 * Math.log10(tail) : tail === 0 || size(1) === 0 ? -400 : Number.NaN,
    sourceVoltsPeak: volts(peakVolts),
    output,
    triodes: cycles(work, peakVolts),
    effort,
    samples: Array.from({ length: model.currents }, (_, q) => kept.subarray(q * N, (q + 1) * N)),
  };
}

/** Harmonics of one observed net from the harmonics of the live currents. */
function observed(work: Collocation, o: number, peakVolts: number): Spectrum {
  const { model, live, liveCount, currentRe, currentIm } = work;
  const { harmonics: K, currents: Q } = model;
  const O = model.observers.length;
  const real = new Float64Array(K + 1);
  const imaginary = new Float64Array(K + 1);
  real[0] = model.observerDc[o] as number;
  real[1] = peakVolts * (model.observerSourceReal[O + o] as number);
  imaginary[1] = peakVolts * (model.observerSourceImaginary[O + o] as number);
  for (let r = 0; r < liveCount; r++) {
    const q = live[r] as number;
    for (let k = 0; k <= K; k++) {
      const at = (k * O + o) * Q + q;
      const zr = model.observerImpedanceReal[at] as number;
      const zi = model.observerImpedanceImaginary[at] as number;
      const ir = currentRe[q * (K + 1) + k] as number;
      const ii = currentIm[q * (K + 1) + k] as number;
      real[k] = (real[k] as number) - zr * ir + zi * ii;
      imaginary[k] = (imaginary[k] as number) - zr * ii - zi * ir;
    }
  }
  imaginary[0] = 0;
  return { real, imaginary };
}

function cycles(work: Collocation, peakVolts: number): ReadonlyMap<string, TriodeCycle> {
  const { samples: N, current, control, transform } = work;
  const triodes = new Map<string, TriodeCycle>();
  const cathode = new Float64Array(N);
  let q = 0;
  let observer = 1;
  for (const device of work.model.devices) {
    if (device.kind === "diode") {
      q += 1;
      continue;
    }
    const spectrum = observed(work, observer++, peakVolts);
    toSamples(transform, spectrum.real, spectrum.imaginary, 0, cathode, 0);
    const plate = q * N;
    const grid = plate + N;
    triodes.set(device.id, {
      meanPlateAmps: amps(mean(current, plate, N)),
      meanGridAmps: amps(mean(current, grid, N)),
      minimumPlateAmps: amps(lowest(current, plate, N)),
      maximumPlateAmps: amps(highest(current, plate, N)),
      maximumGridAmps: amps(highest(current, grid, N)),
      peakGridVolts: volts(highest(control, plate, N)),
      peakPlateVolts: volts(highest(control, grid, N)),
      minimumPlateVolts: volts(lowest(control, grid, N)),
      cathodeVoltsHigh: volts(highest(cathode, 0, N)),
      cathodeVoltsLow: volts(lowest(cathode, 0, N)),
    });
    q += 2;
  }
  return triodes;
}

function mean(x: Float64Array, at: number, count: number): number {
  let sum = 0;
  for (let m = at; m < at + count; m++) sum += x[m] as number;
  return sum / count;
}

function lowest(x: Float64Array, at: number, count: number): number {
  let low = x[at] as number;
  for (let m = at + 1; m < at + count; m++) if ((x[m] as number) < low) low = x[m] as number;
  return low;
}

function highest(x: Float64Array, at: number, count: number): number {
  let high = x[at] as number;
  for (let m = at + 1; m < at + count; m++) if ((x[m] as number) > high) high = x[m] as number;
  return high;
}
