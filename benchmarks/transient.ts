/**
 * `tsx benchmarks/transient.ts`: 20 ms of two stages against SciPy (LSODA, analytic Jacobian, by solve_ivp and by odeint) and,
 * where its library and a C compiler are found, compiled CVODE. Work-precision: the error is the largest over 201 samples of
 * `out` against checks/scipy/transient-cases.json; times are interpolated at equal measured error, processor seconds, best of
 * several, all in one run. Then 40 s of a start-up.
 */
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import {
  compile,
  farads,
  ohms,
  type OnePort,
  type Part,
  solveBias,
  solveTransient,
  type TriodeLaw,
  volts,
} from "@platewright/engine";

/** Processor seconds and error, by falling tolerance. */
type Curve = readonly (readonly [number, number])[];

const wanted = (
  JSON.parse(readFileSync("checks/scipy/transient-cases.json", "utf8")) as {
    answers: readonly { name: string; seconds: number[]; volts: Record<string, number[]> }[];
  }
).answers.find((one) => one.name === "two-stages");
if (wanted === undefined) throw new Error("no fixture");
const reference = wanted.volts["out"] ?? [];
const worst = (out: ArrayLike<number>) =>
  Math.max(...reference.map((value, i) => Math.abs(value - (out[i] ?? Number.NaN))));

const law: TriodeLaw = {
  space: { form: "koren", mu: 100, ex: 1.4, kg1: 1060, kp: 600, kvb: 300, Vct: 0 },
  grid: { form: "none" },
};
const R = (a: string, b: string, value: number): Part => ({
  kind: "resistor",
  id: `R ${a} ${b}`,
  a,
  b,
  ohms: ohms(value),
});
const C = (a: string, b: string, value: number): Part => ({
  kind: "capacitor",
  id: `C ${a} ${b}`,
  a,
  b,
  farads: farads(value),
});
const stage = (n: number): Part[] => [
  R(`p${n}`, "b", 1e5),
  R(`k${n}`, "0", 1500),
  C(`k${n}`, "0", 22e-6),
  {
    kind: "triode",
    id: `V${n}`,
    plate: `p${n}`,
    grid: `g${n}`,
    cathode: `k${n}`,
    law,
    gridPlateFarads: farads(1.7e-12),
    gridCathodeFarads: farads(1.6e-12),
    plateCathodeFarads: farads(0.5e-12),
  },
];
const stages = [
  { kind: "ac-source", id: "in", plus: "s", minus: "0", seriesOhms: ohms(0) } as const,
  R("s", "g1", 68e3),
  R("g1", "0", 1e6),
  ...stage(1),
  C("p1", "g2", 22e-9),
  R("g2", "0", 470e3),
  ...stage(2),
  C("p2", "out", 1e-6),
  R("out", "0", 1e5),
  C("out", "0", 100e-12),
  C("b", "0", 22e-6),
];
const good = <T>(
  result: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: unknown },
): T => {
  if (!result.ok) throw new Error(JSON.stringify(result.failure));
  return result.value;
};
const circuit = good(
  compile([
    ...stages,
    { kind: "dc-source", id: "B", plus: "b", minus: "0", volts: volts(300), seriesOhms: ohms(10e3) },
  ]),
);
const bias = good(solveBias(circuit));

/** Best processor seconds of the main thread of several runs. */
function best(work: () => void, repeats: number): number {
  let least = Infinity;
  for (let i = 0; i < repeats; i++) {
    const from = process.cpuUsage();
    work();
    const spent = process.cpuUsage(from);
    least = Math.min(least, (spent.user + spent.system) / 1e6);
  }
  return least;
}

function ours(): Curve {
  const run = (tolerance: number) =>
    good(
      solveTransient(
        circuit,
        {
          start: bias,
          seconds: 0.02,
          drives: new Map([["in", (t) => 0.02 * Math.sin(2000 * Math.PI * t)]]),
          record: { nets: ["out"], at: wanted?.seconds ?? [] },
        },
        { absoluteVolts: tolerance, relativeVolts: 0.1 * tolerance },
      ),
    );
  for (let i = 0; i < 20; i++) run(1e-4);
  return [1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9].map((tolerance) => {
    const error = worst(run(tolerance).netVolts.get("out") ?? []);
    return [best(() => run(tolerance), 25), error] as const;
  });
}

const python = ["python3", "/usr/bin/python3"].find((one) => spawnSync(one, ["-c", "import scipy"]).status === 0);
function scipy(): Readonly<Record<string, Curve>> {
  if (python === undefined) return {};
  const ran = spawnSync(python, ["benchmarks/transient-peers.py"], {
    encoding: "utf8",
    env: { ...process.env, OMP_NUM_THREADS: "1", OPENBLAS_NUM_THREADS: "1" },
  });
  return ran.status === 0 ? (JSON.parse(ran.stdout) as Record<string, Curve>) : {};
}

const folder = mkdtempSync(join(tmpdir(), "platewright-"));
const program = join(folder, "cvode");
const libraries = ["cvode", "nvecserial", "sunmatrixdense", "sunlinsoldense"].map((name) => `-lsundials_${name}`);
const compiled =
  spawnSync("cc", ["-O2", "benchmarks/transient-cvode.c", "-o", program, ...libraries, "-lm"]).status === 0;
function cvode(): Curve {
  if (!compiled) return [];
  const ran = spawnSync(program, { encoding: "utf8", maxBuffer: 1e8 });
  if (ran.status !== 0) return [];
  return (JSON.parse(ran.stdout) as { seconds: number; out: number[] }[]).map((row) => [row.seconds, worst(row.out)]);
}

/** Seconds at an error, logarithmically between the nearest rows; undefined outside the curve. */
function at(curve: Curve, error: number): number | undefined {
  for (let i = 1; i < curve.length; i++) {
    const [t0, e0] = curve[i - 1] as readonly [number, number];
    const [t1, e1] = curve[i] as readonly [number, number];
    if (e0 >= error && e1 <= error && e0 > e1)
      return Math.exp(Math.log(t0) + (Math.log(t1 / t0) * Math.log(error / e0)) / Math.log(e1 / e0));
  }
  return undefined;
}

/** The pass with the least time, tolerance by tolerance. */
const least = (passes: readonly Curve[]): Curve =>
  (passes[0] ?? []).map(([, error], i) => [Math.min(...passes.map((pass) => pass[i]?.[0] ?? Infinity)), error]);

const passes = [0, 1].map(() => ({ engine: ours(), peers: scipy(), cvode: cvode() }));
rmSync(folder, { recursive: true, force: true });
const engine = least(passes.map((pass) => pass.engine));
const rivals: readonly (readonly [string, Curve])[] = [
  ["SciPy solve_ivp LSODA", least(passes.map((pass) => pass.peers["LSODA"] ?? []))],
  ["SciPy odeint", least(passes.map((pass) => pass.peers["odeint"] ?? []))],
  ["CVODE (C)", least(passes.map((pass) => pass.cvode))],
];
const cell = (seconds: number | undefined) => (seconds === undefined ? "–" : `${(seconds * 1e3).toFixed(1)} ms`);
console.log(`| error, V | ours | ${rivals.map(([name]) => `${name} | ratio`).join(" | ")} |`);
console.log(`|---|---|${rivals.map(() => "---|---|").join("")}`);
for (const error of [1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-7]) {
  const mine = at(engine, error);
  const cells = rivals.map(([, curve]) => {
    const theirs = at(curve, error);
    return `${cell(theirs)} | ${theirs === undefined || mine === undefined ? "–" : (theirs / mine).toFixed(1)}`;
  });
  console.log(`| ${error} | ${cell(mine)} | ${cells.join(" | ")} |`);
}

// Start-up: two stages behind 2.2k and 47 uF twice, fed through an averaged rectifier that warms up for 11 s, tubes for 15 s.
const warm = (from: number, to: number) => (t: number) => {
  const x = Math.min(1, Math.max(0, (t - from) / (to - from)));
  return x * x * (3 - 2 * x);
};
const rectifier: OnePort = {
  id: "rectifier",
  plus: "raw",
  minus: "c1",
  current: (t, u, out) => {
    const grown = warm(3, 11)(t) * 1e-3;
    out[0] = u > 0 ? grown * u * Math.sqrt(u) : 0;
    out[1] = u > 0 ? 1.5 * grown * Math.sqrt(u) : 0;
  },
};
const whole = good(
  compile([
    ...stages,
    { kind: "dc-source", id: "winding", plus: "raw", minus: "0", volts: volts(380), seriesOhms: ohms(0) },
    R("raw", "0", 1e6),
    C("c1", "0", 47e-6),
    R("c1", "c2", 2200),
    C("c2", "0", 47e-6),
    R("c2", "b", 2200),
    R("c2", "0", 220e3),
  ]),
);
const startUp = () =>
  good(
    solveTransient(whole, {
      start: "empty",
      seconds: 40,
      emission: new Map([
        ["V1", warm(8, 15)],
        ["V2", warm(8, 15)],
      ]),
      breaks: [3, 8, 11, 15],
      ports: [rectifier],
      record: { nets: ["c1", "c2", "b", "p1", "out"], at: { mostSamples: 400 } },
    }),
  );
const started = startUp();
console.log(
  `\n40 s of a start-up: ${(best(startUp, 9) * 1e3).toFixed(1)} ms, ${started.effort.steps} steps, c1 peak ${started.peaks.get("c1")?.highestVolts.toFixed(1)} V`,
);
