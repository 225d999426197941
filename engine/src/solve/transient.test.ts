import { describe, expect, test } from "vitest";
import { compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { henries, ohms } from "../units/quantities.ts";
import { capacitor, ready, resistor, signal, supply, twoStages } from "./test-circuits.ts";
import { solveTransient, type TransientAnswer, type TransientLimits, type TransientProblem } from "./transient.ts";

const made = (parts: readonly Part[]) => {
  const circuit = compile(parts);
  if (!circuit.ok) throw new Error(JSON.stringify(circuit.failure));
  return circuit.value;
};
const solved = (
  parts: readonly Part[],
  problem: TransientProblem,
  limits: Partial<TransientLimits> = {},
): TransientAnswer => {
  const answer = solveTransient(made(parts), problem, limits);
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
};
const inductor = (id: string, a: string, b: string, value: number, series: number): Part => ({
  kind: "inductor",
  id,
  a,
  b,
  henries: henries(value),
  seriesOhms: ohms(series),
});
const times = (count: number, seconds: number) => Array.from({ length: count + 1 }, (_, i) => (i * seconds) / count);
const column = (answer: TransientAnswer, net: string) => answer.netVolts.get(net) ?? new Float64Array();
/** Largest difference of a recorded net from a closed form. */
const miss = (answer: TransientAnswer, net: string, law: (t: number) => number) =>
  Math.max(...Array.from(column(answer, net), (v, i) => Math.abs(v - law(answer.seconds[i] as number))));

describe("closed forms", () => {
  test("RC charges as 1 - exp(-t/RC), from empty", () => {
    const parts = [supply("B", "s", 100), resistor("R", "s", "c", 1e4), capacitor("C", "c", "0", 1e-6)];
    const at = times(50, 0.05);
    const answer = solved(
      parts,
      { start: "empty", seconds: 0.05, record: { nets: ["c", "s"], at } },
      { absoluteVolts: 1e-8, relativeVolts: 1e-8 },
    );
    expect(miss(answer, "c", (t) => 100 * (1 - Math.exp(-t / 0.01)))).toBeLessThan(1e-5);
    expect(miss(answer, "s", () => 100)).toBe(0);
  });

  test("a series RLC rings at its own frequency and damping", () => {
    const parts = [
      supply("B", "s", 10),
      inductor("L", "s", "c", 0.5, 40),
      capacitor("C", "c", "0", 2e-6),
      resistor("leak", "c", "0", 1e13),
    ];
    const answer = solved(
      parts,
      { start: "empty", seconds: 0.05, record: { nets: ["c"], currents: ["L"], at: times(200, 0.05) } },
      { absoluteVolts: 1e-8, relativeVolts: 1e-8, absoluteAmps: 1e-11 },
    );
    const a = 40 / (2 * 0.5);
    const w = Math.sqrt(1 / (0.5 * 2e-6) - a * a);
    const law = (t: number) => 10 * (1 - Math.exp(-a * t) * (Math.cos(w * t) + (a / w) * Math.sin(w * t)));
    expect(miss(answer, "c", law)).toBeLessThan(2e-5);
    const current = (t: number) => (10 / (0.5 * w)) * Math.exp(-a * t) * Math.sin(w * t);
    const amps = answer.amps.get("L") ?? new Float64Array();
    for (const [i, value] of amps.entries())
      expect(Math.abs(value - current(answer.seconds[i] as number))).toBeLessThan(2e-8);
    // The first swing stands at half a period, 10 (1 + exp(-a pi / w)).
    const peak = answer.peaks.get("c");
    expect(peak?.highestVolts).toBeCloseTo(10 * (1 + Math.exp((-a * Math.PI) / w)), 3);
    expect(peak?.highestSeconds).toBeCloseTo(Math.PI / w, 5);
  });

  test("a net without capacitance follows at once", () => {
    const parts = [
      signal("in", "s"),
      resistor("R1", "s", "m", 1000),
      resistor("R2", "m", "c", 1000),
      capacitor("C", "c", "0", 1e-6),
    ];
    const answer = solved(
      parts,
      {
        start: "empty",
        seconds: 0.01,
        drives: new Map([["in", () => 6]]),
        record: { nets: ["m", "c"], at: times(20, 0.01) },
      },
      { absoluteVolts: 1e-8, relativeVolts: 1e-8 },
    );
    expect(miss(answer, "c", (t) => 6 * (1 - Math.exp(-t / 0.002)))).toBeLessThan(1e-6);
    expect(miss(answer, "m", (t) => 6 * (1 - 0.5 * Math.exp(-t / 0.002)))).toBeLessThan(1e-6);
  });
});

test("two stages, 20 mV peak from the bias: out(20 ms) to 1e-8 V of an independent solution", () => {
  // 0.489571887 V: Radau at 1e-10 and 1e-11 agree on it (SciPy).
  const { circuit, bias } = ready(twoStages());
  const answer = solveTransient(
    circuit,
    {
      start: bias,
      seconds: 0.02,
      drives: new Map([["in", (t: number) => 0.02 * Math.sin(2000 * Math.PI * t)]]),
      record: { nets: ["out"], at: [0.02] },
    },
    { absoluteVolts: 1e-8, relativeVolts: 1e-9 },
  );
  if (!answer.ok) throw new Error(answer.failure.kind);
  expect(Math.abs((answer.value.netVolts.get("out")?.[0] ?? 0) - 0.489571887)).toBeLessThan(1e-8);
});
