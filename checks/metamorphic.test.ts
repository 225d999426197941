/**
 * What must not change an answer: order of parts and pins, names of nets, the scale of impedances and of time, mirrored
 * channels, where the drawing puts ground's net, a closed switch against one net, a source without resistance against one with
 * almost none, units written another way. For bias, response and harmonics of a two-tube channel; seeds in the test names.
 */
import {
  amps,
  compile,
  harmonicProblem,
  henries,
  hertz,
  ohms,
  type Part,
  parseValue,
  printValue,
  seededRandom,
  solveBias,
  solveHarmonics,
  solveImpedance,
  solveResponse,
  volts,
} from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { capacitor, resistor, supply, triode } from "./harmonics-circuits.ts";

const LAW = {
  space: { form: "island", G: 1.2688e-3, mu: 20.825, p: 1.3705, k: 5.683, a: 0.2933, Vt: 0.1805, Vct: 0.226 },
  grid: { form: "softplus", Gg: 4e-4, xi: 1.3, C: 10, Vg0: -0.4 },
} as const;
const BETWEEN = [1.5e-12, 1.6e-12, 0.5e-12] as const;

/** Gain half with drive pot, capacitor-coupled follower on a current sink's help, choke in its plate feed, level pot. */
const CHANNEL: readonly Part[] = [
  { kind: "ac-source", id: "in", plus: "s", minus: "0", seriesOhms: ohms(600) },
  { kind: "potentiometer", id: "drive", top: "s", wiper: "w", bottom: "0", ohms: ohms(50e3), fraction: 0.7 },
  resistor("Rs1", "w", "g1", 220),
  triode("V1", ["p1", "g1", "k1"], LAW, BETWEEN),
  resistor("Rk1", "k1", "0", 680),
  capacitor("Ck1", "k1", "0", 470e-6),
  resistor("Ra", "b", "p1", 15e3),
  capacitor("Cc", "p1", "n", 100e-9),
  resistor("Rs2", "n", "g2", 470),
  resistor("Rg2", "n", "t", 470e3),
  triode("V2", ["c", "g2", "k2"], LAW, BETWEEN),
  { kind: "inductor", id: "L", a: "b", b: "c", henries: henries(5), seriesOhms: ohms(300) },
  resistor("Rk2", "k2", "t", 820),
  resistor("Rt", "t", "0", 10e3),
  { kind: "current-sink", id: "sink", from: "t", to: "0", amps: amps(2e-3), parallelOhms: ohms(1e6) },
  capacitor("Co", "k2", "o", 4.7e-6),
  { kind: "potentiometer", id: "level", top: "o", wiper: "out", bottom: "0", ohms: ohms(25e3), fraction: 0.6 },
  capacitor("cable", "out", "0", 500e-12),
  supply("B", "b", 260, 1200),
  capacitor("Cb", "b", "0", 47e-6),
];
const FREQUENCIES = [12, 1000, 70e3].map(hertz);
const NETS = ["s", "w", "g1", "p1", "k1", "n", "g2", "c", "k2", "t", "o", "out", "b"];

interface Answers {
  readonly bias: readonly number[];
  readonly response: readonly number[];
  readonly impedance: readonly number[];
  readonly harmonics: readonly number[];
}

/** All answers of a circuit; `name` says what a net is called in it, `timeScale` how much slower it is; K harmonics. */
function answersOf(parts: readonly Part[], name = (net: string) => net, timeScale = 1, K = 16): Answers {
  const compiled = compile(parts);
  if (!compiled.ok) throw new Error(JSON.stringify(compiled.failure));
  const circuit = compiled.value;
  const bias = solveBias(circuit);
  if (!bias.ok) throw new Error(bias.failure.kind);
  const at = FREQUENCIES.map((f) => hertz(f / timeScale));
  const response = solveResponse(circuit, bias.value, { source: "in", output: name("out"), hertz: at });
  const impedance = solveImpedance(circuit, bias.value, { net: name("out"), hertz: at });
  const problem = harmonicProblem(circuit, bias.value, {
    source: "in",
    hertz: hertz(1000 / timeScale),
    output: name("out"),
    limits: { residualFraction: 1e-12 },
  });
  const harmonics = solveHarmonics(problem, { sourceVoltsPeak: volts(4), harmonics: K });
  if (!response.ok || !impedance.ok || !harmonics.ok) throw new Error("not solved");
  return {
    bias: NETS.map((net) => bias.value.netVolts.get(name(net)) ?? Number.NaN),
    response: response.value.transfer.flatMap(({ re, im }) => [re, im]),
    impedance: impedance.value.flatMap(({ re, im }) => [re, im]),
    harmonics: [...harmonics.value.output.real, ...harmonics.value.output.imaginary],
  };
}

/** Every kind of answer alike, relative to the largest number of its kind. */
function expectSame(got: Answers, wanted: Answers, tolerance: number, impedanceScale = 1): void {
  for (const kind of ["bias", "response", "impedance", "harmonics"] as const) {
    const largest = Math.max(...wanted[kind].map(Math.abs));
    const factor = kind === "impedance" ? impedanceScale : 1;
    expect(got[kind].length).toBe(wanted[kind].length);
    const worst = Math.max(...got[kind].map((x, i) => Math.abs(x / factor - (wanted[kind][i] as number))));
    expect(worst / largest, kind).toBeLessThan(tolerance);
  }
}

const base = answersOf(CHANNEL);
const NET_FIELDS = [
  "a",
  "b",
  "top",
  "wiper",
  "bottom",
  "plate",
  "grid",
  "cathode",
  "anode",
  "plus",
  "minus",
  "from",
  "to",
  "tip",
  "sleeve",
];
const rename = (parts: readonly Part[], name: (net: string) => string, id = (one: string) => one): readonly Part[] =>
  parts.map(
    (part) =>
      Object.fromEntries(
        Object.entries(part).map(([key, value]) => [
          key,
          key === "id" ? id(String(value)) : NET_FIELDS.includes(key) ? name(String(value)) : value,
        ]),
      ) as unknown as Part,
  );

function shuffled<T>(list: readonly T[], seed: number): T[] {
  const random = seededRandom(seed);
  const out = [...list];
  for (let i = out.length - 1; i > 0; i--) {
    const j = random.below(i + 1);
    [out[i], out[j]] = [out[j] as T, out[i] as T];
  }
  return out;
}

test("the circuit is worth it: gain, second harmonic and grid current at this level", () => {
  const [h1 = 0, h2 = 0] = [1, 2].map((k) => Math.hypot(base.harmonics[k] as number, base.harmonics[k + 17] as number));
  expect(h1).toBeGreaterThan(4);
  expect(h2 / h1).toBeGreaterThan(0.01);
});

describe.each([1, 2, 3, 4, 5, 6, 7, 8])("seed %d", (seed) => {
  test("order of parts", () => expectSame(answersOf(shuffled(CHANNEL, seed)), base, 1e-10));

  test("ends of resistors, capacitors and chokes exchanged, a pot turned round", () => {
    const random = seededRandom(seed);
    const turned = CHANNEL.map((part): Part => {
      if (random.uniform() < 0.4) return part;
      if (part.kind === "resistor" || part.kind === "capacitor" || part.kind === "inductor")
        return { ...part, a: part.b, b: part.a };
      if (part.kind === "potentiometer")
        return { ...part, top: part.bottom, bottom: part.top, fraction: 1 - part.fraction };
      return part;
    });
    expectSame(answersOf(turned), base, 1e-10);
  });

  test("names of nets and parts", () => {
    const names = new Map(shuffled(NETS, seed).map((net, i) => [net, `n${i}`]));
    const name = (net: string) => names.get(net) ?? net;
    const id = (one: string) => (one === "in" ? one : `x${one}`);
    expectSame(answersOf(rename(shuffled(CHANNEL, seed + 100), name, id), name), base, 1e-10);
  });

  test("one resistor as two in series or side by side, one capacitor as two side by side", () => {
    const random = seededRandom(seed);
    const parts = CHANNEL.flatMap((part): Part[] => {
      const share = 0.2 + 0.6 * random.uniform();
      if (part.kind === "resistor" && random.uniform() < 0.5)
        return [
          resistor(part.id, part.a, `${part.id}m`, part.ohms * share),
          resistor(`${part.id}b`, `${part.id}m`, part.b, part.ohms * (1 - share)),
        ];
      if (part.kind === "resistor")
        return [
          resistor(part.id, part.a, part.b, part.ohms / share),
          resistor(`${part.id}b`, part.a, part.b, part.ohms / (1 - share)),
        ];
      if (part.kind === "capacitor")
        return [
          capacitor(part.id, part.a, part.b, part.farads * share),
          capacitor(`${part.id}b`, part.a, part.b, part.farads * (1 - share)),
        ];
      return [part];
    });
    expectSame(answersOf(parts), base, 1e-9);
  });
});

test.each([0.13, 4.7, 100])("impedances times %d: the same volts, output impedance times as much", (s) => {
  const law = { space: { ...LAW.space, G: LAW.space.G / s }, grid: { ...LAW.grid, Gg: LAW.grid.Gg / s } } as const;
  const scaled = CHANNEL.map((part): Part => {
    const more: Record<string, unknown> = {};
    for (const [key, value] of Object.entries(part)) {
      if (/ohms$/i.test(key) || key === "henries") more[key] = value * s;
      if (/farads$/i.test(key) || key === "amps") more[key] = value / s;
    }
    return { ...part, ...more, ...(part.kind === "triode" ? { law } : {}) } as Part;
  });
  expectSame(answersOf(scaled), base, 1e-8, s);
});

test.each([0.02, 30])("capacitors and chokes times %d, frequencies over it: the same answers", (s) => {
  const slower = CHANNEL.map((part): Part => {
    const more: Record<string, unknown> = {};
    for (const [key, value] of Object.entries(part))
      if (/farads$/i.test(key) || key === "henries") more[key] = value * s;
    return { ...part, ...more } as Part;
  });
  expectSame(
    answersOf(slower, (net) => net, s),
    base,
    1e-9,
  );
});

test("two mirrored channels on one stiff supply: each as it was alone, the other silent when it has no signal", () => {
  const stiff = CHANNEL.filter((part) => !["B", "Cb"].includes(part.id));
  const alone = answersOf([...stiff, supply("B", "b", 260)]);
  const right = (net: string) => (net === "0" || net === "b" ? net : `${net}R`);
  const mirror = rename(stiff, right, (id) => (id === "in" ? "inR" : `${id}R`));
  const both = [...stiff, supply("B", "b", 260), ...mirror];
  expectSame(answersOf(both), alone, 1e-9);
  const compiled = compile(both);
  if (!compiled.ok) throw new Error(compiled.failure.kind);
  const bias = solveBias(compiled.value);
  if (!bias.ok) throw new Error(bias.failure.kind);
  for (const net of NETS)
    expect(bias.value.netVolts.get(right(net))).toBeCloseTo(bias.value.netVolts.get(net) ?? Number.NaN, 9);
  const across = solveResponse(compiled.value, bias.value, { source: "in", output: "outR", hertz: FREQUENCIES });
  if (!across.ok) throw new Error(across.failure.kind);
  for (const { re, im } of across.value.transfer) expect(Math.hypot(re, im)).toBeLessThan(1e-12);
});

test("with a supply that gives way, both channels move alike whichever is driven", () => {
  const right = (net: string) => (net === "0" || net === "b" ? net : `${net}R`);
  const own = CHANNEL.filter((part) => !["B", "Cb"].includes(part.id));
  const both = [
    ...own,
    ...rename(own, right, (id) => (id === "in" ? "inR" : `${id}R`)),
    supply("B", "b", 260, 1200),
    capacitor("Cb", "b", "0", 47e-6),
  ];
  const compiled = compile(both);
  if (!compiled.ok) throw new Error(compiled.failure.kind);
  const bias = solveBias(compiled.value);
  if (!bias.ok) throw new Error(bias.failure.kind);
  const transfer = (source: string, output: string) => {
    const answer = solveResponse(compiled.value, bias.value, { source, output, hertz: FREQUENCIES });
    if (!answer.ok) throw new Error(answer.failure.kind);
    return answer.value.transfer.map(({ re, im }) => [re, im]).flat();
  };
  transfer("inR", "out").forEach((x, i) => expect(x).toBeCloseTo(transfer("in", "outR")[i] as number, 10));
  transfer("inR", "outR").forEach((x, i) => expect(x).toBeCloseTo(transfer("in", "out")[i] as number, 9));
  expect(Math.hypot(...transfer("in", "outR").slice(0, 2))).toBeGreaterThan(1e-6);
});

test("another net as the reference: everything lifted by an ideal source stands where it stood, plus the lift", () => {
  const lift = (net: string) => (net === "0" ? "chassis" : net);
  const lifted = [...rename(CHANNEL, lift), supply("lift", "chassis", 37)];
  const got = answersOf(lifted);
  const moved = { ...got, bias: got.bias.map((v) => v - 37) };
  // The output is measured against ground, so its mean carries the lift too.
  const harmonics = moved.harmonics.map((x, i) => (i === 0 ? x - 37 : x));
  expectSame({ ...moved, harmonics }, base, 1e-9);
});

test("all polarities turned at the source: even harmonics stay, odd ones and the response turn", () => {
  const turned = CHANNEL.map((part): Part => (part.kind === "ac-source" ? { ...part, plus: "0", minus: "s" } : part));
  // Half a period is no whole number of samples: this holds only as far as the samples resolve the clipping.
  const same = (net: string) => net;
  const straight = answersOf(CHANNEL, same, 1, 96);
  const got = answersOf(turned, same, 1, 96);
  const K1 = got.harmonics.length / 2;
  const back = {
    ...got,
    response: got.response.map((x) => -x),
    harmonics: got.harmonics.map((x, i) => ((i % K1) % 2 === 1 ? -x : x)),
  };
  expectSame(back, straight, 1e-7);
});

test("a closed switch is one net; an open one, a jack and a second ground tie are nothing", () => {
  const split = CHANNEL.map((part): Part => (part.id === "Ra" ? resistor("Ra", "b", "p1b", 15e3) : part));
  const more: readonly Part[] = [
    { kind: "switch", id: "S1", a: "p1b", b: "p1", closed: true },
    { kind: "switch", id: "S2", a: "out", b: "s", closed: false },
    { kind: "jack", id: "J1", role: "input", tip: "s", sleeve: "0" },
    { kind: "jack", id: "J2", role: "output", tip: "out", sleeve: "earth" },
    { kind: "switch", id: "S3", a: "earth", b: "0", closed: true },
  ];
  expectSame(answersOf([...split, ...more]), base, 1e-10);
});

test("an ideal source and one with little resistance: the difference goes as the resistance", () => {
  const withSource = (value: number) =>
    answersOf(
      CHANNEL.map(
        (part): Part =>
          part.kind === "ac-source" || part.kind === "dc-source" ? { ...part, seriesOhms: ohms(value) } : part,
      ),
    );
  const ideal = withSource(0);
  const off = (ohms: number) => {
    const got = withSource(ohms);
    return (["bias", "response", "harmonics"] as const).map((kind) =>
      Math.max(...got[kind].map((x, i) => Math.abs(x - (ideal[kind][i] as number)))),
    );
  };
  const [one, tenth] = [off(0.05), off(0.005)];
  one.forEach((x, i) => {
    expect(x).toBeGreaterThan(0);
    expect(x).toBeLessThan(0.1);
    expect(x / (tenth[i] as number)).toBeCloseTo(10, 0);
  });
});

test("a pot at its middle is two resistors of half its track", () => {
  const parts = CHANNEL.flatMap((part): Part[] =>
    part.kind === "potentiometer"
      ? [
          resistor(`${part.id}t`, part.top, part.wiper, part.ohms * (1 - part.fraction)),
          resistor(`${part.id}b`, part.wiper, part.bottom, part.ohms * part.fraction),
        ]
      : [part],
  );
  expectSame(answersOf(parts), base, 1e-10);
});

test("units in and out: values as a builder writes them, read back from how they are printed", () => {
  const through = (value: number, quantity: "resistance" | "capacitance" | "inductance", unit: string) => {
    const parsed = parseValue(quantity, printValue(value, unit, 6), { zero: true });
    if (!parsed.ok) throw new Error(parsed.failure.sentence);
    return parsed.value;
  };
  const again = CHANNEL.map((part): Part => {
    const more: Record<string, unknown> = {};
    for (const [key, value] of Object.entries(part)) {
      if (/ohms$/i.test(key)) more[key] = through(value, "resistance", "Ω");
      if (/farads$/i.test(key)) more[key] = through(value, "capacitance", "F");
      if (key === "henries") more[key] = through(value, "inductance", "H");
    }
    return { ...part, ...more } as Part;
  });
  expectSame(answersOf(again), base, 1e-10);
});
