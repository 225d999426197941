/** Transients against SciPy's Radau on its own full equations: scipy/transient-cases.json, made by transient-cases.py. */
import { readFileSync } from "node:fs";
import {
  amps,
  type CompiledCircuit,
  compile,
  farads,
  henries,
  ohms,
  type Part,
  type RectifierLaw,
  solveBias,
  solveTransient,
  type TransientLimits,
  type TransientProblem,
  type TriodeLaw,
  volts,
} from "@platewright/engine";
import { expect, test } from "vitest";

interface Case {
  readonly name: string;
  readonly seconds: readonly number[];
  readonly volts: Readonly<Record<string, readonly number[]>>;
  readonly amps?: Readonly<Record<string, readonly number[]>>;
}
const { answers } = JSON.parse(readFileSync(new URL("scipy/transient-cases.json", import.meta.url), "utf8")) as {
  answers: readonly Case[];
};
const wanted = (name: string) => answers.find((one) => one.name === name) as Case;

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
const L = (id: string, a: string, b: string, value: number, series: number): Part => ({
  kind: "inductor",
  id,
  a,
  b,
  henries: henries(value),
  seriesOhms: ohms(series),
});
const signal = (plus: string): Part => ({ kind: "ac-source", id: "in", plus, minus: "0", seriesOhms: ohms(0) });
const diode = (id: string, anode: string, cathode: string, law: RectifierLaw): Part => ({
  kind: "diode",
  id,
  anode,
  cathode,
  law,
});
const made = (parts: readonly Part[]): CompiledCircuit => {
  const circuit = compile(parts);
  if (!circuit.ok) throw new Error(JSON.stringify(circuit.failure));
  return circuit.value;
};
const solved = (circuit: CompiledCircuit, problem: TransientProblem, limits: Partial<TransientLimits>) => {
  const answer = solveTransient(circuit, problem, limits);
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
};
const worst = (got: ArrayLike<number> | undefined, want: readonly number[] | undefined) => {
  expect(got?.length).toBe(want?.length);
  return Math.max(...(want ?? []).map((value, i) => Math.abs(value - (got?.[i] ?? Number.NaN))));
};

const KOREN: TriodeLaw = {
  space: { form: "koren", mu: 100, ex: 1.4, kg1: 1060, kp: 600, kvb: 300, Vct: 0 },
  grid: { form: "none" },
};
const stage = (n: number): Part[] => [
  R(`Ra${n}`, `p${n}`, "b", 1e5),
  R(`Rk${n}`, `k${n}`, "0", 1500),
  C(`Ck${n}`, `k${n}`, "0", 22e-6),
  {
    kind: "triode",
    id: `V${n}`,
    plate: `p${n}`,
    grid: `g${n}`,
    cathode: `k${n}`,
    law: KOREN,
    gridPlateFarads: farads(1.7e-12),
    gridCathodeFarads: farads(1.6e-12),
    plateCathodeFarads: farads(0.5e-12),
  },
];

test("two 12AX7 stages, 20 mV peak: 201 samples of 20 ms to 1e-8 V", () => {
  const circuit = made([
    signal("s"),
    R("Rs", "s", "g1", 68e3),
    R("Rg1", "g1", "0", 1e6),
    ...stage(1),
    C("C1", "p1", "g2", 22e-9),
    R("Rg2", "g2", "0", 470e3),
    ...stage(2),
    C("C2", "p2", "out", 1e-6),
    R("Ro", "out", "0", 1e5),
    C("Co", "out", "0", 100e-12),
    C("Cb", "b", "0", 22e-6),
    { kind: "dc-source", id: "B", plus: "b", minus: "0", volts: volts(300), seriesOhms: ohms(10e3) },
  ]);
  const bias = solveBias(circuit);
  if (!bias.ok) throw new Error(bias.failure.kind);
  const want = wanted("two-stages");
  const problem: TransientProblem = {
    start: bias.value,
    seconds: 0.02,
    drives: new Map([["in", (t) => 0.02 * Math.sin(2000 * Math.PI * t)]]),
    record: { nets: ["out", "p1"], at: want.seconds },
  };
  const fine = solved(circuit, problem, { absoluteVolts: 1e-9, relativeVolts: 1e-10 });
  expect(worst(fine.netVolts.get("out"), want.volts["out"])).toBeLessThan(1e-8);
  expect(worst(fine.netVolts.get("p1"), want.volts["p1"])).toBeLessThan(1e-8);
  // Printed to nine digits by an earlier independent solution.
  expect(Math.abs((fine.netVolts.get("out")?.[200] ?? 0) - 0.489571887)).toBeLessThan(1e-9);
  // The error follows the tolerance: the stage before amplifies what it leaves.
  const coarse = solved(circuit, problem, { absoluteVolts: 1e-5, relativeVolts: 1e-6 });
  expect(worst(coarse.netVolts.get("out"), want.volts["out"])).toBeLessThan(1e-4);
});

test("a vacuum diode charges an RC from empty", () => {
  const circuit = made([
    signal("s"),
    R("Rs", "s", "a", 100),
    C("stray", "a", "0", 1e-9),
    diode("D", "a", "c", { form: "power", K: 7.433e-4, p: 1.4878 }),
    C("C1", "c", "0", 20e-6),
    R("load", "c", "0", 1e4),
  ]);
  const want = wanted("diode-rc");
  const answer = solved(
    circuit,
    {
      start: "empty",
      seconds: 0.1,
      drives: new Map([["in", (t) => 325 * Math.sin(100 * Math.PI * t)]]),
      record: { nets: ["c"], at: want.seconds },
    },
    { absoluteVolts: 1e-8, relativeVolts: 1e-9 },
  );
  expect(worst(answer.netVolts.get("c"), want.volts["c"])).toBeLessThan(5e-6);
});

test("junction, choke and two capacitors on a rectified sine, with breaks at the zero crossings", () => {
  const circuit = made([
    signal("s"),
    R("Rs", "s", "a", 120),
    diode("D", "a", "v1", { form: "exponential", Is: 1e-9, nVt: 0.1 }),
    C("C1", "v1", "0", 10e-6),
    L("L", "v1", "v2", 10, 200),
    C("C2", "v2", "0", 32e-6),
    R("load", "v2", "0", 8e3),
  ]);
  const want = wanted("junction-choke");
  const answer = solved(
    circuit,
    {
      start: "empty",
      seconds: 0.1,
      drives: new Map([["in", (t) => Math.abs(300 * Math.sin(100 * Math.PI * t))]]),
      breaks: Array.from({ length: 9 }, (_, i) => (i + 1) / 100),
      record: { nets: ["v2"], currents: ["L"], at: want.seconds },
    },
    { absoluteVolts: 1e-7, relativeVolts: 1e-8, absoluteAmps: amps(1e-10) },
  );
  expect(worst(answer.netVolts.get("v2"), want.volts["v2"])).toBeLessThan(2e-5);
  expect(worst(answer.amps.get("L"), want.amps?.["L"])).toBeLessThan(2e-8);
});
