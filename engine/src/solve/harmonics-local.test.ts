/** The preconditioner for many harmonics: exact where the network is resistive above its lowest harmonics, and cheap to miss. */
import { expect, test } from "vitest";
import type { Part } from "../circuit/parts.ts";
import { seededRandom } from "../numerics/random.ts";
import { hertz, volts } from "../units/quantities.ts";
import { analyseRow, evaluate, multiply, openCollocation, setDrive } from "./collocation.ts";
import { harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { openLocal } from "./harmonics-local.ts";
import { factor, openStepper, solveStep } from "./harmonics-step.ts";
import { portModel } from "./ports.ts";
import { capacitor, channel, GRID, ISLAND_12AU7, ready, resistor, signal, supply, triode } from "./test-circuits.ts";
import { openTransform } from "./transform.ts";

const K = 32;
const LAW = { space: ISLAND_12AU7, grid: GRID };

function away(parts: readonly Part[], peakVolts: number, seed: number) {
  const { circuit, bias } = ready(parts);
  const ask = { source: "in", hertz: hertz(1000), harmonics: K, observers: ["out"], linear: [], bias };
  const model = portModel(circuit, ask);
  if (!model.ok) throw new Error(JSON.stringify(model.failure));
  const groups = [
    [0, 1],
    [2, 3],
  ];
  const work = openCollocation(model.value, groups.flat(), openTransform(K));
  const random = seededRandom(seed);
  for (let q = 0; q < model.value.currents; q++)
    for (let m = 0; m < work.samples; m++)
      work.current[q * work.samples + m] = (bias.unknowns[q] as number) * (1 + 0.02 * random.uniform());
  setDrive(work, peakVolts);
  evaluate(work, work.current);
  const stepper = openStepper(work, groups);
  stepper.local = openLocal(work);
  return { work, stepper };
}

/** Two tubes coupled by resistors, both reaching back through b; `bypass` holds b still for all but the mean. */
const resistive = (bypass: boolean): readonly Part[] => [
  ...(bypass ? [capacitor("Cb", "b", "0", 1e-3)] : []),
  signal("in", "in"),
  resistor("Rs", "in", "g1", 20e3),
  resistor("Rl", "g1", "0", 1e6),
  triode("V1", ["p1", "g1", "0"], LAW, [0, 0, 0]),
  resistor("R1", "b", "p1", 47e3),
  resistor("Rb", "hv", "b", 4700),
  supply("B", "hv", 250),
  resistor("Rc", "p1", "g2", 1e6),
  resistor("Rg", "g2", "0", 470e3),
  triode("V2", ["p2", "g2", "k2"], LAW, [0, 0, 0]),
  resistor("Rk", "k2", "0", 47e3),
  resistor("R2", "b", "p2", 47e3),
  resistor("load", "p2", "out", 10e3),
  resistor("load2", "out", "0", 100e3),
];

test.each([
  [false, 1e-9, 1],
  [false, 1e-9, 2],
  // What 50 milliohms at the third harmonic leave of 4.7 kilohms.
  [true, 1e-4, 3],
])(
  "resistances, grids that conduct, both ways (bypass %s): to %f in one direction (seed %i)",
  (bypass, share, seed) => {
    const { work, stepper } = away(resistive(bypass), 1.5, seed);
    expect(factor(work, stepper)).toBe(true);
    expect(solveStep(work, stepper, share).directions).toBe(1);
    // The step does what J says, by the product with J itself; what it moves is what the network says.
    const { live, liveCount, samples: N, law, current } = work;
    for (let r = 0; r < liveCount; r++) analyseRow(work, stepper.step, live[r] as number);
    const product = new Float64Array(stepper.step.length);
    multiply(work, stepper.step, product);
    for (let m = 0; m < stepper.stepMoved.length; m++)
      expect(Math.abs((stepper.stepMoved[m] as number) - (work.moved[m] as number))).toBeLessThan(1e-9);
    let over = 0;
    let whole = 0;
    for (let r = 0; r < liveCount; r++)
      for (let q = live[r] as number, t = 0; t < N; t++) {
        const wanted = (law[3 * q * N + t] as number) - (current[q * N + t] as number);
        over += ((product[q * N + t] as number) - wanted) ** 2;
        whole += wanted ** 2;
      }
    expect(Math.sqrt(over / whole)).toBeLessThan(1.1 * share);
  },
);

test.each([4, 5])("a channel with its capacitances, grids conducting: a dozen directions to 1e-6 (seed %i)", (seed) => {
  const { work, stepper } = away(channel({ gridA: GRID, gridB: GRID }), 4, seed);
  expect(factor(work, stepper)).toBe(true);
  const solved = solveStep(work, stepper, 1e-6);
  expect(solved.reached).toBeLessThanOrEqual(1e-6);
  expect(solved.directions).toBeLessThanOrEqual(12);
});

test("a network whose reactance counts at every harmonic: the same answer as by whole blocks", () => {
  const parts = [...channel({ gridA: GRID, gridB: GRID }), capacitor("heavy", "out", "0", 1e-6)];
  const { circuit, bias } = ready(parts);
  const problem = () => harmonicProblem(circuit, bias, { source: "in", hertz: hertz(1000), output: "out" });
  const ask = { sourceVoltsPeak: volts(4), harmonics: K };
  const local = solveHarmonics(problem(), ask);
  const blocks = problem();
  solveHarmonics(blocks, { ...ask, sourceVoltsPeak: volts(0) });
  for (const { stepper } of blocks.byHarmonics.values()) {
    expect(stepper.local).toBeDefined();
    stepper.local = undefined;
    stepper.factored = false;
  }
  const whole = solveHarmonics(blocks, ask);
  if (!local.ok || !whole.ok) throw new Error("not settled");
  expect(whole.value.effort.factorings).toBeGreaterThan(0);
  for (let k = 0; k <= K; k++)
    expect(Math.abs((local.value.output.real[k] as number) - (whole.value.output.real[k] as number))).toBeLessThan(
      1e-6,
    );
});
