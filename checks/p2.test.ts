/**
 * Two 12AX7 stages (published Koren parameters, no grid current), checked to the digits of an independent solution
 * computed with SciPy (Newton and harmonic balance of its own). The same circuit is solved again by scipy/circuits.py.
 */
import { compile, harmonicProblem, type Part, solveBias, solveHarmonics, solveResponse } from "@platewright/engine";
import { expect, test } from "vitest";

const law = {
  space: { form: "koren", mu: 100, ex: 1.4, kg1: 1060, kp: 600, kvb: 300, Vct: 0 },
  grid: { form: "none" },
};
const stage = (n: number, grid: string) => [
  { kind: "resistor", id: `Ra${n}`, a: `p${n}`, b: "b", ohms: 1e5 },
  { kind: "resistor", id: `Rk${n}`, a: `k${n}`, b: "0", ohms: 1500 },
  { kind: "capacitor", id: `Ck${n}`, a: `k${n}`, b: "0", farads: 22e-6 },
  {
    kind: "triode",
    id: `V${n}`,
    plate: `p${n}`,
    grid,
    cathode: `k${n}`,
    law,
    gridPlateFarads: 1.7e-12,
    gridCathodeFarads: 1.6e-12,
    plateCathodeFarads: 0.5e-12,
  },
];
const parts = [
  { kind: "ac-source", id: "S", plus: "s", minus: "0", seriesOhms: 0 },
  { kind: "resistor", id: "Rs", a: "s", b: "g1", ohms: 68e3 },
  { kind: "resistor", id: "Rg1", a: "g1", b: "0", ohms: 1e6 },
  ...stage(1, "g1"),
  { kind: "capacitor", id: "C1", a: "p1", b: "g2", farads: 22e-9 },
  { kind: "resistor", id: "Rg2", a: "g2", b: "0", ohms: 470e3 },
  ...stage(2, "g2"),
  { kind: "capacitor", id: "C2", a: "p2", b: "out", farads: 1e-6 },
  { kind: "resistor", id: "Ro", a: "out", b: "0", ohms: 1e5 },
  { kind: "capacitor", id: "Co", a: "out", b: "0", farads: 100e-12 },
  { kind: "capacitor", id: "Cb", a: "b", b: "0", farads: 22e-6 },
  { kind: "dc-source", id: "B", plus: "b", minus: "0", volts: 300, seriesOhms: 10e3 },
] as unknown as readonly Part[];

function solved() {
  const circuit = compile(parts);
  if (!circuit.ok) throw new Error(circuit.failure.kind);
  const bias = solveBias(circuit.value);
  if (!bias.ok) throw new Error(bias.failure.kind);
  return { circuit: circuit.value, bias: bias.value };
}

test("bias", () => {
  const { bias } = solved();
  expect(bias.netVolts.get("p1")).toBeCloseTo(191.043358, 6);
  expect(bias.netVolts.get("k1")).toBeCloseTo(1.36195803, 8);
  expect(bias.netVolts.get("b")).toBeCloseTo(281.84056, 5);
  for (const tube of ["V1", "V2"]) {
    const at = bias.triodes.get(tube);
    expect(1000 * (at?.plateAmps ?? 0)).toBeCloseTo(0.90797202, 7);
    expect(1000 * (at?.siemens ?? 0)).toBeCloseTo(1.80747, 5);
    expect((at?.plateOhms ?? 0) / 1000).toBeCloseTo(51.0926, 4);
    expect(at?.mu).toBeCloseTo(92.348, 3);
    expect(at?.plateVolts).toBeCloseTo(191.043358 - 1.36195803, 6);
    expect(at?.plateWatts).toBeCloseTo(0.90797202e-3 * (191.043358 - 1.36195803), 8);
  }
});

test("response at 20 Hz, 1 kHz, 20 kHz, 100 kHz", () => {
  const { circuit, bias } = solved();
  const answer = solveResponse(circuit, bias, { source: "S", output: "out", hertz: [20, 1000, 20e3, 100e3] as never });
  if (!answer.ok) throw new Error(answer.failure.kind);
  const sizes = answer.value.transfer.map((z) => Math.hypot(z.re, z.im));
  [1560.999, 2425.5121, 1495.784, 260.3756].forEach((wanted, i) =>
    expect((sizes[i] as number) / wanted).toBeCloseTo(1, 6),
  );
});

test.each([
  [5e-3, 12.0766, [-32.44, -60.53, -96.54]],
  [20e-3, 45.1188, [-19.11, -36.1, -67.74]],
  [50e-3, 83.3985, [-9.54, -31.72, -28.29]],
] as const)("harmonics at %s V peak", (peak, first, ratios) => {
  const { circuit, bias } = solved();
  const problem = harmonicProblem(circuit, bias, { source: "S", hertz: 1000 as never, output: "out" });
  const answer = solveHarmonics(problem, { sourceVoltsPeak: peak as never, harmonics: 32 });
  if (!answer.ok) throw new Error(answer.failure.kind);
  const { real, imaginary } = answer.value.output;
  const size = (k: number) => Math.hypot(real[k] as number, imaginary[k] as number);
  expect(size(1)).toBeCloseTo(first, 3);
  ratios.forEach((wanted, i) => expect(Math.abs(20 * Math.log10(size(i + 2) / size(1)) - wanted)).toBeLessThan(0.006));
});
