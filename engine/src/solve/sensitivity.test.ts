/** Sensitivities against central differences of full solves, and laws that sums of them keep. */
import { describe, expect, test } from "vitest";
import { type CompiledCircuit, compile } from "../circuit/compile.ts";
import type { Part } from "../circuit/parts.ts";
import { seededRandom } from "../numerics/random.ts";
import type { TriodeLaw } from "../tubes/law.ts";
import { amps, henries, hertz, ohms, volts } from "../units/quantities.ts";
import type { Bias, Spectrum } from "./answers.ts";
import { solveBias } from "./bias.ts";
import { harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { amplitude } from "./spectrum.ts";
import { magnitude, solveImpedance, solveResponse } from "./response.ts";
import {
  biasSensitivity,
  type BiasFigure,
  type HarmonicFigure,
  harmonicSensitivity,
  openHarmonicSensitivity,
  openSensitivity,
  type ResponseFigure,
  responseSensitivity,
  type Sensitivity,
  solveBiasSensitivity,
  solveHarmonicSensitivity,
  solveResponseSensitivity,
  type ValueName,
} from "./sensitivity.ts";
import {
  capacitor,
  channel,
  GRID,
  ISLAND_12AU7,
  KOREN_12AX7,
  NO_GRID,
  oneStage,
  resistor,
  signal,
  supply,
  triode,
} from "./test-circuits.ts";

function value<T>(result: { ok: true; value: T } | { ok: false; failure: unknown }): T {
  if (!result.ok) throw new Error(JSON.stringify(result.failure));
  return result.value;
}

const LIMITS = { gridStepVolts: 2, plateStepVolts: 60, steps: 60, residualAmps: 1e-15, residualFraction: 1e-13 };

function ready(parts: readonly Part[]): { circuit: CompiledCircuit; bias: Bias } {
  const circuit = value(compile(parts));
  const loose = value(solveBias(circuit));
  const tight = solveBias(circuit, { start: loose.unknowns, limits: LIMITS });
  return { circuit, bias: tight.ok ? tight.value : loose };
}

/** The part with one value moved by `nepers` (contact volts by volts). */
function moved(part: Part, name: ValueName, nepers: number): Part {
  const by = Math.exp(nepers);
  if (part.kind === "triode" && (name === "G" || name === "mu" || name === "contactVolts")) {
    const { space } = part.law;
    const turned = (): TriodeLaw["space"] => {
      if (space.form === "koren") {
        if (name === "G") return { ...space, kg1: space.kg1 / by };
        return name === "mu" ? { ...space, mu: space.mu * by } : { ...space, Vct: space.Vct + nepers };
      }
      if (space.form !== "island") throw new Error(space.form);
      if (name === "G") return { ...space, G: space.G * by };
      return name === "mu" ? { ...space, mu: space.mu * by } : { ...space, Vct: space.Vct + nepers };
    };
    return { ...part, law: { ...part.law, space: turned() } };
  }
  if (part.kind === "diode" && part.law.form === "knee" && name === "volts")
    return { ...part, law: { ...part.law, volts: part.law.volts * by } };
  const now = (part as unknown as Record<string, number>)[name];
  if (now === undefined) throw new Error(`${part.id} has no ${name}`);
  return { ...part, [name]: now * by } as Part;
}

/** Several figures at once: a full solve is what costs. */
type Evaluate = (parts: readonly Part[]) => readonly number[];

/** d figures / d neper by central differences with one Richardson step. */
function differences(parts: readonly Part[], id: string, name: ValueName, evaluate: Evaluate): readonly number[] {
  const at = (h: number) => evaluate(parts.map((part) => (part.id === id ? moved(part, name, h) : part)));
  const slopes = (h: number) => {
    const [low, high] = [at(-h), at(h)];
    return high.map((x, i) => (x - (low[i] as number)) / (2 * h));
  };
  const [wide, narrow] = [slopes(2e-3), slopes(1e-3)];
  return narrow.map((x, i) => (4 * x - (wide[i] as number)) / 3);
}

/**
 * Largest disagreement of each figure over all values of all parts, relative to the derivative, with 1 % of the largest as
 * floor: below it the differences themselves are rounding.
 */
function worst(parts: readonly Part[], answers: readonly Sensitivity[], evaluate: Evaluate): readonly number[] {
  const rows: { readonly found: readonly number[]; readonly wanted: readonly number[] }[] = [];
  for (const [id, values] of answers[0]?.byPart ?? [])
    for (const name of Object.keys(values) as ValueName[])
      if (name !== "level")
        rows.push({
          found: answers.map((answer) => answer.byPart.get(id)?.[name] ?? Number.NaN),
          wanted: differences(parts, id, name, evaluate),
        });
  expect(rows.length).toBeGreaterThan(5);
  return answers.map((_, f) => {
    const largest = Math.max(...rows.map(({ wanted }) => Math.abs(wanted[f] as number)));
    expect(largest).toBeGreaterThan(0);
    return Math.max(
      ...rows.map(({ found, wanted }) => {
        const [a, b] = [found[f] as number, wanted[f] as number];
        return Math.abs(a - b) / Math.max(Math.abs(b), 0.01 * largest);
      }),
    );
  });
}

function biasValue(bias: Bias, figure: BiasFigure): number {
  if (figure.kind === "net-volts")
    return (bias.netVolts.get(figure.net) ?? Number.NaN) - (bias.netVolts.get(figure.against ?? "0") ?? Number.NaN);
  const state = bias.triodes.get(figure.triode);
  if (state === undefined) throw new Error(figure.triode);
  switch (figure.kind) {
    case "plate-amps":
      return state.plateAmps;
    case "grid-amps":
      return state.gridAmps;
    case "plate-volts":
      return state.plateVolts;
    case "plate-watts":
      return state.plateWatts;
  }
}

function responseValue(circuit: CompiledCircuit, bias: Bias, figure: ResponseFigure): number {
  const none = { re: 0, im: 0 };
  if (figure.kind === "impedance-ohms")
    return magnitude(value(solveImpedance(circuit, bias, { net: figure.net, hertz: [figure.hertz] }))[0] ?? none);
  const { transfer } = value(solveResponse(circuit, bias, { ...figure, hertz: [figure.hertz] }));
  return 20 * Math.log10(magnitude(transfer[0] ?? none));
}

/** A channel with every kind of part in it: pots, choke, sink, regulator, sources ideal and not. */
function everything(seed: number): readonly Part[] {
  const random = seededRandom(seed);
  const about = (x: number) => x * Math.exp(0.6 * (random.uniform() - 0.5));
  if (ISLAND_12AU7.form !== "island") throw new Error(ISLAND_12AU7.form);
  const law = { space: { ...ISLAND_12AU7, G: about(ISLAND_12AU7.G), mu: about(ISLAND_12AU7.mu) }, grid: GRID };
  return [
    signal("in", "s", "0", about(600)),
    {
      kind: "potentiometer",
      id: "drive",
      top: "s",
      wiper: "w",
      bottom: "0",
      ohms: ohms(about(50e3)),
      fraction: 0.3 + 0.4 * random.uniform(),
    },
    resistor("Rs1", "w", "g1", about(220)),
    triode("V1", ["p1", "g1", "k1"], law),
    resistor("Rk1", "k1", "0", about(680)),
    capacitor("Ck1", "k1", "0", about(47e-6)),
    resistor("Ra", "b", "p1", about(15e3)),
    capacitor("Cc", "p1", "n", about(100e-9)),
    resistor("Rs2", "n", "g2", about(470)),
    resistor("Rg2", "n", "t", about(470e3)),
    triode("V2", ["c", "g2", "k2"], law),
    { kind: "inductor", id: "L", a: "b", b: "c", henries: henries(about(5)), seriesOhms: ohms(about(300)) },
    resistor("Rk2", "k2", "t", about(820)),
    resistor("Rt", "t", "n2", about(10e3)),
    supply("minus", "n2", -about(20)),
    { kind: "current-sink", id: "sink", from: "t", to: "0", amps: amps(about(2e-3)), parallelOhms: ohms(about(1e6)) },
    {
      kind: "current-sink",
      id: "between",
      from: "b",
      to: "t",
      amps: amps(about(5e-4)),
      parallelOhms: ohms(about(2e6)),
    },
    capacitor("Co", "k2", "o", about(1e-6)),
    {
      kind: "potentiometer",
      id: "level",
      top: "o",
      wiper: "out",
      bottom: "0",
      ohms: ohms(about(25e3)),
      fraction: 0.2 + 0.6 * random.uniform(),
    },
    capacitor("cable", "out", "0", about(500e-12)),
    supply("B", "hv", about(330), about(400)),
    resistor("Rd", "hv", "b", about(1500)),
    capacitor("Cb", "b", "0", about(47e-6)),
    resistor("Rz", "hv", "z", about(47e3)),
    {
      kind: "diode",
      id: "Z",
      anode: "z",
      cathode: "0",
      law: { form: "knee", volts: volts(about(90)), ohms: ohms(about(120)), width: 0.5 },
    },
    resistor("Rlift", "z", "t", about(2e6)),
  ];
}

const BIAS_FIGURES: readonly BiasFigure[] = [
  { kind: "net-volts", net: "p1" },
  { kind: "net-volts", net: "k2", against: "t" },
  { kind: "net-volts", net: "n2" },
  { kind: "plate-amps", triode: "V1" },
  { kind: "plate-volts", triode: "V2" },
  { kind: "plate-watts", triode: "V2" },
];

describe("bias", () => {
  const compare = (parts: readonly Part[], figures: readonly BiasFigure[]) => {
    const { circuit, bias } = ready(parts);
    const open = value(openSensitivity(circuit, bias));
    const answers = figures.map((figure) => value(biasSensitivity(open, figure)));
    for (const [i, figure] of figures.entries()) expect(answers[i]?.value).toBeCloseTo(biasValue(bias, figure), 12);
    return worst(parts, answers, (at) => {
      const here = ready(at).bias;
      return figures.map((figure) => biasValue(here, figure));
    });
  };

  test.each([1, 2, 3])("every value of every part against differences of full solves, to 1e-6 (seed %i)", (seed) => {
    for (const [i, error] of compare(everything(seed), BIAS_FIGURES).entries())
      expect(error, JSON.stringify(BIAS_FIGURES[i])).toBeLessThan(1e-6);
  });

  test("a grid that conducts at rest: grid current and what it does, to 1e-6", () => {
    const parts = oneStage({ space: KOREN_12AX7, grid: GRID }).flatMap((part) => {
      if (part.id === "Rk") return [resistor("Rk", "k", "0", 10)];
      return part.id === "in" ? [signal("in", "s"), resistor("Rg", "s", "g", 1e6)] : [part];
    });
    const errors = compare(parts, [
      { kind: "grid-amps", triode: "V1" },
      { kind: "plate-watts", triode: "V1" },
    ]);
    expect(Math.max(...errors)).toBeLessThan(1e-6);
  });

  test("effort: one factoring, and each law twice for every parameter and control of its tube", () => {
    const parts = everything(1);
    const { circuit, bias } = ready(parts);
    const answer = value(solveBiasSensitivity(circuit, bias, { kind: "net-volts", net: "p1" }));
    // Two triodes: G, mu, contact volts, grid and plate; a diode: its derivatives and one more.
    expect(answer.effort).toEqual({ steps: 1, factorings: 1, lawCalls: 2 * 10 + 3, residual: 0 });
  });

  test("names that are not there", () => {
    const { circuit, bias } = ready(oneStage({ space: KOREN_12AX7, grid: GRID }));
    for (const figure of [
      { kind: "net-volts", net: "nowhere" },
      { kind: "net-volts", net: "p", against: "nowhere" },
      { kind: "plate-amps", triode: "Ra" },
    ] as const)
      expect(solveBiasSensitivity(circuit, bias, figure)).toMatchObject({
        ok: false,
        failure: { kind: "unknown-name" },
      });
  });
});

const RESPONSE_FIGURES: readonly ResponseFigure[] = [
  ...[8, 1000, 200e3].map(
    (at) => ({ kind: "response-decibels", source: "in", output: "out", hertz: hertz(at) }) as const,
  ),
  { kind: "response-decibels", source: "in", output: "k2", against: "t", hertz: hertz(1000) },
  { kind: "impedance-ohms", net: "out", hertz: hertz(1000) },
  { kind: "impedance-ohms", net: "p1", hertz: hertz(20) },
];

describe("response", () => {
  test.each([4, 5])("gain, response and impedance against differences of full solves, to 2e-5 (seed %i)", (seed) => {
    const parts = everything(seed);
    const { circuit, bias } = ready(parts);
    const open = value(openSensitivity(circuit, bias));
    const answers = RESPONSE_FIGURES.map((figure) => value(responseSensitivity(open, figure)));
    const errors = worst(parts, answers, (at) => {
      const here = ready(at);
      return RESPONSE_FIGURES.map((figure) => responseValue(here.circuit, here.bias, figure));
    });
    for (const [i, figure] of RESPONSE_FIGURES.entries()) {
      expect(answers[i]?.value).toBeCloseTo(responseValue(circuit, bias, figure), 8);
      expect(errors[i], JSON.stringify(figure)).toBeLessThan(2e-5);
    }
  });
});

const HARMONICS = 12;

function level(parts: readonly Part[], peak: number, linear: readonly string[] = []) {
  const { circuit, bias } = ready(parts);
  const problem = harmonicProblem(circuit, bias, {
    source: "in",
    hertz: hertz(1000),
    output: "out",
    linear,
    limits: { residualFraction: 1e-13 },
  });
  return { problem, answer: value(solveHarmonics(problem, { sourceVoltsPeak: volts(peak), harmonics: HARMONICS })) };
}

function harmonicValue(output: Spectrum, figure: HarmonicFigure): number {
  const first = amplitude(output, 1);
  if (figure.kind === "fundamental-decibels") return 20 * Math.log10(first);
  const h = figure.harmonic;
  if (figure.kind === "harmonic-decibels") return 20 * Math.log10(amplitude(output, h) / first);
  const phase = (k: number) => Math.atan2(output.imaginary[k] ?? 0, output.real[k] ?? 0);
  return (amplitude(output, h) / first) * Math.cos(phase(h) - h * phase(1));
}

const HARMONIC_FIGURES: readonly HarmonicFigure[] = [
  { kind: "harmonic-decibels", harmonic: 2 },
  { kind: "harmonic-signed", harmonic: 2 },
  { kind: "harmonic-decibels", harmonic: 3 },
  { kind: "fundamental-decibels" },
];

describe("harmonics", () => {
  test.each([
    [6, 0.5],
    [7, 4],
  ])("H2, H3 and the fundamental against differences of full solves, to 1e-4 (seed %i, %d V peak)", (seed, peak) => {
    const parts = everything(seed);
    const { problem, answer } = level(parts, peak);
    const open = value(openHarmonicSensitivity(problem, answer));
    const answers = HARMONIC_FIGURES.map((figure) => value(harmonicSensitivity(open, figure)));
    const errors = worst(parts, answers, (at) => {
      const { output } = level(at, peak).answer;
      return HARMONIC_FIGURES.map((figure) => harmonicValue(output, figure));
    });
    for (const [i, figure] of HARMONIC_FIGURES.entries()) {
      expect(answers[i]?.value).toBeCloseTo(harmonicValue(answer.output, figure), 6);
      expect(errors[i], JSON.stringify(figure)).toBeLessThan(1e-4);
    }
  });
});

/** Sum over all parts of the values of some names. */
function sum(answer: Sensitivity, names: readonly ValueName[]): number {
  let total = 0;
  for (const values of answer.byPart.values()) for (const name of names) total += values[name] ?? 0;
  return total;
}

/** Every figure of one circuit: bias, response, harmonics at 1 V. */
function allFigures(parts: readonly Part[], at: { readonly bias?: readonly BiasFigure[]; readonly net: string }) {
  const { circuit, bias } = ready(parts);
  const open = value(openSensitivity(circuit, bias));
  const { problem, answer } = level(parts, 1);
  const steady = value(openHarmonicSensitivity(problem, answer));
  return {
    volts: (at.bias ?? []).map((figure) => value(biasSensitivity(open, figure))),
    responses: [8, 1000, 100e3].map((f) =>
      value(responseSensitivity(open, { kind: "response-decibels", source: "in", output: "out", hertz: hertz(f) })),
    ),
    impedance: value(responseSensitivity(open, { kind: "impedance-ohms", net: at.net, hertz: hertz(300) })),
    harmonics: HARMONIC_FIGURES.map((figure) => value(harmonicSensitivity(steady, figure))),
  };
}

const SERIES: readonly ValueName[] = ["ohms", "seriesOhms", "parallelOhms"];
const CAPACITANCES: readonly ValueName[] = ["farads", "gridPlateFarads", "gridCathodeFarads", "plateCathodeFarads"];

describe("sums that a scale leaves", () => {
  /** Grids that conduct have a scale of their own, which is no value of a part. */
  const without = (seed: number): readonly Part[] =>
    everything(seed).flatMap((part) => {
      if (part.kind === "triode") return [{ ...part, law: { ...part.law, grid: NO_GRID } }];
      return part.id === "Z" ? [resistor("Z", "z", "0", 20e3)] : [part];
    });

  test.each([11, 12])(
    "impedances: all R and L up, all C, G and sinks down leaves volts, gain and harmonics, and scales impedances (seed %i)",
    (seed) => {
      const found = allFigures(without(seed), { bias: BIAS_FIGURES.slice(0, 2), net: "p1" });
      const scaled = (answer: Sensitivity) =>
        sum(answer, [...SERIES, "henries"]) - sum(answer, [...CAPACITANCES, "G", "amps"]);
      // Gain moves by 8.7 dB per neper of a divider: the sums are made of terms of that size.
      for (const answer of [...found.responses, ...found.harmonics])
        expect(Math.abs(scaled(answer))).toBeLessThan(1e-5);
      for (const answer of found.volts) expect(Math.abs(scaled(answer))).toBeLessThan(1e-5);
      expect(scaled(found.impedance) / found.impedance.value).toBeCloseTo(1, 6);
    },
  );

  test("time: all C and L up is a frequency up (seed 13)", () => {
    const parts = everything(13);
    const { circuit, bias } = ready(parts);
    for (const f of [8, 100e3]) {
      const figure = { kind: "response-decibels", source: "in", output: "out", hertz: hertz(f) } as const;
      const answer = value(solveResponseSensitivity(circuit, bias, figure));
      const at = (h: number) => responseValue(circuit, bias, { ...figure, hertz: hertz(f * Math.exp(h)) });
      const slope = (4 * (at(1e-3) - at(-1e-3))) / 2e-3 / 3 - (at(2e-3) - at(-2e-3)) / 4e-3 / 3;
      expect(sum(answer, [...CAPACITANCES, "henries"])).toBeCloseTo(slope, 6);
      expect(Math.abs(slope)).toBeGreaterThan(0.01);
    }
  });

  test("three-halves law: volts up by s and K down by the root of s scales volts and currents alike", () => {
    const parts = oneStage({ space: { form: "three-halves", K: 2e-5, mu: 20, p: 1.5 }, grid: NO_GRID });
    const { circuit, bias } = ready(parts);
    for (const figure of [
      { kind: "plate-volts", triode: "V1" },
      { kind: "plate-amps", triode: "V1" },
    ] as const) {
      const answer = value(solveBiasSensitivity(circuit, bias, figure));
      expect((sum(answer, ["volts"]) - 0.5 * sum(answer, ["G"])) / answer.value).toBeCloseTo(1, 7);
    }
    const gain = { kind: "response-decibels", source: "in", output: "out", hertz: hertz(1000) } as const;
    const answer = value(solveResponseSensitivity(circuit, bias, gain));
    expect(Math.abs(sum(answer, ["volts"]) - 0.5 * sum(answer, ["G"]))).toBeLessThan(1e-6);
  });

  test("levels: the fundamental of a clean level follows the drive, its second harmonic too", () => {
    const { problem, answer } = level(channel(), 0.01);
    const open = value(openHarmonicSensitivity(problem, answer));
    const level20 = 20 / Math.LN10;
    const perNeper = (figure: HarmonicFigure) => value(harmonicSensitivity(open, figure)).byPart.get("in")?.level ?? 0;
    expect(perNeper({ kind: "fundamental-decibels" }) / level20).toBeCloseTo(1, 4);
    expect(perNeper({ kind: "harmonic-decibels", harmonic: 2 }) / level20).toBeCloseTo(1, 4);
    expect(perNeper({ kind: "harmonic-decibels", harmonic: 3 }) / level20).toBeCloseTo(2, 3);
  });
});

describe("what cannot matter is zero", () => {
  test("capacitors and their leak at dc; a divider on a stiff source; parts behind an ideal source's net", () => {
    const parts = [...everything(14), resistor("idle1", "n2", "i", 1e4), resistor("idle2", "i", "0", 1e4)];
    const { circuit, bias } = ready(parts);
    const open = value(openSensitivity(circuit, bias));
    const plate = value(biasSensitivity(open, { kind: "net-volts", net: "p1" })).byPart;
    for (const id of ["Ck1", "Cc", "Co", "cable", "Cb"]) expect(plate.get(id)?.farads, id).toBe(0);
    expect(plate.get("L")?.henries).toBe(0);
    for (const id of ["level", "drive"]) expect(Math.abs(plate.get(id)?.ohms ?? 1), id).toBeLessThan(1e-9);
    const gain = value(
      responseSensitivity(open, { kind: "response-decibels", source: "in", output: "out", hertz: hertz(1000) }),
    ).byPart;
    for (const found of [plate, gain])
      for (const id of ["idle1", "idle2"]) expect(Math.abs(found.get(id)?.ohms ?? 1), id).toBe(0);
    const held = value(biasSensitivity(open, { kind: "net-volts", net: "n2" })).byPart;
    for (const [id, values] of held)
      for (const [name, found] of Object.entries(values))
        expect(Math.abs(found), id).toBe(
          id === "minus" && name === "volts" ? Math.abs(bias.netVolts.get("n2") ?? 0) : 0,
        );
  });

  test("a potentiometer's derivative at its ends is finite", () => {
    for (const drive of [0, 1]) {
      const { circuit, bias } = ready(channel({ drive }));
      const answer = value(
        solveResponseSensitivity(circuit, bias, {
          kind: "response-decibels",
          source: "in",
          output: "out",
          hertz: hertz(1000),
        }),
      );
      const pot = answer.byPart.get("drive");
      // Down to a millionth the output follows the wiper; at the top a neper of it is 8.7 dB less what it loads the source by.
      expect(pot?.fraction ?? 0).toBeCloseTo(20 / Math.LN10, 0);
    }
  });
});

describe("limits of the harmonics", () => {
  test("a clipped level of more harmonics is solved again at 32, and says so", () => {
    const parts = channel({ gridA: GRID, drive: 1 });
    const { circuit, bias } = ready(parts);
    const problem = harmonicProblem(circuit, bias, {
      source: "in",
      hertz: hertz(1000),
      output: "out",
      limits: { mostHarmonics: 64 },
    });
    const answer = value(solveHarmonics(problem, { sourceVoltsPeak: volts(8) }));
    expect(answer.harmonics).toBeGreaterThan(32);
    const figure = { kind: "harmonic-decibels", harmonic: 2 } as const;
    const found = value(solveHarmonicSensitivity(problem, answer, figure));
    expect(found.harmonics).toBe(32);
    expect(found.effort.factorings).toBe(34);
    const at = (nepers: number) => {
      const here = ready(parts.map((part) => (part.id === "Ra" ? moved(part, "ohms", nepers) : part)));
      const again = harmonicProblem(here.circuit, here.bias, {
        source: "in",
        hertz: hertz(1000),
        output: "out",
        limits: { mostHarmonics: 64 },
      });
      return harmonicValue(value(solveHarmonics(again, { sourceVoltsPeak: volts(8) })).output, figure);
    };
    const slope = (at(0.01) - at(-0.01)) / 0.02;
    expect(Math.abs((found.byPart.get("Ra")?.ohms ?? 0) / slope - 1)).toBeLessThan(2e-3);
  });

  test("a follower as its slopes moves the gain half's bias all the same", () => {
    const parts = channel();
    const { problem, answer } = level(parts, 1, ["b"]);
    const found = value(solveHarmonicSensitivity(problem, answer, { kind: "harmonic-decibels", harmonic: 2 }));
    const evaluate: Evaluate = (at) => [
      harmonicValue(level(at, 1, ["b"]).answer.output, { kind: "harmonic-decibels", harmonic: 2 }),
    ];
    // Through the common dropper the follower's current sets the volts of the gain half.
    // What is left is what its slopes, taken as fixed, do to the level: here it stands in the signal's way.
    for (const [id, allowed] of [
      ["Rb", 1e-3],
      ["Rk2", 1e-2],
    ] as const) {
      const wanted = differences(parts, id, "ohms", evaluate)[0] ?? 0;
      expect(Math.abs((found.byPart.get(id)?.ohms ?? 0) / wanted - 1), id).toBeLessThan(allowed);
    }
  });

  test("a harmonic that is not there, a silent output", () => {
    const { problem, answer } = level(channel(), 1);
    for (const harmonic of [1, 2.5, 13])
      expect(solveHarmonicSensitivity(problem, answer, { kind: "harmonic-decibels", harmonic })).toMatchObject({
        ok: false,
        failure: { kind: "unknown-name" },
      });
    const silent = level(channel(), 0);
    expect(solveHarmonicSensitivity(silent.problem, silent.answer, { kind: "fundamental-decibels" })).toMatchObject({
      ok: false,
    });
  });
});
