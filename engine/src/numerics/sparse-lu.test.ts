import { expect, test } from "vitest";
import { seededRandom } from "./random.ts";
import { sparseFactor, sparseFactorReal, sparseProgram, sparseSolve, sparseSolveReal } from "./sparse-lu.ts";

test("the real factors solve A x = b, and the complex ones leave out only what was not asked for (seed 8)", () => {
  const random = seededRandom(8);
  for (let trial = 0; trial < 60; trial++) {
    const n = 1 + random.below(15);
    const pairs: [number, number][] = Array.from({ length: 2 * n }, () => [random.below(n), random.below(n)]);
    const program = sparseProgram(n, pairs);
    const a = new Float64Array(program.slots);
    const dense = new Float64Array(n * n);
    for (const [i, j] of [...pairs, ...Array.from({ length: n }, (_, i) => [i, i] as const)]) {
      for (const [p, q] of [
        [i, j],
        [j, i],
      ] as const)
        a[program.slot(p, q)] = dense[p * n + q] = p === q ? 9 + random.uniform() : random.normal();
    }
    const x = Float64Array.from({ length: n }, () => random.normal());
    const b = new Float64Array(2 * n);
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++) b[n + i] = (b[n + i] as number) + (dense[i * n + j] as number) * (x[j] as number);
    const given = b.slice(n);
    const real = a.slice();
    const inverse = new Float64Array(n);
    expect(sparseFactorReal(program, real, inverse)).toBe(true);
    sparseSolveReal(program, real, inverse, b, n);
    for (let i = 0; i < n; i++) expect(b[n + i]).toBeCloseTo(x[i] as number, 10);

    const im = new Float64Array(program.slots);
    const inverseIm = new Float64Array(n);
    expect(sparseFactor(program, a, im, inverse, inverseIm)).toBe(true);
    const from = random.below(n);
    sparseSolve(program, a, im, inverse, inverseIm, given, new Float64Array(n), 0, from);
    for (let k = from; k < n; k++) {
      const unknown = program.order[k] as number;
      expect(given[unknown]).toBeCloseTo(x[unknown] as number, 10);
    }
  }
});

test("a pivot that vanishes or is not a number is refused", () => {
  const program = sparseProgram(2, [[0, 1]]);
  const inverse = new Float64Array(2);
  const singular = new Float64Array(program.slots).fill(1);
  expect(sparseFactorReal(program, singular, inverse)).toBe(false);
  expect(sparseFactorReal(program, new Float64Array(program.slots).fill(Number.NaN), inverse)).toBe(false);
});
