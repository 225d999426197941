/**
 * Effort under test. A wrong Jacobian, factor, order of tubes or first guess still ends at the right answer, only later:
 * such a fault shows here and nowhere else. The bounds are what the methods reach (Newton's last steps are quadratic, so
 * one slope less than exact costs steps at once); lower them when a method betters, never raise them to pass.
 */
import { describe, expect, test } from "vitest";
import type { Part } from "../circuit/parts.ts";
import type { RectifierLaw } from "../tubes/law.ts";
import { hertz, volts } from "../units/quantities.ts";
import type { Effort } from "./answers.ts";
import { solveBias } from "./bias.ts";
import { type HarmonicProblem, harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { gridCurrentOnset, inputForOutput, solveLevels } from "./levels.ts";
import { solveRectifier } from "./rectifier.ts";
import { solveResponse } from "./response.ts";
import { solveTransient } from "./transient.ts";
import {
  channel,
  GRID,
  ISLAND_12AU7,
  KOREN_12AX7,
  NO_GRID,
  oneStage,
  ready,
  resistor,
  supply,
  twoStages,
} from "./test-circuits.ts";

const CIRCUITS = {
  channel: channel(),
  "channel, grids conducting": channel({ gridA: GRID, gridB: GRID }),
  "two stages": twoStages(),
  "two stages, grids conducting": twoStages({ space: KOREN_12AX7, grid: GRID }),
  "one stage": oneStage({ space: ISLAND_12AU7, grid: GRID }),
  "one stage, no grid current": oneStage({ space: ISLAND_12AU7, grid: NO_GRID }, { bypass: false }),
} as const satisfies Record<string, readonly Part[]>;
type Name = keyof typeof CIRCUITS;

/** A tube, then a junction that its own circuit holds open. */
const WITH_JUNCTION: readonly Part[] = [
  ...oneStage({ space: ISLAND_12AU7, grid: NO_GRID }),
  supply("S", "s", 12, 100),
  { kind: "diode", id: "D1", anode: "s", cathode: "d", law: { form: "exponential", Is: 1e-9, nVt: 0.05 } },
  resistor("Rd", "d", "0", 1000),
];

describe("bias", () => {
  test("a junction after a tube: open at once, no climb along its exponential", () => {
    const { bias } = ready(WITH_JUNCTION);
    // i (1100 Ω) + nVt ln(1 + i/Is) = 12 V, solved by hand to 1e-9 A.
    let i = 0.01;
    for (let n = 0; n < 60; n++) i = (12 - 0.05 * Math.log1p(i / 1e-9)) / 1100;
    expect(bias.netVolts.get("d")).toBeCloseTo(1000 * i, 6);
    expect(bias.effort.steps).toBeLessThanOrEqual(12);
  });

  const rows: readonly (readonly [Name, number])[] = [
    ["channel", 7],
    ["channel, grids conducting", 8],
    ["two stages", 6],
    ["two stages, grids conducting", 8],
    ["one stage", 6],
    ["one stage, no grid current", 6],
  ];
  test.each(rows)("%s: from rest in %i steps, and none from its own answer", (name, steps) => {
    const { circuit, bias } = ready(CIRCUITS[name]);
    expect(bias.effort.steps).toBeLessThanOrEqual(steps);
    expect(bias.effort.factorings).toBeLessThanOrEqual(steps);
    const again = solveBias(circuit, { start: bias.unknowns });
    expect(again.ok && again.value.effort.steps).toBe(0);
    expect(again.ok && again.value.effort.lawCalls).toBe(circuit.devices.length);
  });
});

/** circuit, drive in V peak, K (0: the tail rule), most steps, factorings, law calls. */
type Row = readonly [Name, number, number, number, number, number];
const HARMONICS: readonly Row[] = [
  ["channel", 0.3, 12, 3, 1, 200],
  ["channel", 1, 12, 4, 1, 250],
  ["channel", 2, 12, 4, 2, 250],
  ["channel", 4, 12, 6, 2, 350],
  ["channel", 8, 12, 6, 2, 350],
  ["channel", 16, 12, 7, 2, 400],
  ["channel", 2, 0, 6, 3, 320],
  ["channel", 4, 0, 10, 3, 922],
  ["channel", 8, 0, 15, 2, 3462],
  ["channel, grids conducting", 4, 12, 6, 2, 350],
  ["channel, grids conducting", 8, 12, 6, 3, 350],
  ["channel, grids conducting", 8, 0, 15, 3, 3942],
  ["channel, grids conducting", 16, 0, 16, 3, 3686],
  ["two stages", 0.005, 12, 4, 1, 300],
  ["two stages", 0.02, 12, 9, 2, 1000],
  ["two stages", 0.05, 12, 17, 2, 3050],
  ["two stages", 0.1, 12, 36, 5, 7900],
  ["two stages", 0.05, 0, 20, 2, 2594],
  ["two stages, grids conducting", 0.02, 12, 9, 2, 1000],
  ["two stages, grids conducting", 0.05, 12, 18, 4, 3350],
  ["two stages, grids conducting", 0.1, 0, 26, 6, 6254],
  ["one stage", 4, 12, 5, 1, 150],
  ["one stage", 8, 12, 12, 3, 575],
  ["one stage", 16, 12, 22, 5, 2750],
  ["one stage", 4, 0, 11, 2, 847],
];

const within = (effort: Effort, [, , , steps, factorings, lawCalls]: Row) => {
  expect(effort.steps).toBeLessThanOrEqual(steps);
  expect(effort.factorings).toBeLessThanOrEqual(factorings);
  expect(effort.lawCalls).toBeLessThanOrEqual(lawCalls);
};

describe("harmonics", () => {
  test.each(HARMONICS)("%s at %f V peak, K = %i: %i steps, %i factorings, %i law calls", (...row) => {
    const [name, peak, K] = row;
    const parts = CIRCUITS[name];
    // The signal's way through the tubes is found from the circuit, whatever the order of its parts.
    for (const order of [parts, [...parts].reverse()]) {
      const { circuit, bias } = ready(order);
      const problem = harmonicProblem(circuit, bias, { source: "in", hertz: hertz(1000), output: "out" });
      const ask = { sourceVoltsPeak: volts(peak), ...(K === 0 ? {} : { harmonics: K }) };
      const answer = solveHarmonics(problem, ask);
      if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
      within(answer.value.effort, row);
      const { samples, harmonics } = answer.value;
      const again = solveHarmonics(problem, { ...ask, harmonics, start: samples });
      expect(again.ok && again.value.effort.steps).toBe(0);
      expect(again.ok && again.value.effort.lawCalls).toBe(circuit.devices.length * (2 * harmonics + 1));
    }
  });

  test("an odd K starts from its own answer as an even one does", () => {
    const { circuit, bias } = ready(CIRCUITS.channel);
    const problem = harmonicProblem(circuit, bias, { source: "in", hertz: hertz(1000), output: "out" });
    const once = solveHarmonics(problem, { sourceVoltsPeak: volts(2), harmonics: 11 });
    if (!once.ok) throw new Error(JSON.stringify(once.failure));
    const again = solveHarmonics(problem, { sourceVoltsPeak: volts(2), harmonics: 11, start: once.value.samples });
    expect(again.ok && again.value.effort.steps).toBe(0);
  });

  test("from the answer at another K, only what K adds is left to do", () => {
    const { circuit, bias } = ready(CIRCUITS["channel, grids conducting"]);
    const problem = harmonicProblem(circuit, bias, { source: "in", hertz: hertz(1000), output: "out" });
    const low = solveHarmonics(problem, { sourceVoltsPeak: volts(2), harmonics: 16 });
    if (!low.ok) throw new Error(JSON.stringify(low.failure));
    for (const K of [12, 24, 32]) {
      const high = solveHarmonics(problem, { sourceVoltsPeak: volts(2), harmonics: K, start: low.value.samples });
      expect(high.ok && high.value.effort.steps).toBeLessThanOrEqual(2);
    }
  });
});

describe("levels", () => {
  const calls = (problem: HarmonicProblem) =>
    [...problem.byHarmonics.values()].reduce((sum, { work }) => sum + work.lawCalls, 0);
  const open = (name: Name, limits = {}) => {
    const { circuit, bias } = ready(CIRCUITS[name]);
    return harmonicProblem(circuit, bias, { source: "in", hertz: hertz(1000), output: "out", limits });
  };
  const CLIMBS = [
    ["channel, grids conducting", [0.3, 0.6, 1, 1.5, 2, 2.5, 3, 4], 26, 2244],
    ["two stages, grids conducting", [0.001, 0.002, 0.004, 0.006, 0.008, 0.01], 15, 1386],
  ] as const;
  test.each(CLIMBS)("%s: each level starts from the two before it (K = 16)", (name, levels, steps, lawCalls) => {
    const problem = open(name, { firstHarmonics: 16, mostHarmonics: 16 });
    const answers = solveLevels(
      problem,
      levels.map((level) => volts(level)),
    );
    if (!answers.ok) throw new Error(JSON.stringify(answers.failure));
    expect(answers.value.reduce((sum, one) => sum + one.effort.steps, 0)).toBeLessThanOrEqual(steps);
    expect(answers.value.reduce((sum, one) => sum + one.effort.lawCalls, 0)).toBeLessThanOrEqual(lawCalls);
  });

  const OUTPUTS = [
    ["channel, grids conducting", 0.5, 238],
    ["channel, grids conducting", 3, 306],
    ["channel, grids conducting", 20, 1336],
    ["two stages, grids conducting", 3, 306],
    ["two stages, grids conducting", 10, 612],
    ["two stages, grids conducting", 20, 1250],
  ] as const;
  test.each(OUTPUTS)("%s: the input for %f V out takes %i law calls", (name, output, most) => {
    const problem = open(name);
    const response = solveResponse(problem.circuit, problem.bias, {
      source: "in",
      output: "out",
      hertz: [hertz(1000)],
    });
    if (!response.ok) throw new Error(JSON.stringify(response.failure));
    const { re, im } = response.value.transfer[0] as { re: number; im: number };
    const input = inputForOutput(problem, volts(output), Math.hypot(re, im), 30);
    if (!input.ok) throw new Error(JSON.stringify(input.failure));
    expect(calls(problem)).toBeLessThanOrEqual(most);
  });

  const ONSETS = [
    ["channel, grids conducting", "a", 8036],
    ["channel, grids conducting", "b", 8134],
    ["two stages, grids conducting", "V1", 12838],
    ["two stages, grids conducting", "V2", 16464],
    ["one stage", "V1", 2842],
  ] as const;
  test.each(ONSETS)("%s: the onset of %s takes %i law calls", (name, tube, most) => {
    const problem = open(name);
    const onset = gridCurrentOnset(problem, tube, volts(20));
    expect(onset.ok && onset.value.inputVolts).toBeGreaterThan(0);
    expect(calls(problem)).toBeLessThanOrEqual(most);
  });
});

describe("in time", () => {
  // 5 ms of 1 kHz from the bias; tolerance, steps, rejected, Newton iterations.
  const RUNS = [
    ["two stages", 0.02, 1e-4, 120, 4, 650],
    ["two stages", 0.02, 1e-6, 484, 11, 2552],
    ["channel, grids conducting", 3, 1e-4, 80, 6, 806],
    ["channel, grids conducting", 3, 1e-6, 457, 19, 2822],
  ] as const;
  test.each(RUNS)("%s at %f V peak to %f V: %i steps, %i rejected, %i iterations", (name, peak, tolerance, ...most) => {
    const { circuit, bias } = ready(CIRCUITS[name]);
    const answer = solveTransient(
      circuit,
      {
        start: bias,
        seconds: 0.005,
        drives: new Map([["in", (t: number) => peak * Math.sin(2 * Math.PI * 1000 * t)]]),
        record: { nets: ["out"], at: [0.005] },
      },
      { absoluteVolts: tolerance, relativeVolts: tolerance },
    );
    if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
    const { steps, rejected, newtonIterations, factorings, lawCalls } = answer.value.effort;
    expect(steps).toBeLessThanOrEqual(most[0]);
    expect(rejected).toBeLessThanOrEqual(most[1]);
    expect(newtonIterations).toBeLessThanOrEqual(most[2]);
    expect(factorings).toBeLessThanOrEqual(newtonIterations);
    expect(lawCalls).toBe(circuit.devices.length * newtonIterations);
  });
});

describe("rectifier", () => {
  const LAWS: readonly (readonly [string, RectifierLaw])[] = [
    ["ideal switch", { form: "ideal" }],
    ["tube", { form: "power", K: 4e-4, p: 1.5 }],
    ["junction", { form: "exponential", Is: 1e-9, nVt: 0.1 }],
  ];
  const LOADS = [
    [250, 33e-6, 0.03, 4],
    [500, 8e-6, 0.06, 5],
    [100, 100e-6, 0.005, 4],
    [50, 47e-6, 0.1, 5],
  ] as const;
  const rows = LAWS.flatMap(([name, law]) =>
    (["full-wave", "half-wave"] as const).flatMap((circuit) =>
      LOADS.map(([seriesOhms, firstFarads, amps, shots]) => ({
        name,
        law,
        circuit,
        seriesOhms,
        firstFarads,
        amps,
        shots,
      })),
    ),
  );
  test.each(rows)("$name, $circuit, $amps A, $seriesOhms Ω: $shots shots from the closed form", (row) => {
    const { law, circuit, seriesOhms, firstFarads, amps } = row;
    const problem = { rmsVolts: 250, hertz: 50, seriesOhms, firstFarads, circuit, law, load: { amps } };
    const cold = solveRectifier(problem);
    if (!cold.ok) throw new Error(JSON.stringify(cold.failure));
    expect(cold.value.effort.steps).toBeLessThanOrEqual(row.shots);
    const warm = solveRectifier(problem, { start: cold.value.start });
    expect(warm.ok && warm.value.effort.steps).toBe(1);
    const near = solveRectifier({ ...problem, load: { amps: amps * 1.02 } }, { start: cold.value.start });
    expect(near.ok && near.value.effort.steps).toBeLessThan(row.shots);
  });
});
