import { describe, expect, test } from "vitest";
import { compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { henries, ohms } from "../units/quantities.ts";
import {
  capacitor,
  ISLAND_12AU7,
  NO_GRID,
  ready,
  resistor,
  signal,
  supply,
  triode,
  twoStages,
} from "./test-circuits.ts";
import {
  type OnePort,
  solveTransient,
  transientSentence,
  type TransientAnswer,
  type TransientLimits,
  type TransientProblem,
} from "./transient.ts";

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

const diode = (id: string, anode: string, cathode: string): Part => ({
  kind: "diode",
  id,
  anode,
  cathode,
  law: { form: "power", K: 1e-3, p: 1.5 },
});
const FINE = { absoluteVolts: 1e-9, relativeVolts: 1e-9, absoluteAmps: 1e-12 };
/** Trapezoidal integral of samples over their times. */
const integral = (seconds: Float64Array, of: (i: number) => number) => {
  let sum = 0;
  for (let i = 1; i < seconds.length; i++)
    sum += 0.5 * (of(i) + of(i - 1)) * ((seconds[i] as number) - (seconds[i - 1] as number));
  return sum;
};

test("observed order is 4, at the end of the steps and between them", () => {
  // No time constant is short against the steps: stiffness costs order, and is tested apart.
  const parts = [
    signal("in", "g"),
    triode("V", ["p", "g", "k"], { space: ISLAND_12AU7, grid: NO_GRID }, [0, 0, 0]),
    resistor("Ra", "b", "p", 15e3),
    capacitor("Cp", "p", "0", 0.2e-6),
    resistor("Rk", "k", "0", 680),
    capacitor("Ck", "k", "0", 10e-6),
    supply("B", "b", 250),
  ];
  const { circuit, bias } = ready(parts);
  const at = times(37, 0.04);
  const run = (limits: Partial<TransientLimits>) => {
    const answer = solveTransient(
      circuit,
      {
        start: bias,
        seconds: 0.04,
        drives: new Map([["in", (t: number) => 2 * Math.sin(100 * Math.PI * t)]]),
        record: { nets: ["p"], at },
      },
      limits,
    );
    if (!answer.ok) throw new Error(answer.failure.kind);
    return column(answer.value, "p");
  };
  const best = run({ absoluteVolts: 1e-11, relativeVolts: 1e-12 });
  const errors = [1, 2, 4].map((k) => {
    const got = run({ fixedSeconds: 0.04 / (100 * k) });
    return {
      end: Math.abs((got.at(-1) ?? 0) - (best.at(-1) ?? 0)),
      between: Math.max(...Array.from(got, (v, i) => Math.abs(v - (best[i] as number)))),
    };
  });
  for (const kind of ["end", "between"] as const)
    for (const i of [1, 2]) {
      const order = Math.log2((errors[i - 1]?.[kind] ?? 0) / (errors[i]?.[kind] ?? 1));
      expect(order, `${kind}, halving ${i}`).toBeGreaterThan(3.6);
      expect(order, `${kind}, halving ${i}`).toBeLessThan(4.6);
    }
});

describe("breaks and stiffness", () => {
  test("a source jumps at a break: capacitors divide at once, then the resistor discharges them", () => {
    const parts = [
      signal("in", "s"),
      capacitor("C1", "s", "m", 2e-6),
      capacitor("C2", "m", "0", 1e-6),
      resistor("R", "m", "0", 1000),
    ];
    const at = [0.5e-3, 1e-3, 1.5e-3, 2e-3, 5e-3];
    const answer = solved(
      parts,
      {
        start: "empty",
        seconds: 5e-3,
        drives: new Map([["in", (t) => (t >= 1e-3 ? 9 : 0)]]),
        breaks: [1e-3],
        record: { nets: ["m"], at },
      },
      FINE,
    );
    const law = (t: number) => (t >= 1e-3 ? 6 * Math.exp(-(t - 1e-3) / 3e-3) : 0);
    expect(miss(answer, "m", law)).toBeLessThan(1e-7);
    expect(answer.peaks.get("m")?.highestVolts).toBeCloseTo(6, 8);
    expect(answer.peaks.get("m")?.highestSeconds).toBe(1e-3);
  });

  test("time constants of 1 ns and 1 s: the short one costs no steps once it is over", () => {
    const parts = [
      signal("in", "s"),
      resistor("R1", "s", "f", 1000),
      capacitor("C1", "f", "0", 1e-12),
      resistor("R2", "f", "c", 1e6),
      capacitor("C2", "c", "0", 1e-6),
    ];
    const answer = solved(
      parts,
      {
        start: "empty",
        seconds: 3,
        drives: new Map([["in", () => 10]]),
        record: { nets: ["c", "f"], at: times(30, 3) },
      },
      { absoluteVolts: 1e-6, relativeVolts: 1e-6 },
    );
    expect(miss(answer, "c", (t) => 10 * (1 - Math.exp(-t / 1.001)))).toBeLessThan(1e-4);
    expect(answer.effort.steps).toBeLessThan(250);
  });
});

describe("what is conserved", () => {
  const parts = [
    signal("in", "s"),
    resistor("Rs", "s", "a", 150),
    diode("D", "a", "c"),
    capacitor("C", "c", "0", 10e-6),
    inductor("L", "c", "d", 5, 120),
    capacitor("C2", "d", "0", 22e-6),
    resistor("load", "d", "0", 6800),
  ];
  const emf = (t: number) => 300 * Math.sin(100 * Math.PI * t);
  const answer = solved(
    parts,
    {
      start: "empty",
      seconds: 0.1,
      drives: new Map([["in", emf]]),
      record: { nets: ["a", "c", "d"], currents: ["D", "L"], at: times(8000, 0.1) },
    },
    { absoluteVolts: 1e-7, relativeVolts: 1e-7 },
  );
  const { seconds } = answer;
  const net = (name: string) => (i: number) => column(answer, name)[i] as number;
  const amps = (id: string) => (i: number) => answer.amps.get(id)?.[i] ?? Number.NaN;
  const last = seconds.length - 1;

  test("mean current of a capacitor is C dV/T", () => {
    const first = integral(seconds, (i) => amps("D")(i) - amps("L")(i));
    expect(first / (10e-6 * net("c")(last))).toBeCloseTo(1, 4);
    const second = integral(seconds, (i) => amps("L")(i) - net("d")(i) / 6800);
    expect(second / (22e-6 * net("d")(last))).toBeCloseTo(1, 4);
  });

  test("energy in is heat and what is stored, to 0.01 %", () => {
    const given = integral(seconds, (i) => emf(seconds[i] as number) * amps("D")(i));
    const heat = integral(
      seconds,
      (i) =>
        150 * amps("D")(i) ** 2 +
        (net("a")(i) - net("c")(i)) * amps("D")(i) +
        120 * amps("L")(i) ** 2 +
        net("d")(i) ** 2 / 6800,
    );
    const stored = 0.5 * (10e-6 * net("c")(last) ** 2 + 22e-6 * net("d")(last) ** 2 + 5 * amps("L")(last) ** 2);
    expect((heat + stored) / given).toBeCloseTo(1, 4);
  });
});

describe("starts, warm-up, given ports", () => {
  const drives = new Map([["in", (t: number) => 0.02 * Math.sin(2000 * Math.PI * t)]]);

  test("a bias stands still", () => {
    const { circuit, bias } = ready(twoStages());
    const answer = solveTransient(circuit, { start: bias, seconds: 0.1, record: { nets: ["p2", "b"], at: [0, 0.1] } });
    if (!answer.ok) throw new Error(answer.failure.kind);
    for (const name of ["p2", "b"])
      for (const volts of column(answer.value, name)) expect(volts).toBeCloseTo(bias.netVolts.get(name) ?? 0, 6);
  });

  test("from empty, with the supply on, it comes to the bias", () => {
    const { circuit, bias } = ready(twoStages());
    const answer = solveTransient(circuit, { start: "empty", seconds: 10, record: { nets: ["p2"], at: [10] } });
    if (!answer.ok) throw new Error(answer.failure.kind);
    for (const [name, volts] of answer.value.end.netVolts) expect(volts).toBeCloseTo(bias.netVolts.get(name) ?? 0, 3);
  });

  test("two solves in a row are one", () => {
    const { circuit, bias } = ready(twoStages());
    const limits = { absoluteVolts: 1e-8, relativeVolts: 1e-9 };
    const record = { nets: ["out"], at: [] };
    const whole = solveTransient(circuit, { start: bias, seconds: 0.003, drives, record }, limits);
    const first = solveTransient(circuit, { start: bias, seconds: 0.00123, drives, record }, limits);
    if (!whole.ok || !first.ok) throw new Error("no answer");
    const later = new Map([["in", (t: number) => 0.02 * Math.sin(2000 * Math.PI * (t + 0.00123))]]);
    const second = solveTransient(
      circuit,
      { start: first.value.end, seconds: 0.003 - 0.00123, drives: later, record },
      limits,
    );
    if (!second.ok) throw new Error(second.failure.kind);
    for (const [name, volts] of whole.value.end.netVolts)
      expect(Math.abs(volts - (second.value.end.netVolts.get(name) ?? Number.NaN)), name).toBeLessThan(1e-6);
  });

  test("a switch closes between two solves: charges add", () => {
    const parts = (closed: boolean): Part[] => [
      signal("in", "s"),
      resistor("R", "s", "a", 1e9),
      capacitor("C1", "a", "0", 3e-6),
      { kind: "switch", id: "K", a: "a", b: "b", closed },
      capacitor("C2", "b", "0", 1e-6),
      resistor("leak", "b", "0", 1e9),
    ];
    const start = { netVolts: new Map([["a", 8]]) };
    const answer = solved(parts(true), { start, seconds: 1e-3, record: { nets: ["b"], at: [0] } });
    expect(column(answer, "b")[0]).toBeCloseTo(6, 9);
  });

  test("without emission a tube draws nothing; it comes up with its heater", () => {
    const circuit = [
      supply("B", "b", 250),
      resistor("Ra", "b", "p", 47e3),
      triode("V", ["p", "0", "k"], { space: ISLAND_12AU7, grid: NO_GRID }),
      resistor("Rk", "k", "0", 1000),
      capacitor("Ck", "k", "0", 100e-6),
    ];
    const emission = new Map([["V", (t: number) => Math.min(1, Math.max(0, t - 1))]]);
    const answer = solved(circuit, {
      start: "empty",
      seconds: 4,
      emission,
      breaks: [1, 2],
      record: { nets: ["p"], currents: ["V"], at: [0.9, 1.5, 4] },
    });
    expect(column(answer, "p")[0]).toBeCloseTo(250, 3);
    const { bias } = ready(circuit);
    expect(column(answer, "p")[2]).toBeCloseTo(bias.netVolts.get("p") ?? 0, 2);
    expect(answer.amps.get("V")?.[0]).toBe(0);
    expect(answer.amps.get("V")?.[2]).toBeCloseTo(bias.triodes.get("V")?.plateAmps ?? 0, 6);
  });

  test("a given port with a diode's law is that diode", () => {
    const rest = [
      signal("in", "s"),
      resistor("Rs", "s", "a", 100),
      resistor("stray", "a", "0", 1e9),
      capacitor("C", "c", "0", 20e-6),
      resistor("load", "c", "0", 1e4),
    ];
    const problem = {
      start: "empty" as const,
      seconds: 0.05,
      drives: new Map([["in", (t: number) => 300 * Math.sin(100 * Math.PI * t)]]),
      record: { nets: ["c"], at: times(50, 0.05) },
    };
    const law: OnePort["current"] = (_, u, out) => {
      out[0] = u > 0 ? 1e-3 * u ** 1.5 : 0;
      out[1] = u > 0 ? 1.5e-3 * Math.sqrt(u) : 0;
    };
    const a = solved([...rest, diode("D", "a", "c")], problem, FINE);
    const b = solved(rest, { ...problem, ports: [{ id: "D", plus: "a", minus: "c", current: law }] }, FINE);
    for (const [i, volts] of column(a, "c").entries())
      expect(Math.abs((column(b, "c")[i] as number) - volts)).toBeLessThan(2e-5);
  });

  test("a net that only a diode and a choke touch: their currents are one", () => {
    const parts = [
      signal("in", "s"),
      diode("D", "s", "m"),
      inductor("L", "m", "c", 10, 200),
      capacitor("C", "c", "0", 20e-6),
      resistor("load", "c", "0", 5000),
    ];
    const answer = solved(
      parts,
      {
        start: "empty",
        seconds: 0.1,
        drives: new Map([["in", (t) => Math.abs(300 * Math.sin(100 * Math.PI * t))]]),
        breaks: Array.from({ length: 9 }, (_, i) => (i + 1) / 100),
        record: { nets: ["m", "c"], currents: ["D", "L"], at: { mostSamples: 5000 } },
      },
      { absoluteVolts: 1e-6, relativeVolts: 1e-6, absoluteAmps: 1e-9 },
    );
    const [d, l] = [answer.amps.get("D") ?? [], answer.amps.get("L") ?? []];
    expect(Math.max(...l)).toBeGreaterThan(0.02);
    for (const [i, amps] of Array.from(d).entries()) expect(Math.abs(amps - (l[i] ?? Number.NaN))).toBeLessThan(1e-7);
  });

  test("own samples: no more than asked, first and last there", () => {
    const { circuit, bias } = ready(twoStages());
    const answer = solveTransient(circuit, {
      start: bias,
      seconds: 0.02,
      drives,
      record: { nets: ["out"], at: { mostSamples: 50 } },
    });
    if (!answer.ok) throw new Error(answer.failure.kind);
    const { seconds } = answer.value;
    expect(seconds.length).toBeLessThanOrEqual(50);
    expect(seconds.length).toBeGreaterThan(20);
    expect([seconds[0], seconds.at(-1)]).toEqual([0, 0.02]);
    for (let i = 1; i < seconds.length; i++) expect(seconds[i]).toBeGreaterThan(seconds[i - 1] as number);
  });
});

test("junctions: a rectifier of silicon and a clamp, from empty; their exponential costs no steps", () => {
  const junction = (id: string, anode: string, cathode: string): Part => ({
    kind: "diode",
    id,
    anode,
    cathode,
    law: { form: "exponential", Is: 8.3e-9, nVt: 0.05 },
  });
  const parts = [
    signal("in", "s"),
    resistor("Rs", "s", "a", 50),
    junction("D", "a", "c"),
    capacitor("C", "c", "0", 47e-6),
    resistor("load", "c", "0", 5000),
    resistor("Rc", "c", "m", 10e3),
    junction("clamp", "m", "0"),
    capacitor("Cm", "m", "0", 1e-9),
  ];
  const answer = solved(parts, {
    start: "empty",
    seconds: 0.1,
    drives: new Map([["in", (t: number) => 300 * Math.sin(100 * Math.PI * t)]]),
    record: { nets: ["c", "m", "a"], currents: ["D", "clamp"], at: times(2000, 0.1) },
  });
  for (const [i, amps] of (answer.amps.get("D") ?? []).entries()) {
    const drop = (column(answer, "a")[i] as number) - (column(answer, "c")[i] as number);
    if (amps > 1e-3) expect(Math.abs(0.05 * Math.log1p(amps / 8.3e-9) - drop)).toBeLessThan(2e-3);
    expect(amps).toBeGreaterThan(-1e-6);
  }
  // At the end the clamp carries what its resistor brings.
  const [c, m] = [column(answer, "c").at(-1) ?? 0, column(answer, "m").at(-1) ?? 0];
  expect(m).toBeCloseTo(0.05 * Math.log1p((c - m) / 10e3 / 8.3e-9), 3);
  // Lower them when the method betters, never raise them to pass.
  const { steps, rejected, newtonIterations } = answer.effort;
  expect(steps).toBeLessThanOrEqual(239);
  expect(rejected).toBeLessThanOrEqual(25);
  expect(newtonIterations).toBeLessThanOrEqual(3002);
});

describe("failures are named", () => {
  const parts = [signal("in", "s"), resistor("R", "s", "c", 1e3), capacitor("C", "c", "0", 1e-6)];
  const failing = (problem: Partial<TransientProblem>, limits: Partial<TransientLimits> = {}) => {
    const answer = solveTransient(
      made(parts),
      { start: "empty", seconds: 0.01, record: { nets: ["c"], at: [] }, ...problem },
      limits,
    );
    if (answer.ok) throw new Error("it answered");
    expect(transientSentence(answer.failure)).toMatch(/^[A-Z].*\.$/);
    return answer.failure;
  };
  test.each([
    ["a duration of 0", { seconds: 0 }, "bad-input"],
    ["no duration", { seconds: Number.NaN }, "bad-input"],
    ["a record time beyond the end", { record: { nets: ["c"], at: [0.02] } }, "bad-input"],
    ["record times that fall", { record: { nets: ["c"], at: [0.005, 0.001] } }, "bad-input"],
    ["an unknown net", { record: { nets: ["x"], at: [] } }, "unknown-name"],
    ["an unknown source", { drives: new Map([["x", () => 1]]) }, "unknown-name"],
    ["an unknown heater", { emission: new Map([["x", () => 1]]) }, "unknown-name"],
    [
      "a source that is not a number",
      { drives: new Map([["in", (t: number) => (t > 0.005 ? Number.NaN : 1)]]) },
      "not-finite",
    ],
    [
      "a port that is not a number",
      {
        ports: [
          {
            id: "X",
            plus: "c",
            minus: "0",
            current: (_t: number, _u: number, out: Float64Array) => out.fill(Number.NaN),
          },
        ],
      },
      "not-finite",
    ],
  ] as const)("%s", (_, problem, kind) => {
    expect(failing(problem as Partial<TransientProblem>).kind).toBe(kind);
  });
  test("more steps than allowed", () => {
    const failure = failing({ drives: new Map([["in", (t) => Math.sin(1e6 * t)]]) }, { mostSteps: 50 });
    expect(failure.kind).toBe("too-many-steps");
    if (failure.kind === "too-many-steps") expect(failure.seconds).toBeLessThan(0.01);
  });
});

test("a circuit without tubes needs no Newton: every count of it stays at zero", () => {
  const circuit = compile([supply("B", "b", 10), resistor("R", "b", "o", 1000), capacitor("C", "o", "0", 1e-6)]);
  if (!circuit.ok) throw new Error(circuit.failure.kind);
  const answer = solveTransient(circuit.value, { start: "empty", seconds: 0.01, record: { nets: ["o"], at: [0.01] } });
  expect(answer.ok && answer.value.effort).toMatchObject({ newtonIterations: 0, factorings: 0, lawCalls: 0 });
});
