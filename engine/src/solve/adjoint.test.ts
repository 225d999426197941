/** The transposed solve against direct solves: every net, every source, random circuits and whole channels. */
import { describe, expect, test } from "vitest";
import { type CompiledCircuit, compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { seededRandom } from "../numerics/random.ts";
import { henries, hertz, ohms } from "../units/quantities.ts";
import { injection, solveAdjoint, sourceTransfer } from "./adjoint.ts";
import type { Bias, Complex } from "./answers.ts";
import { SLOPES } from "./network.ts";
import { solveImpedance, solveResponse } from "./response.ts";
import {
  capacitor,
  channel,
  GRID,
  NO_GRID,
  ready,
  resistor,
  signal,
  supply,
  triode,
  twoStages,
} from "./test-circuits.ts";

const FREQUENCIES = [5, 50, 1000, 20e3, 1e6].map(hertz);
const PROBE = 1e5;

/** A probe of `PROBE` ohms with an e.m.f. at every net: one volt of it pushes 1/PROBE into the net, shunt included in Y. */
const probes = (nets: readonly string[]): Part[] => nets.map((net) => signal(`probe ${net}`, net, "0", PROBE));

const apart = (a: Complex, b: Complex) => Math.hypot(a.re - b.re, a.im - b.im);
const size = (a: Complex) => Math.hypot(a.re, a.im);

function value<T>(result: { ok: true; value: T } | { ok: false; failure: unknown }): T {
  if (!result.ok) throw new Error(JSON.stringify(result.failure));
  return result.value;
}

/** Largest disagreement of adjoint and direct solves over all nets and sources, relative to the largest of its kind. */
function worstDisagreement(circuit: CompiledCircuit, bias: Bias, output: string, against?: string): number {
  const ask = { output, hertz: FREQUENCIES, ...(against === undefined ? {} : { against }) };
  const adjoint = value(solveAdjoint(circuit, bias, ask));
  let worst = 0;
  for (const source of circuit.sources) {
    if (source.kind !== "ac") continue;
    const direct = value(solveResponse(circuit, bias, { source: source.id, ...ask })).transfer;
    for (const [k, wanted] of direct.entries()) {
      const scale = Math.max(size(wanted), 1e-6);
      worst = Math.max(worst, apart(sourceTransfer(adjoint, k, source.id), wanted) / scale);
      if (!source.id.startsWith("probe ")) continue;
      const z = injection(adjoint, k, "0", source.id.slice("probe ".length));
      worst = Math.max(worst, apart({ re: z.re / PROBE, im: z.im / PROBE }, wanted) / scale);
    }
  }
  if (against === undefined)
    for (const [k, wanted] of value(solveImpedance(circuit, bias, { net: output, hertz: FREQUENCIES })).entries())
      worst = Math.max(worst, apart(injection(adjoint, k, "0", output), wanted) / Math.max(size(wanted), 1e-3));
  return worst;
}

/** Random resistors, capacitors, chokes, two tubes and three sources between eight nets; slopes drawn, not solved. */
function randomCircuit(seed: number): { circuit: CompiledCircuit; bias: Bias; nets: string[] } {
  const random = seededRandom(seed);
  const nets = Array.from({ length: 8 }, (_, i) => `n${i}`);
  const any = (not = "") => {
    for (;;) {
      const net = random.below(4) === 0 ? "0" : (nets[random.below(nets.length)] as string);
      if (net !== not) return net;
    }
  };
  const between = (low: number, high: number) => low * (high / low) ** random.uniform();
  const parts: Part[] = nets.map((net, i) => resistor(`leak${i}`, net, "0", between(1e4, 1e6)));
  for (let i = 0; i < 8; i++) {
    const a = any("0");
    parts.push(resistor(`R${i}`, a, any(a), between(100, 1e6)));
    const b = any("0");
    parts.push(capacitor(`C${i}`, b, any(b), between(1e-12, 1e-5)));
  }
  const a = any("0");
  parts.push({ kind: "inductor", id: "L", a, b: any(a), henries: henries(between(0.1, 20)), seriesOhms: ohms(200) });
  for (const id of ["V1", "V2"]) {
    const [plate, grid] = [any("0"), any("0")];
    let cathode = any(plate);
    while (cathode === grid) cathode = any(plate);
    parts.push(
      triode(id, [plate, grid === plate ? "n0" : grid, cathode], {
        space: { form: "three-halves", K: 1e-5, mu: 20, p: 1.5 },
        grid: NO_GRID,
      }),
    );
  }
  parts.push(signal("ideal", "e"), resistor("Re", "e", any("0"), between(100, 1e5)));
  parts.push(supply("B", "b", 300), resistor("Rb", "b", any("0"), between(1e3, 1e5)));
  parts.push(signal("floating", "f", "n7"), resistor("Rf", "f", any("n7"), between(1e3, 1e5)));
  parts.push(...probes([...nets, "e", "f"]));
  const circuit = value(compile(parts));
  const slopes = new Float64Array(SLOPES * circuit.devices.length);
  for (let d = 0; d < circuit.devices.length; d++) {
    const gm = between(1e-4, 1e-2);
    slopes.set([gm, gm / between(10, 100), between(1e-9, 1e-5), between(1e-9, 1e-7)], SLOPES * d);
  }
  const effort = { steps: 0, factorings: 0, lawCalls: 0, residual: 0 };
  const bias = { netVolts: new Map(), triodes: new Map(), slopes, effort, unknowns: new Float64Array(0) };
  return { circuit, bias, nets };
}

describe("one transposed solve answers what a direct solve per net answers", () => {
  for (let seed = 1; seed <= 40; seed++)
    test(`random circuit (seed ${seed})`, () => {
      const { circuit, bias, nets } = randomCircuit(seed);
      const output = nets[seed % nets.length] as string;
      expect(worstDisagreement(circuit, bias, output)).toBeLessThan(1e-10);
      expect(worstDisagreement(circuit, bias, output, nets[(seed + 3) % nets.length])).toBeLessThan(1e-10);
      expect(worstDisagreement(circuit, bias, "f")).toBeLessThan(1e-10);
    });

  test.each([
    ["two stages", [...twoStages(), ...probes(["p1", "k1", "g2", "p2", "b"])]],
    [
      "a channel with grids that conduct",
      [...channel({ gridA: GRID, gridB: GRID }), ...probes(["pa", "kb", "tap", "b"])],
    ],
  ])("%s", (_, parts) => {
    const { circuit, bias } = ready(parts);
    expect(worstDisagreement(circuit, bias, "out")).toBeLessThan(1e-10);
  });
});

test("ripple of a dc source reaches the output as an ac source in its place does", () => {
  const asked = [50, 100, 150].map(hertz);
  const dc = ready(channel());
  const adjoint = value(solveAdjoint(dc.circuit, dc.bias, { output: "out", hertz: asked }));
  const ripple = ready([
    ...channel().filter((part) => part.id !== "B"),
    supply("B", "x", 330),
    signal("ripple", "hv", "x"),
  ]);
  const direct = value(solveResponse(ripple.circuit, ripple.bias, { source: "ripple", output: "out", hertz: asked }));
  for (const [k, wanted] of direct.transfer.entries())
    expect(apart(sourceTransfer(adjoint, k, "B"), wanted)).toBeLessThan(1e-10 * size(wanted));
});

test("a current that leaves one net and enters another is the difference; nets that sources hold do not move", () => {
  const { circuit, bias } = ready(channel());
  const adjoint = value(solveAdjoint(circuit, bias, { output: "out", hertz: [hertz(1000)] }));
  const up = injection(adjoint, 0, "0", "pa");
  const down = injection(adjoint, 0, "0", "ka");
  expect(injection(adjoint, 0, "ka", "pa")).toEqual({ re: up.re - down.re, im: up.im - down.im });
  expect(injection(adjoint, 0, "pa", "pa")).toEqual({ re: 0, im: 0 });
  expect(injection(adjoint, 0, "0", "hv")).toEqual({ re: 0, im: 0 });
  expect(size(up)).toBeGreaterThan(100);
});

test("what does not exist is named", () => {
  const { circuit, bias } = ready(channel());
  const asked = [hertz(1000)];
  expect(solveAdjoint(circuit, bias, { output: "nowhere", hertz: asked })).toEqual({
    ok: false,
    failure: { kind: "unknown-name", name: "nowhere" },
  });
  expect(solveAdjoint(circuit, bias, { output: "out", against: "nothing", hertz: asked })).toEqual({
    ok: false,
    failure: { kind: "unknown-name", name: "nothing" },
  });
  const adjoint = value(solveAdjoint(circuit, bias, { output: "out", hertz: asked }));
  expect(() => injection(adjoint, 0, "0", "nowhere")).toThrow("nowhere");
  expect(() => injection(adjoint, 1, "0", "pa")).toThrow("frequency 1");
  expect(() => sourceTransfer(adjoint, 0, "nothing")).toThrow("nothing");
});

test("effort: one factoring per frequency, however many nets", () => {
  const { circuit, bias } = ready(twoStages());
  const { effort } = value(solveAdjoint(circuit, bias, { output: "out", hertz: FREQUENCIES }));
  expect(effort).toEqual({ steps: 0, factorings: 5, lawCalls: 0, residual: 0 });
});
