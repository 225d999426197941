/**
 * Two tones on one axis: the map of mix frequencies to artificial harmonics, and the network at the mix frequencies.
 *
 * Law     A quasi-periodic current is a function of two phases, with lines k1 f1 + k2 f2. All pairs with |k1| + |k2| <= P
 *         go one to one to s = P k1 + (P + 1) k2, which takes each value from -P (P + 1) to P (P + 1) once. Samples with
 *         both phases at 2 pi n P / N and 2 pi n (P + 1) / N, N = 2 P (P + 1) + 1, see line s as harmonic s of one period:
 *         memoryless laws work on samples, so the false frequencies do no harm; the network is taken at the true ones.
 * Limits  As many samples as parts of lines, no more: what a law makes of order P + 1 falls on lines of order P, order
 *         P + 2 on P - 1, and so on. No common base of f1 and f2 is looked for.
 * Sources Frequency maps of harmonic balance: Kundert, White and Sangiovanni-Vincentelli 1990 (from memory); that this
 *         one fills the diamond without gaps is counted in two-tone.test.ts.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Net } from "../circuit/parts.ts";
import { fail, ok, type Result } from "../result.ts";
import { hertz } from "../units/quantities.ts";
import type { Bias, Complex, SolveFailure } from "./answers.ts";
import { type PortModel, portModel } from "./ports.ts";
import type { Tone } from "./two-tone-answer.ts";

/** The pair (k1, k2) of each artificial harmonic s = 0 .. P (P + 1). */
export function mixPairs(order: number): readonly (readonly [number, number])[] {
  const pairs: (readonly [number, number])[] = [];
  for (let k1 = -order; k1 <= order; k1++) {
    const most = order - Math.abs(k1);
    for (let k2 = -most; k2 <= most; k2++) {
      const s = mixIndex(order, k1, k2);
      if (s >= 0) pairs[s] = [k1, k2];
    }
  }
  return pairs;
}

export const mixIndex = (order: number, k1: number, k2: number): number => order * k1 + (order + 1) * k2;

/** The port model with artificial harmonic s at the true frequency of its pair. */
export function mixModel(
  circuit: CompiledCircuit,
  bias: Bias,
  ask: { readonly source: string; readonly output: Net; readonly linear: readonly string[] },
  [f1, f2]: readonly [number, number],
  order: number,
): Result<PortModel, SolveFailure> {
  const at = (frequency: number, harmonics: number) =>
    portModel(circuit, {
      source: ask.source,
      hertz: hertz(frequency),
      harmonics,
      observers: [ask.output],
      linear: ask.linear,
      bias,
    });
  const mean = at(0, 0);
  if (!mean.ok) return mean;
  const { controls: C, currents: Q } = mean.value;
  const pairs = mixPairs(order);
  const model: PortModel = {
    ...mean.value,
    harmonics: pairs.length - 1,
    sourceReal: new Float64Array(pairs.length * C),
    sourceImaginary: new Float64Array(pairs.length * C),
    impedanceReal: new Float64Array(pairs.length * C * Q),
    impedanceImaginary: new Float64Array(pairs.length * C * Q),
    observerSourceReal: new Float64Array(pairs.length),
    observerSourceImaginary: new Float64Array(pairs.length),
    observerImpedanceReal: new Float64Array(pairs.length * Q),
    observerImpedanceImaginary: new Float64Array(pairs.length * Q),
  };
  for (const [s, [k1, k2]] of pairs.entries()) {
    const frequency = k1 * f1 + k2 * f2;
    // Two tones in a ratio of small integers have a line at 0 Hz.
    const k = frequency === 0 ? 0 : 1;
    const one = k === 0 ? mean : at(Math.abs(frequency), 1);
    if (!one.ok) return one;
    const sign = Math.sign(frequency);
    copy(one.value.impedanceReal, k * C * Q, model.impedanceReal, s * C * Q, C * Q, 1);
    copy(one.value.impedanceImaginary, k * C * Q, model.impedanceImaginary, s * C * Q, C * Q, sign);
    copy(one.value.observerImpedanceReal, k * Q, model.observerImpedanceReal, s * Q, Q, 1);
    copy(one.value.observerImpedanceImaginary, k * Q, model.observerImpedanceImaginary, s * Q, Q, sign);
    if (k === 0) continue;
    copy(one.value.sourceReal, C, model.sourceReal, s * C, C, 1);
    copy(one.value.sourceImaginary, C, model.sourceImaginary, s * C, C, sign);
    copy(one.value.observerSourceReal, 1, model.observerSourceReal, s, 1, 1);
    copy(one.value.observerSourceImaginary, 1, model.observerSourceImaginary, s, 1, sign);
  }
  if (!model.impedanceReal.every(Number.isFinite)) return fail({ kind: "singular", net: ask.output });
  return ok(model);
}

function copy(from: Float64Array, at: number, to: Float64Array, start: number, count: number, sign: number): void {
  for (let i = 0; i < count; i++) to[start + i] = sign * (from[at + i] as number);
}

/** Rounding: currents are settled to 1e-13, in circuits of some hundred volts. */
const SILENT_VOLTS = 1e-10;

/** Size of a tone at the output; nothing where it is rounding only. */
export function toneSize(tone: Tone, { re, im }: Complex): number {
  const size = Math.hypot(re, im);
  return tone.voltsPeak === 0 || size < SILENT_VOLTS ? 0 : size;
}
