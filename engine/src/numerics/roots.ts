/** Roots and minima of functions of one number, bracketed, with named outcomes. */
import { fail, ok, type Result } from "../result.ts";

export interface Root {
  readonly x: number;
  readonly residual: number;
  readonly evaluations: number;
}
export type RootFailure =
  | { readonly kind: "no-bracket"; readonly low: number; readonly high: number }
  | { readonly kind: "not-finite"; readonly x: number }
  | { readonly kind: "not-settled"; readonly x: number };

/**
 * Brent's method on a bracket: inverse quadratic or secant steps kept inside a shrinking bracket, else bisection.
 * Settles when the bracket is below `tolerance` or the value is 0. Source: Brent 1973, ch. 4 (memory).
 */
export function findRoot(
  f: (x: number) => number,
  low: number,
  high: number,
  tolerance: number,
  evaluations = 200,
): Result<Root, RootFailure> {
  let a = low;
  let b = high;
  let fa = f(a);
  let fb = f(b);
  let used = 2;
  if (!Number.isFinite(fa)) return fail({ kind: "not-finite", x: a });
  if (!Number.isFinite(fb)) return fail({ kind: "not-finite", x: b });
  if (fa * fb > 0) return fail({ kind: "no-bracket", low, high });
  let c = a;
  let fc = fa;
  let step = b - a;
  let last = step;
  while (used < evaluations) {
    if (fb * fc > 0) {
      c = a;
      fc = fa;
      step = last = b - a;
    }
    if (Math.abs(fc) < Math.abs(fb)) {
      a = b;
      b = c;
      c = a;
      fa = fb;
      fb = fc;
      fc = fa;
    }
    const bound = 2 * Number.EPSILON * Math.abs(b) + tolerance / 2;
    const half = (c - b) / 2;
    if (Math.abs(half) <= bound || fb === 0) return ok({ x: b, residual: fb, evaluations: used });
    if (Math.abs(last) >= bound && Math.abs(fa) > Math.abs(fb)) {
      const s = fb / fa;
      let p: number;
      let q: number;
      if (a === c) {
        p = 2 * half * s;
        q = 1 - s;
      } else {
        const r = fb / fc;
        const t = fa / fc;
        p = s * (2 * half * t * (t - r) - (b - a) * (r - 1));
        q = (t - 1) * (r - 1) * (s - 1);
      }
      if (p > 0) q = -q;
      p = Math.abs(p);
      if (2 * p < Math.min(3 * half * q - Math.abs(bound * q), Math.abs(last * q))) {
        last = step;
        step = p / q;
      } else step = last = half;
    } else step = last = half;
    a = b;
    fa = fb;
    b += Math.abs(step) > bound ? step : half > 0 ? bound : -bound;
    fb = f(b);
    used++;
    if (!Number.isFinite(fb)) return fail({ kind: "not-finite", x: b });
  }
  return fail({ kind: "not-settled", x: b });
}
