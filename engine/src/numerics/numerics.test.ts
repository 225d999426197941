import { describe, expect, test } from "vitest";
import { luFactor, luSolve, luSolveTransposed } from "./lu.ts";
import { luFactorComplex, luSolveComplex } from "./lu-complex.ts";
import { seededRandom } from "./random.ts";
import { findRoot } from "./roots.ts";
import { sparseFactor, sparseProgram, sparseSolve } from "./sparse-lu.ts";

describe("real LU", () => {
  for (const seed of [1, 2, 3]) {
    test(`solves and solves transposed to rounding for n = 1 to 33 (seed ${seed})`, () => {
      const random = seededRandom(seed);
      for (let n = 1; n <= 33; n++) {
        const a = Float64Array.from({ length: n * n }, () => random.normal() * 10 ** (6 * random.uniform() - 3));
        const x = Float64Array.from({ length: n }, () => random.normal());
        const b = new Float64Array(n);
        const bt = new Float64Array(n);
        for (let i = 0; i < n; i++)
          for (let j = 0; j < n; j++) {
            b[i] = (b[i] as number) + (a[i * n + j] as number) * (x[j] as number);
            bt[j] = (bt[j] as number) + (a[i * n + j] as number) * (x[i] as number);
          }
        const scale = Math.max(...a.map(Math.abs));
        const f = Float64Array.from(a);
        const pivots = new Int32Array(n);
        expect(luFactor(f, n, pivots)).toBe(true);
        const y = Float64Array.from(b);
        luSolve(f, n, pivots, y);
        const yt = Float64Array.from(bt);
        luSolveTransposed(f, n, pivots, yt);
        for (let i = 0; i < n; i++) {
          let r = -(b[i] as number);
          let rt = -(bt[i] as number);
          for (let j = 0; j < n; j++) {
            r += (a[i * n + j] as number) * (y[j] as number);
            rt += (a[j * n + i] as number) * (yt[j] as number);
          }
          const size = Math.max(...y.map(Math.abs), ...yt.map(Math.abs), 1);
          expect(Math.abs(r)).toBeLessThan(1e-12 * scale * n * size);
          expect(Math.abs(rt)).toBeLessThan(1e-11 * scale * n * size);
        }
      }
    });
  }

  test("a singular matrix is named", () => {
    expect(luFactor(Float64Array.of(1, 2, 2, 4), 2, new Int32Array(2))).toBe(false);
    expect(luFactor(Float64Array.of(Number.NaN), 1, new Int32Array(1))).toBe(false);
  });
});

test("sparse complex LU agrees with the dense one on random symmetric patterns (seed 4)", () => {
  const random = seededRandom(4);
  for (let trial = 0; trial < 60; trial++) {
    const n = 1 + random.below(20);
    const pairs: [number, number][] = Array.from({ length: 2 * n }, () => [random.below(n), random.below(n)]);
    const program = sparseProgram(n, pairs);
    const re = new Float64Array(program.slots);
    const im = new Float64Array(program.slots);
    const dre = new Float64Array(n * n);
    const dim = new Float64Array(n * n);
    for (let i = 0; i < n; i++) re[program.slot(i, i)] = dre[i * n + i] = 8 + random.uniform();
    for (const [i, j] of pairs) {
      if (i === j) continue;
      for (const [p, q] of [
        [i, j],
        [j, i],
      ] as const) {
        const r = random.normal();
        const s = random.normal();
        re[program.slot(p, q)] = dre[p * n + q] = r;
        im[program.slot(p, q)] = dim[p * n + q] = s;
      }
    }
    const b = Float64Array.from({ length: n }, () => random.normal());
    const x = Float64Array.from(b);
    const y = new Float64Array(n);
    const inverseRe = new Float64Array(n);
    const inverseIm = new Float64Array(n);
    expect(sparseFactor(program, re, im, inverseRe, inverseIm)).toBe(true);
    sparseSolve(program, re, im, inverseRe, inverseIm, x, y);
    const dx = Float64Array.from(b);
    const dy = new Float64Array(n);
    const pivots = new Int32Array(n);
    expect(luFactorComplex(dre, dim, n, pivots)).toBe(true);
    luSolveComplex(dre, dim, n, pivots, dx, dy);
    for (let i = 0; i < n; i++) {
      const size = Math.max(1, ...dx.map(Math.abs), ...dy.map(Math.abs));
      expect(Math.abs((x[i] as number) - (dx[i] as number))).toBeLessThan(1e-9 * size);
      expect(Math.abs((y[i] as number) - (dy[i] as number))).toBeLessThan(1e-9 * size);
    }
  }
});

describe("random", () => {
  test("the stream of seed 1 never changes", () => {
    const random = seededRandom(1);
    expect(Array.from({ length: 3 }, () => random.uniform())).toMatchInlineSnapshot(`
      [
        0.09156953175513294,
        0.8881928137485323,
        0.43427017709149285,
      ]
    `);
  });

  test("uniform and normal have their moments (seed 7, 200,000 draws)", () => {
    const random = seededRandom(7);
    let u = 0;
    let n1 = 0;
    let n2 = 0;
    let n4 = 0;
    const N = 200_000;
    for (let i = 0; i < N; i++) {
      u += random.uniform();
      const x = random.normal();
      n1 += x;
      n2 += x * x;
      n4 += x ** 4;
    }
    expect(Math.abs(u / N - 0.5)).toBeLessThan(0.003);
    expect(Math.abs(n1 / N)).toBeLessThan(0.01);
    expect(Math.abs(n2 / N - 1)).toBeLessThan(0.02);
    expect(Math.abs(n4 / N - 3)).toBeLessThan(0.15);
  });
});

describe("roots", () => {
  test("finds roots of awkward functions within the tolerance", () => {
    for (const [f, low, high, root] of [
      [(x: number) => x ** 3 - 2, 0, 2, Math.cbrt(2)],
      [(x: number) => Math.exp(x) - 1e-6, -40, 2, Math.log(1e-6)],
      [(x: number) => Math.tanh(50 * (x - 0.3)), 0, 1, 0.3],
      [(x: number) => (x - 0.7) ** 9, 0, 1, 0.7],
    ] as const) {
      const answer = findRoot(f, low, high, 1e-10);
      if (!answer.ok) throw new Error(answer.failure.kind);
      // The flat ninth power is zero to rounding over a width of its own.
      expect(Math.abs(answer.value.x - root)).toBeLessThan(root === 0.7 ? 1e-3 : 1e-9);
    }
  });

  test("no bracket is an outcome", () => {
    expect(findRoot((x) => x * x + 1, -1, 1, 1e-9)).toEqual({
      ok: false,
      failure: { kind: "no-bracket", low: -1, high: 1 },
    });
  });
});
