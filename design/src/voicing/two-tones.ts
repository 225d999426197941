/**
 * Intermodulation of a channel at a level: 60 Hz with 7 kHz, 4 to 1, and 19 with 20 kHz, 1 to 1; both tones together peak
 * as high as one sine of that level does (docs/intermodulation.md).
 */
import {
  differenceFigure,
  fail,
  hertz,
  lineAt,
  magnitude,
  modulationFigure,
  ok,
  type Result,
  sentence,
  solveTwoTone,
  type TwoToneAnswer,
  volts,
} from "@platewright/engine";
import { sourceId } from "../solved/circuit.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { channelProblem } from "./channel-problem.ts";

/** A product of two tones: where it stands, and its size over the upper tone. */
export interface ToneLine {
  readonly hertz: number;
  /** Beside the upper tone in Hz ("−60"), or in kHz ("1"). */
  readonly words: string;
  readonly order: number;
  readonly ratio: number;
}

export interface ToneFigure {
  /** rms sum of the products over the upper tone (over twice of it for equal tones). */
  readonly ratio: number;
  /** Second order alone, and third: sums of its lines. */
  readonly second: number;
  readonly third: number;
  readonly lines: readonly ToneLine[];
  readonly settled: boolean;
  readonly tailDecibels: number;
  readonly order: number;
}

export type TonePair = "modulation" | "difference";

interface Pair {
  readonly low: { readonly hertz: number; readonly share: number };
  readonly high: { readonly hertz: number; readonly share: number };
  /** The products said one by one: multiples of the lower and of the upper tone. */
  readonly products: readonly { readonly low: number; readonly high: number; readonly words: string }[];
}

const PAIRS: { readonly [P in TonePair]: Pair } = {
  modulation: {
    low: { hertz: 60, share: 0.8 },
    high: { hertz: 7000, share: 0.2 },
    products: [-3, -2, -1, 1, 2, 3].map((low) => ({
      low,
      high: 1,
      words: `${low < 0 ? "−" : "+"}${Math.abs(low) * 60}`,
    })),
  },
  difference: {
    low: { hertz: 19_000, share: 0.5 },
    high: { hertz: 20_000, share: 0.5 },
    products: [
      { low: -1, high: 1, words: "1" },
      { low: -2, high: 2, words: "2" },
      { low: 3, high: -2, words: "17" },
      { low: 2, high: -1, words: "18" },
      { low: -1, high: 2, words: "21" },
      { low: -2, high: 3, words: "22" },
    ],
  },
};

/** `order`: lines kept, docs/intermodulation.md; where the stage clips 8 leaves a tail, which is said. */
export function twoTones(
  solved: SolvedDesign,
  instance: string,
  inputVolts: number,
  pair: TonePair,
  order = 8,
): Result<ToneFigure, string> {
  const opened = channelProblem(solved, instance);
  if (!opened.ok) return opened;
  const { low, high, products } = PAIRS[pair];
  const peak = opened.value.emf(inputVolts) * Math.SQRT2;
  const answer = solveTwoTone(solved.circuit, solved.bias, {
    source: sourceId(instance),
    output: opened.value.outputNet,
    first: { hertz: hertz(low.hertz), voltsPeak: volts(peak * low.share) },
    second: { hertz: hertz(high.hertz), voltsPeak: volts(peak * high.share) },
    linear: opened.value.problem.linear,
    order,
  });
  if (!answer.ok) return fail(sentence(answer.failure));
  const figure = figureOf(answer.value, pair);
  if (figure === undefined) return fail("The upper tone does not reach the output.");
  const upper = magnitude(lineAt(answer.value, 0, 1));
  return ok({
    ...figure,
    lines: products.map((one) => ({
      hertz: Math.abs(one.low * low.hertz + one.high * high.hertz),
      words: one.words,
      order: Math.abs(one.low) + Math.abs(one.high),
      ratio: magnitude(lineAt(answer.value, one.low, one.high)) / upper,
    })),
    settled: answer.value.outcome === "settled",
    tailDecibels: answer.value.tailDecibels,
    order: answer.value.order,
  });
}

function figureOf(answer: TwoToneAnswer, pair: TonePair): Pick<ToneFigure, "ratio" | "second" | "third"> | undefined {
  if (pair === "modulation") {
    const figure = modulationFigure(answer);
    return figure === undefined
      ? undefined
      : { ratio: figure.ratio, second: figure.byOrder[0]?.ratio ?? 0, third: figure.byOrder[1]?.ratio ?? 0 };
  }
  const figure = differenceFigure(answer);
  return figure === undefined
    ? undefined
    : { ratio: figure.ratio, second: figure.second.ratio, third: figure.odd[0]?.ratio ?? 0 };
}
