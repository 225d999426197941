/** Two tones: the map of mixes, agreement with one tone, with a common base, and with itself. */
import { describe, expect, test } from "vitest";
import type { Part } from "../circuit/parts.ts";
import { hertz, volts } from "../units/quantities.ts";
import { harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { channel, GRID, ISLAND_12AU7, NO_GRID, oneStage, ready } from "./test-circuits.ts";
import { lineAt, solveTwoTone, type TwoToneAsk } from "./two-tone.ts";
import { mixIndex, mixPairs } from "./two-tone-mixes.ts";

const tones = (f1: number, v1: number, f2: number, v2: number) => ({
  first: { hertz: hertz(f1), voltsPeak: volts(v1) },
  second: { hertz: hertz(f2), voltsPeak: volts(v2) },
});

function solved(parts: readonly Part[], ask: Omit<TwoToneAsk, "source" | "output">) {
  const { circuit, bias } = ready(parts);
  const answer = solveTwoTone(circuit, bias, { source: "in", output: "out", ...ask });
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
}

test.each([1, 2, 3, 5, 8, 12])("order %i: the map fills its axis once", (order) => {
  const pairs = mixPairs(order);
  expect(pairs.length).toBe(order * (order + 1) + 1);
  for (let s = 0; s < pairs.length; s++) {
    const [k1, k2] = pairs[s] as readonly [number, number];
    expect(mixIndex(order, k1, k2)).toBe(s);
  }
});

describe.each([
  ["a stage", oneStage({ space: ISLAND_12AU7, grid: NO_GRID }), 2],
  ["a channel, both grids able to conduct", channel({ gridA: GRID, gridB: GRID }), 2],
])("%s", (_, parts, peak) => {
  test.each([1, 2])("tone %i at nothing: the other's harmonics, and no mix", (silent) => {
    const { circuit, bias } = ready(parts);
    const problem = harmonicProblem(circuit, bias, { source: "in", hertz: hertz(1000), output: "out" });
    const one = solveHarmonics(problem, { sourceVoltsPeak: volts(peak), harmonics: 12 });
    if (!one.ok) throw new Error(one.failure.kind);
    const ask = silent === 2 ? tones(1000, peak, 7300, 0) : tones(7300, 0, 1000, peak);
    const two = solved(parts, { ...ask, order: 12 });
    const { real, imaginary } = one.value.output;
    const bound = 1e-9 * Math.hypot(real[1] as number, imaginary[1] as number);
    for (const { k1, k2, volts: line } of two.lines) {
      const [own, other] = silent === 2 ? [k1, k2] : [k2, k1];
      const k = other === 0 ? own : -1;
      const off = Math.hypot(line.re - (real[k] ?? 0), line.im - (imaginary[k] ?? 0));
      expect(off, `${k1} ${k2}`).toBeLessThan(bound);
    }
    expect(Math.abs(two.dcVolts - (real[0] as number))).toBeLessThan(bound);
    expect(lineAt(two, silent === 2 ? 1 : 0, silent === 2 ? 0 : 1).re).toBeCloseTo(real[1] as number, 6);
  });
});
