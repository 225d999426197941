/** Each named failure of compiling and solving, reached by a circuit that a builder could draw, and its one sentence. */
import { describe, expect, test } from "vitest";
import { compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { amps, farads, hertz, henries, ohms, volts } from "../units/quantities.ts";
import { solveBias } from "./bias.ts";
import { sentence } from "./failures.ts";
import { harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { solveResponse } from "./response.ts";

const R = (id: string, a: string, b: string, value = 1000): Part => ({ kind: "resistor", id, a, b, ohms: ohms(value) });
const C = (id: string, a: string, b: string): Part => ({ kind: "capacitor", id, a, b, farads: farads(1e-6) });
const V = (id: string, plus: string, minus = "0", value = 100, series = 0): Part => ({
  kind: "dc-source",
  id,
  plus,
  minus,
  volts: volts(value),
  seriesOhms: ohms(series),
});
const S = (plus: string): Part => ({ kind: "ac-source", id: "signal", plus, minus: "0", seriesOhms: ohms(0) });
const tube = (plate: string, grid: string, cathode: string): Part => ({
  kind: "triode",
  id: "V1",
  plate,
  grid,
  cathode,
  law: { space: { form: "koren", mu: 100, ex: 1.4, kg1: 1060, kp: 600, kvb: 300, Vct: 0 }, grid: { form: "none" } },
  gridPlateFarads: farads(1e-12),
  gridCathodeFarads: farads(1e-12),
  plateCathodeFarads: farads(1e-12),
});

describe("what cannot be compiled", () => {
  test.each<[string, readonly Part[], RegExp]>([
    ["duplicate-part", [R("R1", "a", "0"), R("R1", "a", "0")], /Two parts are called R1/],
    ["lonely-net", [R("R1", "a", "0"), R("R2", "a", "b")], /Net b has a single pin \(on R2\)/],
    ["floating-net", [R("R1", "a", "0"), V("B", "a"), C("C1", "a", "b"), C("C2", "b", "0")], /Net b .* has no dc path/],
    [
      "floating-grid",
      [V("B", "b"), R("R1", "b", "p"), C("C1", "in", "g"), S("in"), tube("p", "g", "0")],
      /grid of V1 .* add a grid leak/,
    ],
    ["shorted-source", [V("B", "b"), V("B2", "b", "0", 90), R("R1", "b", "0")], /shorted or tied to another/],
    ["no-ground", [R("R1", "a", "b"), R("R2", "a", "b")], /No part is tied to ground/],
    ["bad-value", [R("R1", "a", "0", Number.NaN), R("R2", "a", "0")], /R1: ohms is NaN/],
    ["bad-value", [R("R1", "a", "0", 0), R("R2", "a", "0")], /R1: ohms is 0/],
    ["bad-value", [R("R1", "a", "0", -47), R("R2", "a", "0")], /R1: ohms is -47/],
    [
      "bad-value",
      [
        { kind: "inductor", id: "L1", a: "a", b: "0", henries: henries(Number.POSITIVE_INFINITY), seriesOhms: ohms(1) },
        R("R2", "a", "0"),
      ],
      /L1: henries/,
    ],
    [
      "bad-value",
      [
        { kind: "potentiometer", id: "P1", top: "a", wiper: "w", bottom: "0", ohms: ohms(1000), fraction: 1.2 },
        R("R2", "a", "w"),
      ],
      /P1: fraction is 1.2/,
    ],
    ["bad-value", [V("B", "a", "0", Number.NaN), R("R1", "a", "0")], /B: volts is NaN/],
    [
      "bad-value",
      [
        { kind: "current-sink", id: "I1", from: "a", to: "0", amps: amps(Number.NaN), parallelOhms: ohms(Infinity) },
        R("R1", "a", "0"),
      ],
      /I1: amps/,
    ],
  ])("%s", (kind, parts, says) => {
    const compiled = compile(parts);
    expect(compiled.ok).toBe(false);
    if (compiled.ok) return;
    expect(compiled.failure.kind).toBe(kind);
    expect(sentence(compiled.failure)).toMatch(says);
  });

  test("a short across the supply by a closed switch is a shorted source, an open one is nothing", () => {
    const parts = (closed: boolean): readonly Part[] => [
      V("B", "b"),
      R("R1", "b", "0"),
      { kind: "switch", id: "SW", a: "b", b: "0", closed },
    ];
    expect(compile(parts(true))).toMatchObject({ ok: false, failure: { kind: "shorted-source" } });
    expect(compile(parts(false)).ok).toBe(true);
  });
});

describe("what cannot be solved", () => {
  const stage = (more: readonly Part[] = []) =>
    compile([
      V("B", "b", "0", 250),
      R("RL", "b", "p", 100e3),
      R("Rk", "k", "0", 1500),
      S("g"),
      R("Rg", "g", "0", 1e6),
      tube("p", "g", "k"),
      ...more,
    ]);

  test("a sink that asks more than any tube gives has no operating point, and says where", () => {
    const compiled = compile([
      V("B", "b", "0", 250),
      R("RL", "b", "p", 100e3),
      R("Rg", "g", "0", 1e6),
      { kind: "diode", id: "D1", anode: "g", cathode: "d", law: { form: "exponential", Is: 1e-12, nVt: 0.026 } },
      {
        kind: "current-sink",
        id: "I1",
        from: "d",
        to: "0",
        amps: amps(Number.MAX_VALUE / 1e300),
        parallelOhms: ohms(Infinity),
      },
      tube("p", "g", "0"),
    ]);
    if (!compiled.ok) throw new Error(compiled.failure.kind);
    const bias = solveBias(compiled.value);
    expect(bias.ok).toBe(false);
    if (bias.ok) return;
    expect(bias.failure.kind).toBe("no-operating-point");
    expect(sentence(bias.failure)).toMatch(/No operating point was found \(worst at net/);
  });

  test("names that are not there", () => {
    const compiled = stage();
    if (!compiled.ok) throw new Error(compiled.failure.kind);
    const bias = solveBias(compiled.value);
    if (!bias.ok) throw new Error(bias.failure.kind);
    expect(
      solveResponse(compiled.value, bias.value, { source: "nobody", output: "p", hertz: [hertz(1000)] }),
    ).toMatchObject({
      ok: false,
      failure: { kind: "unknown-name", name: "nobody" },
    });
    expect(
      solveResponse(compiled.value, bias.value, { source: "signal", output: "q", hertz: [hertz(1000)] }),
    ).toMatchObject({
      ok: false,
      failure: { kind: "unknown-name", name: "q" },
    });
    const problem = harmonicProblem(compiled.value, bias.value, {
      source: "signal",
      hertz: hertz(1000),
      output: "p",
      linear: ["V7"],
    });
    expect(solveHarmonics(problem, { sourceVoltsPeak: volts(0.1) })).toMatchObject({
      ok: false,
      failure: { kind: "unknown-name", name: "V7" },
    });
  });

  test("a level that is not a number is not settled, never a number", () => {
    const compiled = stage();
    if (!compiled.ok) throw new Error(compiled.failure.kind);
    const bias = solveBias(compiled.value);
    if (!bias.ok) throw new Error(bias.failure.kind);
    const problem = harmonicProblem(compiled.value, bias.value, { source: "signal", hertz: hertz(1000), output: "p" });
    const answer = solveHarmonics(problem, { sourceVoltsPeak: volts(Number.NaN) });
    expect(answer).toMatchObject({ ok: false, failure: { kind: "not-settled" } });
    expect(answer.ok ? "" : sentence(answer.failure)).toMatch(/Not settled/);
  });
});
