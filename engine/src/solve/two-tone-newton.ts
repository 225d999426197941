/**
 * Newton on the collocated circuit under both tones, from `work.current`.
 *
 * Law     R(i) = i - f(v0 - z * i) = 0 (collocation.ts) with v0 of both tones and z at the mix frequencies.
 * Method  Steps by preconditioned directions on the exact Jacobian (harmonics-step.ts), solved to as small a share of the
 *         residual as it pays for; factors kept until they tire; a step that does not lower the sum of squares is halved.
 * Limits  Settled: max |R| <= max(residualFraction x largest swing, 1e-13 x largest current).
 */
import { type Collocation, evaluate, evaluateLaws } from "./collocation.ts";
import { move, type Spent, tolerance } from "./harmonics-newton.ts";
import { factor, solveStep, type Stepper } from "./harmonics-step.ts";
import { toSamples } from "./transform.ts";

/** Directions after which the factors are made anew for the next step. */
const TIRED = 8;

/** Control volts with no device current, the two tones at artificial harmonics `s1` and `s2` as cosines. */
export function setTones(
  work: Collocation,
  [s1, v1]: readonly [number, number],
  [s2, v2]: readonly [number, number],
): void {
  const { model, samples: N, open, controlRe, controlIm, transform } = work;
  const C = model.controls;
  const S = model.harmonics + 1;
  controlRe.fill(0);
  controlIm.fill(0);
  for (let c = 0; c < C; c++) {
    controlRe[c * S] = model.dcControl[c] as number;
    controlRe[c * S + s1] = v1 * (model.sourceReal[s1 * C + c] as number);
    controlIm[c * S + s1] = v1 * (model.sourceImaginary[s1 * C + c] as number);
    controlRe[c * S + s2] = v2 * (model.sourceReal[s2 * C + c] as number);
    controlIm[c * S + s2] = v2 * (model.sourceImaginary[s2 * C + c] as number);
    toSamples(transform, controlRe, controlIm, c * S, open, c * N);
  }
}

/** True when settled; `work.current` then holds the solution and the collocation its last evaluation. */
export function newtonOfTones(
  work: Collocation,
  stepper: Stepper,
  limits: { readonly residualFraction: number; readonly steps: number },
  spent: Spent,
): boolean {
  let residual = evaluate(work, work.current);
  let squares = work.squares;
  let share = 0.03;
  for (let step = 0; step <= limits.steps; step++) {
    spent.residual = residual;
    if (!(residual < 1e3)) return false;
    const wanted = tolerance(work, limits.residualFraction);
    if (residual <= wanted) return true;
    if (step === limits.steps) return false;
    const goal = Math.max(share, (0.3 * wanted) / residual);
    const solved = solve(work, stepper, goal, spent);
    if (!solved) return false;
    spent.steps++;
    const before = squares;
    work.base.set(work.control);
    for (let fraction = 1; ; fraction /= 2) {
      if (fraction < 1e-3) return false;
      move(work, stepper, fraction);
      residual = evaluateLaws(work, work.trial);
      squares = work.squares;
      if (residual <= wanted || squares < before * (1 - 0.2 * fraction)) break;
    }
    const current = work.current;
    work.current = work.trial;
    work.trial = current;
    share = Math.min(0.03, Math.max(1e-6, 0.5 * (squares / before)));
  }
  return false;
}

/** The step, with fresh factors where the kept ones do not reach the goal. */
function solve(work: Collocation, stepper: Stepper, goal: number, spent: Spent): boolean {
  const kept = stepper.factored;
  if (kept) {
    const { directions, reached } = solveStep(work, stepper, goal);
    if (directions > TIRED) stepper.factored = false;
    if (reached <= goal) return true;
  }
  spent.factorings++;
  return factor(work, stepper) && solveStep(work, stepper, goal).reached < 0.9;
}
