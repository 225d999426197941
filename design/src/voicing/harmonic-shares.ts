/**
 * Which section makes the second harmonic, and whether one takes away what another makes.
 *
 * Method  The channel solved once for each section with that section alone curved and every other as its slopes at bias.
 *         What is left over is made by curvature upon curvature: small while the level is small (it falls with the square of
 *         the level against H2 itself), and said.
 * Answer  Ratios to the fundamental at the output, along the phase of the whole and signed as it is: a share of the other
 *         sign cancels part of it.
 */
import { type Complex, fail, ok, type Result, sentence, type Spectrum, solveLevels } from "@platewright/engine";
import { type Stage, stagesOf } from "../solved/roles.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { channelProblem } from "./channel-problem.ts";

export interface HarmonicShare {
  readonly triode: string;
  readonly role: Stage["role"];
  readonly h2: number;
  readonly h3: number;
}

export interface HarmonicShares {
  readonly inputVolts: number;
  readonly whole: { readonly h2: number; readonly h3: number };
  /** In the order of the channel's triodes. */
  readonly sections: readonly HarmonicShare[];
  /** The whole less the sum of the sections. */
  readonly together: { readonly h2: number; readonly h3: number };
}

export function harmonicShares(
  solved: SolvedDesign,
  instance: string,
  inputVolts: number,
): Result<HarmonicShares, string> {
  const solvedWith = (curved: (triode: string) => boolean): Result<Pair, string> => {
    const opened = channelProblem(solved, instance, { curved });
    if (!opened.ok) return opened;
    const answers = solveLevels(opened.value.problem, [opened.value.emf(inputVolts)]);
    if (!answers.ok) return fail(sentence(answers.failure));
    const [answer] = answers.value;
    return answer === undefined
      ? fail("The level was not solved.")
      : ok({ h2: phasor(answer.output, 2), h3: phasor(answer.output, 3) });
  };
  const whole = solvedWith(() => true);
  if (!whole.ok) return whole;
  const part = ({ h2, h3 }: Pair) => ({ h2: along(h2, whole.value.h2), h3: along(h3, whole.value.h3) });
  const all = part(whole.value);
  const sections: HarmonicShare[] = [];
  for (const { triode, role } of stagesOf(solved)) {
    if (triode.instance !== instance) continue;
    const alone = solvedWith((id) => id === triode.id);
    if (!alone.ok) return alone;
    sections.push({ triode: triode.id, role, ...part(alone.value) });
  }
  const sum = (of: "h2" | "h3") => sections.reduce((total, one) => total + one[of], 0);
  return ok({
    inputVolts,
    whole: all,
    sections,
    together: { h2: all.h2 - sum("h2"), h3: all.h3 - sum("h3") },
  });
}

interface Pair {
  readonly h2: Complex;
  readonly h3: Complex;
}

/** Harmonic k over the fundamental, its phase counted as a static curve has it: less k times the fundamental's. */
function phasor({ real, imaginary }: Spectrum, k: number): Complex {
  const [re, im] = [real[1] ?? 0, imaginary[1] ?? 0];
  const ratio = Math.hypot(real[k] ?? 0, imaginary[k] ?? 0) / Math.hypot(re, im);
  const phase = Math.atan2(imaginary[k] ?? 0, real[k] ?? 0) - k * Math.atan2(im, re);
  return { re: ratio * Math.cos(phase), im: ratio * Math.sin(phase) };
}

/** What of it lies along the whole, signed as the whole is: shares then sum as phasors do. */
function along(share: Complex, whole: Complex): number {
  const size = Math.hypot(whole.re, whole.im);
  if (size === 0) return 0;
  return (Math.sign(whole.re || 1) * (share.re * whole.re + share.im * whole.im)) / size;
}
