/** Bias: what the answer says of each tube, against the nets and against the law; what is not a number never comes out. */
import { describe, expect, test } from "vitest";
import { compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { seededRandom } from "../numerics/random.ts";
import type { TriodeLaw } from "../tubes/law.ts";
import { compileTriode } from "../tubes/triode.ts";
import { farads, hertz, ohms, volts } from "../units/quantities.ts";
import { solveBias } from "./bias.ts";
import { sentence } from "./failures.ts";
import { harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { solveImpedance, solveResponse } from "./response.ts";

const ISLAND: TriodeLaw = {
  space: { form: "island", G: 1.2688e-3, mu: 20.825, p: 1.3705, k: 5.683, a: 0.2933, Vt: 0.1805, Vct: 0.226 },
  grid: { form: "softplus", Gg: 4e-4, xi: 1.3, C: 10, Vg0: -0.4 },
};
const R = (id: string, a: string, b: string, value: number): Part => ({
  kind: "resistor",
  id,
  a,
  b,
  ohms: ohms(value),
});

function stage(values: { B: number; Ra: number; Rk: number; Rg: number; sourceOhms: number }, law = ISLAND): Part[] {
  return [
    { kind: "dc-source", id: "B", plus: "b", minus: "0", volts: volts(values.B), seriesOhms: ohms(values.sourceOhms) },
    { kind: "ac-source", id: "in", plus: "s", minus: "0", seriesOhms: ohms(100) },
    { kind: "capacitor", id: "Ci", a: "s", b: "g", farads: farads(1e-7) },
    R("Rg", "g", "0", values.Rg),
    R("Ra", "b", "p", values.Ra),
    R("Rk", "k", "0", values.Rk),
    {
      kind: "triode",
      id: "V1",
      plate: "p",
      grid: "g",
      cathode: "k",
      law,
      gridPlateFarads: farads(1.5e-12),
      gridCathodeFarads: farads(1.6e-12),
      plateCathodeFarads: farads(0.5e-12),
    },
  ];
}

function solved(parts: readonly Part[]) {
  const compiled = compile(parts);
  if (!compiled.ok) throw new Error(sentence(compiled.failure));
  const bias = solveBias(compiled.value);
  if (!bias.ok) throw new Error(sentence(bias.failure));
  return { circuit: compiled.value, bias: bias.value };
}

describe.each([1, 2, 3, 4, 5, 6, 7, 8, 9, 10])("a random stage (seed %d)", (seed) => {
  const random = seededRandom(seed);
  const decade = (low: number, high: number) => low * (high / low) ** random.uniform();
  const values = {
    B: decade(60, 400),
    Ra: decade(5e3, 300e3),
    Rk: decade(1, 10e3),
    Rg: decade(1e4, 2e6),
    sourceOhms: random.uniform() < 0.5 ? 0 : decade(0.01, 5e3),
  };
  const { bias } = solved(stage(values));
  const net = (name: string) => bias.netVolts.get(name) as number;
  const V1 = bias.triodes.get("V1");
  if (V1 === undefined) throw new Error("V1");

  test("every node's currents sum to zero", () => {
    const plate = (net("b") - net("p")) / values.Ra;
    expect(plate).toBeCloseTo(V1.plateAmps, 12);
    expect(net("k") / values.Rk).toBeCloseTo(V1.plateAmps + V1.gridAmps, 12);
    expect(-net("g") / values.Rg).toBeCloseTo(V1.gridAmps, 12);
    expect(net("b")).toBeCloseTo(values.B - plate * values.sourceOhms, 9);
    expect(net("s")).toBe(0);
  });

  test("what it says of the tube is what the law and the nets say", () => {
    const out = new Float64Array(6);
    compileTriode(ISLAND)(net("g") - net("k"), net("p") - net("k"), out);
    const [ia = 0, gm = 0, gp = 0, ig = 0] = out;
    expect(V1.plateVolts).toBeCloseTo(net("p") - net("k"), 10);
    expect(V1.gridVolts).toBeCloseTo(net("g") - net("k"), 10);
    expect(V1.plateAmps / ia).toBeCloseTo(1, 8);
    expect(Math.abs(V1.gridAmps - ig)).toBeLessThan(1e-8 * ia);
    expect(V1.siemens / gm).toBeCloseTo(1, 7);
    expect(V1.plateOhms * gp).toBeCloseTo(1, 7);
    expect(V1.mu / (gm / gp)).toBeCloseTo(1, 7);
    expect(V1.plateWatts / ((net("p") - net("k")) * ia)).toBeCloseTo(1, 8);
    expect([...bias.slopes.subarray(0, 4)].map((x, i) => x - (out[[1, 2, 4, 5][i] as number] as number))).toSatisfy(
      (off: number[]) => off.every((x) => Math.abs(x) < 1e-7 * gm),
    );
  });

  test("the residual of its effort is a residual, and some steps were made", () => {
    expect(bias.effort.residual).toBeLessThan(1e-9);
    expect(bias.effort.lawCalls).toBeGreaterThan(0);
    expect(bias.effort.steps).toBeGreaterThan(0);
    expect(bias.effort.factorings).toBe(bias.effort.steps);
  });
});

describe("what is not a number", () => {
  const values = { B: 250, Ra: 47e3, Rk: 1200, Rg: 1e6, sourceOhms: 0 };
  const { circuit, bias } = solved(stage(values));

  test.each([
    ["k", 1e-320],
    ["mu", 0],
  ])("a law that gives no number, %s = %d, is named by its tube", (name, value) => {
    const space = { ...ISLAND.space, [name]: value } as TriodeLaw["space"];
    const compiled = compile(stage(values, { ...ISLAND, space }));
    if (!compiled.ok) throw new Error(sentence(compiled.failure));
    const answer = solveBias(compiled.value);
    expect(answer).toMatchObject({ ok: false, failure: { kind: "law-not-finite", part: "V1" } });
    if (!answer.ok) expect(sentence(answer.failure)).toBe("The law of V1 gave no finite current.");
  });

  test.each([Number.NaN, Infinity])("a frequency of %d has no response, impedance or harmonics", (f) => {
    const singular = { ok: false, failure: { kind: "singular" } };
    const response = solveResponse(circuit, bias, { source: "in", output: "p", hertz: [hertz(f)] });
    expect(response).toMatchObject(singular);
    if (!response.ok) expect(sentence(response.failure)).toMatch(/no unique solution near net p/);
    expect(solveImpedance(circuit, bias, { net: "p", hertz: [hertz(f)] })).toMatchObject(singular);
    const problem = harmonicProblem(circuit, bias, { source: "in", hertz: hertz(f), output: "p" });
    expect(solveHarmonics(problem, { sourceVoltsPeak: volts(1) }).ok).toBe(false);
  });

  test("names that are not there, for harmonics and impedance", () => {
    const ask = (source: string, output: string) =>
      solveHarmonics(harmonicProblem(circuit, bias, { source, hertz: hertz(1000), output }), {
        sourceVoltsPeak: volts(1),
      });
    expect(ask("nobody", "p")).toMatchObject({ ok: false, failure: { kind: "unknown-name", name: "nobody" } });
    expect(ask("in", "q")).toMatchObject({ ok: false, failure: { kind: "unknown-name", name: "q" } });
    const impedance = solveImpedance(circuit, bias, { net: "q", hertz: [hertz(1000)] });
    expect(impedance).toMatchObject({ ok: false, failure: { kind: "unknown-name", name: "q" } });
    if (!impedance.ok) expect(sentence(impedance.failure)).toBe("Nothing in the circuit is called q.");
  });

  test("a start that is not a number is set aside", () => {
    const again = solveBias(circuit, { start: Float64Array.of(Number.NaN, Number.NaN) });
    expect(again.ok && again.value.netVolts.get("p")).toBeCloseTo(bias.netVolts.get("p") as number, 8);
  });
});
