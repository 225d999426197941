import { expect, test } from "vitest";
import { compileDiode } from "./diode.ts";
import type { RectifierLaw } from "./law.ts";

const LAWS: readonly (readonly [string, RectifierLaw, readonly number[]])[] = [
  ["power", { form: "power", K: 7.433e-4, p: 1.4878 }, [1, 10, 40]],
  ["exponential", { form: "exponential", Is: 1e-9, nVt: 0.05 }, [-0.1, 0.3, 0.8]],
];

test.each(LAWS)("%s: the slope is that of differences", (_, law, places) => {
  const evaluate = compileDiode(law);
  const out = new Float64Array(2);
  const current = (v: number) => {
    evaluate(v, out);
    return out[0] as number;
  };
  for (const v of places) {
    const h = 1e-4;
    const slope = (current(v + h) - current(v - h)) / (2 * h);
    evaluate(v, out);
    expect((out[1] as number) / slope).toBeCloseTo(1, 4);
  }
});

test("EZ80's printed point: 160 mA at about 37 V through its law", () => {
  const out = new Float64Array(2);
  compileDiode({ form: "power", K: 7.433e-4, p: 1.4878 })(37, out);
  expect(out[0]).toBeCloseTo(7.433e-4 * 37 ** 1.4878, 9);
});

test("a junction goes on along its tangent beyond all exponents; a vacuum diode passes nothing backwards", () => {
  const out = new Float64Array(2);
  compileDiode({ form: "exponential", Is: 1e-9, nVt: 0.05 })(1000, out);
  expect(Number.isFinite(out[0])).toBe(true);
  expect(out[1]).toBeGreaterThan(0);
  compileDiode({ form: "power", K: 1e-3, p: 1.5 })(-5, out);
  expect([out[0], out[1]]).toEqual([0, 0]);
});

test("an ideal switch passes a kilosiemens forwards and nothing backwards", () => {
  const out = new Float64Array(2);
  const evaluate = compileDiode({ form: "ideal" });
  evaluate(0.5, out);
  expect([...out]).toEqual([500, 1000]);
  evaluate(-0.5, out);
  expect([...out]).toEqual([0, 0]);
});
