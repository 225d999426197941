import { readFileSync } from "node:fs";
import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { readDesign } from "../document/read.ts";
import { solveDesign } from "../solved/solve.ts";
import { unitPrediction } from "./calibrate.ts";
import { NINETY } from "./gaussian.ts";
import { explainedDecibels, lawSlopes, moved, READABLES, readingsWith } from "./law-slopes.ts";
import { rankBySlopes, rankMeasurements, type Ranking, upperFactor } from "./rank-measurements.ts";
import { lawDraws } from "./slopes-band.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;

function unitOf(type: string) {
  const envelopes = base.envelopes.map((one) => (one.type === "5687" ? { ...one, type } : one));
  const answer = solveDesign({ ...base, envelopes }, catalogue, { detail: "levels" });
  if (!answer.ok) throw new Error(answer.failure.sentence);
  const slopes = lawSlopes(answer.value, "L", 1);
  if (!slopes.ok) throw new Error(slopes.failure);
  return { solved: answer.value, slopes: slopes.value };
}

const a = unitOf("5687");
const b = unitOf("12BH7A");
const ask = { inputVolts: 1, sameBottle: false };

const bandsOf = (ranking: Ranking) => ranking.measurements.map((one) => one.togetherDecibels);

describe("slopes of readings", () => {
  test.each(["5687", "12BH7A"])("%s: foretell a small move of all parameters at once (seed 61)", (type) => {
    const { solved, slopes } = type === "5687" ? a : b;
    const random = seededRandom(61);
    for (let n = 0; n < 5; n++) {
      let law = slopes.record.law;
      const by = slopes.record.parameters.map(() => 0.01 * random.normal());
      slopes.record.parameters.forEach(({ name }, i) => {
        law = moved(law, name, by[i] as number);
      });
      const there = readingsWith(solved, "L", slopes.triode, 1, law);
      if (!there.ok) throw new Error(there.failure);
      for (const which of READABLES) {
        const foretold = by.reduce((sum, x, i) => sum + x * (slopes.slopes[i]?.[which] ?? 0), slopes.at[which]);
        // What a second order leaves: slopes of up to 10 dB per neper, moves of about 1 %.
        expect(Math.abs(there.value[which] - foretold)).toBeLessThan(0.02);
      }
    }
  });

  test("laws drawn from the posterior, each solved whole, spread as the slopes say (5687, seed 62, 150 draws)", () => {
    const { solved, slopes } = a;
    const draw = lawDraws(slopes.record, 62);
    const h2: number[] = [];
    for (let n = 0; n < 150; n++) {
      const law = draw();
      const reading = readingsWith(solved, "L", slopes.triode, 1, law);
      if (reading.ok) h2.push(reading.value.h2);
    }
    expect(h2.length).toBeGreaterThan(140);
    const mean = h2.reduce((x, y) => x + y, 0) / h2.length;
    const sd = Math.sqrt(h2.reduce((x, y) => x + (y - mean) ** 2, 0) / (h2.length - 1));
    // Four standard errors of 150 draws are 23 %.
    expect(Math.abs(sd / explainedDecibels(slopes) - 1)).toBeLessThan(0.23);
  });
});

describe("ranking", () => {
  test("every reading narrows or leaves the band, and the list narrows downward", () => {
    for (const [proven, now, sameBottle] of [
      [a, b, false],
      [b, a, false],
      [a, a, true],
      [a, a, false],
    ] as const) {
      const ranking = rankBySlopes(proven.slopes, now.slopes, { ...ask, sameBottle });
      let before = ranking.bandDecibels;
      for (const one of ranking.measurements) {
        expect(one.aloneDecibels).toBeLessThanOrEqual(ranking.bandDecibels * (1 + 1e-9));
        expect(one.togetherDecibels).toBeLessThanOrEqual(before * (1 + 1e-9));
        expect(one.togetherDecibels).toBeLessThanOrEqual(one.aloneDecibels * (1 + 1e-9));
        before = one.togetherDecibels;
      }
      const first = ranking.measurements[0];
      expect(first?.aloneDecibels).toBe(Math.min(...ranking.measurements.map((one) => one.aloneDecibels)));
      expect(new Set(ranking.measurements.map((one) => one.quantity)).size).toBe(READABLES.length);
    }
  });

  test("limits: with one bottle in both and a perfect meter of H2 nothing is left; without meters nothing is gained", () => {
    const perfect = rankBySlopes(a.slopes, a.slopes, {
      ...ask,
      sameBottle: true,
      sameStage: true,
      meters: { h2: 1e-9 },
    });
    expect(perfect.measurements[0]?.quantity).toBe("h2");
    expect(perfect.measurements[0]?.togetherDecibels).toBeLessThan(1e-6);
    const none = rankBySlopes(a.slopes, b.slopes, {
      ...ask,
      meters: { h2: 1e6, gain: 1e6, "cathode-volts": 1e6, "plate-volts": 1e6 },
    });
    for (const band of bandsOf(none)) expect(band).toBeCloseTo(none.bandDecibels, 6);
  });

  test("another bottle of the type: what is left is two specimens and the meter", () => {
    const left = rankBySlopes(a.slopes, a.slopes, { ...ask, sameStage: true, meters: { h2: 1e-9 } }).measurements[0];
    const { record, slopes } = a.slopes;
    const specimen = Math.hypot(
      (slopes[0]?.h2 ?? 0) * record.spread.lnG,
      (slopes[1]?.h2 ?? 0) * record.spread.lnMu,
      (slopes.at(-1)?.h2 ?? 0) * record.spread.contactVolts,
    );
    expect(left?.aloneDecibels).toBeGreaterThan(NINETY * specimen * 0.99);
    expect(left?.aloneDecibels).toBeLessThan(NINETY * specimen * Math.SQRT2 * 1.01);
  });

  test("a meter twice as good in a quantity never ranks it lower nor leaves the band wider", () => {
    for (const which of READABLES) {
      const rank = (meter: number) => rankBySlopes(a.slopes, b.slopes, { ...ask, meters: { [which]: meter } });
      const [coarse, fine] = [rank(1), rank(0.1)];
      const place = (ranking: Ranking) => ranking.measurements.findIndex((one) => one.quantity === which);
      expect(place(fine)).toBeLessThanOrEqual(place(coarse));
      expect(bandsOf(fine).at(-1)).toBeLessThanOrEqual((bandsOf(coarse).at(-1) as number) * (1 + 1e-9));
    }
  });

  test("whole designs give what their slopes give; the expected readings are those of the proven unit", () => {
    const ranking = rankMeasurements({ ...ask, proven: a.solved, now: b.solved, instance: "L" });
    if (!ranking.ok) throw new Error(ranking.failure);
    expect(ranking.value).toEqual(rankBySlopes(a.slopes, b.slopes, ask));
    const plate = ranking.value.measurements.find((one) => one.quantity === "plate-volts");
    expect(plate?.expected).toBeCloseTo(a.solved.bias.netVolts.get("L.p1") ?? 0, 6);
    expect(rankMeasurements({ ...ask, proven: a.solved, now: b.solved, instance: "PS" })).toMatchObject({
      ok: false,
      failure: expect.stringContaining("PS"),
    });
  });
});

test("a unit's prediction is never said to be better known than its own circuit allows", () => {
  for (const { solved, slopes } of [a, b]) {
    const [plain, here] = [unitPrediction(solved, "L"), unitPrediction(solved, "L", slopes)];
    expect(plain?.bandDecibels).toBe(slopes.record.h2BandDecibels);
    expect(here?.bandDecibels).toBe(
      Math.max(slopes.record.h2BandDecibels, NINETY * Math.hypot(explainedDecibels(slopes), 0.8)),
    );
    expect(here?.specimenDecibels).toBeGreaterThan(0);
  }
});

test("the factor of a covariance gives it back, also where rounding left a pivot at nothing (seed 63)", () => {
  const random = seededRandom(63);
  for (let n = 0; n < 50; n++) {
    const size = 2 + random.below(6);
    const rank = n % 3 === 0 ? size - 1 : size;
    const rows = Array.from({ length: size }, () => Array.from({ length: rank }, () => random.normal()));
    const s = rows.flatMap((x) => rows.map((y) => x.reduce((sum, v, k) => sum + v * (y[k] as number), 0)));
    const u = upperFactor(s, size);
    for (let i = 0; i < size; i++)
      for (let j = 0; j < size; j++) {
        let sum = 0;
        for (let k = 0; k < size; k++) sum += (u[i * size + k] as number) * (u[j * size + k] as number);
        expect(sum).toBeCloseTo(s[i * size + j] as number, 8);
        if (j < i) expect(u[i * size + j]).toBe(0);
      }
  }
});
