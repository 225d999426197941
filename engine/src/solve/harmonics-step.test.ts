/** The preconditioner: exact where a device stands alone or signals only run forwards, so one direction solves the step. */
import { describe, expect, test } from "vitest";
import type { Part } from "../circuit/parts.ts";
import { seededRandom } from "../numerics/random.ts";
import { hertz } from "../units/quantities.ts";
import { analyseRow, evaluate, multiply, openCollocation, setDrive } from "./collocation.ts";
import { factor, openStepper, solveStep } from "./harmonics-step.ts";
import { portModel } from "./ports.ts";
import {
  channel,
  GRID,
  NO_GRID,
  ISLAND_12AU7,
  oneStage,
  ready,
  triode,
  resistor,
  capacitor,
  supply,
  signal,
} from "./test-circuits.ts";
import { openTransform } from "./transform.ts";

const K = 10;

/** A circuit away from its answer: bias currents, a drive, a seeded stir of every sample. */
function away(parts: readonly Part[], groups: readonly (readonly number[])[], peakVolts: number, seed: number) {
  const { circuit, bias } = ready(parts);
  const model = portModel(circuit, {
    source: "in",
    hertz: hertz(1000),
    harmonics: K,
    observers: ["out"],
    linear: [],
    bias,
  });
  if (!model.ok) throw new Error(JSON.stringify(model.failure));
  const work = openCollocation(model.value, groups.flat(), openTransform(K));
  const random = seededRandom(seed);
  for (let q = 0; q < model.value.currents; q++)
    for (let m = 0; m < work.samples; m++)
      work.current[q * work.samples + m] = (bias.unknowns[q] as number) * (1 + 0.02 * random.uniform());
  setDrive(work, peakVolts);
  evaluate(work, work.current);
  return { work, stepper: openStepper(work, groups) };
}

/** What is left of J step = law - current, as a share of it, by the product with J itself. */
function left({ work, stepper }: ReturnType<typeof away>): number {
  const { live, liveCount, samples: N, law, current } = work;
  const product = new Float64Array(stepper.step.length);
  for (let r = 0; r < liveCount; r++) analyseRow(work, stepper.step, live[r] as number);
  multiply(work, stepper.step, product);
  let over = 0;
  let whole = 0;
  for (let r = 0; r < liveCount; r++)
    for (let m = (live[r] as number) * N; m < ((live[r] as number) + 1) * N; m++) {
      const wanted = (law[m + 2 * N * (live[r] as number)] as number) - (current[m] as number);
      over += ((product[m] as number) - wanted) ** 2;
      whole += wanted ** 2;
    }
  return Math.sqrt(over / whole);
}

const forwardPair = (): Part[] => [
  signal("in", "g1"),
  triode("V1", ["p1", "g1", "0"], { space: ISLAND_12AU7, grid: NO_GRID }, [0, 0, 0]),
  resistor("Rk0", "g1", "0", 1e6),
  resistor("R1", "b", "p1", 47e3),
  supply("B", "b", 250),
  capacitor("C1", "p1", "g2", 22e-9),
  resistor("Rg", "g2", "0", 470e3),
  // The second tube cannot reach back: no grid current, no capacitance, an ideal supply.
  triode("V2", ["p2", "g2", "k2"], { space: ISLAND_12AU7, grid: NO_GRID }, [0, 0, 0]),
  resistor("Rk", "k2", "0", 1200),
  resistor("R2", "b", "p2", 47e3),
  capacitor("C2", "p2", "out", 1e-6),
  resistor("load", "out", "0", 100e3),
];

describe("solveStep with fresh factors", () => {
  test.each([1, 2, 3])("one tube with its grid conducting: at most three directions (seed %i)", (seed) => {
    const solver = away(oneStage({ space: ISLAND_12AU7, grid: GRID }), [[0, 1]], 9, seed);
    expect(factor(solver.work, solver.stepper)).toBe(true);
    // Grid samples that hardly conduct are left to substitution: they may cost one more.
    expect(solveStep(solver.work, solver.stepper, 1e-9).directions).toBeLessThanOrEqual(3);
    expect(left(solver)).toBeLessThan(1.1e-9);
  });

  test.each([4, 5])("two tubes, signal only forwards: one direction, and more in the wrong order (seed %i)", (seed) => {
    const solver = away(
      forwardPair(),
      [
        [0, 1],
        [2, 3],
      ],
      0.5,
      seed,
    );
    expect(factor(solver.work, solver.stepper)).toBe(true);
    expect(solveStep(solver.work, solver.stepper, 1e-9).directions).toBe(1);
    const wrong = away(
      forwardPair(),
      [
        [2, 3],
        [0, 1],
      ],
      0.5,
      seed,
    );
    expect(factor(wrong.work, wrong.stepper)).toBe(true);
    expect(solveStep(wrong.work, wrong.stepper, 1e-9).directions).toBeGreaterThan(1);
  });

  test.each([6, 7])("a channel with its follower and supply, grids conducting: few directions (seed %i)", (seed) => {
    const solver = away(
      channel({ gridA: GRID, gridB: GRID }),
      [
        [0, 1],
        [2, 3],
      ],
      4,
      seed,
    );
    expect(factor(solver.work, solver.stepper)).toBe(true);
    const { directions, reached } = solveStep(solver.work, solver.stepper, 1e-9);
    expect(reached).toBeLessThanOrEqual(1e-9);
    expect(left(solver)).toBeLessThan(1.1e-9);
    expect(directions).toBeLessThanOrEqual(4);
  });
});
