/** Transformers by label, by readings and by estimates: hand-worked cases with their sources, and what must always hold. */
import { readFileSync } from "node:fs";
import { solveRectifier } from "@platewright/engine";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { readDesign } from "../document/read.ts";
import { type Supply, type Transformer, transformerSchema } from "../document/schema.ts";
import { resolveTransformer } from "./transformer.ts";
import type { ResolvedTransformer, TransformerSetting } from "./transformer-resolved.ts";
import { combine } from "./transformer-estimates.ts";
import { transformerSentence } from "./transformer-failures.ts";
import { transformerFindings } from "./transformer-findings.ts";
import { transformerFromLabel } from "./transformer-from-label.ts";
import { readTransformerLabel } from "./transformer-label.ts";
import { copperLoss } from "./transformer-loss.ts";
import { crossSag } from "./transformer-sag.ts";
import {
  HOT_COPPER,
  type RectifierKind,
  usualPrimaryOhms,
  usualRegulation,
  voltAmpsByCore,
  voltAmpsByPrimaryOhms,
  voltAmpsByWeight,
} from "./transformer-practice.ts";

const mains = (volts = 230, hertz = 50): Supply["mains"] => ({ volts, hertz, lowPercent: -10, highPercent: 10 });
const plain: Transformer = {
  label: "230-0-230 V 60 mA, 6.3 V 3 A",
  highTension: { ratedRmsVoltsPerHalf: 230, ratedAmps: 0.06, unloadedRmsVoltsPerHalf: 250, ohmsPerHalf: 250 },
  heaters: [{ id: "H1", ratedVolts: 6.3, ratedAmps: 3, unloadedVolts: 6.8, reference: "0" }],
};
const resolve = (transformer: Transformer, at = mains(), circuit?: RectifierKind): ResolvedTransformer => {
  const setting: TransformerSetting = { mains: at, transformer };
  const resolved = resolveTransformer(setting, circuit === undefined ? {} : { circuit });
  if (!resolved.ok) throw new Error(transformerSentence(resolved.failure));
  return resolved.value;
};
const refusal = (transformer: Transformer): string => {
  const resolved = resolveTransformer({ mains: mains(), transformer });
  return resolved.ok ? "resolved" : transformerSentence(resolved.failure);
};

describe("by label", () => {
  test("a document that says nothing new means what it meant", () => {
    const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
    if (!file.ok || file.value.now.supply === undefined) throw new Error("no demo supply");
    const { supply } = file.value.now;
    const resolved = resolveTransformer(supply);
    if (!resolved.ok) throw new Error(transformerSentence(resolved.failure));
    expect(resolved.value.transformer).toEqual(supply.transformer);
    expect(resolved.value).toMatchObject({ knownBy: "label", saleStop: false, notes: [], mainsOverTap: 1 });
  });

  test("a 110 V primary at 120 V makes 6.87 V of 6.3 (builders report 6.85 to 6.9)", () => {
    const resolved = resolve({ ...plain, primary: { tapVolts: [110, 120], usedTapVolts: 110 } }, mains(120, 60));
    expect(resolved.transformer.heaters[0]?.ratedVolts).toBeCloseTo(6.873, 3);
    expect(resolved.transformer.heaters[0]?.unloadedVolts).toBeCloseTo((6.8 * 120) / 110, 9);
    expect(resolved.transformer.highTension.unloadedRmsVoltsPerHalf).toBeCloseTo((250 * 120) / 110, 9);
    expect(resolved.transformer.highTension.ratedRmsVoltsPerHalf).toBeCloseTo((230 * 120) / 110, 9);
    expect(resolved.transformer.highTension.ohmsPerHalf).toBe(250);
    expect(resolved.notes.join(" ")).toMatch(/109 % of its label.*The 120 V tap lies nearer/);
  });

  test("own copper and the primary's by the ratio make the ohms of a half, whatever the tap", () => {
    for (const usedTapVolts of [220, 230, 240]) {
      const { copper } = resolve({ ...plain, primary: { tapVolts: [usedTapVolts], usedTapVolts } });
      const ratio = copper.half.volts / copper.primary.volts;
      expect(ratio).toBeCloseTo(250 / usedTapVolts, 9);
      expect(copper.half.ohms + copper.primary.ohms * ratio ** 2).toBeCloseTo(250, 9);
      expect(copper.from).toBe("usual shares");
    }
  });

  test("60 Hz iron on 50 Hz is told", () => {
    const resolved = resolve({ ...plain, primary: { tapVolts: [230], usedTapVolts: 230, ratedHertz: 60 } });
    expect(resolved.notes.join(" ")).toMatch(/120 % of the flux/);
    expect(
      resolve({ ...plain, primary: { tapVolts: [230], usedTapVolts: 230, ratedHertz: 50 } }, mains(230, 60)).notes,
    ).toEqual([]);
  });

  test.each([
    // A winder, "Design Guide for Rectifier Use": 1.00, 0.62, 0.28; another: Iac = 1.2, 1.8, 2.6 Idc.
    ["centre-tap", 0.06 / 1.2, 0.06],
    ["bridge", 0.06 / 1.8, 0.0372],
    ["half-wave", 0.0168, 0.06 / 2.6],
  ] as const)("60 mA rms is dc for a %s by two makers' guides, the lower counts", (circuit, low, high) => {
    const resolved = resolve({ ...plain, currentRating: "ac-rms" }, mains(), circuit);
    expect(resolved.ranges.ratedAmps[0]).toBeCloseTo(low, 9);
    expect(resolved.ranges.ratedAmps[1]).toBeCloseTo(high, 9);
    expect(resolved.transformer.highTension.ratedAmps).toBeCloseTo(low, 9);
  });

  test("from the text alone: usual regulation by VA, with a range that holds the demo's 250 V and 250 Ω", () => {
    const label = readTransformerLabel(plain.label);
    if (!label.ok) throw new Error("label");
    const assumed = transformerFromLabel(label.value, { mainsVolts: 230 });
    if (!assumed.ok) throw new Error("assumed");
    const { transformer, ranges, notes } = assumed.value;
    expect(transformerSchema.safeParse(transformer).success).toBe(true);
    for (const [value, [low, high]] of [
      [250, ranges.ohmsPerHalf],
      [250, ranges.unloadedRmsVoltsPerHalf],
    ] as const)
      expect(value > low && value < high, `${value} in ${low} to ${high}`).toBe(true);
    // One regulation for all windings, twice the usual primary's share at this VA; the range is a factor of 1.5 about it.
    const regulation = usualRegulation(45.44);
    expect(transformer.highTension.unloadedRmsVoltsPerHalf / 230 - 1).toBeCloseTo(regulation, 3);
    expect((transformer.heaters[0]?.unloadedVolts ?? 0) / 6.3 - 1).toBeCloseTo(regulation, 3);
    expect(regulation).toBeCloseTo((2 * usualPrimaryOhms(45.44, 230) * 45.44) / 230 ** 2, 9);
    expect((ranges.unloadedRmsVoltsPerHalf[1] / 230 - 1) / regulation).toBeCloseTo(1.5, 3);
    expect((ranges.unloadedRmsVoltsPerHalf[0] / 230 - 1) / regulation).toBeCloseTo(1 / 1.5, 3);
    expect(ranges.ohmsPerHalf[1] / ranges.ohmsPerHalf[0]).toBeCloseTo(2.25, 9);
    expect(notes[0]).toMatch(/assumed for iron of 45 VA \(common practice\)/);
    expect(resolve(transformer).transformer.highTension).toEqual(transformer.highTension);
  });
});

describe("numbers that cannot be meant", () => {
  const high = (edit: Partial<Transformer["highTension"]>): Transformer => ({
    ...plain,
    highTension: { ...plain.highTension, ...edit },
  });
  test("60 A of high tension is asked about, not corrected", () =>
    expect(refusal(high({ ratedAmps: 60 }))).toBe(
      "transformer.highTension.ratedAmps: 60 A at 230 V is 13.8 kVA for one winding; was 60 mA meant? Write the current that the label gives.",
    ));
  const cases: [Transformer, RegExp][] = [
    [high({ unloadedRmsVoltsPerHalf: 0 }), /unloadedRmsVoltsPerHalf: 0 is not accepted/],
    [high({ ohmsPerHalf: -4 }), /ohmsPerHalf: -4 is not accepted/],
    [high({ ratedRmsVoltsPerHalf: Number.NaN }), /NaN is not accepted; it must be finite/],
    [{ ...plain, heaters: [{ ...plain.heaters[0]!, ratedAmps: 0.003 }] }, /3 mA at 6.3 V is 18.9 mVA.*was 3 A meant/],
  ];
  test.each(cases)("case %#", (transformer, words) => expect(refusal(transformer)).toMatch(words));
});

const read = {
  mainsVolts: 230,
  primaryOhms: 10,
  highTension: { ohmsPerHalf: 180, unloadedRmsVoltsPerHalf: 250 },
  heaters: { H1: { unloadedVolts: 6.8, loaded: { amps: 3, volts: 6.3 } } },
} satisfies NonNullable<Transformer["measured"]>;

describe("by readings", () => {
  test("180 Ω and 10 Ω by (250/230)²: 191.8 Ω cold (textbook sum), and warm by the copper's 40 K", () => {
    const resolved = resolve({ ...plain, measured: read });
    expect(resolved.ranges.ohmsPerHalf[0]).toBeCloseTo(191.8147, 4);
    expect(resolved.transformer.highTension.ohmsPerHalf).toBeCloseTo(191.8147 * HOT_COPPER, 3);
    expect(resolved).toMatchObject({ knownBy: "measured", saleStop: false, copper: { from: "readings" } });
  });
  test("250 V at 100 mA from 270 V open is 200 Ω and 8 %", () => {
    const highTension = { ohmsPerHalf: 180, unloadedRmsVoltsPerHalf: 270, loaded: { amps: 0.1, volts: 250 } };
    const resolved = resolve({ ...plain, measured: { ...read, highTension } });
    expect(resolved.transformer.highTension.ohmsPerHalf).toBeCloseTo(200, 9);
    const [low, most] = resolved.ranges.ohmsPerHalf;
    expect(low).toBeLessThanOrEqual(200);
    expect(most).toBeGreaterThanOrEqual(200);
    expect(resolved.notes).toEqual([]);
  });
  test("the range is from cold ohms to warm ones, the reading under load counted in", () => {
    const cold = 180 + 10 * (250 / 230) ** 2;
    const at = (volts: number) => {
      const highTension = { ...read.highTension, loaded: { amps: 0.1, volts } };
      return resolve({ ...plain, measured: { ...read, highTension } }).ranges.ohmsPerHalf;
    };
    // 200 Ω lies between; 175 and 250 Ω lie outside on either side.
    for (const [volts, low, high] of [
      [230, cold, cold * HOT_COPPER],
      [232.5, 175, cold * HOT_COPPER],
      [225, cold, 250],
    ] as const) {
      expect(at(volts)[0]).toBeCloseTo(low, 6);
      expect(at(volts)[1]).toBeCloseTo(high, 6);
    }
  });
  test("heaters: by a reading under load, by ohms, by twice the primary's share, or as labelled", () => {
    const reflected = 10 * (6.8 / 230) ** 2;
    const ratedVolts = (heaters: NonNullable<Transformer["measured"]>["heaters"]) =>
      resolve({ ...plain, measured: { ...read, heaters } }).transformer.heaters[0]?.ratedVolts;
    expect(ratedVolts({ H1: { unloadedVolts: 6.8, loaded: { amps: 2, volts: 6.4 } } })).toBeCloseTo(6.8 - 0.2 * 3, 9);
    expect(ratedVolts({ H1: { unloadedVolts: 6.8, ohms: 0.1 } })).toBeCloseTo(
      6.8 - 3 * HOT_COPPER * (0.1 + reflected),
      9,
    );
    expect(ratedVolts({ H1: { unloadedVolts: 6.8 } })).toBeCloseTo(6.8 - 3 * HOT_COPPER * 2 * reflected, 9);
    expect(ratedVolts({})).toBe(6.3);
    expect(resolve(plain).copper.heaters.H1?.ohms).toBeCloseTo(0.5 / 3 / 2, 9);
    expect(resolve({ ...plain, measured: { ...read, heaters: {} } }).copper.heaters.H1?.ohms).toBeCloseTo(
      0.5 / 3 / 2,
      9,
    );
  });
  test("a reading under load that the ohms cannot explain is said", () => {
    const highTension = { ...read.highTension, loaded: { amps: 0.1, volts: 200 } };
    expect(resolve({ ...plain, measured: { ...read, highTension } }).notes.join()).toMatch(/500 Ω.*192 Ω/);
  });
  test("volts that rise under load, and a winding that is not there, are named", () => {
    const risen = { ...read.highTension, loaded: { amps: 0.1, volts: 260 } };
    expect(refusal({ ...plain, measured: { ...read, highTension: risen } })).toMatch(/260 V loaded is not below 250 V/);
    expect(refusal({ ...plain, measured: { ...read, heaters: { H9: { unloadedVolts: 5 } } } })).toBe(
      "transformer.measured.heaters.H9 is not a winding of this transformer; it has H1.",
    );
  });

  test("readings made from known iron give that iron back, at any mains of the bench (fast-check, seed 71)", () => {
    const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(
        between(40, 300),
        between(2, 60),
        between(0.5, 1.6),
        between(0.8, 1.15),
        between(0.9, 1.1),
        between(0.01, 0.06),
        (own, primaryOhms, ratio, bench, loadedMains, amps) => {
          const source = own + primaryOhms * ratio ** 2;
          const mainsVolts = 230 * bench;
          const loadedVolts = 230 * loadedMains;
          const measured = {
            mainsVolts,
            primaryOhms,
            highTension: {
              ohmsPerHalf: own,
              unloadedRmsVoltsPerHalf: ratio * mainsVolts,
              loaded: { amps, volts: ratio * loadedVolts - source * amps, mainsVolts: loadedVolts },
            },
            heaters: {},
          };
          const resolved = resolve({ ...plain, measured });
          expect(resolved.transformer.highTension.unloadedRmsVoltsPerHalf).toBeCloseTo(ratio * 230, 8);
          expect(resolved.transformer.highTension.ohmsPerHalf / source).toBeCloseTo(1, 8);
          expect(resolved.notes).toEqual([]);
        },
      ),
      { seed: 71, numRuns: 200 },
    );
  });
});

describe("unknown iron", () => {
  const unknown = {
    mainsVolts: 230,
    unloadedRmsVoltsPerHalf: 250,
    primaryOhms: 53,
    ohmsPerHalf: 150,
    kilograms: 1.2,
    tongueMillimetres: 28,
    stackMillimetres: 32,
  } satisfies NonNullable<Transformer["unknown"]>;

  test("four estimates that agree leave their common range, the careful end is used, and it is not sold", () => {
    const resolved = resolve({ ...plain, unknown });
    const ranges = resolved.estimates.map((one) => one.amps);
    expect(resolved.estimates.map((one) => one.by)).toEqual(["primary ohms", "core", "weight", "copper drop"]);
    const common = [Math.max(...ranges.map(([low]) => low)), Math.min(...ranges.map(([, most]) => most))] as const;
    // 50 to 53 mA in common: no sharper than a fifth either way of their middle.
    expect(common[1] / common[0]).toBeLessThan(1.44);
    expect(common[1]).toBeGreaterThan(common[0]);
    expect(resolved.ranges.ratedAmps[0]).toBeCloseTo(Math.sqrt(common[0] * common[1]) / 1.2, 9);
    expect(resolved.ranges.ratedAmps[1]).toBeCloseTo(Math.sqrt(common[0] * common[1]) * 1.2, 9);
    const wider = resolve({ ...plain, unknown: { ...unknown, ohmsPerHalf: 170 } });
    const wide = wider.estimates.map((one) => one.amps);
    expect(wider.ranges.ratedAmps[1] / wider.ranges.ratedAmps[0]).toBeGreaterThanOrEqual(1.44 - 1e-9);
    for (const [low, most] of wide) {
      expect(wider.ranges.ratedAmps[0]).toBeLessThanOrEqual(most);
      expect(wider.ranges.ratedAmps[1]).toBeGreaterThanOrEqual(low);
    }
    expect(resolved.transformer.highTension.ratedAmps).toBe(resolved.ranges.ratedAmps[0]);
    expect(resolved.saleStop).toBe(true);
    const [stop] = transformerFindings(resolved);
    expect(stop).toMatchObject({ level: "stop", rule: "transformer-unknown" });
    expect(stop?.title).toBe(
      "Not for sale with this transformer yet: test the insulation of every winding and establish the rating by a load test (10 % sag or its temperature ends it).",
    );
  });
  test("its ohms and volts are those that were read: 150 Ω and 53 Ω by (250/230)², warm; volts by the mains", () => {
    const resolved = resolve({ ...plain, unknown }, mains(240));
    const cold = 150 + 53 * (250 / 230) ** 2;
    expect(resolved.transformer.highTension.ohmsPerHalf).toBeCloseTo(cold * HOT_COPPER, 9);
    expect(resolved.ranges.ohmsPerHalf[0]).toBeCloseTo(cold, 9);
    expect(resolved.transformer.highTension.unloadedRmsVoltsPerHalf).toBeCloseTo((250 * 240) / 230, 9);
  });
  test("amperes by the estimates' own rules: (0.65 VA - heaters) / (1.25 x 250 V), and 3 to 5.5 % of the half's volts", () => {
    const [primary, core, weight, drop] = resolve({ ...plain, unknown }).estimates;
    for (const one of [primary, core, weight])
      for (const n of [0, 1] as const)
        expect(one!.amps[n]).toBeCloseTo(Math.max(0, (0.65 * one!.voltAmps![n] - 18.9) / (1.25 * 250)), 9);
    expect(drop!.amps[0]).toBeCloseTo((0.03 * 250) / 150, 9);
    expect(drop!.amps[1]).toBeCloseTo((0.055 * 250) / 150, 9);
  });
  test("estimates that disagree widen the range to all of them and say so", () => {
    const resolved = resolve({ ...plain, unknown: { ...unknown, kilograms: 6 } });
    const ranges = resolved.estimates.map((one) => one.amps);
    expect(resolved.ranges.ratedAmps).toEqual([
      Math.min(...ranges.map(([low]) => low)),
      Math.max(...ranges.map(([, most]) => most)),
    ]);
    expect(resolved.notes.join(" ")).toMatch(/estimates disagree/);
  });
  test("an established rating above all estimates is used and said", () => {
    const bold = { ...plain.highTension, ratedAmps: 0.3 };
    const resolved = resolve({ ...plain, highTension: bold, unknown, ratingEstablished: true });
    expect(resolved.transformer.highTension.ratedAmps).toBe(0.3);
    expect(resolved.notes.join(" ")).toMatch(/established 300 mA lies above what the estimates allow/);
    expect(resolve({ ...plain, unknown, ratingEstablished: true }).notes.join(" ")).not.toMatch(/lies above/);
  });
  test("one estimate is none", () => {
    const { kilograms } = unknown;
    expect(refusal({ ...plain, unknown: { mainsVolts: 230, unloadedRmsVoltsPerHalf: 250, kilograms } })).toBe(
      "The rating of an unknown transformer needs two independent estimates and has weight; add the primary's ohms, or width of the core's tongue and height of its stack, or ohms of a half winding.",
    );
  });
  test.each([
    [true, undefined, true],
    [undefined, true, true],
    [false, true, true],
    [true, true, false],
  ] as const)("insulation %s, rating %s: stop for sale %s", (insulationTested, ratingEstablished, stop) => {
    const told = {
      ...plain,
      unknown,
      ...(insulationTested === undefined ? {} : { insulationTested }),
      ...(ratingEstablished === undefined ? {} : { ratingEstablished }),
    };
    expect(resolve(told).saleStop).toBe(stop);
    if (ratingEstablished === true) expect(resolve(told).transformer.highTension.ratedAmps).toBe(0.06);
    expect(transformerFindings(resolve(told))[0]?.level).toBe(stop ? "stop" : "watch");
  });
});

describe("what the trade knows", () => {
  test("primary ohms of the table lead back to its VA, at 120 and at 230 V", () => {
    for (const [ohms, voltAmps] of [
      [35, 30],
      [14.5, 50],
      [8, 80],
      [5.5, 120],
      [3, 160],
    ] as const)
      for (const volts of [120, 230]) {
        const [low, most] = voltAmpsByPrimaryOhms(ohms * (volts / 120) ** 2, volts);
        expect(low <= voltAmps && voltAmps <= most, `${voltAmps} VA in ${low} to ${most}`).toBe(true);
        expect(most / low).toBeLessThan(1.35);
      }
  });
  test("core: 30 x 50 mm is 144 VA by 0.64 A² in cm (audiokit) and 26 A² in square inches (Golborne forum), 50 Hz", () => {
    const [low, most] = voltAmpsByCore(1500, 50);
    const middle = Math.sqrt(low * most);
    expect(Math.abs(middle / (0.64 * 15 ** 2) - 1)).toBeLessThan(0.03);
    expect(Math.abs(middle / (26 * (1500 / 645.16) ** 2) - 1)).toBeLessThan(0.001);
    expect(voltAmpsByCore(1500, 60)[0] / low).toBeCloseTo(1.194, 3);
  });
  test("a pound is 20 W", () => {
    const [low, most] = voltAmpsByWeight(0.45359237);
    expect(Math.sqrt(low * most)).toBeCloseTo(20, 9);
  });
  test("larger iron regulates better and has fewer ohms (fast-check, seed 72)", () => {
    const voltAmps = fc.double({ min: 5, max: 400, noNaN: true });
    fc.assert(
      fc.property(voltAmps, voltAmps, (one, other) => {
        const [small, large] = one < other ? [one, other] : [other, one];
        expect(usualPrimaryOhms(small, 230)).toBeGreaterThanOrEqual(usualPrimaryOhms(large, 230));
        // The builders' table is uneven between 80 and 120 VA: there the regulation is level within 4 %.
        expect(usualRegulation(small)).toBeGreaterThanOrEqual(usualRegulation(large) * 0.96);
        expect(usualRegulation(small)).toBeGreaterThanOrEqual(0.05);
        expect(usualRegulation(small)).toBeLessThanOrEqual(0.4);
      }),
      { seed: 72, numRuns: 200 },
    );
  });
  test("ranges combined lie in each of them, or hold each of them (fast-check, seed 73)", () => {
    const range = fc
      .tuple(fc.double({ min: 0, max: 10, noNaN: true }), fc.double({ min: 0, max: 5, noNaN: true }))
      .map(([low, wide]) => [low, low + wide] as const);
    fc.assert(
      fc.property(fc.array(range, { minLength: 1, maxLength: 5 }), (ranges) => {
        const {
          range: [low, most],
          agree,
        } = combine(ranges);
        expect(low).toBeLessThanOrEqual(most);
        for (const [a, b] of ranges)
          expect(agree ? a <= low && most <= b : low <= a && b <= most, `${a} to ${b}`).toBe(true);
      }),
      { seed: 73, numRuns: 300 },
    );
  });
});

describe("copper loss", () => {
  const resolved = resolve({
    ...plain,
    measured: { ...read, heaters: { H1: { unloadedVolts: 6.8, ohms: 0.08, loaded: { amps: 3, volts: 6.3 } } } },
  });
  test("a heater alone heats own and reflected copper: I²(0.08 + 10 (6.8/230)²), bench temperature", () => {
    const loss = copperLoss(resolved, { highTensionRmsAmps: 0, heaters: { H1: 2 } }, 1);
    expect(loss.watts).toBeCloseTo(4 * (0.08 + 10 * (6.8 / 230) ** 2), 12);
    expect(loss.voltAmps).toBeCloseTo(13.6, 12);
    expect(loss.mainsWatts).toBeCloseTo(13.6, 12);
  });
  test("high tension alone: the heat that the rectifier's own solve finds in its series ohms", () => {
    const series = 180 + 10 * (250 / 230) ** 2;
    const answer = solveRectifier({
      rmsVolts: 250,
      hertz: 50,
      seriesOhms: series,
      firstFarads: 47e-6,
      circuit: "full-wave",
      law: { form: "power", K: 4e-4, p: 1.5 },
      load: { amps: 0.03 },
    });
    if (!answer.ok) throw new Error("rectifier");
    const { windingRmsAmps, seriesWatts, balance } = answer.value;
    const loss = copperLoss(
      resolved,
      { highTensionRmsAmps: windingRmsAmps, highTensionWatts: balance.windingWatts, heaters: {} },
      1,
    );
    expect(loss.watts / (2 * seriesWatts)).toBeCloseTo(1, 6);
    expect(loss.mainsWatts).toBeCloseTo(balance.windingWatts, 9);
    expect(loss.voltAmps).toBeGreaterThan(loss.mainsWatts);
  });
  test("heat goes with the square; shape 1 adds primary currents, shape 0 their squares (fast-check, seed 74)", () => {
    const current = fc.double({ min: 0.001, max: 0.2, noNaN: true });
    fc.assert(
      fc.property(
        current,
        fc.double({ min: 0.1, max: 6, noNaN: true }),
        fc.double({ min: 0.2, max: 5, noNaN: true }),
        (high, heater, scale) => {
          const one = copperLoss(resolved, { highTensionRmsAmps: high, heaters: { H1: heater } });
          const more = copperLoss(resolved, { highTensionRmsAmps: high * scale, heaters: { H1: heater * scale } });
          expect(more.watts / one.watts).toBeCloseTo(scale ** 2, 8);
          const pulse = (high * Math.SQRT2 * 250) / 230;
          const sine = (heater * 6.8) / 230;
          expect(one.primaryRmsAmps).toBeCloseTo(pulse + sine, 9);
          const apart = copperLoss(resolved, {
            highTensionRmsAmps: high,
            highTensionWatts: 0,
            heaters: { H1: heater },
          });
          expect(apart.primaryRmsAmps).toBeCloseTo(Math.hypot(pulse, sine), 9);
          expect(one.windings.reduce((sum, winding) => sum + winding.watts, 0)).toBeCloseTo(one.watts, 9);
        },
      ),
      { seed: 74, numRuns: 100 },
    );
  });
  test("past the VA it stops, past 80 % it is watched", () => {
    const level = (voltAmps: number) =>
      transformerFindings(
        resolve({ ...plain, ratedVoltAmps: voltAmps }),
        copperLoss(resolve({ ...plain, ratedVoltAmps: voltAmps }), { highTensionRmsAmps: 0, heaters: { H1: 3 } }),
      ).find((one) => one.rule === "transformer-va")?.level;
    expect([20, 24, 40].map(level)).toEqual(["stop", "watch", "ok"]);
  });
});

describe("what windings do to each other through the primary", () => {
  const two: Transformer = {
    ...plain,
    heaters: [plain.heaters[0]!, { id: "H2", ratedVolts: 5, ratedAmps: 2, unloadedVolts: 5.4, reference: "0" }],
    measured: { ...read, heaters: { H1: { unloadedVolts: 6.8, ohms: 0.08 }, H2: { unloadedVolts: 5.4, ohms: 0.1 } } },
  };
  const resolved = resolve(two);
  test("two heaters: each loses 10 Ω x the other's current in the primary, 10 (5.4/230) 2 A of 230 V", () => {
    const sag = crossSag(resolved, { highTensionRmsAmps: 0, heaters: { H1: 3, H2: 2 } }, 1);
    expect(sag.heaters.H1).toBeCloseTo(1 - (10 * 2 * (5.4 / 230)) / 230, 12);
    expect(sag.heaters.H2).toBeCloseTo(1 - (10 * 3 * (6.8 / 230)) / 230, 12);
    expect(sag.highTension).toBeCloseTo(1 - (10 * (3 * 6.8 + 2 * 5.4)) / 230 ** 2, 12);
  });
  test("pulses: rms of mains less the drop, summed over a cycle, to second order in the drop", () => {
    const steps = 20_000;
    const primaryAmps = (t: number) => {
      const sine = Math.sin(2 * Math.PI * t);
      return Math.abs(sine) > 0.9 ? Math.sign(sine) * 0.25 * (Math.abs(sine) - 0.9) : 0;
    };
    let watts = 0;
    let square = 0;
    let current = 0;
    for (let n = 0; n < steps; n++) {
      const t = (n + 0.5) / steps;
      const volts = 230 * Math.SQRT2 * Math.sin(2 * Math.PI * t);
      const amps = 10 * primaryAmps(t);
      watts += (volts * amps) / steps;
      current += (amps * amps) / steps;
      square += (volts - 10 * amps) ** 2 / steps;
    }
    const highTensionRmsAmps = (Math.sqrt(current) * 230) / 250 / Math.SQRT2;
    const sag = crossSag(resolved, { highTensionRmsAmps, highTensionWatts: watts, heaters: {} }, 1);
    const exact = Math.sqrt(square) / 230;
    expect(Math.abs((sag.heaters.H1 ?? 0) - exact)).toBeLessThan(0.02 * (1 - exact));
    expect(sag.highTension).toBe(1);
  });
});
