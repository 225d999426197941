/** Linear algebra, fitting and the rectifier against NumPy and SciPy: numerics.json beside this file, made by numerics.py. */
import { readFileSync } from "node:fs";
import {
  leastSquares,
  luFactor,
  luFactorComplex,
  luSolve,
  luSolveComplex,
  luSolveTransposed,
  RECTIFIER_LIMITS,
  type RectifierLaw,
  solveRectifier,
} from "@platewright/engine";
import { describe, expect, test } from "vitest";

interface Fixture {
  readonly linear: readonly {
    readonly n: number;
    readonly condition: number;
    readonly solution: readonly number[];
    readonly transposed: readonly number[];
    readonly complexReal: readonly number[];
    readonly complexImaginary: readonly number[];
  }[];
  readonly fits: readonly {
    readonly name: string;
    readonly x: readonly number[];
    readonly covariance: readonly number[];
    readonly cost: number;
  }[];
  readonly rectifierCases: readonly {
    readonly name: string;
    readonly rms: number;
    readonly hertz: number;
    readonly series: number;
    readonly farads: number;
    readonly circuit: "full-wave" | "half-wave";
    readonly law: RectifierLaw;
    readonly amps?: number;
    readonly ohms?: number;
  }[];
  readonly rectifier: readonly {
    readonly name: string;
    readonly dcVolts: number;
    readonly ripplePeakToPeakVolts: number;
    readonly platePeakAmps: number;
    readonly plateRmsAmps: number;
  }[];
}
const given = JSON.parse(readFileSync(new URL("numerics.json", import.meta.url), "utf8")) as Fixture;

/** The generator's rule for integers from -50 to 50. */
const rule = (i: number, j: number) => ((i * 37 + j * 71 + i * j * 13 + ((i * i + 3 * j * j) % 17)) % 101) - 50;
const near = (got: number, wanted: number, relative: number, scale = Math.abs(wanted)) =>
  expect(Math.abs(got - wanted)).toBeLessThanOrEqual(relative * scale);

describe.each(given.linear.map((row) => [row.n, row] as const))("LU of order %d", (n, row) => {
  const real = () => Float64Array.from({ length: n * n }, (_, at) => rule(Math.floor(at / n), at % n));
  const right = () => Float64Array.from({ length: n }, (_, i) => rule(i, 90));
  const size = Math.max(...row.solution.map(Math.abs));
  const rounding = 1e-14 * row.condition;

  test("real, and transposed", () => {
    const [a, pivots] = [real(), new Int32Array(n)];
    expect(luFactor(a, n, pivots)).toBe(true);
    const x = right();
    luSolve(a, n, pivots, x);
    row.solution.forEach((wanted, i) => near(x[i] as number, wanted, rounding, size));
    const y = right();
    luSolveTransposed(a, n, pivots, y);
    row.transposed.forEach((wanted, i) =>
      near(y[i] as number, wanted, rounding, Math.max(...row.transposed.map(Math.abs))),
    );
  });

  test("complex", () => {
    const re = real();
    const im = Float64Array.from({ length: n * n }, (_, at) => rule((at % n) + 2, Math.floor(at / n) + 5));
    const pivots = new Int32Array(n);
    expect(luFactorComplex(re, im, n, pivots)).toBe(true);
    const [xr, xi] = [right(), new Float64Array(n)];
    luSolveComplex(re, im, n, pivots, xr, xi);
    row.complexReal.forEach((wanted, i) => near(xr[i] as number, wanted, 1e-11, 1));
    row.complexImaginary.forEach((wanted, i) => near(xi[i] as number, wanted, 1e-11, 1));
  });
});

describe("least squares: values, covariance and cost", () => {
  const wanted = (name: string) => given.fits.find((one) => one.name === name) as Fixture["fits"][number];
  const compare = (name: string, got: ReturnType<typeof leastSquares>) => {
    if (!got.ok) throw new Error(got.failure.kind);
    const { x, covariance, cost } = wanted(name);
    const n = x.length;
    for (let i = 0; i < n; i++) {
      // A hundred-thousandth of each parameter's own uncertainty.
      const sd = Math.sqrt(covariance[i * n + i] as number);
      near(got.value.x[i] as number, x[i] as number, 1e-5, sd);
      for (let j = 0; j < n; j++)
        near(
          got.value.covariance[i * n + j] as number,
          covariance[i * n + j] as number,
          1e-4,
          sd * Math.sqrt(covariance[j * n + j] as number),
        );
    }
    near(got.value.cost, cost, 1e-9);
  };

  test("decay with weights (curve_fit, absolute sigma)", () => {
    const times = Array.from({ length: 25 }, (_, i) => i / 5);
    const data = times.map((t, i) => 3 * Math.exp(-0.9 * t) + 0.5 + rule(i, 7) / 1000);
    compare(
      "decay with weights",
      leastSquares(
        ([a = 0, b = 0, c = 0]) =>
          Float64Array.from(times, (t, i) => (a * Math.exp(-b * t) + c - (data[i] as number)) / (0.02 + 0.002 * i)),
        [1, 1, 0],
      ),
    );
  });

  test("a curved valley with a pull that keeps residuals in (least_squares)", () => {
    compare(
      "valley with a pull",
      leastSquares(([x = 0, y = 0]) => Float64Array.of(10 * (y - x * x), 1 - x, 0.1 * y), [-1.2, 1], {
        iterations: 500,
      }),
    );
  });
});

describe.each(given.rectifierCases.map((one, i) => [one.name, one, given.rectifier[i]] as const))(
  "rectifier in time over a cycle that repeats: %s",
  (_, one, wanted) => {
    const solve = (stages: number) => {
      const solved = solveRectifier(
        {
          rmsVolts: one.rms,
          hertz: one.hertz,
          seriesOhms: one.series,
          firstFarads: one.farads,
          circuit: one.circuit,
          law: one.law,
          load: one.amps === undefined ? { ohms: one.ohms as number } : { amps: one.amps },
        },
        { limits: { ...RECTIFIER_LIMITS, stages } },
      );
      if (!solved.ok || wanted === undefined) throw new Error(one.name);
      return { got: solved.value, wanted };
    };

    test("mean to 1 mV as it stands, ripple and plate currents to 1e-4", () => {
      const { got, wanted } = solve(RECTIFIER_LIMITS.stages);
      expect(Math.abs(got.dcVolts - wanted.dcVolts)).toBeLessThan(1e-3);
      near(got.ripplePeakToPeakVolts, wanted.ripplePeakToPeakVolts, 1e-4);
      near(got.platePeakAmps, wanted.platePeakAmps, 1e-4);
      near(got.plateRmsAmps, wanted.plateRmsAmps, 1e-4);
    });

    test("with eight times the steps all to a few parts in 1e7, which is the reference's own error", () => {
      const { got, wanted } = solve(8 * RECTIFIER_LIMITS.stages);
      near(got.dcVolts, wanted.dcVolts, 2e-7);
      near(got.ripplePeakToPeakVolts, wanted.ripplePeakToPeakVolts, 2e-6);
      near(got.platePeakAmps, wanted.platePeakAmps, 2e-6);
      near(got.plateRmsAmps, wanted.plateRmsAmps, 2e-6);
    });
  },
);
