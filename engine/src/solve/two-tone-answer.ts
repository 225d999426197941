/** What a solve with two tones is asked and answers (docs/intermodulation.md). */
import type { Net } from "../circuit/parts.ts";
import type { Amps, Hertz, Volts } from "../units/quantities.ts";
import type { Complex, Effort } from "./answers.ts";

export interface Tone {
  readonly hertz: Hertz;
  readonly voltsPeak: Volts;
}

export interface TwoToneLimits {
  /** Largest line of the last two orders over the larger tone at the output, dB. */
  readonly tailDecibels: number;
  /** Of the largest current swing. */
  readonly residualFraction: number;
  /** Newton steps per drive level. */
  readonly steps: number;
  /** Drive levels that continuation may try. */
  readonly ramps: number;
}

export interface TwoToneAsk {
  /** Id of the ac source whose e.m.f. is the sum of both tones, each a cosine. */
  readonly source: string;
  readonly output: Net;
  readonly first: Tone;
  readonly second: Tone;
  /** Lines k1 f1 + k2 f2 with |k1| + |k2| up to this are kept; left out: 8. */
  readonly order?: number;
  /** The order is raised up to this, in steps of half its size, until the tail rule holds; left out: it is not raised. */
  readonly mostOrder?: number;
  /** Ids of tubes replaced by their slopes at bias. */
  readonly linear?: readonly string[];
  /** An earlier answer for the same devices, of any order. */
  readonly start?: TwoToneAnswer;
  readonly limits?: Partial<TwoToneLimits>;
}

/** One line of the output. The pair is signed so that the frequency is not negative. */
export interface MixLine {
  readonly k1: number;
  readonly k2: number;
  readonly hertz: Hertz;
  /** Complex peak amplitude, relative to the source's cosines. */
  readonly volts: Complex;
}

/** One triode over all phases of both tones: extremes among the samples; volts relative to its cathode. */
export interface TwoToneTriode {
  readonly meanGridAmps: Amps;
  readonly maximumGridAmps: Amps;
  readonly minimumPlateAmps: Amps;
  readonly maximumPlateAmps: Amps;
  readonly peakGridVolts: Volts;
}

export interface TwoToneAnswer {
  /** "tail-not-reached": settled at this order, but the lines of the last two orders are above the rule. */
  readonly outcome: "settled" | "tail-not-reached";
  readonly order: number;
  readonly tailDecibels: number;
  readonly first: Tone;
  readonly second: Tone;
  readonly dcVolts: Volts;
  /** By rising frequency. */
  readonly lines: readonly MixLine[];
  readonly triodes: ReadonlyMap<string, TwoToneTriode>;
  readonly effort: Effort;
  /** Current samples of the devices, to start the next solve from. */
  readonly samples: readonly Float64Array[];
}

/** Amplitude of the line k1 f1 + k2 f2 as that pair is signed; zero where the order does not reach. */
export function lineAt(answer: TwoToneAnswer, k1: number, k2: number): Complex {
  for (const line of answer.lines) {
    if (line.k1 === k1 && line.k2 === k2) return line.volts;
    if (line.k1 === -k1 && line.k2 === -k2) return { re: line.volts.re, im: -line.volts.im };
  }
  return k1 === 0 && k2 === 0 ? { re: answer.dcVolts, im: 0 } : { re: 0, im: 0 };
}
