/**
 * A rectifier with three capacitors behind it, shot to its steady state and charged up by brute force: same state, and
 * the work saved. An independent reference (trapezoidal rule, no event form) that the engine's one-capacitor form meets.
 *
 * Circuit |350 V sin(2 pi 50 t)|, 150 ohms, two silicon junctions in series (Is 1 nA, n Vt 0.1 V together), 100 uF, 1 k,
 *         100 uF, 10 k, 100 uF, 40 k. State at the mains' zero and Floquet multipliers per half-cycle: reference values
 *         computed outside the project by another program (trapezoidal, 4000 steps per half-cycle; 500 steps stand 8e-6 V off).
 */
import { type RectifierLaw, seriesCurrent, solveRectifier } from "@platewright/engine";
import { describe, expect, test } from "vitest";

const EMF = 350;
const HERTZ = 50;
const HALF = 0.5 / HERTZ;
const JUNCTIONS: RectifierLaw = { form: "exponential", Is: 1e-9, nVt: 0.1 };
const FARADS = 100e-6;
const [R1, R2, LOAD] = [1e3, 1e4, 4e4];
type Triple = readonly [number, number, number];

/** G of C dv/dt = (i, 0, 0) - G v, and the same with the trapezoidal rule's 2C/h: tridiagonal. */
function open(steps: number) {
  const h = HALF / steps;
  const g1 = 1 / R1;
  const g2 = 1 / R2;
  const g3 = 1 / LOAD;
  const c = (2 * FARADS) / h;
  const emf = Float64Array.from({ length: steps + 1 }, (_, n) => Math.abs(EMF * Math.sin((Math.PI * n) / steps)));
  const current = seriesCurrent(JUNCTIONS, 150);
  const out = new Float64Array(2);
  // The two passive sections are eliminated once: v2, v3 follow from v1 and the right-hand side.
  const d3 = c + g2 + g3;
  const d2 = c + g1 + g2 - (g2 * g2) / d3;
  const d1 = c + g1 - (g1 * g1) / d2;
  /** One half-cycle from `state`; with `tangent` (row-major 3 by 3) the monodromy is carried along. */
  return (state: Float64Array, tangent?: Float64Array, visit?: (first: number) => void): void => {
    let v1 = state[0] as number;
    let v2 = state[1] as number;
    let v3 = state[2] as number;
    current((emf[0] as number) - v1, out);
    let i = out[0] as number;
    let slope = out[1] as number;
    for (let n = 1; n <= steps; n++) {
      const b1 = c * v1 + i - g1 * (v1 - v2);
      const b2 = c * v2 - g1 * (v2 - v1) - g2 * (v2 - v3);
      const b3 = c * v3 - g2 * (v3 - v2) - g3 * v3;
      const fixed = b1 + (g1 * (b2 + (g2 * b3) / d3)) / d2;
      const e = emf[n] as number;
      const before = slope;
      for (let k = 0; k < 40; k++) {
        current(e - v1, out);
        const move = (d1 * v1 - fixed - (out[0] as number)) / (d1 + (out[1] as number));
        v1 -= move;
        if (Math.abs(move) < 1e-11) break;
      }
      current(e - v1, out);
      i = out[0] as number;
      slope = out[1] as number;
      v2 = (b2 + (g2 * b3) / d3 + g1 * v1) / d2;
      v3 = (b3 + g2 * v2) / d3;
      visit?.(v1);
      if (tangent === undefined) continue;
      for (let k = 0; k < 3; k++) {
        const t1 = tangent[k] as number;
        const t2 = tangent[3 + k] as number;
        const t3 = tangent[6 + k] as number;
        const r1 = c * t1 - before * t1 - g1 * (t1 - t2);
        const r2 = c * t2 - g1 * (t2 - t1) - g2 * (t2 - t3);
        const r3 = c * t3 - g2 * (t3 - t2) - g3 * t3;
        const n1 = (r1 + (g1 * (r2 + (g2 * r3) / d3)) / d2) / (d1 + slope);
        const n2 = (r2 + (g2 * r3) / d3 + g1 * n1) / d2;
        tangent[k] = n1;
        tangent[3 + k] = n2;
        tangent[6 + k] = (r3 + g2 * n2) / d3;
      }
    }
    state[0] = v1;
    state[1] = v2;
    state[2] = v3;
  };
}

/** Solves a 3 by 3 system by Cramer's rule. */
function solve3(m: Float64Array, r: Float64Array): Triple {
  const at = (row: number, column: number) => m[3 * row + column] as number;
  const det = (a: Triple, b: Triple, c: Triple) =>
    a[0] * (b[1] * c[2] - b[2] * c[1]) - b[0] * (a[1] * c[2] - a[2] * c[1]) + c[0] * (a[1] * b[2] - a[2] * b[1]);
  const column = (k: number): Triple => [at(0, k), at(1, k), at(2, k)];
  const [x, y, z] = [column(0), column(1), column(2)];
  const b: Triple = [r[0] as number, r[1] as number, r[2] as number];
  const d = det(x, y, z);
  return [det(b, y, z) / d, det(x, b, z) / d, det(x, y, b) / d];
}

/** Shooting from zero charge: Newton on one half-cycle. */
function shoot(steps: number) {
  const run = open(steps);
  const state = new Float64Array(3);
  const residuals: number[] = [];
  let monodromy = new Float64Array(9);
  for (let shot = 0; shot < 20; shot++) {
    const end = state.slice();
    monodromy = Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1);
    run(end, monodromy);
    const residual = end.map((v, n) => v - (state[n] as number));
    residuals.push(Math.max(...residual.map(Math.abs)));
    if ((residuals.at(-1) as number) < 1e-9) break;
    const system = monodromy.map((m, n) => (n % 4 === 0 ? 1 : 0) - m);
    const step = solve3(system, residual);
    for (let n = 0; n < 3; n++) state[n] = (state[n] as number) + (step[n] as number);
  }
  return { state, residuals, monodromy };
}

/** Eigenvalues of a 3 by 3 matrix with real, distinct ones: roots of its characteristic cubic (trigonometric form). */
function eigenvalues(m: Float64Array): Triple {
  const at = (row: number, column: number) => m[3 * row + column] as number;
  const trace = at(0, 0) + at(1, 1) + at(2, 2);
  const minors =
    at(0, 0) * at(1, 1) -
    at(0, 1) * at(1, 0) +
    at(0, 0) * at(2, 2) -
    at(0, 2) * at(2, 0) +
    at(1, 1) * at(2, 2) -
    at(1, 2) * at(2, 1);
  const determinant =
    at(0, 0) * (at(1, 1) * at(2, 2) - at(1, 2) * at(2, 1)) -
    at(0, 1) * (at(1, 0) * at(2, 2) - at(1, 2) * at(2, 0)) +
    at(0, 2) * (at(1, 0) * at(2, 1) - at(1, 1) * at(2, 0));
  const shift = trace / 3;
  const p = minors - (trace * trace) / 3;
  const q = (-2 * trace ** 3) / 27 + (trace * minors) / 3 - determinant;
  const size = 2 * Math.sqrt(-p / 3);
  const angle = Math.acos(Math.min(1, Math.max(-1, (3 * q) / (p * size))));
  const roots = [0, 1, 2].map((k) => shift + size * Math.cos((angle - 2 * Math.PI * k) / 3)).sort((a, b) => a - b);
  return [roots[0] as number, roots[1] as number, roots[2] as number];
}

const WANTED: Triple = [338.38732, 331.75852, 265.40464];

describe("three capacitors behind a silicon rectifier", () => {
  test("state at the mains' zero to every printed digit, and the Floquet multipliers", () => {
    const { state, monodromy, residuals } = shoot(4000);
    for (const [n, v] of WANTED.entries()) expect(Math.abs((state[n] as number) - v)).toBeLessThan(1e-5);
    const multipliers = eigenvalues(monodromy);
    for (const [n, m] of [0.76736, 0.953773, 0.989687].entries())
      expect(Math.abs((multipliers[n] as number) - m)).toBeLessThan(1e-6);
    // Slowest time constant, printed 0.9647 s.
    expect(-HALF / Math.log(multipliers[2])).toBeCloseTo(0.9647, 4);
    // Printed: 105, 18.1, 3.15, 0.464, 3.3e-2, 2.5e-4, 1.5e-8, 7e-13 V.
    expect(residuals.length).toBeLessThanOrEqual(8);
    expect(residuals[0]).toBeCloseTo(105, 0);
    expect(residuals[1]).toBeCloseTo(18.1, 1);
  });

  test("500 steps stand 8e-6 V off the 4000, as printed", () => {
    const off = Math.abs((shoot(500).state[0] as number) - (shoot(4000).state[0] as number));
    expect(off).toBeGreaterThan(4e-6);
    expect(off).toBeLessThan(1.6e-5);
  });

  test("brute force reaches the same state, in over a hundred times as many half-cycles", () => {
    const shot = shoot(500);
    const run = open(500);
    const state = new Float64Array(3);
    let halves = 0;
    const apart = () => Math.max(...state.map((v, n) => Math.abs(v - (shot.state[n] as number))));
    while (apart() > 1e-6 && halves < 4000) {
      run(state);
      halves++;
    }
    expect(apart()).toBeLessThanOrEqual(1e-6);
    // Printed: about 1880 half-cycles against 8.
    expect(halves).toBeGreaterThan(1700);
    expect(halves).toBeLessThan(2050);
    expect(halves / shot.residuals.length).toBeGreaterThan(100);
  });

  test("the engine's event form, fed the chain's mean current, gives the first capacitor's mean volts within 2e-5", () => {
    // What follows the first capacitor draws (v1 - v2)/R1: its ripple is all that the constant current leaves out.
    const { state } = shoot(2000);
    let sum = 0;
    open(2000)(state.slice(), undefined, (first) => {
      sum += first;
    });
    const mean = sum / 2000;
    const solved = solveRectifier({
      rmsVolts: EMF / Math.SQRT2,
      hertz: HERTZ,
      seriesOhms: 150,
      firstFarads: FARADS,
      circuit: "full-wave",
      law: JUNCTIONS,
      load: { amps: mean / (R1 + R2 + LOAD) },
    });
    if (!solved.ok) throw new Error(solved.failure.kind);
    expect(solved.value.effort.steps).toBeLessThanOrEqual(5);
    expect(Math.abs(solved.value.dcVolts / mean - 1)).toBeLessThan(2e-5);
  });
});
