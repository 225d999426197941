import { describe, expect, test } from "vitest";
import type { Part } from "../circuit/parts.ts";
import { luFactor, luSolve } from "../numerics/lu.ts";
import { hertz, ohms, volts } from "../units/quantities.ts";
import type { HarmonicAnswer } from "./answers.ts";
import { type HarmonicLimits, type HarmonicProblem, harmonicProblem, solveHarmonics } from "./harmonics.ts";
import { portModel } from "./ports.ts";
import { amplitude } from "./spectrum.ts";
import {
  capacitor,
  channel,
  GRID,
  ISLAND_12AU7,
  KOREN_12AX7,
  NO_GRID,
  oneStage,
  ready,
  resistor,
  signal,
  supply,
  triode,
  twoStages,
} from "./test-circuits.ts";

const KILOHERTZ = hertz(1000);
const TIGHT = { residualFraction: 1e-12 };

function problemOf(parts: readonly Part[], limits: Partial<HarmonicLimits> = {}, output = "out"): HarmonicProblem {
  const { circuit, bias } = ready(parts);
  return harmonicProblem(circuit, bias, { source: "in", hertz: KILOHERTZ, output, limits });
}

function solved(problem: HarmonicProblem, peak: number, harmonics?: number): HarmonicAnswer {
  const answer = solveHarmonics(problem, {
    sourceVoltsPeak: volts(peak),
    ...(harmonics === undefined ? {} : { harmonics }),
  });
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  return answer.value;
}

/** Largest difference of two output spectra over the first one's fundamental. */
function distance(a: HarmonicAnswer, b: HarmonicAnswer): number {
  let worst = 0;
  const K = Math.min(a.output.real.length, b.output.real.length);
  for (let k = 0; k < K; k++) {
    const re = (a.output.real[k] as number) - (b.output.real[k] as number);
    const im = (a.output.imaginary[k] as number) - (b.output.imaginary[k] as number);
    worst = Math.max(worst, Math.hypot(re, im));
  }
  return worst / amplitude(a.output, 1);
}

/**
 * The slow clear way: all control voltages as unknowns, plain Fourier sums, four samples per harmonic, dense Newton by
 * differences of nothing: exact slopes, whole Jacobian, drive raised in even steps.
 */
function slowOutput(parts: readonly Part[], peak: number, K: number): { real: Float64Array; imaginary: Float64Array } {
  const { circuit, bias } = ready(parts);
  const made = portModel(circuit, { source: "in", hertz: KILOHERTZ, harmonics: K, observers: ["out"] });
  if (!made.ok) throw new Error(made.failure.kind);
  const m = made.value;
  const { controls: C, currents: Q } = m;
  const S = 2 * K + 1;
  const N = 4 * K;
  // Unknown vector: per control dc, then real and imaginary part of each harmonic.
  const basis = (part: number, n: number) => {
    if (part === 0) return 1;
    const k = (part + 1) >> 1;
    const angle = (2 * Math.PI * k * n) / N;
    return part % 2 === 1 ? Math.cos(angle) : -Math.sin(angle);
  };
  const x = new Float64Array(C * S);
  let c = 0;
  for (const device of circuit.devices) {
    if (device.kind !== "triode") throw new Error("triodes only");
    const at = bias.triodes.get(device.id);
    x[c * S] = at?.gridVolts as number;
    x[(c + 1) * S] = at?.plateVolts as number;
    c += 2;
  }
  const out = new Float64Array(6);
  const spectra = (v: Float64Array, jacobian?: Float64Array[]) => {
    const I = Array.from({ length: Q }, () => new Float64Array(S));
    for (let n = 0; n < N; n++) {
      circuit.devices.forEach((device, d) => {
        let vg = 0;
        let va = 0;
        for (let part = 0; part < S; part++) {
          vg += (v[2 * d * S + part] as number) * basis(part, n);
          va += (v[(2 * d + 1) * S + part] as number) * basis(part, n);
        }
        (device.evaluate as (vg: number, va: number, out: Float64Array) => void)(vg, va, out);
        for (const [q, i] of [
          [2 * d, 0],
          [2 * d + 1, 3],
        ] as const) {
          for (let part = 0; part < S; part++) {
            const weight = ((part === 0 ? 1 : 2) / N) * basis(part, n);
            (I[q] as Float64Array)[part] = ((I[q] as Float64Array)[part] as number) + weight * (out[i] as number);
            if (jacobian === undefined) continue;
            for (let other = 0; other < S; other++) {
              for (const [control, slope] of [
                [2 * d, out[i + 1] as number],
                [2 * d + 1, out[i + 2] as number],
              ] as const) {
                const row = jacobian[q * S + part] as Float64Array;
                row[control * S + other] = (row[control * S + other] as number) + weight * slope * basis(other, n);
              }
            }
          }
        }
      });
    }
    return I;
  };
  /** Applies Z of control c from current q to (dc, re, im, ...) of a spectrum. */
  const through = (c: number, q: number, part: number, i: Float64Array | ((part: number) => number)) => {
    const of = (p: number) => (typeof i === "function" ? i(p) : (i[p] as number));
    const k = (part + 1) >> 1;
    const at = (k * C + c) * Q + q;
    const zr = m.impedanceReal[at] as number;
    const zi = m.impedanceImaginary[at] as number;
    if (part === 0) return zr * of(0);
    return part % 2 === 1 ? zr * of(part) - zi * of(part + 1) : zr * of(part) + zi * of(part - 1);
  };
  const n = C * S;
  const pivots = new Int32Array(n);
  for (let ramp = 1; ramp <= 8; ramp++) {
    const drive = (peak * ramp) / 8;
    for (let step = 0; ; step++) {
      const slopes = Array.from({ length: Q * S }, () => new Float64Array(n));
      const I = spectra(x, slopes);
      const residual = new Float64Array(n);
      const jacobian = new Float64Array(n * n);
      let worst = 0;
      for (let c = 0; c < C; c++) {
        for (let part = 0; part < S; part++) {
          let v = part === 0 ? (m.dcControl[c] as number) : 0;
          if (part === 1) v = drive * (m.sourceReal[C + c] as number);
          if (part === 2) v = drive * (m.sourceImaginary[C + c] as number);
          for (let q = 0; q < Q; q++) v -= through(c, q, part, I[q] as Float64Array);
          const row = c * S + part;
          residual[row] = v - (x[row] as number);
          worst = Math.max(worst, Math.abs(residual[row] as number));
          for (let column = 0; column < n; column++) {
            let sum = column === row ? 1 : 0;
            for (let q = 0; q < Q; q++)
              sum += through(c, q, part, (p) => (slopes[q * S + p] as Float64Array)[column] as number);
            jacobian[row * n + column] = sum;
          }
        }
      }
      if (worst < 1e-10) break;
      if (step > 40) throw new Error(`reference did not settle: ${worst}`);
      if (!luFactor(jacobian, n, pivots)) throw new Error("singular");
      luSolve(jacobian, n, pivots, residual);
      for (let i = 0; i < n; i++) x[i] = (x[i] as number) + (residual[i] as number);
    }
  }
  const I = spectra(x);
  const real = new Float64Array(K + 1);
  const imaginary = new Float64Array(K + 1);
  for (let k = 0; k <= K; k++) {
    real[k] = k === 0 ? (m.observerDc[0] as number) : k === 1 ? peak * (m.observerSourceReal[1] as number) : 0;
    imaginary[k] = k === 1 ? peak * (m.observerSourceImaginary[1] as number) : 0;
    for (let q = 0; q < Q; q++) {
      const zr = m.observerImpedanceReal[k * Q + q] as number;
      const zi = m.observerImpedanceImaginary[k * Q + q] as number;
      const re = (I[q] as Float64Array)[k === 0 ? 0 : 2 * k - 1] as number;
      const im = k === 0 ? 0 : ((I[q] as Float64Array)[2 * k] as number);
      real[k] = (real[k] as number) - zr * re + zi * im;
      imaginary[k] = (imaginary[k] as number) - zr * im - zi * re;
    }
  }
  return { real, imaginary };
}

describe("against a slow clear reference (all voltages unknown, four samples per harmonic, whole Jacobian)", () => {
  const cases: readonly (readonly [string, readonly Part[], number, number, number])[] = [
    ["one stage, clean", oneStage({ space: ISLAND_12AU7, grid: NO_GRID }), 1, 10, 1e-9],
    ["one stage, cathode unbypassed", oneStage({ space: ISLAND_12AU7, grid: NO_GRID }, { bypass: false }), 3, 10, 1e-9],
    ["two stages, 5 mV", twoStages(), 5e-3, 8, 1e-9],
    ["stage and follower, clean", channel({ drive: 0.5 }), 1.5, 8, 1e-9],
    // Where the waveform clips, two samples per harmonic differ from four by what lies above K.
    ["stage and follower, first grid conducting", channel({ gridA: GRID }), 6.5, 20, 2e-3],
  ];
  test.each(cases)("%s", (_, parts, peak, K, tolerance) => {
    const fast = solved(problemOf(parts, TIGHT), peak, K);
    const slow = slowOutput(parts, peak, K);
    const first = amplitude(fast.output, 1);
    for (let k = 0; k <= 5; k++) {
      const re = (fast.output.real[k] as number) - (slow.real[k] as number);
      const im = (fast.output.imaginary[k] as number) - (slow.imaginary[k] as number);
      expect(Math.hypot(re, im) / first, `harmonic ${k}`).toBeLessThan(tolerance);
    }
  });
});

describe("properties that need no reference", () => {
  test("no signal gives back the bias", () => {
    const { circuit, bias } = ready(channel({ gridA: GRID, gridB: GRID }));
    const problem = harmonicProblem(circuit, bias, { source: "in", hertz: KILOHERTZ, output: "kb" });
    const answer = solved(problem, 1e-9, 8);
    expect(answer.output.real[0]).toBeCloseTo(bias.netVolts.get("kb") as number, 7);
    for (const [id, at] of bias.triodes) expect(answer.triodes.get(id)?.meanPlateAmps).toBeCloseTo(at.plateAmps, 12);
  });

  test("order of parts and names of nets change nothing", () => {
    const parts = channel({ gridA: GRID });
    const renamed = parts
      .toReversed()
      .map((part) =>
        Object.fromEntries(
          Object.entries(part).map(([key, value]) => [
            key,
            typeof value === "string" && !["kind", "id"].includes(key) && value !== "0" && value !== "out"
              ? `${value}-x`
              : value,
          ]),
        ),
      ) as unknown as Part[];
    const a = solved(problemOf(parts, TIGHT), 5, 16);
    const b = solved(problemOf(renamed, TIGHT), 5, 16);
    expect(distance(a, b)).toBeLessThan(1e-10);
  });

  test("ohms times s, farads over s, currents over s: the same volts", () => {
    const s = 3.7;
    const scaled = channel({ gridA: GRID, gridB: GRID }).map((part): Part => {
      switch (part.kind) {
        case "resistor":
        case "potentiometer":
          return { ...part, ohms: ohms(part.ohms * s) };
        case "capacitor":
          return capacitor(part.id, part.a, part.b, part.farads / s);
        case "ac-source":
        case "dc-source":
          return { ...part, seriesOhms: ohms(part.seriesOhms * s) };
        case "triode":
          return triode(
            part.id,
            [part.plate, part.grid, part.cathode],
            {
              space: { ...ISLAND_12AU7, G: 1.2688e-3 / s } as typeof ISLAND_12AU7,
              grid: { form: "softplus", Gg: 5e-4 / s, xi: 1.25, C: 11, Vg0: 0 },
            },
            [part.gridPlateFarads / s, part.gridCathodeFarads / s, part.plateCathodeFarads / s],
          );
        default:
          return part;
      }
    });
    const a = solved(problemOf(channel({ gridA: GRID, gridB: GRID }), TIGHT), 5, 16);
    const b = solved(problemOf(scaled, TIGHT), 5, 16);
    expect(distance(a, b)).toBeLessThan(1e-9);
    expect(b.triodes.get("a")?.meanGridAmps).toBeCloseTo((a.triodes.get("a")?.meanGridAmps as number) / s, 12);
  });

  test("a mirrored second channel on its own supply leaves the first as it was", () => {
    const one = channel({ drive: 0.5 });
    const other = one
      .filter((part) => part.kind !== "ac-source")
      .map(
        (part) =>
          Object.fromEntries(
            Object.entries(part).map(([key, value]) => [
              key,
              typeof value === "string" && key !== "kind" && value !== "0" ? `${value}R` : value,
            ]),
          ) as unknown as Part,
      );
    const a = solved(problemOf(one, TIGHT), 4, 12);
    const b = solved(problemOf([...one, ...other, resistor("tie", "inR", "0", 100)], TIGHT), 4, 12);
    expect(distance(a, b)).toBeLessThan(1e-10);
    // Driven together from one source, both outputs are equal.
    const both = [...one, ...other, resistor("tie", "in", "inR", 1)];
    const left = solved(problemOf(both, TIGHT, "out"), 4, 12);
    const right = solved(problemOf(both, TIGHT, "outR"), 4, 12);
    // The tie drops 1 ohm in 50k: 2e-5 of the level.
    expect(distance(left, right)).toBeLessThan(1e-4);
  });

  test("the other sign of the source turns odd harmonics over and leaves even ones", () => {
    // Half a period is no whole number of samples, so this also tests that the samples resolve the wave.
    const parts = channel({ drive: 0.5 });
    const turned = parts.map((part): Part => (part.kind === "ac-source" ? signal("in", "0", "in", 100) : part));
    const a = solved(problemOf(parts, TIGHT), 4, 16);
    const b = solved(problemOf(turned, TIGHT), 4, 16);
    for (let k = 0; k <= 8; k++) {
      const sign = k % 2 === 0 ? 1 : -1;
      expect(b.output.real[k] as number).toBeCloseTo(sign * (a.output.real[k] as number), 8);
    }
  });

  test("harmonics vanish as powers of the level: H2 as its first, H3 as its second", () => {
    const problem = problemOf(channel({ drive: 0.5 }), { residualFraction: 1e-14 });
    const at = (peak: number) => {
      const answer = solved(problem, peak, 8);
      return [2, 3].map((k) => amplitude(answer.output, k) / amplitude(answer.output, 1));
    };
    const [high, low] = [at(0.02), at(0.01)];
    expect((high[0] as number) / (low[0] as number)).toBeCloseTo(2, 3);
    expect((high[1] as number) / (low[1] as number)).toBeCloseTo(4, 2);
  });

  test("power: what the source and supply give is what resistors and tubes take (mean over the cycle, one stage)", () => {
    // Plate circuit of a stage with a resistive load only: B Imean = R Irms^2 + mean(va ia).
    const parts = [
      signal("in", "g", "bias"),
      supply("bias", "bias", -6),
      triode("V1", ["out", "g", "0"], { space: KOREN_12AX7, grid: NO_GRID }, [0, 0, 0]),
      resistor("Ra", "b", "out", 100e3),
      supply("B", "b", 300),
    ];
    const answer = solved(problemOf(parts, TIGHT), 5, 48);
    const current = answer.samples[0] as Float64Array;
    let given = 0;
    let lost = 0;
    for (const i of current) {
      given += 300 * i;
      lost += 100e3 * i * i + (300 - 100e3 * i) * i;
    }
    expect(lost).toBeCloseTo(given, 12);
    const mean = current.reduce((sum, i) => sum + i, 0) / current.length;
    expect(answer.triodes.get("V1")?.meanPlateAmps).toBeCloseTo(mean, 15);
    expect(answer.output.real[0]).toBeCloseTo(300 - 100e3 * mean, 7);
  });
});

test("a diode ahead of the tubes: each tube's cycle is its own", () => {
  const junction: Part = {
    kind: "diode",
    id: "D",
    anode: "d",
    cathode: "0",
    law: { form: "exponential", Is: 1e-9, nVt: 0.05 },
  };
  const parts = [supply("S", "s", 12), resistor("RD", "s", "d", 1000), junction, ...channel()];
  const { circuit, bias } = ready(parts);
  const problem = harmonicProblem(circuit, bias, { source: "in", hertz: hertz(1000), output: "out" });
  const answer = solveHarmonics(problem, { sourceVoltsPeak: volts(1e-4), harmonics: 8 });
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  for (const id of ["a", "b"]) {
    const still = bias.triodes.get(id);
    const cycle = answer.value.triodes.get(id);
    expect(cycle?.meanPlateAmps).toBeCloseTo(still?.plateAmps ?? Number.NaN, 9);
    expect(cycle?.peakGridVolts).toBeCloseTo(still?.gridVolts ?? Number.NaN, 3);
    expect(cycle?.peakPlateVolts).toBeCloseTo(still?.plateVolts ?? Number.NaN, 1);
  }
});
