import { describe, expect, test } from "vitest";
import { compileDiode, kneeLaw } from "./diode.ts";
import type { DiodeLaw, SpaceLaw } from "./law.ts";
import { compileSpaceCurrent } from "./triode.ts";

const knee = (law: DiodeLaw) => {
  const evaluate = compileDiode(law);
  const out = new Float64Array(2);
  return (v: number): readonly [number, number] => {
    evaluate(v, out);
    return [out[0] as number, out[1] as number];
  };
};

describe("knee of a regulator", () => {
  const gas = kneeLaw(150, 80);
  const soft: DiodeLaw = { form: "knee", volts: 150, ohms: 80, width: 0.3 };
  test("w ln 2 / R at its volts, V + R i above, nothing below", () => {
    const at = knee(gas);
    expect(at(150)[0]).toBeCloseTo((gas.width * Math.LN2) / 80, 12);
    expect(at(150)[1]).toBeCloseTo(0.5 / 80, 12);
    // 20 widths above, what is left of the bend is e^-20 of a width.
    for (const mA of [5, 20, 30])
      expect(at(150 + (80 * mA) / 1000 + 20 * gas.width)[0]).toBeCloseTo(mA / 1000 + (20 * gas.width) / 80, 9);
    expect(at(140)[0]).toBeLessThan(1e-12);
    expect(at(-300)).toEqual([0, 0]);
  });
  test.each([
    [150, 80],
    [75, 30],
    [200, 1500],
  ])("of %d V and %d Ω: its straight line to 1.4 uA from a milliampere up, 0.14 mA at its volts", (volts, ohms) => {
    const at = knee(kneeLaw(volts, ohms));
    for (const amps of [1e-3, 2e-3, 10e-3]) expect(Math.abs(at(volts + ohms * amps)[0] - amps)).toBeLessThan(1.4e-6);
    expect(at(volts)[0]).toBeCloseTo(0.139e-3, 6);
  });
  test("the least bend is a millivolt: a reference of 1 Ω still has a knee", () => {
    const at = knee(kneeLaw(5, 1));
    expect(at(5)[0]).toBeCloseTo(1e-3 * Math.LN2, 9);
  });
  test("a Zener's other side conducts beyond its forward drop, and the two sides meet smoothly at 0 V", () => {
    const at = knee(kneeLaw(200, 500, 0.7));
    expect(at(-1.7)[0]).toBeCloseTo(-1 / 500, 6);
    expect(Math.abs(at(0)[0])).toBeLessThan(1e-12);
    expect(Math.abs(at(1e-9)[0] - at(-1e-9)[0])).toBeLessThan(1e-15);
  });
  test.each([149, 150, 150.2, 155])("the slope at %s V is that of differences, to second order", (v) => {
    const at = knee(soft);
    const error = (h: number) => Math.abs((at(v + h)[0] - at(v - h)[0]) / (2 * h) - at(v)[1]);
    const [coarse, fine] = [error(0.04), error(0.02)];
    expect(fine).toBeLessThan(1e-3 / 80);
    if (coarse > 1e-9) expect(coarse / fine).toBeCloseTo(4, 0);
  });
  test("third derivative is continuous across the bend: its jump over a step halves with the step", () => {
    const at = knee(soft);
    const h = 0.02;
    const third = (v: number) =>
      (at(v + 2 * h)[0] - 2 * at(v + h)[0] + 2 * at(v - h)[0] - at(v - 2 * h)[0]) / (2 * h ** 3);
    for (let v = 148.5; v < 151.5; v += 0.1) {
      const jump = Math.abs(third(v + 0.02) - third(v - 0.02));
      const halved = Math.abs(third(v + 0.01) - third(v - 0.01));
      expect(halved).toBeLessThanOrEqual(0.6 * jump + 1e-5);
    }
  });
  test("finite for any finite volts", () => {
    const at = knee(kneeLaw(200, 500, 0.7));
    for (const v of [-1e6, -1e3, 0, 1e3, 1e6]) for (const one of at(v)) expect(Number.isFinite(one)).toBe(true);
  });
});

describe("square law of a field-effect device", () => {
  const law: SpaceLaw = { form: "square", K: 0.375, Vt: 3.5, width: 0.08, lambda: 0 };
  const current = (space: SpaceLaw) => {
    const evaluate = compileSpaceCurrent(space);
    const out = new Float64Array(3);
    return (vg: number, vd: number): readonly [number, number, number] => {
      evaluate(vg, vd, out);
      return [out[0] as number, out[1] as number, out[2] as number];
    };
  };
  test("K (vg - Vt)^2 and gm = 2 sqrt(K i) in saturation; 2 K u as a conductance at few volts", () => {
    const at = current(law);
    const [i, gm, gd] = at(5.5, 50);
    expect(i).toBeCloseTo(0.375 * 4, 6);
    expect(gm).toBeCloseTo(2 * Math.sqrt(0.375 * i), 6);
    expect(gd).toBeLessThan(1e-9);
    expect(at(5.5, 1e-4)[0] / 1e-4).toBeCloseTo(2 * 0.375 * 2, 2);
  });
  test("far below threshold a decade of current takes (w/2) ln 10", () => {
    const at = current(law);
    const nepers = Math.log(at(2.7, 50)[0] / at(2.6, 50)[0]) / 0.1;
    expect(nepers).toBeCloseTo(2 / 0.08, 2);
  });
  test("drain and source change places: the same current the other way, but for the body diode", () => {
    const at = current(law);
    // Gate to the new source: 6 - (-0.3); the body diode is still shut at 0.3 V.
    expect(at(6, -0.3)[0]).toBeCloseTo(-at(6.3, 0.3)[0], 3);
    expect(at(0, -3)[0]).toBeCloseTo(-(3 - 0.7), 3);
  });
  test("slopes are those of differences over both regions (lambda 0.01)", () => {
    const at = current({ ...law, lambda: 0.01 });
    for (const [vg, vd] of [
      [3.4, 20],
      [4, 0.3],
      [4.5, 100],
      [4.2, -0.2],
      [3, -0.75],
    ] as const) {
      const h = 1e-5;
      const [, gm, gd] = at(vg, vd);
      expect((at(vg + h, vd)[0] - at(vg - h, vd)[0]) / (2 * h)).toBeCloseTo(gm, 6);
      expect((at(vg, vd + h)[0] - at(vg, vd - h)[0]) / (2 * h)).toBeCloseTo(gd, 6);
    }
  });
});
