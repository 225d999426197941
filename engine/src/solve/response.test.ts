/** Response and impedance of linear networks against hand formulas; what an ideal source holds does not move. */
import { describe, expect, test } from "vitest";
import { compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import type { TriodeLaw } from "../tubes/law.ts";
import { farads, henries, hertz, ohms, volts } from "../units/quantities.ts";
import { solveBias } from "./bias.ts";
import { solveImpedance, solveResponse } from "./response.ts";

const R = (id: string, a: string, b: string, value: number): Part => ({
  kind: "resistor",
  id,
  a,
  b,
  ohms: ohms(value),
});
const S = (id: string, plus: string, series = 0): Part => ({
  kind: "ac-source",
  id,
  plus,
  minus: "0",
  seriesOhms: ohms(series),
});

function opened(parts: readonly Part[]) {
  const compiled = compile(parts);
  if (!compiled.ok) throw new Error(JSON.stringify(compiled.failure));
  const bias = solveBias(compiled.value);
  if (!bias.ok) throw new Error(bias.failure.kind);
  const circuit = compiled.value;
  return {
    transfer(source: string, output: string, f: number, against?: string) {
      const ask = { source, output, hertz: [hertz(f)], ...(against === undefined ? {} : { against }) };
      const answer = solveResponse(circuit, bias.value, ask);
      if (!answer.ok) throw new Error(answer.failure.kind);
      return answer.value.transfer[0] as { re: number; im: number };
    },
    impedance(net: string, f: number) {
      const answer = solveImpedance(circuit, bias.value, { net, hertz: [hertz(f)] });
      if (!answer.ok) throw new Error(answer.failure.kind);
      return answer.value[0] as { re: number; im: number };
    },
  };
}

const [r, l, c, load] = [75, 0.3, 2e-6, 4700];
const network = opened([
  S("in", "s"),
  S("other", "x"),
  { kind: "inductor", id: "L", a: "s", b: "o", henries: henries(l), seriesOhms: ohms(r) },
  { kind: "capacitor", id: "C", a: "o", b: "0", farads: farads(c) },
  R("R", "o", "0", load),
  R("Rx", "x", "0", 1e3),
  { kind: "dc-source", id: "B", plus: "b", minus: "0", volts: volts(100), seriesOhms: ohms(0) },
  R("Rb", "b", "o", 1e5),
]);

describe.each([3, 50, 205, 1000, 20e3])("choke into capacitor and load at %d Hz", (f) => {
  const w = 2 * Math.PI * f;
  // Admittance at the output without the choke: 1/load + 1/Rb + jwC; the choke r + jwL.
  const g = 1 / load + 1e-5;
  const b = w * c;
  // transfer = 1 / (1 + (r + jwL)(g + jb)); impedance = (r + jwL) times that.
  const re = 1 + r * g - w * l * b;
  const im = r * b + w * l * g;
  const size = re * re + im * im;

  test("transfer", () => {
    const got = network.transfer("in", "o", f);
    expect(Math.hypot(got.re - re / size, got.im + im / size) * Math.sqrt(size)).toBeLessThan(1e-9);
  });
  test("impedance looking in", () => {
    const got = network.impedance("o", f);
    const wanted = { re: (r * re + w * l * im) / size, im: (w * l * re - r * im) / size };
    expect(Math.hypot(got.re - wanted.re, got.im - wanted.im) / Math.hypot(wanted.re, wanted.im)).toBeLessThan(1e-9);
  });
  test("between two nets: the choke's own volts", () => {
    const across = network.transfer("in", "s", f, "o");
    const out = network.transfer("in", "o", f);
    expect(across.re).toBeCloseTo(1 - out.re, 12);
    expect(across.im).toBeCloseTo(-out.im, 12);
  });
});

test("what an ideal source holds: its own net moves by one, others' nets and the supply by nothing, impedance zero", () => {
  expect(network.transfer("in", "s", 1000)).toEqual({ re: 1, im: 0 });
  expect(network.transfer("in", "x", 1000)).toEqual({ re: 0, im: 0 });
  expect(network.transfer("other", "s", 1000)).toEqual({ re: 0, im: 0 });
  expect(network.transfer("other", "x", 1000)).toEqual({ re: 1, im: 0 });
  expect(network.transfer("in", "b", 1000)).toEqual({ re: 0, im: 0 });
  for (const net of ["s", "x", "b", "0"]) expect(network.impedance(net, 1000)).toEqual({ re: 0, im: 0 });
});

test("transfer is symmetric between two terminals of a passive network (reciprocity)", () => {
  const two = opened([
    S("left", "a", 600),
    S("right", "b", 600),
    { kind: "capacitor", id: "C", a: "a", b: "m", farads: farads(3e-8) },
    { kind: "inductor", id: "L", a: "m", b: "b", henries: henries(0.05), seriesOhms: ohms(20) },
    R("R", "m", "0", 1500),
    R("Ra", "a", "0", 5000),
  ]);
  for (const f of [100, 3000, 30e3]) {
    const there = two.transfer("left", "b", f);
    const back = two.transfer("right", "a", f);
    expect(Math.hypot(there.re - back.re, there.im - back.im)).toBeLessThan(1e-12);
  }
});

/** A 3/2-law tube at a bias that its own slopes are read from, so that each stage has its hand formula. */
describe("a tube driven from an ideal source", () => {
  const LAW: TriodeLaw = { space: { form: "three-halves", K: 1.0540926e-5, mu: 20, p: 1.5 }, grid: { form: "none" } };
  const tube = (plate: string, grid: string, cathode: string): Part => ({
    kind: "triode",
    id: "V",
    plate,
    grid,
    cathode,
    law: LAW,
    gridPlateFarads: farads(0),
    gridCathodeFarads: farads(0),
    plateCathodeFarads: farads(0),
  });
  const dc = (id: string, plus: string, minus: string, value: number): Part => ({
    kind: "dc-source",
    id,
    plus,
    minus,
    volts: volts(value),
    seriesOhms: ohms(0),
  });
  const slopes = (parts: readonly Part[]) => {
    const compiled = compile(parts);
    if (!compiled.ok) throw new Error(JSON.stringify(compiled.failure));
    const bias = solveBias(compiled.value);
    if (!bias.ok) throw new Error(bias.failure.kind);
    const found = bias.value.triodes.get("V");
    if (found === undefined) throw new Error("no tube");
    return found;
  };

  test("at its grid: -mu R / (rp + R)", () => {
    const parts = [
      S("in", "s"),
      dc("C", "g", "s", -6),
      tube("p", "g", "0"),
      R("Ra", "b", "p", 33e3),
      dc("B", "b", "0", 300),
    ];
    const { mu, plateOhms } = slopes(parts);
    expect(opened(parts).transfer("in", "p", 1000).re).toBeCloseTo((-mu * 33e3) / (plateOhms + 33e3), 6);
  });

  test("at its cathode, grid at rest: (mu + 1) R / (rp + R)", () => {
    const parts = [
      S("in", "s"),
      dc("C", "k", "s", 6),
      tube("p", "0", "k"),
      R("Ra", "b", "p", 33e3),
      dc("B", "b", "0", 300),
    ];
    const { mu, plateOhms } = slopes(parts);
    expect(opened(parts).transfer("in", "p", 1000).re).toBeCloseTo(((mu + 1) * 33e3) / (plateOhms + 33e3), 6);
  });

  test("at its plate, from the supply: R / (rp + R) of it reaches the cathode resistor's top, less feedback", () => {
    const parts = [S("in", "s"), dc("B", "p", "s", 200), tube("p", "0", "k"), R("Rk", "k", "0", 1000)];
    const { mu, plateOhms } = slopes(parts);
    expect(opened(parts).transfer("in", "k", 1000).re).toBeCloseTo(1000 / (plateOhms + (mu + 1) * 1000), 8);
  });
});
