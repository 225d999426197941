/**
 * Intermodulation figures of a solve with two tones: modulation (a low tone and a high one) and difference frequency (two
 * high ones). Ratios of peak amplitudes at the output.
 *
 * Law     Modulation: lines f2 + n f1 and f2 - n f1 over the upper tone. Difference frequency: lines over twice the
 *         upper tone.
 * Limits  Lines are taken by their pair (k1, k2), so where frequencies coincide nothing is added. A silent upper tone has
 *         no figure: undefined.
 * Sources Modulation: SMPTE RP 120, 60 Hz and 7 kHz at 4 : 1; sums by order: IEC 60268-3; difference frequency: CCIF, later
 *         ITU-R, and IEC 60268-3. Names and formulas from memory; check against the standard before claiming conformity.
 */
import { lineAt, type TwoToneAnswer } from "./two-tone-answer.ts";
import { toneSize } from "./two-tone-mixes.ts";

export interface DistortionFigure {
  readonly ratio: number;
  readonly percent: number;
  readonly decibels: number;
}

export interface ModulationFigure extends DistortionFigure {
  /** (|f2 - n f1| + |f2 + n f1|) over the upper tone by n = 1, 2, ...: distortion of order n + 1, arithmetic sums. */
  readonly byOrder: readonly DistortionFigure[];
}

export interface DifferenceFigure extends DistortionFigure {
  /** f2 - f1 over twice the upper tone. */
  readonly second: DistortionFigure;
  /** Orders 3, 5, ...: the two lines beside the tones, arithmetic sum over twice the upper tone. */
  readonly odd: readonly DistortionFigure[];
}

/** The tone of higher frequency is the carrier. The figure is the rms sum of its sidebands over its own size. */
export function modulationFigure(answer: TwoToneAnswer): ModulationFigure | undefined {
  const size = sizesOf(answer);
  const carrier = upperTone(answer);
  if (carrier === 0) return undefined;
  let squares = 0;
  const byOrder: DistortionFigure[] = [];
  for (let n = 1; n < answer.order; n++) {
    const below = size(-n, 1) / carrier;
    const above = size(n, 1) / carrier;
    squares += below * below + above * above;
    byOrder.push(figure(below + above));
  }
  return { ...figure(Math.sqrt(squares)), byOrder };
}

/** The figure is the rms sum of the difference line and of all pairs of odd order beside the tones. */
export function differenceFigure(answer: TwoToneAnswer): DifferenceFigure | undefined {
  const size = sizesOf(answer);
  const reference = 2 * upperTone(answer);
  if (reference === 0) return undefined;
  const second = size(-1, 1) / reference;
  let squares = second * second;
  const odd: DistortionFigure[] = [];
  for (let n = 1; 2 * n + 1 <= answer.order; n++) {
    const below = size(n + 1, -n) / reference;
    const above = size(-n, n + 1) / reference;
    squares += below * below + above * above;
    odd.push(figure(below + above));
  }
  return { ...figure(Math.sqrt(squares)), second: figure(second), odd };
}

function upperTone(answer: TwoToneAnswer): number {
  const { first, second } = answer;
  return first.hertz > second.hertz ? toneSize(first, lineAt(answer, 1, 0)) : toneSize(second, lineAt(answer, 0, 1));
}

/** Size of the line (low, high) where low counts the lower tone. */
function sizesOf(answer: TwoToneAnswer): (low: number, high: number) => number {
  const swapped = answer.first.hertz > answer.second.hertz;
  return (low, high) => {
    const { re, im } = swapped ? lineAt(answer, high, low) : lineAt(answer, low, high);
    return Math.hypot(re, im);
  };
}

const figure = (ratio: number): DistortionFigure => ({
  ratio,
  percent: 100 * ratio,
  decibels: 20 * Math.log10(ratio),
});
