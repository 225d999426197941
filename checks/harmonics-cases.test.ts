/**
 * Harmonics of one stage against closed forms and worked cases.
 *
 * Sources The three-halves cases: an independent solution (Python) of i = K (mu vg + Vb - i RL)^1.5 at fixed grid bias,
 *         its Fourier coefficients taken from 4096 samples; K from 9 mA at 250 V, -8 V, mu 20 (6SN7GT's sheet point).
 *         Small-signal forms: series expansion of the load line with s = -d ln rp / d ln I and m = d ln mu / d ln I,
 *         x = rp / (rp + R): H2 = (Ip / I0)(m + s x) / 4; for constant mu and rp = k I^-s
 *         H3 = (Ip / I0)^2 |3 s^2 x^2 - s (s + 1) x| / 24.
 */
import {
  amplitude,
  compileTriode,
  harmonicRatios,
  harmonicSigns,
  type Part,
  type SpaceLaw,
  type TriodeLaw,
} from "@platewright/engine";
import { describe, expect, test } from "vitest";
import {
  decibelsOf,
  fundamental,
  harmonicsAt,
  KOREN_12AX7,
  NO_GRID,
  RSD_1,
  ready,
  resistor,
  signal,
  supply,
  triode,
} from "./harmonics-circuits.ts";

const TIGHT = { residualFraction: 1e-13 };

/** Plate load to a stiff supply, grid at fixed bias plus the signal; cathode at ground. */
function fixedBias(space: SpaceLaw, supplyVolts: number, loadOhms: number, gridVolts: number): Part[] {
  return [
    signal("g", "bias"),
    supply("bias", "bias", gridVolts),
    triode("V1", ["out", "g", "0"], { space, grid: NO_GRID }),
    resistor("Ra", "b", "out", loadOhms),
    supply("B", "b", supplyVolts),
  ];
}

describe("three-halves stage: 300 V, 33k, -6 V, mu 20", () => {
  const stage = ready(fixedBias({ form: "three-halves", K: 1.0540926e-5, mu: 20, p: 1.5 }, 300, 33e3, -6));

  test("bias 3.894318 mA, 171.4875 V, rp 8814.12", () => {
    const at = stage.bias.triodes.get("V1");
    expect(at?.plateAmps).toBeCloseTo(3.894318e-3, 9);
    expect(at?.plateVolts).toBeCloseTo(171.4875, 4);
    expect(at?.plateOhms).toBeCloseTo(8814.12, 1);
  });

  test("2 V peak: 31.5492 V, H2 -47.195, H3 -73.855, H4 -97.980 dB, mean current +4.163 uA", () => {
    const answer = harmonicsAt(stage, 2, { limits: TIGHT });
    expect(fundamental(answer).toFixed(4)).toBe("31.5492");
    expect(decibelsOf(answer, 2).toFixed(3)).toBe("-47.195");
    expect(decibelsOf(answer, 3).toFixed(3)).toBe("-73.855");
    expect(decibelsOf(answer, 4).toFixed(3)).toBe("-97.980");
    const mean = answer.triodes.get("V1")?.meanPlateAmps as number;
    const rest = stage.bias.triodes.get("V1")?.plateAmps as number;
    expect(((mean - rest) * 1e6).toFixed(3)).toBe("4.163");
  });

  test("0.2 V peak: H2 0.043155 %, H3 -114.051 dB; gain 15.78414 in the limit", () => {
    const answer = harmonicsAt(stage, 0.2, { limits: TIGHT });
    expect(((harmonicRatios(answer.output)[0] as number) * 100).toFixed(6)).toBe("0.043155");
    expect(decibelsOf(answer, 3).toFixed(3)).toBe("-114.051");
    expect(fundamental(harmonicsAt(stage, 1e-4, { limits: TIGHT })) / 1e-4).toBeCloseTo(15.78414, 5);
  });
});

/** Slopes of ln rp and ln mu along the load line through (vg, va), by central differences of the law's exact slopes. */
function alongLoadLine(law: TriodeLaw, gridVolts: number, plateVolts: number, loadOhms: number) {
  const f = compileTriode(law);
  const out = new Float64Array(6);
  const at = (vg: number, va: number) => {
    f(vg, va, out);
    return { ia: out[0] as number, gm: out[1] as number, gp: out[2] as number };
  };
  const here = at(gridVolts, plateVolts);
  const gain = (here.gm / (here.gp + 1 / loadOhms)) as number;
  const step = 1e-4;
  const low = at(gridVolts - step, plateVolts + gain * step);
  const high = at(gridVolts + step, plateVolts - gain * step);
  const current = Math.log(high.ia / low.ia);
  const rp = 1 / here.gp;
  return {
    ia: here.ia,
    s: -Math.log(low.gp / high.gp) / current,
    m: Math.log(high.gm / high.gp / (low.gm / low.gp)) / current,
    x: rp / (rp + loadOhms),
  };
}

describe("small signals meet the series expansion", () => {
  const laws: readonly (readonly [string, SpaceLaw, number, number, number])[] = [
    ["12AX7, Koren", KOREN_12AX7, 250, 100e3, -1.2],
    ["12AX7, specimen RSD-1", RSD_1.space, 250, 100e3, -1.2],
    ["three-halves", { form: "three-halves", K: 1.0540926e-5, mu: 20, p: 1.5 }, 300, 33e3, -6],
    [
      "12AU7A-like island law",
      { form: "island", G: 1.2688e-3, mu: 20.825, p: 1.3705, k: 5.683, a: 0.2933, Vt: 0.1805, Vct: 0.226 },
      250,
      47e3,
      -6,
    ],
  ];
  test.each(laws)(
    "%s: H2 = (Ip/I0)(m + s x)/4, the error falling as the square of the level",
    (_, space, volts, load, bias) => {
      const stage = ready(fixedBias(space, volts, load, bias));
      const at = stage.bias.triodes.get("V1");
      const { ia, s, m, x } = alongLoadLine({ space, grid: NO_GRID }, bias, at?.plateVolts as number, load);
      const errors = [0.08, 0.04, 0.02].map((peak) => {
        const answer = harmonicsAt(stage, peak, { limits: TIGHT });
        const current = fundamental(answer) / load;
        const predicted = ((current / ia) * (m + s * x)) / 4;
        return (harmonicRatios(answer.output)[0] as number) / predicted - 1;
      });
      expect(Math.abs(errors[2] as number)).toBeLessThan(1e-3);
      // Second order in the level: halving it quarters the error (down to the 1e-6 of the differences).
      expect(Math.abs((errors[0] as number) / (errors[1] as number))).toBeGreaterThan(3.5);
      expect(Math.abs((errors[0] as number) / (errors[1] as number))).toBeLessThan(4.5);
    },
  );

  test("H3 of a power law of constant mu: (Ip/I0)^2 |3 s^2 x^2 - s (s + 1) x| / 24", () => {
    for (const p of [1.26, 1.5, 2]) {
      const stage = ready(fixedBias({ form: "three-halves", K: 1e-5, mu: 20, p }, 300, 33e3, -6));
      const at = stage.bias.triodes.get("V1");
      const rp = at?.plateOhms as number;
      const s = (p - 1) / p;
      const x = rp / (rp + 33e3);
      const answer = harmonicsAt(stage, 0.05, { limits: TIGHT });
      const swing = fundamental(answer) / 33e3 / (at?.plateAmps as number);
      const predicted = (swing ** 2 * Math.abs(3 * s * s * x * x - s * (s + 1) * x)) / 24;
      expect((harmonicRatios(answer.output)[1] as number) / predicted).toBeCloseTo(1, 3);
    }
  });

  test("a follower's H2 falls with 1 / (1 + gm Rk): R = (mu + 1) Rk in the same form", () => {
    const space: SpaceLaw = { form: "three-halves", K: 1.0540926e-5, mu: 20, p: 1.5 };
    const stage = ready([
      signal("g", "bias"),
      supply("bias", "bias", 120),
      triode("V1", ["b", "g", "out"], { space, grid: NO_GRID }),
      resistor("Rk", "out", "0", 33e3),
      supply("B", "b", 300),
    ]);
    const at = stage.bias.triodes.get("V1");
    const rp = at?.plateOhms as number;
    const answer = harmonicsAt(stage, 5, { limits: TIGHT });
    const swing = fundamental(answer) / 33e3 / (at?.plateAmps as number);
    const predicted = (swing * (1 / 3) * rp) / (rp + 21 * 33e3) / 4;
    expect((harmonicRatios(answer.output)[0] as number) / predicted).toBeCloseTo(1, 2);
  });
});

describe("signs", () => {
  const space: SpaceLaw = { form: "three-halves", K: 1.0540926e-5, mu: 20, p: 1.5 };

  test("an inverting stage flattens the upper half of its output: H2 in antiphase with the output's own cosine squared", () => {
    // ia = I0 + a cos + b cos 2 with b > 0; the output is minus that times the load: fundamental -a, second -b.
    const stage = ready(fixedBias(space, 300, 33e3, -6));
    const answer = harmonicsAt(stage, 1);
    expect(answer.output.real[1]).toBeLessThan(0);
    expect(harmonicSigns(answer.output)[0]).toBe(-1);
  });

  test("two inverting stages cancel part of their second harmonics", () => {
    const one = (n: number, grid: string) => [
      triode(`V${n}`, [`p${n}`, grid, "0"], { space, grid: NO_GRID }),
      resistor(`Ra${n}`, "b", `p${n}`, 33e3),
    ];
    // A divider of 15.8 brings the second stage to about the drive of the first; batteries hold both grids at -6 V.
    const cascade = ready([
      signal("g1", "bias"),
      supply("bias", "bias", -6),
      supply("B", "b", 300),
      ...one(1, "g1"),
      resistor("Rd1", "p1", "g2", 148e5),
      resistor("Rd2", "g2", "n", 1e6),
      supply("N", "n", -6 - 177.4875 / 14.8),
      ...one(2, "g2"),
    ]);
    const first = harmonicsAt(cascade, 1, { output: "p1" });
    const both = harmonicsAt(cascade, 1, { output: "p2" });
    const h2 = (answer: typeof first) => harmonicRatios(answer.output)[0] as number;
    expect(amplitude(both.output, 1) / amplitude(first.output, 1)).toBeCloseTo(1, 1);
    expect(h2(both)).toBeLessThan(0.2 * h2(first));
  });
});
