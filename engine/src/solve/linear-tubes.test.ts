/** Tubes outside the signal path as slopes; sources between nets; what is driven and what is at rest. */
import { describe, expect, test } from "vitest";
import { compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { farads, hertz, ohms, volts } from "../units/quantities.ts";
import { solveBias } from "./bias.ts";
import { harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { solveImpedance, solveResponse } from "./response.ts";
import { amplitude } from "./spectrum.ts";

const R = (id: string, a: string, b: string, value: number): Part => ({
  kind: "resistor",
  id,
  a,
  b,
  ohms: ohms(value),
});
const C = (id: string, a: string, b: string, value: number): Part => ({
  kind: "capacitor",
  id,
  a,
  b,
  farads: farads(value),
});
const LAW = {
  space: { form: "island", G: 1.2688e-3, mu: 20.825, p: 1.3705, k: 5.683, a: 0.2933, Vt: 0.1805, Vct: 0.226 },
  grid: { form: "softplus", Gg: 4e-4, xi: 1.3, C: 10, Vg0: -0.4 },
} as const;

/** Two stages from one supply behind a resistor; the second may stand in grid current. */
function twoStages(secondCathodeOhms: number): readonly Part[] {
  const stage = (n: string, Rk: number): readonly Part[] => [
    R(`RG${n}`, `g${n}`, "0", 100e3),
    R(`RA${n}`, "b", `p${n}`, 47e3),
    R(`RK${n}`, `k${n}`, "0", Rk),
    {
      kind: "triode",
      id: `V${n}`,
      plate: `p${n}`,
      grid: `g${n}`,
      cathode: `k${n}`,
      law: LAW,
      gridPlateFarads: farads(1.5e-12),
      gridCathodeFarads: farads(1.6e-12),
      plateCathodeFarads: farads(0.5e-12),
    },
  ];
  return [
    { kind: "ac-source", id: "signal", plus: "s", minus: "0", seriesOhms: ohms(0) },
    C("CI", "s", "g1", 1e-6),
    { kind: "dc-source", id: "B", plus: "bb", minus: "0", volts: volts(250), seriesOhms: ohms(0) },
    R("RB", "bb", "b", 10e3),
    ...stage("1", 1200),
    ...stage("2", secondCathodeOhms),
  ];
}

function opened(parts: readonly Part[]) {
  const compiled = compile(parts);
  if (!compiled.ok) throw new Error(JSON.stringify(compiled.failure));
  const bias = solveBias(compiled.value);
  if (!bias.ok) throw new Error(bias.failure.kind);
  return { circuit: compiled.value, bias: bias.value };
}

describe.each([
  ["its grid quiet", 1200],
  ["its grid conducting", 1],
])("a second stage as slopes, %s", (_, Rk) => {
  const { circuit, bias } = opened(twoStages(Rk));
  const at = (peak: number, linear: readonly string[], output: string) => {
    const problem = harmonicProblem(circuit, bias, { source: "signal", hertz: hertz(1000), output, linear });
    const solved = solveHarmonics(problem, { sourceVoltsPeak: volts(peak), harmonics: 12 });
    if (!solved.ok) throw new Error(solved.failure.kind);
    return solved.value.output;
  };
  test("with almost no signal every net keeps its bias", () => {
    for (const net of ["p1", "p2", "k2", "g2", "b"])
      expect(amplitude(at(1e-6, ["V2"], net), 0), net).toBeCloseTo(bias.netVolts.get(net) ?? Number.NaN, 7);
  });
  test("its plate moves by the small signal that comes over the supply", () => {
    const whole = amplitude(at(0.01, [], "p2"), 1);
    expect(amplitude(at(0.01, ["V2"], "p2"), 1) / whole).toBeCloseTo(1, 5);
  });
});

test("the first stage as slopes: it amplifies as the response says, at any drive", () => {
  const { circuit, bias } = opened(twoStages(1200));
  const small = solveResponse(circuit, bias, { source: "signal", output: "p1", hertz: [hertz(1000)] });
  if (!small.ok) throw new Error(small.failure.kind);
  const { re, im } = small.value.transfer[0] as { re: number; im: number };
  const problem = harmonicProblem(circuit, bias, {
    source: "signal",
    hertz: hertz(1000),
    output: "p1",
    linear: ["V1"],
  });
  for (const peak of [1e-3, 1]) {
    const solved = solveHarmonics(problem, { sourceVoltsPeak: volts(peak), harmonics: 12 });
    if (!solved.ok) throw new Error(solved.failure.kind);
    expect(amplitude(solved.value.output, 1) / peak).toBeCloseTo(Math.hypot(re, im), 2);
  }
});

test("two sources: each answers for itself, the other rests", () => {
  const { circuit, bias } = opened([
    { kind: "ac-source", id: "one", plus: "a", minus: "0", seriesOhms: ohms(0) },
    { kind: "ac-source", id: "two", plus: "b", minus: "0", seriesOhms: ohms(1000) },
    R("R1", "a", "o", 1000),
    R("R2", "b", "o", 2000),
    R("R3", "o", "0", 3000),
  ]);
  const gain = (source: string, output: string, against?: string) => {
    const solved = solveResponse(circuit, bias, {
      source,
      output,
      hertz: [hertz(50)],
      ...(against === undefined ? {} : { against }),
    });
    if (!solved.ok) throw new Error(solved.failure.kind);
    return solved.value.transfer[0]?.re ?? Number.NaN;
  };
  const par = (...values: number[]) => 1 / values.reduce((sum, value) => sum + 1 / value, 0);
  expect(gain("one", "o")).toBeCloseTo(par(3000, 3000) / (1000 + par(3000, 3000)), 12);
  expect(gain("two", "o")).toBeCloseTo(par(1000, 3000) / (3000 + par(1000, 3000)), 12);
  expect(gain("one", "a")).toBeCloseTo(1, 12);
  expect(gain("one", "a", "o")).toBeCloseTo(1 - par(3000, 3000) / (1000 + par(3000, 3000)), 12);
  expect(gain("two", "a")).toBeCloseTo(0, 12);
  const looking = solveImpedance(circuit, bias, { net: "o", hertz: [hertz(0)] });
  expect(looking.ok && looking.value[0]?.re).toBeCloseTo(par(1000, 3000, 3000), 9);
});

test("an ideal source between two nets lifts one above the other, for dc and for signals", () => {
  const parts: readonly Part[] = [
    { kind: "dc-source", id: "lift", plus: "x", minus: "y", volts: volts(10), seriesOhms: ohms(0) },
    { kind: "ac-source", id: "signal", plus: "y", minus: "z", seriesOhms: ohms(0) },
    R("R1", "x", "0", 1000),
    R("R2", "z", "0", 3000),
    C("C1", "x", "0", 1e-6),
  ];
  const { circuit, bias } = opened(parts);
  const v = (net: string) => bias.netVolts.get(net) ?? Number.NaN;
  expect(v("x") - v("y")).toBeCloseTo(10, 12);
  expect(v("y")).toBeCloseTo(v("z"), 12);
  // One loop: 10 V over 4k.
  expect(v("x")).toBeCloseTo(2.5, 12);
  const solved = solveResponse(circuit, bias, {
    source: "signal",
    output: "x",
    against: "z",
    hertz: [hertz(159.1549431)],
  });
  if (!solved.ok) throw new Error(solved.failure.kind);
  expect(solved.value.transfer[0]?.re).toBeCloseTo(1, 12);
  expect(solved.value.transfer[0]?.im).toBeCloseTo(0, 12);
  // w = 1000: the loop is 3k and 1k beside 1 uF (500 - 500j): x = (500 - 500j) / (3500 - 500j).
  const alone = solveResponse(circuit, bias, { source: "signal", output: "x", hertz: [hertz(1000 / (2 * Math.PI))] });
  if (!alone.ok) throw new Error(alone.failure.kind);
  expect(alone.value.transfer[0]?.re).toBeCloseTo((500 * 3500 + 500 * 500) / (3500 ** 2 + 500 ** 2), 9);
  expect(alone.value.transfer[0]?.im).toBeCloseTo((-500 * 3500 + 500 * 500) / (3500 ** 2 + 500 ** 2), 9);
});

test("a diode answers small signals by its slope, and clips large ones to its law", () => {
  const law = { form: "exponential", Is: 1e-9, nVt: 0.05 } as const;
  const parts: readonly Part[] = [
    { kind: "dc-source", id: "B", plus: "b", minus: "0", volts: volts(10), seriesOhms: ohms(0) },
    { kind: "ac-source", id: "signal", plus: "s", minus: "0", seriesOhms: ohms(0) },
    R("R1", "b", "a", 10e3),
    R("R2", "s", "a", 10e3),
    { kind: "diode", id: "D1", anode: "a", cathode: "0", law },
  ];
  const { circuit, bias } = opened(parts);
  const v = bias.netVolts.get("a") ?? Number.NaN;
  const i = 1e-9 * Math.expm1(v / 0.05);
  // Kirchhoff at the anode.
  expect((10 - v) / 10e3 - v / 10e3).toBeCloseTo(i, 12);
  const slope = (i + 1e-9) / 0.05;
  const solved = solveResponse(circuit, bias, { source: "signal", output: "a", hertz: [hertz(1000)] });
  expect(solved.ok && solved.value.transfer[0]?.re).toBeCloseTo(1e-4 / (2e-4 + slope), 10);
  const problem = harmonicProblem(circuit, bias, { source: "signal", hertz: hertz(1000), output: "a" });
  const wave = solveHarmonics(problem, { sourceVoltsPeak: volts(5), harmonics: 24 });
  if (!wave.ok) throw new Error(wave.failure.kind);
  const [current] = wave.value.samples;
  // Every sample obeys the law at the volts that the resistors leave.
  for (const [m, amps] of (current ?? new Float64Array(0)).entries()) {
    const drive = 5 * Math.cos((2 * Math.PI * m) / 49);
    const left = (10 / 10e3 + drive / 10e3 - amps) / 2e-4;
    expect(1e-9 * Math.expm1(left / 0.05)).toBeCloseTo(amps, 9);
  }
});

test("sources of half an ohm, half a kilohm and none: each divides by its own", () => {
  for (const series of [0, 0.5, 500]) {
    const { circuit, bias } = opened([
      R("R1", "m", "0", 10),
      R("R2", "o", "m", 10),
      { kind: "dc-source", id: "B", plus: "o", minus: "0", volts: volts(12), seriesOhms: ohms(series) },
      { kind: "ac-source", id: "signal", plus: "s", minus: "0", seriesOhms: ohms(series) },
      R("R3", "s", "m", 40),
    ]);
    // The signal source is at rest: a leg of 40 + series from m to ground; from o through its own series to 12 V.
    const leg = 40 + series;
    const down = 1 / (1 / 10 + 1 / leg);
    const o = (12 * (10 + down)) / (10 + down + series);
    expect(bias.netVolts.get("o")).toBeCloseTo(o, 9);
    expect(bias.netVolts.get("m")).toBeCloseTo((o * down) / (10 + down), 9);
    const looking = solveImpedance(circuit, bias, { net: "m", hertz: [hertz(1000)] });
    expect(looking.ok && looking.value[0]?.re).toBeCloseTo(1 / (1 / 10 + 1 / leg + 1 / (10 + series)), 9);
  }
});
