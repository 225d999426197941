import { describe, expect, test } from "vitest";
import { seededRandom } from "../numerics/random.ts";
import { compileDiode, SILICON, siliconLaw } from "./diode.ts";
import { bridgePath, dropVolts, lawElements, seriesCurrent, simplifyLaw } from "./diode-series.ts";
import type { RectifierLaw } from "./law.ts";

type Uniform = () => number;
const uniformFrom = (seed: number): Uniform => {
  const source = seededRandom(seed);
  return () => source.uniform();
};

const TUBE: RectifierLaw = { form: "power", K: 7.433e-4, p: 1.4878 };
const IDEAL: RectifierLaw = { form: "ideal" };
const series = (...laws: readonly RectifierLaw[]): RectifierLaw => ({ form: "series", laws });

/** Any path of one to four elements. */
function randomPath(random: Uniform): RectifierLaw {
  const between = (low: number, high: number) => low * (high / low) ** random();
  const element = (): RectifierLaw => {
    const which = random();
    if (which < 0.45) return { form: "power", K: between(1e-4, 5e-3), p: 1.3 + 0.4 * random() };
    if (which < 0.9) return { form: "exponential", Is: between(1e-12, 1e-6), nVt: between(0.026, 0.2) };
    return IDEAL;
  };
  return series(...Array.from({ length: 1 + Math.floor(4 * random()) }, element));
}

describe("drops in series", () => {
  test("the current found drops the volts asked for, with the slope of differences (seed 11, 2000 paths)", () => {
    const random = uniformFrom(11);
    const out = new Float64Array(2);
    let worst = 0;
    for (let n = 0; n < 2000; n++) {
      const law = randomPath(random);
      const ohms = random() < 0.2 ? 1e-3 : 1000 ** random();
      const current = seriesCurrent(law, ohms);
      for (let m = 0; m < 5; m++) {
        const u = 1e-3 * 3e5 ** random();
        current(u, out);
        const [i, slope] = [out[0] as number, out[1] as number];
        worst = Math.max(worst, Math.abs(dropVolts(law, i) + ohms * i - u) / u);
        const h = 1e-4 * i;
        const difference = (2 * h) / (dropVolts(law, i + h) - dropVolts(law, i - h) + 2 * h * ohms);
        expect(Math.abs(slope / difference - 1)).toBeLessThan(1e-5);
      }
      current(-u0(random), out);
      expect([...out]).toEqual([0, 0]);
    }
    expect(worst).toBeLessThan(1e-9);
  });

  test("the same along a pulse, where each root is the next one's guess (seed 12, 300 paths)", () => {
    const random = uniformFrom(12);
    const out = new Float64Array(2);
    for (let n = 0; n < 300; n++) {
      const law = randomPath(random);
      const current = seriesCurrent(law, 50);
      const top = 0.1 * 1000 ** random();
      for (let m = 1; m < 64; m++) {
        const u = top * Math.sin((Math.PI * m) / 64) ** 2;
        current(u, out);
        expect(Math.abs((dropVolts(law, out[0] as number) + 50 * (out[0] as number)) / u - 1)).toBeLessThan(1e-9);
      }
    }
  });

  test("alike elements merge: two junctions are one of twice the nVt, two plates one of a lower K", () => {
    const junction: RectifierLaw = { form: "exponential", Is: 1e-9, nVt: 0.05 };
    expect(bridgePath(junction)).toEqual({ form: "exponential", Is: 1e-9, nVt: 0.1 });
    const plates = bridgePath(TUBE);
    expect(plates.form).toBe("power");
    for (const i of [1e-4, 0.03, 0.3]) expect(dropVolts(plates, i)).toBeCloseTo(2 * dropVolts(TUBE, i), 9);
    expect(simplifyLaw(series(IDEAL, series(TUBE, IDEAL)))).toEqual(TUBE);
    expect(simplifyLaw(series(IDEAL, IDEAL))).toEqual(IDEAL);
    expect(simplifyLaw(series())).toEqual(IDEAL);
    expect(lawElements(series(TUBE, series(junction, IDEAL)))).toEqual([TUBE, junction, IDEAL]);
  });

  test("a large resistance leaves i = u/R less the drop; none leaves the law itself", () => {
    const out = new Float64Array(2);
    seriesCurrent(series(TUBE, siliconLaw()), 1e7)(300, out);
    const i = out[0] as number;
    expect(i).toBeCloseTo((300 - dropVolts(TUBE, i) - dropVolts(siliconLaw(), i)) / 1e7, 15);
    seriesCurrent(TUBE, 0)(20, out);
    expect((out[0] as number) / (7.433e-4 * 20 ** 1.4878)).toBeCloseTo(1, 10);
  });
});

const u0 = (random: Uniform): number => 1e-3 + 300 * random();

describe("as a part of a circuit", () => {
  test("a tube with silicon in its lead: what both drop at the current found is the volts given", () => {
    const out = new Float64Array(2);
    const law = series(TUBE, siliconLaw());
    const evaluate = compileDiode(law);
    for (const v of [0.3, 1, 7, 40]) {
      evaluate(v, out);
      expect(dropVolts(law, out[0] as number)).toBeCloseTo(v, 8);
    }
    evaluate(-300, out);
    expect([...out]).toEqual([0, 0]);
  });

  test("unlike junctions pass the smaller saturation current backwards and never overflow forwards", () => {
    const law = series({ form: "exponential", Is: 1e-9, nVt: 0.05 }, { form: "exponential", Is: 1e-6, nVt: 0.04 });
    const out = new Float64Array(2);
    const evaluate = compileDiode(law);
    for (const v of [0.2, 0.8, 1.5]) {
      evaluate(v, out);
      expect(dropVolts(law, out[0] as number)).toBeCloseTo(v, 8);
      const h = 1e-5;
      const here = out[1] as number;
      evaluate(v + h, out);
      const above = out[0] as number;
      evaluate(v - h, out);
      expect(here / ((above - (out[0] as number)) / (2 * h))).toBeCloseTo(1, 4);
    }
    evaluate(-5, out);
    expect((out[0] as number) / -1e-9).toBeCloseTo(1, 3);
    evaluate(0, out);
    expect(Math.abs(out[0] as number)).toBeLessThan(1e-15);
    evaluate(1000, out);
    expect(Number.isFinite(out[0])).toBe(true);
    expect(out[1]).toBeGreaterThan(0);
  });

  test("an ordinary silicon junction: 0.7 V at 10 mA, 0.93 V at 1 A, never above 1.1 V at 1 A (common practice)", () => {
    expect(dropVolts(siliconLaw(), 0.01)).toBeCloseTo(0.7, 2);
    expect(dropVolts(siliconLaw(), 1)).toBeCloseTo(0.93, 2);
    expect(dropVolts(siliconLaw(), 1)).toBeLessThan(1.1);
  });
});

test("the silicon junction stands by its own words: each figure of it is in its source's sentence", () => {
  const { peakInverseVolts, dcAmps, surgeAmps, source } = SILICON;
  expect(source).toContain(`${peakInverseVolts} V inverse`);
  expect(source).toContain(`${dcAmps} A mean`);
  expect(source).toContain(`${surgeAmps} A for one half-cycle`);
});
