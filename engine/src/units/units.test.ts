import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { parseValue } from "./parse.ts";
import { E12, E24, E96, nearestPreferred, preferredBetween, stepPreferred } from "./preferred.ts";
import { clockPosition, partCode, printInches, printValue } from "./print.ts";

const read = (quantity: Parameters<typeof parseValue>[0], text: string): number => {
  const answer = parseValue(quantity, text);
  return answer.ok ? answer.value : Number.NaN;
};

describe("reading", () => {
  test.each([
    ["4k7", 4700],
    ["4.7k", 4700],
    ["47K", 47e3],
    ["2,2k", 2200],
    ["1M", 1e6],
    ["1M5", 1.5e6],
    ["820", 820],
    ["820R", 820],
    ["R47", 0.47],
    ["4R7", 4.7],
    ["820 Ω", 820],
    ["820 ohm", 820],
    ["10 kΩ", 10e3],
  ])("resistance %s", (text, value) => expect(read("resistance", text)).toBe(value));

  test.each([
    ["0.47u", 0.47e-6],
    ["0.47uF", 0.47e-6],
    ["0.47 µF", 0.47e-6],
    ["470n", 470e-9],
    ["4n7", 4.7e-9],
    ["100p", 100e-12],
    ["8 MFD", 8e-6],
    ["250 mmF", 250e-12],
    ["50u", 50e-6],
  ])("capacitance %s", (text, value) => expect(read("capacitance", text)).toBe(value));

  test("other quantities", () => {
    expect(read("current", "60m")).toBe(0.06);
    expect(read("current", "60mA")).toBe(0.06);
    expect(read("frequency", "50 Hz")).toBe(50);
    expect(read("inductance", "10 H")).toBe(10);
    expect(read("length", "22 mm")).toBe(0.022);
    expect(read("length", "1 1/8 in")).toBeCloseTo(0.028575, 12);
    expect(read("length", '7/8"')).toBeCloseTo(0.022225, 12);
  });

  test.each([
    "47kk",
    "",
    " ",
    "-5",
    "NaN",
    "Infinity",
    "1e400",
    "4k7k",
    "k",
    "4.7.1k",
    "0",
    "47 apples",
    "0x10",
    "1 1/0 in",
  ])("%j is refused in a sentence", (text) => {
    for (const quantity of ["resistance", "length"] as const) {
      const answer = parseValue(quantity, text);
      expect(answer.ok).toBe(false);
      if (!answer.ok) expect(answer.failure.sentence).toMatch(/is not a (resistance|length); write it like/);
    }
  });
});

describe("preferred values", () => {
  test("the series are ascending, complete, and E12 lies in E24", () => {
    for (const [table, length] of [
      [E12, 12],
      [E24, 24],
      [E96, 96],
    ] as const) {
      expect(table.length).toBe(length);
      expect([...table].sort((a, b) => a - b)).toEqual([...table]);
    }
    expect(E12.every((value) => (E24 as readonly number[]).includes(value))).toBe(true);
    expect([27, 30, 33, 36, 39, 43, 47, 82].every((value) => (E24 as readonly number[]).includes(value))).toBe(true);
  });

  test("every preferred value writes and reads back exactly", () => {
    for (const series of ["E12", "E24", "E96"] as const) {
      for (const value of preferredBetween(series, 1, 22e6)) {
        expect(read("resistance", partCode(value, "resistance"))).toBe(value);
        expect(read("resistance", printValue(value, "Ω", 3))).toBe(value);
      }
      for (const value of preferredBetween(series, 10e-12, 1000e-6))
        expect(read("capacitance", partCode(value, "capacitance"))).toBeCloseTo(value, 20);
    }
  });

  test("nearest is nearest in ratio, and a step up and down comes home", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1.001, max: 9.9e6, noNaN: true }),
        fc.integer({ min: -40, max: 40 }),
        (value, steps) => {
          const near = nearestPreferred("E24", value);
          const apart = Math.abs(Math.log(near / value));
          for (const other of preferredBetween("E24", value / 1.2, value * 1.2))
            expect(apart).toBeLessThanOrEqual(Math.abs(Math.log(other / value)) + 1e-12);
          expect(stepPreferred("E24", stepPreferred("E24", near, steps), -steps)).toBe(near);
        },
      ),
      { seed: 1, numRuns: 300 },
    );
  });
});

describe("printing", () => {
  test.each([
    [4700, "Ω", "4.7 kΩ"],
    [0.0076, "A", "7.6 mA"],
    [0.47e-6, "F", "0.47 µF"],
    [22e-9, "F", "22 nF"],
    [-8.5, "V", "−8.5 V"],
    [250.04, "V", "250 V"],
    [999.6, "Ω", "1 kΩ"],
  ])("%d %s", (value, unit, text) => expect(printValue(value, unit).replace(" ", " ")).toBe(text));

  test("a printed value reads back within its digits", () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 2e7, noNaN: true }), (value) => {
        expect(Math.abs(read("resistance", printValue(value, "Ω", 4)) / value - 1)).toBeLessThan(6e-4);
      }),
      { seed: 2, numRuns: 300 },
    );
  });

  test("clock positions and inches", () => {
    expect([0, 0.5, 1].map(clockPosition)).toEqual(["7 o'clock", "12 o'clock", "5 o'clock"]);
    expect(printInches(0.028575)).toBe("1 1/8 in");
    expect(printInches(0.022225)).toBe("7/8 in");
  });
});
