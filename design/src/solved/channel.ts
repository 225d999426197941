/** One channel of a biased circuit: gain, output impedance, corners, harmonics at the asked levels, onsets. */
import {
  type Bias,
  type Complex,
  type CompiledCircuit,
  fail,
  gridCurrentOnset,
  type HarmonicAnswer,
  type HarmonicLimits,
  type HarmonicProblem,
  harmonicProblem,
  harmonicRatios,
  harmonicSigns,
  hertz,
  magnitude,
  ok,
  ohms,
  openResponse,
  type ResponseAt,
  type Result,
  rmsVolts,
  sentence,
  solveHarmonics,
  solveImpedance,
  solveLevels,
  solveResponse,
  volts,
} from "@platewright/engine";
import type { Expanded } from "../document/expanded.ts";
import { sourceId } from "./circuit.ts";
import type { LevelPoint, SolvedChannel } from "./types.ts";

/** Reference frequency of gain, harmonics and corners. */
export const REFERENCE_HERTZ = hertz(1000);

/** "brief": gain and the largest level; "levels": the asked levels too; "full": onsets and corners as well. */
export type Detail = "brief" | "levels" | "full";

export interface ChannelAsk {
  /** rms at the input jack; only the largest is solved when the detail is "brief". */
  readonly levels: readonly number[];
  readonly largestInputVolts: number;
  readonly detail: Detail;
  /** For searches: a coarse tail is enough to compare H2. */
  readonly harmonicLimits?: Partial<HarmonicLimits>;
  readonly starts?: readonly (readonly Float64Array[] | undefined)[];
  /** Guesses of the onsets, by triode, V rms at the jack. */
  readonly onsetsNear?: ReadonlyMap<string, number>;
}

export function solveChannel(
  circuit: CompiledCircuit,
  bias: Bias,
  expanded: Expanded,
  channel: Expanded["channels"][number],
  ask: ChannelAsk,
): Result<SolvedChannel, string> {
  const source = sourceId(channel.instance);
  const jack = solveResponse(circuit, bias, { source, output: channel.inputNet, hertz: [REFERENCE_HERTZ] });
  if (!jack.ok) return fail(sentence(jack.failure));
  const outputAt = openResponse(circuit, bias, { source, output: channel.outputNet });
  if (!outputAt.ok) return fail(sentence(outputAt.failure));
  const out = outputAt.value(REFERENCE_HERTZ);
  if (!out.ok) return fail(sentence(out.failure));
  const jackShare = jack.value.transfer[0] as Complex;
  const transfer = divide(out.value, jackShare);
  const impedance = solveImpedance(circuit, bias, { net: channel.outputNet, hertz: [REFERENCE_HERTZ] });
  if (!impedance.ok) return fail(sentence(impedance.failure));
  const loaded = impedance.value[0] as Complex;

  const mine = expanded.triodes.filter((t) => t.instance === channel.instance).map((t) => t.id);
  const linear = expanded.triodes.map((t) => t.id).filter((id) => !mine.includes(id));
  const problem = harmonicProblem(circuit, bias, {
    source,
    hertz: REFERENCE_HERTZ,
    output: channel.outputNet,
    linear,
    ...(ask.harmonicLimits === undefined ? {} : { limits: ask.harmonicLimits }),
  });
  // Levels are asked at the jack; the source stands behind its own resistance.
  const emf = (inputVolts: number) => volts(inputVolts / magnitude(jackShare));
  const levels =
    ask.detail === "brief"
      ? [ask.largestInputVolts]
      : [...new Set([...ask.levels, ask.largestInputVolts])].sort(ascending);
  const answers = solveLevels(problem, levels.map(emf), ask.starts);
  if (!answers.ok) return fail(`${channel.instance}: ${sentence(answers.failure)}`);
  const points = answers.value.map((answer, i) => levelPoint(levels[i] as number, answer));
  const largest = points[levels.indexOf(ask.largestInputVolts)] as LevelPoint;
  const onset = ask.detail !== "full" ? ok([]) : onsets(problem, mine, emf, magnitude(jackShare), ask, answers.value);
  if (!onset.ok) return onset;
  const corner = (direction: -1 | 1) =>
    ask.detail !== "full" ? null : cornerHertz(outputAt.value, out.value, direction);
  return ok({
    instance: channel.instance,
    inputNet: channel.inputNet,
    outputNet: channel.outputNet,
    gain: magnitude(transfer),
    inverts: transfer.re < 0,
    outputOhms: ohms(withoutLoad(circuit, channel.instance, loaded)),
    minusOneDecibelLow: corner(-1),
    minusOneDecibelHigh: corner(1),
    levels: points.filter((point) => ask.levels.includes(point.inputVolts)),
    onset: onset.value,
    largest,
  });
}

const ascending = (a: number, b: number): number => a - b;

export function levelPoint(inputVolts: number, answer: HarmonicAnswer): LevelPoint {
  return {
    inputVolts: volts(inputVolts),
    outputVolts: volts(rmsVolts(answer.output)),
    ratios: harmonicRatios(answer.output),
    signs: harmonicSigns(answer.output),
    answer,
  };
}

function divide(a: Complex, b: Complex): Complex {
  const size = b.re * b.re + b.im * b.im;
  return { re: (a.re * b.re + a.im * b.im) / size, im: (a.im * b.re - a.re * b.im) / size };
}

/** The unit's own output impedance: the load that stands in the circuit is taken off again (as admittances). */
function withoutLoad(circuit: CompiledCircuit, instance: string, loaded: Complex): number {
  const omega = 2 * Math.PI * REFERENCE_HERTZ;
  const whole = divide({ re: 1, im: 0 }, loaded);
  let { re, im } = whole;
  for (const part of circuit.parts) {
    if (part.kind === "resistor" && part.id === `${instance}.load`) re -= 1 / part.ohms;
    if (part.kind === "capacitor" && part.id === `${instance}.load-farads`) im -= omega * part.farads;
  }
  return magnitude(divide({ re: 1, im: 0 }, { re, im }));
}

/** Onsets are searched to twice the largest input (and at least 4 V), V rms at the jack. */
export const onsetsUpTo = (largestInputVolts: number): number => Math.max(4, 2 * largestInputVolts);

/** Onsets, in volts at the input jack. */
function onsets(
  problem: HarmonicProblem,
  triodes: readonly string[],
  emf: (volts: number) => number,
  jackShare: number,
  { largestInputVolts, onsetsNear }: Pick<ChannelAsk, "largestInputVolts" | "onsetsNear">,
  known: readonly HarmonicAnswer[],
): Result<SolvedChannel["onset"], string> {
  const upTo = onsetsUpTo(largestInputVolts);
  const found: SolvedChannel["onset"][number][] = [];
  for (const triode of triodes) {
    const near = onsetsNear?.get(triode);
    const guess = near === undefined ? undefined : volts(emf(near));
    const onset = gridCurrentOnset(problem, triode, volts(emf(upTo)), known, guess);
    // A level that cannot be solved is beyond what the unit is asked to do: searched up to nothing, said so.
    if (!onset.ok) {
      found.push({ triode, inputVolts: null, searchedTo: volts(0) });
      continue;
    }
    const at = onset.value.inputVolts;
    found.push({ triode, inputVolts: at === null ? null : volts(at * jackShare), searchedTo: volts(upTo) });
  }
  return ok(found);
}

/**
 * Frequency at which the response has fallen by 1 dB from 1 kHz; null when it does not inside 0.1 Hz to 10 MHz. Eight
 * points a decade bracket it; then false position on the decibels over the logarithm of frequency, to one part in 1e6.
 */
function cornerHertz(at: ResponseAt, reference: Complex, direction: -1 | 1): ReturnType<typeof hertz> | null {
  const missAt = (decades: number): number => {
    const here = at(hertz(REFERENCE_HERTZ * 10 ** decades));
    return here.ok ? 1 + 20 * Math.log10(magnitude(here.value) / magnitude(reference)) : Number.NaN;
  };
  let near = 0;
  let nearMiss = 1;
  for (let step = 1; step <= 32; step++) {
    let far = (direction * step) / 8;
    let farMiss = missAt(far);
    if (Number.isNaN(farMiss)) return null;
    if (farMiss >= 0) {
      near = far;
      nearMiss = farMiss;
      continue;
    }
    for (let tries = 0; tries < 60 && Math.abs(far - near) > 4e-7; tries++) {
      const share = tries % 4 === 3 ? 0.5 : Math.min(0.999, Math.max(0.001, nearMiss / (nearMiss - farMiss)));
      const middle = near + share * (far - near);
      const miss = missAt(middle);
      if (Number.isNaN(miss)) return null;
      if (Math.abs(miss) < 1e-7) return hertz(REFERENCE_HERTZ * 10 ** middle);
      if (miss < 0) {
        far = middle;
        farMiss = miss;
      } else {
        near = middle;
        nearMiss = miss;
      }
    }
    return hertz(REFERENCE_HERTZ * 10 ** ((near + far) / 2));
  }
  return null;
}

/** One more level of a solved channel, for searches. */
export function solveLevel(problem: HarmonicProblem, inputVolts: number): Result<LevelPoint, string> {
  const answer = solveHarmonics(problem, { sourceVoltsPeak: volts(inputVolts * Math.SQRT2) });
  return answer.ok ? ok(levelPoint(inputVolts, answer.value)) : fail(sentence(answer.failure));
}
