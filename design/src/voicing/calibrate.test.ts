import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { calibrate, type Calibration, type Measurement, type UnitPrediction } from "./calibrate.ts";
import { readHarmonic } from "./measured-harmonic.ts";

const unit = (type: string, bandDecibels: number, percentAtOne: number, form = "island"): UnitPrediction => ({
  type,
  form,
  bandDecibels,
  specimenDecibels: 0.6,
  levels: [0.1, 0.3, 1, 2, 4].map((inputVolts) => ({ inputVolts, ratio: (percentAtOne / 100) * inputVolts })),
});

const reading = (inputVolts: number, percent: number, meterDecibels = 0.5): Measurement => ({
  inputVolts,
  ratio: percent / 100,
  meterDecibels,
});

function solved(
  proven: UnitPrediction,
  now: UnitPrediction,
  measured: readonly Measurement[],
  sameBottle = false,
  sameStage = false,
) {
  const answer = calibrate({ proven, now, sameBottle, sameStage, measured });
  if (!answer.ok) throw new Error(answer.failure.kind);
  return answer.value;
}

const bands = (one: Calibration) => [...one.proven, ...one.now].map((level) => level.bandDecibels);
const decibels = (a: number, b: number) => 20 * Math.log10(a / b);

const a = unit("5687", 4, 0.57);
const b = unit("12BH7A", 7, 0.43);

describe("calibration", () => {
  test("no measurement leaves the prior: centre as predicted, band of the record", () => {
    const { proven, now, deviations } = solved(a, b, []);
    for (const [levels, band] of [
      [proven, 4],
      [now, 7],
    ] as const)
      for (const level of levels) {
        expect(level.ratio).toBeCloseTo(level.predictedRatio, 12);
        expect(level.bandDecibels).toBeCloseTo(band, 9);
        expect(level.priorBandDecibels).toBeCloseTo(band, 9);
      }
    expect(deviations).toEqual([]);
  });

  test("every reading narrows or leaves every band; the order does not matter; a better meter is no worse (seed 11)", () => {
    const random = seededRandom(11);
    for (let n = 0; n < 120; n++) {
      const proven = unit("5687", 1.5 + 8 * random.uniform(), 0.1 + random.uniform());
      const now = unit(n % 3 === 0 ? "5687" : "12BH7A", 1.5 + 8 * random.uniform(), 0.1 + random.uniform());
      const sameBottle = n % 2 === 0;
      const all = Array.from({ length: 1 + random.below(4) }, () =>
        reading(0.1 + 3.9 * random.uniform(), 0.1 + 2 * random.uniform(), 0.1 + 3 * random.uniform()),
      );
      let before = bands(solved(proven, now, [], sameBottle));
      for (let count = 1; count <= all.length; count++) {
        const here = bands(solved(proven, now, all.slice(0, count), sameBottle));
        here.forEach((band, i) => {
          expect(band).toBeLessThanOrEqual((before[i] as number) * (1 + 1e-9));
        });
        before = here;
      }
      const turned = solved(proven, now, [...all].reverse(), sameBottle);
      const straight = solved(proven, now, all, sameBottle);
      straight.now.forEach((level, i) => {
        expect(Math.abs(decibels(level.ratio, turned.now[i]?.ratio ?? 0))).toBeLessThan(1e-8);
      });
      const better = all.map((one) => ({ ...one, meterDecibels: one.meterDecibels / 2 }));
      bands(solved(proven, now, better, sameBottle)).forEach((band, i) => {
        expect(band).toBeLessThanOrEqual((before[i] as number) * (1 + 1e-9));
      });
    }
  });

  test("limits: a perfect meter makes the proven unit known where it was read; a useless one changes nothing", () => {
    const perfect = solved(a, b, [reading(1, 0.9, 1e-6)]);
    expect(perfect.proven[2]?.ratio).toBeCloseTo(0.009, 8);
    expect(perfect.proven[2]?.bandDecibels).toBeLessThan(1e-3);
    const useless = solved(a, b, [reading(1, 0.9, 1e6)]);
    bands(useless).forEach((band, i) => {
      expect(band).toBeCloseTo(bands(solved(a, b, []))[i] as number, 6);
    });
  });

  test("limits: the same bottle of one type carries the whole correction over in the same stage: the ratio stands", () => {
    const now = { ...a, levels: a.levels.map((level) => ({ ...level, ratio: level.ratio / 2 })) };
    const carried = solved(a, now, [reading(1, 0.9, 1e-6)], true, true);
    expect(decibels(carried.now[2]?.ratio ?? 0, 0.0045)).toBeCloseTo(0, 5);
    expect(carried.now[2]?.bandDecibels).toBeLessThan(1e-3);
    // Another bottle: what is left is the difference of two specimens, and no law.
    const other = solved(a, now, [reading(1, 0.9, 1e-6)], false, true).now[2]?.bandDecibels ?? 0;
    expect(other).toBeGreaterThan(1.65 * 0.6 * 0.99);
    expect(other).toBeLessThan(1.65 * 0.6 * Math.SQRT2);
    // The same bottle at another working point: what is left is the difference of two misses.
    const elsewhere = solved(a, now, [reading(1, 0.9, 1e-6)], true).now[2]?.bandDecibels ?? 0;
    expect(elsewhere).toBeGreaterThan(1.65 * 0.8 * 0.99);
    expect(elsewhere).toBeLessThan(1.65 * 0.8 * Math.SQRT2);
  });

  test("laws of different forms and other bottles share nothing: the unit now is not moved", () => {
    const apart = solved(a, unit("12BH7A", 7, 0.43, "koren"), [reading(1, 2)]);
    for (const level of apart.now) {
      expect(level.ratio).toBeCloseTo(level.predictedRatio, 12);
      expect(level.bandDecibels).toBeCloseTo(7, 9);
    }
    expect(apart.lawCorrelation).toBe(0);
  });

  test("two types of one form: moved by the regression of one error on the other, narrowed by its correlation", () => {
    const { now } = solved(a, b, [reading(1, 0.57 * 1.5, 1e-6)]);
    const law = (band: number) => Math.sqrt((band / 1.65) ** 2 - 0.36 - 0.64);
    const covariance = 0.5 * law(4) * law(7);
    const slope = covariance / (4 / 1.65) ** 2;
    expect(decibels(now[2]?.ratio ?? 0, 0.0043)).toBeCloseTo(slope * decibels(1.5, 1), 6);
    expect(now[2]?.bandDecibels).toBeCloseTo(1.65 * Math.sqrt((7 / 1.65) ** 2 - slope * covariance), 6);
  });

  test("truth drawn from the prior falls in the 90 % band nine times in ten (seed 12, 2000 draws)", () => {
    const random = seededRandom(12);
    let inside = 0;
    const draws = 2000;
    const [la, lb] = [4, 7].map((band) => Math.sqrt((band / 1.65) ** 2 - 0.36 - 0.64)) as [number, number];
    for (let n = 0; n < draws; n++) {
      const common = random.normal();
      const own = () => 0.6 * random.normal() + 0.8 * random.normal();
      const errorA = la * common + own();
      const errorB = lb * (0.5 * common + Math.sqrt(0.75) * random.normal()) + own();
      const measured = 0.57 * 10 ** ((errorA + (0.5 / 1.65) * random.normal()) / 20);
      const level = solved(a, b, [reading(1, measured)]).now[2];
      const miss = decibels(0.0043 * 10 ** (errorB / 20), level?.ratio ?? 0);
      if (Math.abs(miss) <= (level?.bandDecibels ?? 0)) inside++;
    }
    // 1.65 deviations hold 90.1 %; four standard errors of 2000 draws are 2.7 %.
    expect(Math.abs(inside / draws - 0.901)).toBeLessThan(0.027);
  });

  test("a reading that the prior hardly allows is called a surprise", () => {
    expect(solved(a, b, [reading(1, 0.57)]).surprise).toBe(false);
    expect(solved(a, b, [reading(1, 0.57 * 3)]).surprise).toBe(true);
  });

  test("the meter's own harmonic widens what a reading tells", () => {
    const clean = solved(a, b, [reading(1, 0.57)]).proven[2]?.bandDecibels ?? 0;
    const stray = solved(a, b, [{ ...reading(1, 0.57), residualRatio: 0.002 }]).proven[2]?.bandDecibels ?? 0;
    expect(stray).toBeGreaterThan(clean * 1.2);
  });

  test("refused by name: a level that was not solved, a reading that is none", () => {
    const ask = { proven: a, now: b, sameBottle: false };
    expect(calibrate({ ...ask, measured: [reading(9, 1)] })).toMatchObject({
      failure: { kind: "outside-levels", inputVolts: 9, from: 0.1, to: 4 },
    });
    expect(calibrate({ ...ask, measured: [reading(1, Number.NaN)] })).toMatchObject({
      failure: { kind: "not-a-reading", field: "ratio" },
    });
    expect(calibrate({ ...ask, measured: [reading(1, 1, 0)] })).toMatchObject({
      failure: { kind: "not-a-reading", field: "meterDecibels" },
    });
  });
});

describe("a harmonic as written", () => {
  test.each([
    ["0.57 %", 0.0057],
    ["0,57%", 0.0057],
    ["-45 dB", 10 ** (-45 / 20)],
    ["−45dBc", 10 ** (-45 / 20)],
    ["45 dB down", 10 ** (-45 / 20)],
    ["45 dB", 10 ** (-45 / 20)],
  ])("%s", (text, ratio) => {
    const read = readHarmonic(text);
    expect(read.ok ? read.value : Number.NaN).toBeCloseTo(ratio, 14);
  });

  test.each(["+45 dB", "0 %", "110 %", "0 dB", "much", "", "1 V"])("refuses %j in a sentence", (text) => {
    expect(readHarmonic(text)).toMatchObject({ ok: false, failure: expect.stringContaining("is no harmonic") });
  });
});
