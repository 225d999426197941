/**
 * Two tones against series expanded by hand, against Koren's equation solved point by point, and against the circuit run in
 * time and analysed over a common period.
 */
import {
  differenceFigure,
  type GridLaw,
  hertz,
  lineAt,
  modulationFigure,
  type Part,
  solveResponse,
  solveTransient,
  solveTwoTone,
  type TwoToneAnswer,
  type TwoToneAsk,
  volts,
} from "@platewright/engine";
import { describe, expect, test } from "vitest";
import {
  capacitor,
  harmonicsAt,
  KOREN_12AX7,
  NO_GRID,
  ready,
  resistor,
  RSD_1,
  signal,
  supply,
  triode,
} from "./harmonics-circuits.ts";

const tones = (f1: number, v1: number, f2: number, v2: number) => ({
  first: { hertz: hertz(f1), voltsPeak: volts(v1) },
  second: { hertz: hertz(f2), voltsPeak: volts(v2) },
});
/** Four parts of 60 Hz, one of 7 kHz, and both of 19 and 20 kHz alike: the sum peaks at `peak`. */
const modulation = (peak: number) => tones(60, 0.8 * peak, 7000, 0.2 * peak);
const difference = (peak: number) => tones(19e3, 0.5 * peak, 20e3, 0.5 * peak);

function solved(parts: readonly Part[], ask: Omit<TwoToneAsk, "source" | "output">, output = "out"): TwoToneAnswer {
  const { circuit, bias } = ready(parts);
  const answer = solveTwoTone(circuit, bias, { source: "in", output, ...ask });
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
}
const EXACT = { residualFraction: 1e-13 };

describe("a network without tubes", () => {
  const parts = [
    signal("s"),
    resistor("R1", "s", "m", 22e3),
    capacitor("C1", "m", "0", 1e-9),
    capacitor("C2", "m", "out", 10e-9),
    resistor("R2", "out", "0", 100e3),
  ];
  test("passes both tones as its response says, and nothing else", () => {
    const { circuit, bias } = ready(parts);
    const response = solveResponse(circuit, bias, {
      source: "in",
      output: "out",
      hertz: [hertz(60), hertz(7000)],
    });
    if (!response.ok) throw new Error(response.failure.kind);
    const answer = solved(parts, tones(60, 4, 7000, 1));
    expect(answer.outcome).toBe("settled");
    for (const { k1, k2, volts: line } of answer.lines) {
      const tone = Math.abs(k1) + Math.abs(k2) === 1 ? (k1 === 1 ? 0 : 1) : undefined;
      const { re, im } = tone === undefined ? { re: 0, im: 0 } : (response.value.transfer[tone] as typeof line);
      const scale = tone === 0 ? 4 : 1;
      expect(line.re).toBeCloseTo(scale * re, 13);
      expect(line.im).toBeCloseTo(scale * im, 13);
    }
    expect(modulationFigure(answer)?.percent).toBeLessThan(1e-12);
  });
  test("so does a tube that stands as its slopes", () => {
    const answer = solved(koren(), { ...modulation(1), linear: ["V1"] });
    expect(Math.hypot(lineAt(answer, 0, 1).re, lineAt(answer, 0, 1).im)).toBeGreaterThan(1);
    expect(modulationFigure(answer)?.percent).toBeLessThan(1e-9);
  });
});

/** A tube whose plate does nothing (mu 1e15) and whose current is k (V0 + x)^p, loaded with 10k: a polynomial in x. */
const V0 = 2;
const GRAM = 1e-4;
const polynomial = (p: number): Part[] => [
  signal("g", "c"),
  supply("grid bias", "c", V0),
  triode("V1", ["out", "g", "0"], {
    space: { form: "three-halves", K: GRAM / 1e15 ** p, mu: 1e15, p },
    grid: NO_GRID,
  }),
  resistor("Ra", "b", "out", 10e3),
  supply("B", "b", 250),
];

describe("a polynomial, expanded by hand", () => {
  test.each([2, 3])("(V0 + x)^%i: every line", (p) => {
    const A = 0.7;
    const B = 0.4;
    const unit = -10e3 * GRAM;
    const [a0, a1, a2, a3] = p === 2 ? [V0 ** 2, 2 * V0, 1, 0] : [V0 ** 3, 3 * V0 ** 2, 3 * V0, 1];
    const byHand: Readonly<Record<string, number>> = {
      "1 0": a1 * A + a3 * (0.75 * A ** 3 + 1.5 * A * B ** 2),
      "0 1": a1 * B + a3 * (0.75 * B ** 3 + 1.5 * B * A ** 2),
      "2 0": (a2 * A ** 2) / 2,
      "0 2": (a2 * B ** 2) / 2,
      "1 1": a2 * A * B,
      "-1 1": a2 * A * B,
      "3 0": (a3 * A ** 3) / 4,
      "0 3": (a3 * B ** 3) / 4,
      "2 1": 0.75 * a3 * A ** 2 * B,
      "-2 1": 0.75 * a3 * A ** 2 * B,
      "1 2": 0.75 * a3 * A * B ** 2,
      "-1 2": 0.75 * a3 * A * B ** 2,
    };
    const answer = solved(polynomial(p), { ...tones(60, A, 7000, B), limits: EXACT });
    expect(answer.dcVolts).toBeCloseTo(250 + unit * (a0 + (a2 * (A ** 2 + B ** 2)) / 2), 9);
    for (const { k1, k2, volts: line } of answer.lines) {
      const wanted = byHand[`${k1} ${k2}`] ?? 0;
      expect(Math.abs(line.re - unit * wanted), `${k1} ${k2}`).toBeLessThan(1e-9);
      expect(Math.abs(line.im), `${k1} ${k2}`).toBeLessThan(1e-9);
    }
  });

  test("second order of the same peak: sidebands 1.6 H2 each, 2.26 H2 rms; difference line 0.5 H2", () => {
    const stage = ready(polynomial(2));
    const { real } = harmonicsAt(stage, 0.5, { limits: EXACT }).output;
    const h2 = Math.abs((real[2] as number) / (real[1] as number));
    const low = modulationFigure(solved(polynomial(2), { ...modulation(0.5), limits: EXACT }));
    expect((low?.byOrder[0]?.ratio ?? Number.NaN) / h2).toBeCloseTo(3.2, 9);
    expect((low?.ratio ?? Number.NaN) / h2).toBeCloseTo(1.6 * Math.SQRT2, 9);
    const high = differenceFigure(solved(polynomial(2), { ...difference(0.5), limits: EXACT }));
    expect((high?.second.ratio ?? Number.NaN) / h2).toBeCloseTo(0.5, 9);
    expect((high?.ratio ?? Number.NaN) / h2).toBeCloseTo(0.5, 9);
    expect(high?.decibels).toBeCloseTo(20 * Math.log10(h2 / 2), 7);
  });

  test("third order: 3.84 H3 and 0.75 H3 as sums, with errors that fall with the square of the level", () => {
    const errors = [0.4, 0.2, 0.1].map((peak) => {
      const { real } = harmonicsAt(ready(polynomial(3)), peak, { limits: EXACT }).output;
      const h3 = Math.abs((real[3] as number) / (real[1] as number));
      const low = modulationFigure(solved(polynomial(3), { ...modulation(peak), limits: EXACT }));
      const high = differenceFigure(solved(polynomial(3), { ...difference(peak), limits: EXACT }));
      return [
        (low?.byOrder[1]?.ratio ?? Number.NaN) / h3 / 3.84 - 1,
        (high?.odd[0]?.ratio ?? Number.NaN) / h3 / 0.75 - 1,
      ] as const;
    });
    for (const which of [0, 1] as const) {
      const [a, b, c] = errors.map((pair) => Math.abs(pair[which])) as [number, number, number];
      expect(Math.log2(a / b)).toBeCloseTo(2, 1);
      expect(Math.log2(b / c)).toBeCloseTo(2, 1);
      expect(c).toBeLessThan(1e-3);
    }
  });
});

/** A 12AX7 with 100k, 1.5k not bypassed, straight from the plate. */
const koren = (): Part[] => [
  signal("g"),
  triode("V1", ["out", "g", "k"], { space: KOREN_12AX7, grid: NO_GRID }),
  resistor("Ra", "b", "out", 100e3),
  resistor("Rk", "k", "0", 1500),
  supply("B", "b", 300),
];

/** Koren's equation as printed (Glass Audio 8(5), 1996), and the stage solved for its current by bisection. */
function plateVolts(source: number): number {
  const current = (vg: number, va: number) => {
    const e1 = (va / 600) * Math.log1p(Math.exp(600 * (1 / 100 + vg / Math.sqrt(300 + va * va))));
    return e1 > 0 ? (2 * e1 ** 1.4) / 1060 : 0;
  };
  let low = 0;
  let high = 300 / 101.5e3;
  for (let halving = 0; halving < 60; halving++) {
    const i = (low + high) / 2;
    if (current(source - 1500 * i, 300 - 101.5e3 * i) > i) low = i;
    else high = i;
  }
  return 300 - 100e3 * low;
}

test("a tube at small levels: 3.2 H2 and 0.5 H2, with errors that fall with the square of the level", () => {
  const errors = [0.2, 0.1, 0.05].map((peak) => {
    const { real } = harmonicsAt(ready(koren()), peak, { limits: EXACT }).output;
    const h2 = Math.abs((real[2] as number) / (real[1] as number));
    const low = modulationFigure(solved(koren(), { ...modulation(peak), limits: EXACT }));
    const high = differenceFigure(solved(koren(), { ...difference(peak), limits: EXACT }));
    return [
      (low?.byOrder[0]?.ratio ?? Number.NaN) / h2 / 3.2 - 1,
      (high?.second.ratio ?? Number.NaN) / h2 / 0.5 - 1,
    ] as const;
  });
  for (const which of [0, 1] as const) {
    const [a, b, c] = errors.map((pair) => Math.abs(pair[which])) as [number, number, number];
    expect(Math.log2(a / b)).toBeCloseTo(2, 1);
    expect(Math.log2(b / c)).toBeCloseTo(2, 1);
    expect(c).toBeLessThan(1e-3);
  }
});

describe("a resistive stage point by point over both phases", () => {
  const M = 32;
  test.each([
    ["60 Hz and 7 kHz", modulation(1)],
    ["19 and 20 kHz", difference(1)],
  ])("%s: every line up to order 6 within 1e-7 of the larger tone", (_, ask) => {
    const answer = solved(koren(), { ...ask, order: 12, limits: EXACT });
    const A = ask.first.voltsPeak;
    const B = ask.second.voltsPeak;
    const grid = Array.from({ length: M * M }, (_, m) =>
      plateVolts(A * Math.cos((2 * Math.PI * (m % M)) / M) + B * Math.cos((2 * Math.PI * Math.floor(m / M)) / M)),
    );
    const bound = 1e-7 * Math.hypot(lineAt(answer, 1, 0).re, lineAt(answer, 1, 0).im);
    for (const { k1, k2, volts: line } of answer.lines) {
      if (Math.abs(k1) + Math.abs(k2) > 6) continue;
      let re = 0;
      for (const [m, v] of grid.entries())
        re += (v * Math.cos((2 * Math.PI * (k1 * (m % M) + k2 * Math.floor(m / M))) / M) * 2) / (M * M);
      expect(Math.abs(line.re - re), `${k1} ${k2}`).toBeLessThan(bound);
      expect(Math.abs(line.im), `${k1} ${k2}`).toBeLessThan(bound);
    }
  });
});

/** Amplitudes at multiples of 1 / seconds from the circuit run in time, after `settleSeconds`. */
function inTime(
  parts: readonly Part[],
  { first, second }: Pick<TwoToneAsk, "first" | "second">,
  [settleSeconds, seconds, samples]: readonly [number, number, number],
  tolerance: number,
) {
  const { circuit, bias } = ready(parts);
  const answer = solveTransient(
    circuit,
    {
      start: bias,
      seconds: settleSeconds + seconds,
      drives: new Map([
        [
          "in",
          (t: number) =>
            first.voltsPeak * Math.cos(2 * Math.PI * first.hertz * (t - settleSeconds)) +
            second.voltsPeak * Math.cos(2 * Math.PI * second.hertz * (t - settleSeconds)),
        ],
      ]),
      record: {
        nets: ["out"],
        at: Float64Array.from({ length: samples }, (_, m) => settleSeconds + (seconds * m) / samples),
      },
    },
    { absoluteVolts: tolerance, relativeVolts: tolerance / 100 },
  );
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  const wave = answer.value.netVolts.get("out") as Float64Array;
  return (n: number) => {
    let re = 0;
    let im = 0;
    for (let m = 0; m < samples; m++) {
      const angle = (2 * Math.PI * ((n * m) % samples)) / samples;
      re += ((wave[m] as number) * Math.cos(angle) * (n === 0 ? 1 : 2)) / samples;
      im -= ((wave[m] as number) * Math.sin(angle) * 2) / samples;
    }
    return { re, im };
  };
}

/** Lines of the answer that fall on n times the base, added up. */
function onBase(answer: TwoToneAnswer, baseHertz: number): Map<number, { re: number; im: number }> {
  const sums = new Map([[0, { re: answer.dcVolts as number, im: 0 }]]);
  for (const { hertz: at, volts: line } of answer.lines) {
    const n = Math.round(at / baseHertz);
    const sum = sums.get(n) ?? { re: 0, im: 0 };
    sums.set(n, { re: sum.re + line.re, im: n === 0 ? 0 : sum.im + line.im });
  }
  return sums;
}

/** The stage with 1 uF at its cathode (0.5 ms), 68k before the grid and 1 nF at the plate: 60 Hz and 7 kHz differ. */
const quick = (grid: GridLaw): Part[] => [
  signal("s"),
  resistor("Rs", "s", "g", 68e3),
  triode("V1", ["out", "g", "k"], { space: RSD_1.space, grid }, [1.7e-12, 1.6e-12, 0.5e-12]),
  resistor("Ra", "b", "out", 100e3),
  capacitor("Ca", "out", "0", 1e-9),
  resistor("Rk", "k", "0", 1500),
  capacitor("Ck", "k", "0", 1e-6),
  supply("B", "b", 300),
];

describe("the circuit run in time", () => {
  test.each([
    ["2 and 3 kHz", tones(2000, 0.4, 3000, 0.2), 1000, [20e-3, 1e-3, 256], 12, 1e-7],
    ["60 Hz and 7 kHz", modulation(0.5), 20, [10e-3, 50e-3, 8192], 12, 1e-7],
    ["60 Hz and 7 kHz, the grid conducting", modulation(2.4), 20, [20e-3, 50e-3, 8192], 16, 1e-7],
    ["2 and 3 kHz, the grid conducting", tones(2000, 0.7, 3000, 0.7), 1000, [20e-3, 1e-3, 1024], 16, 1e-6],
  ] as const)("%s: all lines up to order 5", (name, ask, base, times, order, share) => {
    const answer = solved(quick(RSD_1.grid), { ...ask, order });
    // Half a microampere through 68k moves the grid by 34 mV.
    expect((answer.triodes.get("V1")?.maximumGridAmps ?? 0) > 5e-7).toBe(name.endsWith("conducting"));
    const lineOf = inTime(quick(RSD_1.grid), ask, times, 1e-7);
    const bound = share * Math.hypot(lineAt(answer, 1, 0).re, lineAt(answer, 1, 0).im);
    const sums = onBase(answer, base);
    for (const { k1, k2, hertz: at } of [{ k1: 0, k2: 0, hertz: 0 }, ...answer.lines]) {
      if (Math.abs(k1) + Math.abs(k2) > 5) continue;
      const n = Math.round(at / base);
      const seen = lineOf(n);
      const wanted = sums.get(n) as { re: number; im: number };
      const off = Math.hypot(seen.re - wanted.re, n === 0 ? 0 : seen.im - wanted.im);
      expect(off, `${k1} ${k2}`).toBeLessThan(bound);
    }
  });
});
