import type { DifferenceRow, Finding, RowLimit } from "@platewright/design";
import { expect, test } from "vitest";
import { bandWords, changeWords, findingWords, limitWords, shortCondition, thin, valueWords } from "./words.ts";

const row = (given: Partial<DifferenceRow>): DifferenceRow => ({
  id: "L.plateAmps/V1a",
  label: "Plate current",
  proven: 0.0071,
  now: 0.0066,
  unit: "A",
  main: true,
  ...given,
});
const limit = (given: Partial<RowLimit>): RowLimit => ({
  finding: "cathode-current/L.V1a",
  level: "ok",
  judged: 0.0066,
  value: 0.02,
  sense: "below",
  condition: "running, mains nominal",
  source: "a sheet",
  title: "",
  ...given,
});
const plain = (text: string) => text.replaceAll("\u202f", " ");

test("a change is said in the unit a builder thinks in", () => {
  const said = (given: Partial<DifferenceRow>) => plain(changeWords(row(given)));
  expect(said({})).toBe("−500 µA");
  expect(said({ proven: 141, now: 148, unit: "V" })).toBe("+7 V");
  expect(said({ proven: 168, now: 322, unit: "Ω" })).toBe("+92 %");
  expect(said({ proven: 17.9, now: 17.4, unit: "dB" })).toBe("−0.5 dB");
  expect(said({ proven: 1.14, now: 1.12, unit: "W", shares: { proven: 0.27, now: 0.32 } })).toBe("27 → 32 %");
  const decibels = { proven: -39.6, now: -38.9, band: 4 };
  expect(said({ proven: -0.0105, now: -0.0113, unit: "ratio", decibels })).toBe("+0.7 dB");
  expect(said({ proven: -0.0105, now: 0.0113, unit: "ratio", decibels })).toBe("sign turns");
  expect(said({ proven: 1, now: 0, unit: "yes/no" })).toBe("turns over");
});

test("what does not move says nothing, what appears or goes says so", () => {
  expect(changeWords(row({ now: 0.0071 }))).toBe("");
  expect(changeWords(row({ proven: 3193, now: 3196, unit: "Ω" }))).toBe("");
  expect(changeWords(row({ proven: null }))).toBe("new");
  expect(changeWords(row({ now: null }))).toBe("gone");
  expect(changeWords(row({ proven: null, now: null }))).toBe("");
  expect(valueWords(null, "V")).toBe("–");
});

test("a limit names what was judged when that is not what the row shows", () => {
  expect(plain(limitWords(row({}), limit({})))).toBe("20 mA");
  expect(
    plain(
      limitWords(row({}), limit({ judged: 0.0081, condition: "running, mains high, part tolerances, strong tube" })),
    ),
  ).toBe("20 mA · 8.1 mA mains high");
  expect(plain(limitWords(row({ unit: "V", now: 2.8 }), limit({ value: 2, judged: 2.8, sense: "above" })))).toBe(
    "≥ 2 V",
  );
  expect(plain(limitWords(row({ unit: "W" }), limit({ value: 3.5, proven: 4.2, judged: 0.0066 })))).toBe(
    "4.2 W → 3.5 W",
  );
  expect(limitWords(row({}), limit({ value: null }))).toBe("none published");
});

test("a band stands around its harmonic by as many dB on both sides", () => {
  const words = plain(
    bandWords(row({ proven: 0.01, now: -0.01, unit: "ratio", decibels: { proven: -40, now: -40, band: 6.0206 } })),
  );
  expect(words).toBe("0.5 to 2 %");
});

test("a finding's sentence comes without its condition, and without the channel where both are equal", () => {
  const finding: Finding = {
    id: "plate-watts/L.V1a",
    rule: "plate-watts",
    level: "watch",
    title: "L.V1a plate dissipation 2.9 W of 3.5 W (83 %), running, mains nominal: above the house 80 %",
    value: 2.9,
    limit: 3.5,
    unit: "W",
    sense: "below",
    condition: "running, mains nominal",
    source: "a sheet",
    where: "L.V1a",
    channel: "L, R",
    fixes: [],
  };
  const { head, remark } = findingWords(finding);
  expect([plain(head), plain(remark)]).toEqual(["V1a plate dissipation 2.9 W of 3.5 W (83 %)", "above the house 80 %"]);
  const alone = findingWords({ ...finding, channel: "L" });
  expect(plain(alone.head)).toBe("L.V1a plate dissipation 2.9 W of 3.5 W (83 %)");
  const other = findingWords({ ...finding, title: "hum at the output: 100 Hz at −91 dBV", channel: "L" });
  expect([plain(other.head), other.remark]).toEqual(["hum at the output: 100 Hz at −91 dBV", ""]);
});

test("numbers and units are held together, words are not", () => {
  expect(thin("hum at -76 dBV, RC-22, pp. 1-4")).toBe("hum at −76\u202fdBV, RC-22, pp. 1-4");
  expect(thin("7.1 mA of 20 mA, 3 on shelf, 12 AWG, 5 Volts")).toBe(
    "7.1\u202fmA of 20\u202fmA, 3 on shelf, 12 AWG, 5 Volts",
  );
  expect(shortCondition("cold, mains high")).toBe("cold, mains high");
  expect(shortCondition("running, mains nominal")).toBe("running");
});
