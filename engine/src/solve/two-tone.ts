/**
 * Quasi-periodic steady state of a circuit driven by two sines: lines k1 f1 + k2 f2 at the output, grid conduction
 * included.
 *
 * Law     R(i) = i - f(v0 - z * i) = 0 on the samples of every device current, lines with |k1| + |k2| <= order kept
 *         (two-tone-mixes.ts). The two frequencies need no common base: 60 Hz and 7 kHz cost what 19 and 20 kHz cost.
 * Method  Newton with the exact Jacobian (two-tone-newton.ts), from bias or a given answer; where that does not settle,
 *         both tones are raised together from nothing.
 * Limits  Settled when max |R| is below 1e-9 of the largest current swing. "tail-not-reached": settled, but a line of the
 *         last two orders is above the rule; the tail is in the answer. Clipped waves need more than order 8. Time grows
 *         with the sixth power of the order, memory with the fourth.
 * Sources docs/intermodulation.md.
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import { fail, ok, type Result } from "../result.ts";
import { amps, hertz, volts } from "../units/quantities.ts";
import type { Bias, SolveFailure } from "./answers.ts";
import { analyseRow, type Collocation, openCollocation } from "./collocation.ts";
import type { Spent } from "./harmonics-newton.ts";
import { openStepper } from "./harmonics-step.ts";
import { signalOrder } from "./signal-order.ts";
import { openTransform, toHarmonics, toSamples } from "./transform.ts";
import type { MixLine, TwoToneAnswer, TwoToneAsk, TwoToneLimits, TwoToneTriode } from "./two-tone-answer.ts";
import { mixIndex, mixModel, mixPairs, toneSize } from "./two-tone-mixes.ts";
import { newtonOfTones, setTones } from "./two-tone-newton.ts";

export * from "./two-tone-answer.ts";
export * from "./two-tone-figures.ts";

export const TWO_TONE_LIMITS: TwoToneLimits = {
  tailDecibels: -100,
  residualFraction: 1e-9,
  steps: 40,
  ramps: 60,
};

/** 2 x 24 x 25 + 1 = 1201 samples of each current. */
const MOST_ORDER = 24;

/** Solves one level of both tones, at one order or at rising ones. */
export function solveTwoTone(
  circuit: CompiledCircuit,
  bias: Bias,
  ask: TwoToneAsk,
): Result<TwoToneAnswer, SolveFailure> {
  const limits = { ...TWO_TONE_LIMITS, ...ask.limits };
  const spent: Spent = { steps: 0, factorings: 0, lawCalls: 0, residual: Infinity };
  let order = ask.order ?? 8;
  const most = ask.mostOrder ?? order;
  const bad = badAsk(ask, order, most);
  if (bad !== undefined) return fail({ kind: "not-settled", effort: { ...spent }, what: bad });
  let start = ask.start;
  for (;;) {
    const answer = solveAt(circuit, bias, { ...ask, ...(start === undefined ? {} : { start }) }, order, limits, spent);
    if (order >= most || (answer.ok && answer.value.outcome === "settled")) return answer;
    // Too few samples can make a clipped wave hard to settle; the next order decides.
    if (answer.ok) start = answer.value;
    else if (answer.failure.kind !== "not-settled") return answer;
    order = Math.min(most, Math.ceil(1.5 * order));
  }
}

function solveAt(
  circuit: CompiledCircuit,
  bias: Bias,
  ask: TwoToneAsk,
  order: number,
  limits: TwoToneLimits,
  spent: Spent,
): Result<TwoToneAnswer, SolveFailure> {
  const frequencies = [ask.first.hertz, ask.second.hertz] as const;
  const model = mixModel(circuit, bias, { ...ask, linear: ask.linear ?? [] }, frequencies, order);
  if (!model.ok) return model;
  const groups = signalOrder(model.value, circuit, bias, mixIndex(order, 1, 0));
  const work = openCollocation(model.value, groups.flat(), openTransform(model.value.harmonics));
  // Blocks only: the local preconditioner takes the lowest harmonics to be the lowest frequencies; here they are not.
  const stepper = openStepper(work, groups);
  const drive = (share: number) => {
    setTones(
      work,
      [mixIndex(order, 1, 0), share * ask.first.voltsPeak],
      [mixIndex(order, 0, 1), share * ask.second.voltsPeak],
    );
    return newtonOfTones(work, stepper, limits, spent);
  };
  const standing = biasCurrents(circuit, bias, work);
  const done = settle(work, standing, () => takeStart(work, order, ask.start), limits, drive);
  spent.lawCalls += work.lawCalls;
  if (!done) {
    const what = `tones of ${ask.first.voltsPeak} and ${ask.second.voltsPeak} V peak, order ${order}`;
    return fail({ kind: "not-settled", effort: { ...spent }, what });
  }
  const answer = describe(work, ask, order, spent, limits);
  if (!answer.lines.every((line) => Number.isFinite(line.volts.re + line.volts.im)))
    return fail({ kind: "not-settled", effort: { ...spent }, what: "the output is not a number" });
  return ok(answer);
}

function badAsk({ first, second }: TwoToneAsk, order: number, most: number): string | undefined {
  for (const one of [order, most])
    if (!(Number.isInteger(one) && one >= 2 && one <= MOST_ORDER))
      return `order ${one}; it must be a whole number from 2 to ${MOST_ORDER}`;
  for (const tone of [first, second]) {
    if (!(tone.hertz > 0 && tone.hertz < Infinity)) return `a tone of ${tone.hertz} Hz`;
    if (!Number.isFinite(tone.voltsPeak)) return `a tone of ${tone.voltsPeak} V peak`;
  }
  return undefined;
}

/** From the start if there is one, from bias, and by raising the drive; true when the whole drive is settled. */
function settle(
  work: Collocation,
  standing: Float64Array,
  start: () => boolean,
  limits: TwoToneLimits,
  drive: (share: number) => boolean,
): boolean {
  if (start() && drive(1)) return true;
  work.current.set(standing);
  return drive(1) || raise(work, standing, limits.ramps, drive);
}

/** Continuation with a secant predictor: strides grow where it is easy and shrink where a level fails. */
function raise(work: Collocation, standing: Float64Array, ramps: number, drive: (share: number) => boolean): boolean {
  let level = 0;
  let before = 0;
  let stride = 0.1;
  let good = standing;
  let previous = standing;
  for (let ramp = 0; ramp < ramps; ramp++) {
    const next = Math.min(1, level + stride);
    const ahead = level > before ? (next - level) / (level - before) : 0;
    for (let m = 0; m < good.length; m++)
      work.current[m] = (good[m] as number) + ahead * ((good[m] as number) - (previous[m] as number));
    if (drive(next)) {
      if (next === 1) return true;
      before = level;
      level = next;
      stride *= 1.6;
      previous = good;
      good = Float64Array.from(work.current);
      continue;
    }
    stride /= 3;
    if (stride < 1e-4) return false;
  }
  return false;
}

function biasCurrents(circuit: CompiledCircuit, bias: Bias, work: Collocation): Float64Array {
  const { samples: N, model } = work;
  const standing = new Float64Array(model.currents * N);
  let q = 0;
  let known = 0;
  for (const device of circuit.devices) {
    const count = device.kind === "triode" ? 2 : 1;
    if (model.devices.includes(device))
      for (let i = 0; i < count; i++, q++) standing.fill(bias.unknowns[known + i] as number, q * N, (q + 1) * N);
    known += count;
  }
  return standing;
}

/** Lines of an earlier answer to the samples of this order; false: there is none of this shape. */
function takeStart(work: Collocation, order: number, start: TwoToneAnswer | undefined): boolean {
  if (start === undefined) return false;
  const { samples: N, transform, current, model } = work;
  const pairs = mixPairs(start.order);
  if (start.samples.length !== model.currents) return false;
  if (start.samples.some((row) => row.length !== 2 * pairs.length - 1)) return false;
  const theirs = openTransform(pairs.length - 1);
  const re = new Float64Array(pairs.length);
  const im = new Float64Array(pairs.length);
  const here = mixPairs(order);
  for (const [q, row] of start.samples.entries()) {
    toHarmonics(theirs, row, 0, re, im, 0);
    const mineRe = new Float64Array(here.length);
    const mineIm = new Float64Array(here.length);
    for (const [s, [k1, k2]] of here.entries()) {
      const at = mixIndex(start.order, k1, k2);
      if (Math.abs(k1) + Math.abs(k2) > start.order) continue;
      mineRe[s] = re[Math.abs(at)] as number;
      mineIm[s] = Math.sign(at) * (im[Math.abs(at)] as number);
    }
    toSamples(transform, mineRe, mineIm, 0, current, q * N);
  }
  return true;
}

function describe(
  work: Collocation,
  ask: TwoToneAsk,
  order: number,
  spent: Spent,
  limits: TwoToneLimits,
): TwoToneAnswer {
  const { model, samples: N, current, live, liveCount, currentRe, currentIm } = work;
  const { currents: Q, harmonics } = model;
  const S = harmonics + 1;
  const re = new Float64Array(S);
  const im = new Float64Array(S);
  re[0] = model.observerDc[0] as number;
  for (const [s, peak] of [
    [mixIndex(order, 1, 0), ask.first.voltsPeak],
    [mixIndex(order, 0, 1), ask.second.voltsPeak],
  ] as const) {
    re[s] = peak * (model.observerSourceReal[s] as number);
    im[s] = peak * (model.observerSourceImaginary[s] as number);
  }
  for (let r = 0; r < liveCount; r++) {
    const q = live[r] as number;
    analyseRow(work, current, q);
    for (let s = 0; s < S; s++) {
      const zr = model.observerImpedanceReal[s * Q + q] as number;
      const zi = model.observerImpedanceImaginary[s * Q + q] as number;
      const ir = currentRe[q * S + s] as number;
      const ii = currentIm[q * S + s] as number;
      re[s] = (re[s] as number) - zr * ir + zi * ii;
      im[s] = (im[s] as number) - zr * ii - zi * ir;
    }
  }
  const pairs = mixPairs(order);
  const lines: MixLine[] = [];
  let tones = 0;
  let tail = 0;
  for (let s = 1; s < S; s++) {
    const [k1, k2] = pairs[s] as readonly [number, number];
    const frequency = k1 * ask.first.hertz + k2 * ask.second.hertz;
    const sign = frequency < 0 ? -1 : 1;
    const value = { re: re[s] as number, im: sign * (im[s] as number) };
    lines.push({ k1: sign * k1 + 0, k2: sign * k2 + 0, hertz: hertz(Math.abs(frequency)), volts: value });
    const size = Math.hypot(value.re, value.im);
    const reach = Math.abs(k1) + Math.abs(k2);
    if (reach === 1) tones = Math.max(tones, toneSize(k2 === 0 ? ask.first : ask.second, value));
    else if (reach >= order - 1) tail = Math.max(tail, size);
  }
  const tailDecibels = tail > 0 && tones > 0 ? 20 * Math.log10(tail / tones) : -400;
  const kept = Float64Array.from(current);
  return {
    outcome: tailDecibels <= limits.tailDecibels ? "settled" : "tail-not-reached",
    order,
    tailDecibels,
    first: ask.first,
    second: ask.second,
    dcVolts: volts(re[0]),
    lines: lines.sort((a, b) => a.hertz - b.hertz),
    triodes: triodes(work),
    effort: { ...spent },
    samples: Array.from({ length: Q }, (_, q) => kept.subarray(q * N, (q + 1) * N)),
  };
}

function triodes({ model, samples: N, current, control }: Collocation): ReadonlyMap<string, TwoToneTriode> {
  const seen = new Map<string, TwoToneTriode>();
  let q = 0;
  for (const device of model.devices) {
    if (device.kind === "triode") {
      const plate = current.subarray(q * N, (q + 1) * N);
      const grid = current.subarray((q + 1) * N, (q + 2) * N);
      seen.set(device.id, {
        meanGridAmps: amps(grid.reduce((sum, i) => sum + i, 0) / N),
        maximumGridAmps: amps(Math.max(...grid)),
        minimumPlateAmps: amps(Math.min(...plate)),
        maximumPlateAmps: amps(Math.max(...plate)),
        peakGridVolts: volts(Math.max(...control.subarray(q * N, (q + 1) * N))),
      });
    }
    q += device.kind === "triode" ? 2 : 1;
  }
  return seen;
}
