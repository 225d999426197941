import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { type Axis, axisOver, fraction, printQuantity, THIN, ticksOf } from "./axis.ts";

const texts = (axis: Axis, length: number, spacing = 20) =>
  ticksOf(axis, length, spacing).flatMap((tick) => tick.text || []);

/** 1, 2 or 5 times a power of ten. */
const isRound = (step: number) =>
  [1, 2, 5, 10].some((m) => Math.abs(step / 10 ** Math.floor(Math.log10(step) + 1e-9) / m - 1) < 1e-6);

test.each([
  [0.1, "s", "100 ms"],
  [0.00547, "s", "5.47 ms"],
  [12.8, "s", "12.8 s"],
  [25e-6, "s", "25 µs"],
  [330, "V", "330 V"],
  [0.01, "A", "10 mA"],
  [4700, "Ω", "4.7 kΩ"],
  [-8.5, "V", "−8.5 V"],
])("%s %s is printed as a builder writes it: %s", (value, unit, text) => {
  expect(printQuantity(value, unit)).toBe(text.replace(" ", THIN));
});

describe("linear numbers", () => {
  test("the unit stands with the last one alone", () => {
    expect(texts({ from: 0, to: 40, unit: "s" }, 80)).toEqual(["0", "10", "20", "30", `40${THIN}s`]);
    expect(texts({ from: 0, to: 0.02, unit: "s" }, 80)).toEqual(["0", "5", "10", "15", `20${THIN}ms`]);
    expect(texts({ from: 0, to: 0.25, unit: "A" }, 40, 9)).toEqual(["0", "100", `200${THIN}mA`]);
    expect(texts({ from: -8, to: 8, unit: "V" }, 80)).toEqual(["−5", "0", `5${THIN}V`]);
  });

  test("steps are 1, 2 or 5, inside the axis, not closer than asked and the finest that are not (seed 7)", () => {
    const random = seededRandom(7);
    for (let n = 0; n < 400; n++) {
      const size = 10 ** (random.uniform() * 12 - 6);
      const from = (random.uniform() - 0.5) * size;
      const axis: Axis = { from, to: from + size * (0.2 + random.uniform()), unit: "V" };
      const length = 40 + 120 * random.uniform();
      const spacing = 8 + 12 * random.uniform();
      const values = ticksOf(axis, length, spacing).map((tick) => tick.value);
      const perValue = length / (axis.to - axis.from);
      for (const value of values) {
        expect(fraction(axis, value)).toBeGreaterThan(-1e-6);
        expect(fraction(axis, value)).toBeLessThan(1 + 1e-6);
      }
      if (values.length < 2) continue;
      const step = (values[1] as number) - (values[0] as number);
      expect(isRound(step)).toBe(true);
      expect(step * perValue).toBeGreaterThanOrEqual(spacing * (1 - 1e-6));
      expect(step * perValue).toBeLessThan(spacing * 2.5 * (1 + 1e-6));
    }
  });

  test("the numbers printed are the values they stand at (seed 8)", () => {
    const random = seededRandom(8);
    for (let n = 0; n < 200; n++) {
      const to = 10 ** (random.uniform() * 8 - 5);
      const ticks = ticksOf({ from: 0, to, unit: "V" }, 100, 12);
      const last = ticks.at(-1) as { value: number; text: string };
      const factor = { V: 1, mV: 1e-3, µV: 1e-6 }[last.text.split(THIN)[1] as "V" | "mV" | "µV"];
      for (const tick of ticks) expect(Number(tick.text.split(THIN)[0]) * factor).toBeCloseTo(tick.value, 12);
    }
  });
});

describe("logarithmic numbers", () => {
  test("each has its own prefix; 2 and 5 are named where there is room", () => {
    const audio: Axis = { from: 10, to: 1e5, unit: "Hz", scale: "log" };
    expect(texts(audio, 100)).toEqual(
      ["10 Hz", "100 Hz", "1 kHz", "10 kHz", "100 kHz"].map((t) => t.replace(" ", THIN)),
    );
    expect(texts({ ...audio, to: 1000 }, 160)).toEqual(
      ["10 Hz", "20 Hz", "50 Hz", "100 Hz", "200 Hz", "500 Hz", "1 kHz"].map((t) => t.replace(" ", THIN)),
    );
    expect(texts(audio, 30)).toHaveLength(2);
  });

  test("a value stands where its logarithm says", () => {
    const axis: Axis = { from: 1, to: 1000, unit: "Hz", scale: "log" };
    expect(fraction(axis, 10)).toBeCloseTo(1 / 3, 12);
    expect(fraction(axis, 0)).toBeNaN();
  });
});

test("an axis over values holds them all, ends at round numbers and starts at zero (seed 9)", () => {
  const random = seededRandom(9);
  for (let n = 0; n < 300; n++) {
    const size = 10 ** (random.uniform() * 8 - 4);
    const side = random.below(3) - 1;
    const values = Array.from({ length: 5 }, () => (side === 0 ? random.normal() : side * random.uniform()) * size);
    const { from, to } = axisOver(values, "V");
    expect(from).toBeLessThanOrEqual(Math.min(0, ...values));
    expect(to).toBeGreaterThanOrEqual(Math.max(0, ...values));
    expect(from * to).toBeLessThanOrEqual(0);
    expect(to - from).toBeLessThan(1.5 * (Math.max(0, ...values) - Math.min(0, ...values)));
  }
  expect(axisOver([], "V")).toEqual({ from: 0, to: 1, unit: "V" });
  expect(axisOver([Number.NaN, 2], "V").to).toBeGreaterThan(2);
});

test.each([
  [{ from: 1, to: 1, unit: "V" }, /runs from 1 to 1 V/],
  [{ from: 0, to: Number.NaN, unit: "V" }, /runs from 0 to NaN V/],
  [{ from: 0, to: 10, unit: "Hz", scale: "log" }, /starts at 0 Hz/],
] as const)("an axis without a range is a broken promise: %j", (axis, words) => {
  expect(() => ticksOf(axis, 100, 20)).toThrow(words);
});
