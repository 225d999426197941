import { describe, expect, test } from "vitest";
import { seededRandom } from "../numerics/random.ts";
import type { SpaceLaw, TriodeLaw } from "./law.ts";
import { compileSpaceCurrent, compileTriode } from "./triode.ts";

const ISLAND: SpaceLaw = {
  form: "island",
  G: 1.2688e-3,
  mu: 20.825,
  p: 1.3705,
  k: 5.683,
  a: 0.2933,
  Vt: 0.1805,
  Vct: 0.226,
};
const KOREN: SpaceLaw = { form: "koren", mu: 21.5, ex: 1.3, kg1: 1180, kp: 84, kvb: 300, Vct: 0 };
const SOFTPLUS: SpaceLaw = { form: "softplus", G: 2.242e-3, mu: 103.2, gamma: 1.26, C: 3.4, Vct: 0 };
const POWER: SpaceLaw = { form: "three-halves", K: 1.0540926e-5, mu: 20, p: 1.5 };
const GRID = { form: "softplus", Gg: 4e-4, xi: 1.3, C: 10, Vg0: -0.4 } as const;
const SPACES: readonly (readonly [string, SpaceLaw])[] = [
  ["island", ISLAND],
  ["koren", KOREN],
  ["softplus", SOFTPLUS],
  ["three-halves", POWER],
];

const at = (law: TriodeLaw, vg: number, va: number): Float64Array => {
  const out = new Float64Array(6);
  compileTriode(law)(vg, va, out);
  return out;
};
const plain = (space: SpaceLaw): TriodeLaw => ({ space, grid: { form: "none" } });

describe("points computed elsewhere", () => {
  test("island law of an ECC82 sheet: 10.41 mA at 250 V, -8.5 V (SciPy)", () => {
    expect(1000 * (at(plain(ISLAND), -8.5, 250)[0] as number)).toBeCloseTo(10.41, 2);
  });
  test("Koren's 12AU7: 10.394 mA, 2.480 mS, mu 17.97 at 250 V, -8.5 V (SciPy; his table of 1996, factor two kept)", () => {
    const [ia, gm, gp] = at(plain(KOREN), -8.5, 250) as unknown as [number, number, number];
    expect(1000 * ia).toBeCloseTo(10.394, 3);
    expect(1000 * gm).toBeCloseTo(2.48, 3);
    expect(gm / gp).toBeCloseTo(17.97, 2);
  });
  test("a measured 12AX7 by the softplus law: 0.901 mA, 1.891 mS at 250 V, -2 V (SciPy)", () => {
    const [ia, gm] = at(plain(SOFTPLUS), -2, 250) as unknown as [number, number];
    expect(1000 * ia).toBeCloseTo(0.901, 3);
    expect(1000 * gm).toBeCloseTo(1.891, 3);
  });
  test("3/2 law: 9 mA at 250 V, -8 V, K as given", () => {
    expect(1000 * (at(plain(POWER), -8, 250)[0] as number)).toBeCloseTo(9, 5);
  });
});

/** The printed formulas, slowly and without branches. */
function islandSlow(law: Extract<SpaceLaw, { form: "island" }>, vg: number, va: number): number {
  const { G, mu, p, k, a, Vt, Vct } = law;
  const e = vg + Vct;
  const h = Math.sqrt(va * va + (mu * Vt) ** 2);
  const r = (mu * e) / h;
  const phi = Math.log(1 + Math.exp(-5 * (r + 0.6))) / 5;
  const X = e + va / mu + (a * h * phi) / mu;
  const W = Math.sqrt((va / (mu * k)) ** 2 + Vt * Vt);
  return G * (W * Math.log(1 + Math.exp(X / W))) ** p;
}

test("the fast island law is the slow one (seed 3, 2000 points)", () => {
  const random = seededRandom(3);
  const space = compileSpaceCurrent(ISLAND);
  const out = new Float64Array(3);
  for (let n = 0; n < 2000; n++) {
    const vg = -20 + 22 * random.uniform();
    const va = 400 * random.uniform();
    space(vg, va, out);
    const slow = islandSlow(ISLAND as Extract<SpaceLaw, { form: "island" }>, vg, va);
    expect(Math.abs((out[0] as number) - slow)).toBeLessThanOrEqual(1e-11 * slow + 1e-20);
  }
});

test("the island law without island and thermal width is Koren's with Kvb 0 and Kp = k mu", () => {
  const island = plain({ ...(ISLAND as Extract<SpaceLaw, { form: "island" }>), a: 0, Vt: 1e-9, Vct: 0.2 });
  const { G, mu, p, k } = ISLAND as Extract<SpaceLaw, { form: "island" }>;
  const koren = plain({ form: "koren", mu, ex: p, kg1: 2 / G, kp: k * mu, kvb: 0, Vct: 0.2 });
  for (const [vg, va] of [
    [-8, 250],
    [-2, 90],
    [-15, 200],
    [0, 60],
  ] as const)
    expect((at(island, vg, va)[0] as number) / (at(koren, vg, va)[0] as number)).toBeCloseTo(1, 6);
});

describe.each(SPACES)("%s", (_, space) => {
  for (const grid of [{ form: "none" } as const, GRID]) {
    const law: TriodeLaw = { space, grid };
    test(`slopes are those of differences, and fall off at second order (grid ${grid.form})`, () => {
      for (const [vg, va] of [
        [-8, 250],
        [-3, 120],
        [-0.6, 80],
        [0.3, 150],
        [-1.3, 30],
      ] as const) {
        const out = at(law, vg, va);
        const errors = [1e-2, 5e-3].map((h) => {
          let worst = 0;
          for (const [current, dg, da] of [
            [0, 1, 2],
            [3, 4, 5],
          ] as const) {
            const slopeG =
              ((at(law, vg + h, va)[current] as number) - (at(law, vg - h, va)[current] as number)) / (2 * h);
            const slopeA =
              ((at(law, vg, va + h)[current] as number) - (at(law, vg, va - h)[current] as number)) / (2 * h);
            worst = Math.max(worst, Math.abs(slopeG - (out[dg] as number)), Math.abs(slopeA - (out[da] as number)));
          }
          return worst;
        });
        const [coarse, fine] = errors as [number, number];
        expect(fine).toBeLessThan(2e-4 * Math.abs(out[1] as number) + 1e-12);
        if (coarse > 1e-10) expect(coarse / fine).toBeGreaterThan(3.4);
        if (coarse > 1e-10) expect(coarse / fine).toBeLessThan(4.6);
      }
    });
  }
});

test("cathode current is plate plus grid, both never negative, whatever the volts (seed 4, 20,000 laws and volts)", () => {
  const random = seededRandom(4);
  const between = (low: number, high: number) => low + (high - low) * random.uniform();
  for (let n = 0; n < 20_000; n++) {
    const space: SpaceLaw = {
      form: "island",
      G: 10 ** between(-4, -2),
      mu: between(3, 110),
      p: between(1.2, 1.6),
      k: between(2, 25),
      a: between(0, 0.9),
      Vt: between(0.1, 0.4),
      Vct: between(-0.2, 1),
    };
    const vg = between(-200, 20);
    const va = between(0, 600);
    const alone = new Float64Array(3);
    compileSpaceCurrent(space)(vg, va, alone);
    const out = at({ space, grid: GRID }, vg, va);
    for (const value of out) expect(Number.isFinite(value)).toBe(true);
    expect(out[0]).toBeGreaterThanOrEqual(0);
    expect(out[3]).toBeGreaterThanOrEqual(0);
    // Monotone in both voltages.
    expect(alone[1]).toBeGreaterThanOrEqual(0);
    expect(alone[2]).toBeGreaterThanOrEqual(0);
    const sum = (out[0] as number) + (out[3] as number);
    expect(Math.abs(sum - (alone[0] as number))).toBeLessThanOrEqual(4e-16 * (alone[0] as number));
  }
});

test("with the plate at the cathode's volts or below, the grid takes all", () => {
  for (const va of [0, -10]) {
    const out = at({ space: ISLAND, grid: GRID }, 1, va);
    expect(out[0]).toBeLessThan(1e-12);
    expect(out[3]).toBeGreaterThan(0);
  }
});

test("third derivatives are continuous where current flows: fourth differences shrink as the step does", () => {
  const law: TriodeLaw = { space: ISLAND, grid: GRID };
  const third = (vg: number, h: number) => {
    const f = (x: number) => at(law, x, 120)[0] as number;
    return (f(vg + 2 * h) - 2 * f(vg + h) + 2 * f(vg - h) - f(vg - 2 * h)) / (2 * h ** 3);
  };
  for (let vg = -6; vg < 0.5; vg += 0.25) {
    const jump = Math.abs(third(vg + 0.01, 0.02) - third(vg - 0.01, 0.02));
    const halved = Math.abs(third(vg + 0.005, 0.02) - third(vg - 0.005, 0.02));
    expect(halved).toBeLessThanOrEqual(0.6 * jump + 2e-6);
  }
});

test("grid current grows by its exponential tail below onset and its power above", () => {
  const ig = (vg: number) => at({ space: ISLAND, grid: GRID }, vg, 250)[3] as number;
  // Far below: a volt is xi C nepers.
  expect(Math.log(ig(-1.6) / ig(-1.7)) / 0.1).toBeCloseTo(1.3 * 10, 1);
  expect(ig(1)).toBeGreaterThan(ig(0));
});

test("what is not a number comes out as such, never as no current", () => {
  const grid = { form: "softplus", Gg: 4e-4, xi: 1.3, C: 10, Vg0: -0.4 } as const;
  const spaces: readonly SpaceLaw[] = [
    { form: "island", G: Number.NaN, mu: 20, p: 1.4, k: 5, a: 0.3, Vt: 0.2, Vct: 0.2 },
    { form: "koren", mu: 100, ex: 1.4, kg1: Number.NaN, kp: 600, kvb: 300, Vct: 0 },
    { form: "softplus", G: 2e-3, mu: Number.NaN, gamma: 1.26, C: 3.4, Vct: 0 },
    { form: "three-halves", K: 1e-5, mu: Number.NaN, p: 1.5 },
  ];
  const out = new Float64Array(6);
  for (const space of spaces)
    for (const share of [{ form: "none" } as const, grid]) {
      compileTriode({ space, grid: share })(-1, 100, out);
      expect(out[0], space.form).toBeNaN();
    }
});

test("beyond cut-off the 3/2 law answers nothing at all, whatever stood in the result before", () => {
  const out = new Float64Array(6).fill(7);
  compileTriode({ space: POWER, grid: { form: "none" } })(-30, 100, out);
  expect([...out]).toEqual([0, 0, 0, 0, 0, 0]);
  out.fill(7);
  compileTriode({ space: POWER, grid: GRID })(-30, 100, out);
  expect([...out]).toEqual([0, 0, 0, 0, 0, 0]);
});

test("every slot of the answer is written, wherever the tube stands", () => {
  for (const [, space] of SPACES)
    for (const grid of [GRID, { form: "none" } as const])
      for (const vg of [-1e4, -300, -20, 0, 3, 60])
        for (const va of [-500, -1, 0, 1e-9, 5, 250, 5000]) {
          const out = new Float64Array(6).fill(Number.NaN);
          compileTriode({ space, grid })(vg, va, out);
          expect(out.every(Number.isFinite), `${space.form}, grid ${grid.form}, ${vg} V, ${va} V`).toBe(true);
        }
});

const SQUARE: SpaceLaw = { form: "square", K: 0.375, Vt: 3.5, width: 0.08, lambda: 0.01 };
/** Volts over all regions, cut-off and reversed plates among them. */
const PLACES: readonly (readonly [number, number])[] = [-400, -30, -12, -8, -3, -1.2, -0.4, 0, 0.5, 4, 20].flatMap(
  (vg) => [-300, -2, 0, 0.7, 1.6, 8, 60, 250, 600].map((va) => [vg, va] as const),
);

describe.each([...SPACES, ["square", SQUARE] as const])("%s, many at once", (_, space) => {
  test.each([
    ["no grid law", { form: "none" } as const, 6],
    ["grid law", GRID, 6],
  ])("%s: each sample in its own place, what stands between is left alone", (__, grid, results) => {
    const evaluate = compileTriode({ space, grid });
    const count = PLACES.length;
    const [gridAt, plateAt, start, step] = [3, count + 7, 5, count + 11];
    const control = new Float64Array(plateAt + count).fill(Number.NaN);
    for (const [m, [vg, va]] of PLACES.entries()) {
      control[gridAt + m] = vg;
      control[plateAt + m] = va;
    }
    const out = new Float64Array(start + results * step).fill(777);
    evaluate.samples(control, gridAt, plateAt, count, out, start, step);
    const wanted = new Float64Array(out.length).fill(777);
    const one = new Float64Array(6);
    for (const [m, [vg, va]] of PLACES.entries()) {
      one.fill(Number.NaN);
      evaluate(vg, va, one);
      for (let r = 0; r < results; r++) wanted[start + r * step + m] = one[r] as number;
    }
    expect(out).toEqual(wanted);
    expect(wanted.every(Number.isFinite)).toBe(true);
  });
});

const ln1e = (y: number) => (y > 30 ? y : Math.log1p(Math.exp(y)));

/** The printed formulas of the other laws, slowly. */
function spaceSlow(law: SpaceLaw, vg: number, va: number): number {
  switch (law.form) {
    case "island":
      return islandSlow(law, vg, va);
    case "koren": {
      if (va <= 0) return 0;
      const E = (va / law.kp) * ln1e(law.kp * (1 / law.mu + (vg + law.Vct) / Math.sqrt(law.kvb + va * va)));
      return (2 * E ** law.ex) / law.kg1;
    }
    case "softplus":
      return law.G * (ln1e(law.C * (va / law.mu + vg + law.Vct)) / law.C) ** law.gamma;
    case "three-halves":
      return law.K * Math.max(0, law.mu * vg + va) ** law.p;
    case "square": {
      const F = (u: number) => law.width * ln1e(u / law.width);
      const channel = F(vg - law.Vt) ** 2 - F(vg - law.Vt - va) ** 2;
      const body = 0.05 * ln1e((-va - 0.7) / 0.05);
      return law.K * channel * (1 + law.lambda * (Math.sqrt(1 + va * va) - 1)) - body;
    }
  }
}

describe.each([...SPACES, ["square", SQUARE] as const])("%s against its formula, slowly", (name, space) => {
  test("space current, and its share between plate and grid (seed 8, 1000 points)", () => {
    const random = seededRandom(8);
    for (let n = 0; n < 1000; n++) {
      const [vg, va] = [-15 + 20 * random.uniform(), -20 + 320 * random.uniform()];
      const ik = spaceSlow(space, vg, va);
      const size = Math.max(Math.abs(ik), 1e-12);
      expect(Math.abs((at(plain(space), vg, va)[0] as number) - ik) / size, `${vg} ${va}`).toBeLessThan(1e-9);
      if (name === "square") continue;
      const g = GRID.Gg * (ln1e(GRID.C * (vg - GRID.Vg0)) / GRID.C) ** GRID.xi;
      const collected = va > 0 ? Math.exp(-((1.5 / va) ** 6)) : 0;
      const ia = ik > 0 ? (collected * ik * ik) / (ik + g) : 0;
      const both = at({ space, grid: GRID }, vg, va);
      expect(Math.abs((both[0] as number) - ia) / size, `${vg} ${va}`).toBeLessThan(1e-9);
      expect(Math.abs((both[3] as number) - (ik - ia)) / size, `${vg} ${va}`).toBeLessThan(1e-9);
    }
  });

  test("slopes in every region are those of differences (grid law as well)", () => {
    const laws: readonly TriodeLaw[] = name === "square" ? [plain(space)] : [plain(space), { space, grid: GRID }];
    for (const law of laws)
      for (const vg of [-6, -2.1, -0.9, -0.36, 0.2, 1.5, 3.45, 4.2])
        for (const va of [-1.3, -0.4, 0.9, 1.4, 2.2, 7, 45, 180]) {
          const h = 1e-4;
          const found = at(law, vg, va);
          for (const [current, dg, da] of [
            [0, 1, 2],
            [3, 4, 5],
          ] as const) {
            const byGrid =
              ((at(law, vg + h, va)[current] as number) - (at(law, vg - h, va)[current] as number)) / (2 * h);
            const byPlate =
              ((at(law, vg, va + h)[current] as number) - (at(law, vg, va - h)[current] as number)) / (2 * h);
            const size = Math.max(1e-6, Math.abs(found[1] as number), Math.abs(found[2] as number));
            expect(Math.abs((found[dg] as number) - byGrid) / size, `${vg} ${va}`).toBeLessThan(1e-4);
            expect(Math.abs((found[da] as number) - byPlate) / size, `${vg} ${va}`).toBeLessThan(1e-4);
          }
        }
  });
});
