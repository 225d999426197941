import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { transformerSentence } from "./transformer-failures.ts";
import { readTransformerLabel, type TransformerLabel } from "./transformer-label.ts";

function read(text: string): TransformerLabel {
  const label = readTransformerLabel(text);
  if (!label.ok) throw new Error(transformerSentence(label.failure));
  return label.value;
}
const refused = (text: string): string => {
  const label = readTransformerLabel(text);
  return label.ok ? `read as ${JSON.stringify(label.value)}` : transformerSentence(label.failure);
};

describe("labels as they are printed", () => {
  test.each([
    ["230-0-230 V 60 mA, 6.3 V 3 A", 230, 2, 0.06, [[6.3, 3]]],
    ["230-0-230V 60mA; 6.3V 3A", 230, 2, 0.06, [[6.3, 3]]],
    [
      "300–0–300 V @ 80 mA + 6.3 V CT 3.5 A + 5 V 2 A",
      300,
      2,
      0.08,
      [
        [6.3, 3.5],
        [5, 2],
      ],
    ],
    ["2 x 250 V 0.06 A, 6,3 V 2,5 A", 250, 2, 0.06, [[6.3, 2.5]]],
    ["500 V CT 50mA, 6.3V 2A", 250, 2, 0.05, [[6.3, 2]]],
    ["250 V 100 mA, 0-6.3 V 3 A", 250, 1, 0.1, [[6.3, 3]]],
    ["6.3 V 3 A\n250-0-250 V 75 mA", 250, 2, 0.075, [[6.3, 3]]],
    ["250-0-250 V 75 mA, 3.15-0-3.15 V 3 A", 250, 2, 0.075, [[6.3, 3]]],
    ["230-0-230V, 60mA, 6.3V, 3A", 230, 2, 0.06, [[6.3, 3]]],
    [
      "250-0-250 60 mA, 6V3 3A, 5V2A",
      250,
      2,
      0.06,
      [
        [6.3, 3],
        [5, 2],
      ],
    ],
    ["HT 275-0-275 V 120 mA; LT 6.3 V 4 A", 275, 2, 0.12, [[6.3, 4]]],
    ["12V6 1.5A, 230 V 60 mA", 230, 1, 0.06, [[12.6, 1.5]]],
  ] as const)("%s", (text, volts, halves, amps, others) => {
    const label = read(text);
    expect(label.highTension).toMatchObject({ rmsVolts: volts, halves });
    expect(label.highTension.amps).toBeCloseTo(amps, 12);
    expect(label.others.map((one) => [one.rmsVolts, one.amps])).toEqual(others);
  });

  test("primary taps, frequency, VA", () => {
    const label = read("primary 0-115-230 V 50/60 Hz, 60 VA, 230-0-230 V 60 mA, 6.3 V 3 A");
    expect(label.primaryVolts).toEqual([115, 230]);
    expect(label.hertz).toBe(50);
    expect(label.voltAmps).toBe(60);
  });
});

describe("a label that cannot be meant is asked about", () => {
  test("60 A of high tension", () =>
    expect(refused("230-0-230 V 60 A, 6.3 V 3 A")).toBe(
      "winding 1 of the label: 60 A at 230 V is 13.8 kVA for one winding; was 60 mA meant? Write the current that the label gives.",
    ));
  test("3 mA of heater", () => expect(refused("230-0-230 V 60 mA, 6.3 V 3 mA")).toMatch(/was 3 A meant\?/));
  test.each(["", "banana", "230-0-240 V 60 mA", "6.3 V 3 A", "230-0-230 V 0 mA", "-", "V A", "x".repeat(500)])(
    "%j is one sentence, not a number",
    (text) => expect(refused(text)).toMatch(/^[^\n]+\.$/),
  );
});

test("a label written from numbers reads back as those numbers (fast-check, seed 41)", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 60, max: 450 }),
      fc.integer({ min: 5, max: 400 }),
      fc.array(fc.tuple(fc.constantFrom(5, 6.3, 12.6), fc.integer({ min: 1, max: 80 })), { maxLength: 3 }),
      fc.constantFrom(", ", "; ", " + ", "\n"),
      fc.constantFrom("", " "),
      fc.constantFrom("", " ", " @ ", " at "),
      (volts, milliamps, heaters, between, gap, joiner) => {
        const parts = [
          `${volts}-0-${volts}${gap}V${joiner}${milliamps}${gap}mA`,
          ...heaters.map(([v, tenths]) => `${v}${gap}V${joiner}${tenths / 10}${gap}A`),
        ];
        const label = read(parts.join(between));
        expect(label.highTension.rmsVolts).toBe(volts);
        expect(label.highTension.amps).toBeCloseTo(milliamps / 1000, 12);
        expect(label.others.map((one) => [one.rmsVolts, one.amps])).toEqual(
          heaters.map(([v, tenths]) => [v, tenths / 10]),
        );
      },
    ),
    { seed: 41, numRuns: 300 },
  );
});

test("no text makes it throw or give a number that is not finite (fast-check, seed 42)", () => {
  fc.assert(
    fc.property(fc.string({ maxLength: 60 }), fc.constantFrom("", "230-0-230 V 60 mA, "), (text, before) => {
      const label = readTransformerLabel(before + text);
      if (!label.ok) {
        expect(transformerSentence(label.failure)).not.toMatch(/NaN|undefined/);
        return;
      }
      for (const one of [label.value.highTension, ...label.value.others]) {
        expect(one.rmsVolts > 0 && one.rmsVolts < Infinity).toBe(true);
        expect(one.amps === undefined || (one.amps > 0 && one.amps < Infinity)).toBe(true);
      }
    }),
    { seed: 42, numRuns: 1000 },
  );
});
