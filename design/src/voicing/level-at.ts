/** One level of a channel in full, and the cycle at its output taken apart. */
import { fail, ok, type Result, sentence, type Spectrum, solveLevels } from "@platewright/engine";
import { levelPoint } from "../solved/channel.ts";
import type { LevelPoint, SolvedDesign } from "../solved/types.ts";
import { channelProblem } from "./channel-problem.ts";

/** Harmonics and output at a level at the input jack, V rms, by the engine's own rule of the tail. */
export function levelAt(solved: SolvedDesign, instance: string, inputVolts: number): Result<LevelPoint, string> {
  const opened = channelProblem(solved, instance);
  if (!opened.ok) return opened;
  const answers = solveLevels(opened.value.problem, [opened.value.emf(inputVolts)]);
  if (!answers.ok) return fail(sentence(answers.failure));
  const [answer] = answers.value;
  return answer === undefined ? fail("The level was not solved.") : ok(levelPoint(inputVolts, answer));
}

export interface Cycle {
  /** V at the output, without its mean; `count` + 1 instants over one period, the first repeated last. */
  readonly signal: readonly number[];
  /** What is left of it when the fundamental is taken away. */
  readonly residue: readonly number[];
}

/** One period of 1 kHz, phases as solved; it begins where the fundamental rises through zero. */
export function cycleOf({ real, imaginary }: Spectrum, count = 96): Cycle {
  // The fundamental is A cos(p + angle); started a quarter period before its crest it rises through zero.
  const start = -Math.atan2(imaginary[1] ?? 0, real[1] ?? 0) - Math.PI / 2;
  const signal: number[] = [];
  const residue: number[] = [];
  for (let n = 0; n <= count; n++) {
    const phase = start + (2 * Math.PI * n) / count;
    const of = (k: number) => (real[k] ?? 0) * Math.cos(k * phase) - (imaginary[k] ?? 0) * Math.sin(k * phase);
    let rest = 0;
    for (let k = 2; k < real.length; k++) rest += of(k);
    signal.push(of(1) + rest);
    residue.push(rest);
  }
  return { signal, residue };
}
