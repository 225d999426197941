/**
 * Worked cases from outside, solved as circuits: gains, impedances, corners and pads that others have printed or computed.
 * A tube of constant mu and rp is made of the 3/2 law at a point where its slopes are the printed ones; where the source
 * gives small-signal constants only, a linear network of source mu and resistance rp stands for the tube.
 */
import {
  type Complex,
  compile,
  farads,
  hertz,
  magnitude,
  ohms,
  type Part,
  solveBias,
  solveImpedance,
  solveResponse,
  toDecibels,
  volts,
} from "@platewright/engine";
import { describe, expect, test } from "vitest";

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

/**
 * A triode whose slopes at bias are mu and rp: linear law i = K (mu vg + va) with K = 1/rp (the 3/2 form with exponent 1),
 * in a circuit whose bias keeps it conducting.
 */
const tube = (mu: number, rp: number, plate: string, grid: string, cathode: string, c = [0, 0, 0]): Part => ({
  kind: "triode",
  id: "V1",
  plate,
  grid,
  cathode,
  law: { space: { form: "three-halves", K: 1 / rp, mu, p: 1 }, grid: { form: "none" } },
  gridPlateFarads: farads(c[0] ?? 0),
  gridCathodeFarads: farads(c[1] ?? 0),
  plateCathodeFarads: farads(c[2] ?? 0),
});
const supply: Part = { kind: "dc-source", id: "B", plus: "b", minus: "0", volts: volts(300), seriesOhms: ohms(0) };
const signal = (series = 0): Part => ({
  kind: "ac-source",
  id: "signal",
  plus: "g",
  minus: "0",
  seriesOhms: ohms(series),
});

function solved(parts: readonly Part[]) {
  const compiled = compile(parts);
  if (!compiled.ok) throw new Error(JSON.stringify(compiled.failure));
  const bias = solveBias(compiled.value);
  if (!bias.ok) throw new Error(bias.failure.kind);
  const at = (output: string, frequency: number): Complex => {
    const response = solveResponse(compiled.value, bias.value, { source: "signal", output, hertz: [hertz(frequency)] });
    if (!response.ok) throw new Error(response.failure.kind);
    return response.value.transfer[0] as Complex;
  };
  return {
    gain: (output: string, frequency = 1000) => magnitude(at(output, frequency)),
    transfer: at,
    impedance: (net: string, frequency = 1000) => {
      const looking = solveImpedance(compiled.value, bias.value, { net, hertz: [hertz(frequency)] });
      if (!looking.ok) throw new Error(looking.failure.kind);
      return magnitude(looking.value[0] as Complex);
    },
  };
}

/** Common cathode with plate load and next grid in the middle of the band. */
const commonCathode = (mu: number, rp: number, Ra: number, Rg: number, Rk = 0): readonly Part[] => [
  supply,
  signal(),
  R("Rin", "g", "0", 1e6),
  R("Ra", "b", "p", Ra),
  C("Cc", "p", "n", 1),
  R("Rg", "n", "0", Rg),
  ...(Rk === 0 ? [tube(mu, rp, "p", "g", "0")] : [R("Rk", "k", "0", Rk), tube(mu, rp, "p", "g", "k")]),
];

describe("gain of a common cathode, funwithtubes Basics 04", () => {
  test("example 4.1: mu 100, rp 80k, 220k with 470k: 65.2", () => {
    expect(solved(commonCathode(100, 80e3, 220e3, 470e3)).gain("n")).toBeCloseTo(65.2, 1);
  });
  test.each([
    [60, 10.9e3, 12.9],
    [17, 7.7e3, 4.77],
    [41, 4.8e3, 15.8],
    [100, 80e3, 3.61],
  ])("example 4.2, into 3k: mu %d, rp %d: %d", (mu, rp, printed) => {
    // 3k in all: two of 6k side by side.
    expect(Math.abs(solved(commonCathode(mu, rp, 6e3, 6e3)).gain("n") / printed - 1)).toBeLessThan(0.004);
  });
  test("formula of example 4.3, unbypassed 3.3k: 26.6", () => {
    expect(solved(commonCathode(100, 80e3, 220e3, 470e3, 3300)).gain("n")).toBeCloseTo(26.6, 1);
  });
});

describe("computed in another program", () => {
  test("mu 100, rp 62.5k, 100k, next 1M, bypassed: 59.259; looking into the plate 38.462k with the load", () => {
    const stage = solved(commonCathode(100, 62.5e3, 100e3, 1e6));
    expect(stage.gain("n")).toBeCloseTo(59.259, 3);
    const alone = solved([
      supply,
      signal(),
      R("Rin", "g", "0", 1e6),
      R("Ra", "b", "p", 100e3),
      tube(100, 62.5e3, "p", "g", "0"),
    ]);
    expect(alone.impedance("p")).toBeCloseTo(38461.5, 1);
  });
  test("the same with 1.5k unbypassed: 29.815; 68.153k", () => {
    expect(solved(commonCathode(100, 62.5e3, 100e3, 1e6, 1500)).gain("n")).toBeCloseTo(29.815, 3);
    const alone = solved([
      supply,
      signal(),
      R("Rin", "g", "0", 1e6),
      R("Rk", "k", "0", 1500),
      R("Ra", "b", "p", 100e3),
      tube(100, 62.5e3, "p", "g", "k"),
    ]);
    expect(alone.impedance("p") / 68153).toBeCloseTo(1, 4);
  });
  test.each([
    [17, 7.7e3, 22e3, 0.92643, 419.62],
    [20, 7.7e3, 33e3, 0.94192, 362.64],
  ])("cathode follower mu %d, rp %d, Rk %d: gain %d, %d ohm", (mu, rp, Rk, gain, impedance) => {
    const follower = solved([
      supply,
      signal(),
      R("Rin", "g", "0", 1e6),
      R("Rk", "k", "0", Rk),
      tube(mu, rp, "b", "g", "k"),
    ]);
    expect(follower.gain("k")).toBeCloseTo(gain, 5);
    expect(follower.impedance("k")).toBeCloseTo(impedance, 2);
  });
  test("Miller: 1.6 pF and 1.7 pF at a gain of 59.26 are 104.04 pF; with 68k the corner is 22.496 kHz", () => {
    const stage = solved([
      supply,
      signal(68e3),
      R("Rin", "g", "0", 1e12),
      R("Ra", "b", "p", 100e3),
      C("Cc", "p", "n", 1),
      R("Rg", "n", "0", 1e6),
      tube(100, 62.5e3, "p", "g", "0", [1.7e-12, 1.6e-12, 0]),
    ]);
    // At 100 Hz the tube's input is a capacitor.
    const low = stage.transfer("g", 2000);
    const tangent = -low.im / low.re;
    const farads_ = tangent / (2 * Math.PI * 2000 * 68e3);
    expect(1e12 * farads_).toBeCloseTo(104.04, 1);
    // The plate's own pole is a hundred times higher: the corner is the input's.
    const reference = stage.gain("g", 100);
    expect(stage.gain("g", 22_496) / reference).toBeCloseTo(Math.SQRT1_2, 2);
  });
  test("cathode bypass, 1.5k and 22 uF: zero 4.823 Hz, pole 9.586 Hz", () => {
    const stage = solved([...commonCathode(100, 62.5e3, 100e3, 1e6, 1500), C("Ck", "k", "0", 22e-6)]);
    const zero = 4.823;
    const pole = 9.586;
    const low = solved(commonCathode(100, 62.5e3, 100e3, 1e6, 1500)).gain("n");
    for (const f of [1, 5, 10, 50]) {
      const shelf = low * Math.sqrt((1 + (f / zero) ** 2) / (1 + (f / pole) ** 2));
      expect(stage.gain("n", f) / shelf).toBeCloseTo(1, 3);
    }
  });
  test("coupling 100 nF from 38.46k into 470k: 3.130 Hz", () => {
    const stage = solved([
      supply,
      signal(),
      R("Rin", "g", "0", 1e6),
      R("Ra", "b", "p", 100e3),
      C("Cc", "p", "n", 100e-9),
      R("Rg", "n", "0", 470e3),
      tube(100, 62.5e3, "p", "g", "0"),
    ]);
    expect(stage.gain("n", 3.13) / stage.gain("n", 1e6)).toBeCloseTo(Math.SQRT1_2, 3);
  });
  test.each([
    [50, -36.79],
    [100, -42.81],
    [120, -44.4],
  ])("decoupling 10k, 22 uF at %d Hz: %d dB", (f, decibels) => {
    const pad = solved([signal(), R("R1", "g", "o", 10e3), C("C1", "o", "0", 22e-6)]);
    expect(toDecibels(pad.gain("o", f))).toBeCloseTo(decibels, 1);
  });
});
