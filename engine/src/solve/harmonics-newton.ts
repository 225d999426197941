/**
 * Newton on the collocated circuit at one drive, from `work.current`.
 *
 * Method  Each step is solved to a share of the residual (forcing term): small where Newton is in its quadratic range,
 *         0.03 at first. Factors are made anew when a step took too many directions; the local preconditioner, which costs
 *         no more than one, at every step, and whole blocks take over where it does not reach. A step that does not lower the sum
 *         of squares is halved.
 * Limits  Settled: max |R| <= max(residualFraction x swing, 1e-13 x largest current).
 */
import { type Collocation, evaluate, evaluateLaws, setDrive } from "./collocation.ts";
import { factor, solveStep, type Stepper } from "./harmonics-step.ts";

export interface NewtonLimits {
  /** Of the largest current swing. */
  readonly residualFraction: number;
  /** Newton steps per drive level. */
  readonly steps: number;
}

export const NEWTON_LIMITS: NewtonLimits = { residualFraction: 1e-9, steps: 40 };

export interface Spent {
  steps: number;
  /** Of whole blocks; the local preconditioner (harmonics-local.ts) costs about as much as a direction. */
  factorings: number;
  lawCalls: number;
  residual: number;
}

/** Directions after which the factors are made anew for the next step. */
const TIRED = 5;
const ROUNDING = 1e-13;
/** The local preconditioner's directions come one by one near the goal: a tighter one saves steps. */
const LOCAL_SHARE = 5e-3;
const UNSOLVED = { directions: 0, reached: Infinity } as const;

/** True when settled; `work.current` then holds the solution and the collocation its last evaluation. */
export function newton(
  work: Collocation,
  stepper: Stepper,
  limits: NewtonLimits,
  peakVolts: number,
  spent: Spent,
): boolean {
  setDrive(work, peakVolts);
  let residual = evaluate(work, work.current);
  let squares = work.squares;
  let share = 0.03;
  for (let step = 0; step <= limits.steps; step++) {
    spent.residual = residual;
    if (!(residual < 1e3)) return false;
    const wanted = tolerance(work, limits.residualFraction);
    if (residual <= wanted) return true;
    if (step === limits.steps) return false;
    let fresh = false;
    if (stepper.local !== undefined) {
      // Costs about one direction.
      fresh = factor(work, stepper);
    } else if (!stepper.factored) {
      spent.factorings++;
      if (!factor(work, stepper)) return false;
      fresh = true;
    }
    const goal = Math.max(
      stepper.local === undefined ? share : Math.min(share, LOCAL_SHARE),
      (0.3 * wanted) / residual,
    );
    let solved = fresh || stepper.local === undefined ? solveStep(work, stepper, goal) : UNSOLVED;
    if (!(solved.reached <= goal) && stepper.local !== undefined) {
      // A network that is no resistance anywhere, or none at a sample: whole blocks from here on.
      stepper.local = undefined;
      fresh = false;
    }
    if (!(solved.reached <= goal) && !fresh) {
      spent.factorings++;
      if (!factor(work, stepper)) return false;
      fresh = true;
      solved = solveStep(work, stepper, goal);
    }
    if (!(solved.reached < 0.9)) return false;
    if (!fresh && solved.directions > TIRED) stepper.factored = false;
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

/** Currents and control volts a share of the step ahead; the network is linear, so the volts need no transform. */
export function move(work: Collocation, { step, stepMoved }: Stepper, fraction: number): void {
  const { current, trial, base, control } = work;
  for (let m = 0; m < current.length; m++) trial[m] = (current[m] as number) + fraction * (step[m] as number);
  for (let m = 0; m < control.length; m++) control[m] = (base[m] as number) - fraction * (stepMoved[m] as number);
}

/** The largest residual that counts as settled: a share of the largest swing, and no less than rounding. */
export function tolerance(work: Collocation, residualFraction: number): number {
  const { current, samples: N, model } = work;
  let swing = 0;
  let size = 0;
  for (let q = 0; q < model.currents; q++) {
    let low = Infinity;
    let high = -Infinity;
    for (let m = q * N; m < (q + 1) * N; m++) {
      const x = current[m] as number;
      if (x < low) low = x;
      if (x > high) high = x;
    }
    if (high - low > swing) swing = high - low;
    if (high > size) size = high;
    if (-low > size) size = -low;
  }
  return Math.max(residualFraction * swing, ROUNDING * size, 1e-18);
}
