/** Prices as a file: the demo's reads, 2,000 spoilt ones are refused with a sentence or are sound. */
import { readFileSync } from "node:fs";
import { seededRandom } from "@platewright/engine";
import { expect, test } from "vitest";
import { priceBookSchema, readPriceBook } from "./prices-file.ts";

const text = readFileSync("examples/hearth/prices.json", "utf8");

test("the demo's prices", () => {
  const read = readPriceBook(text);
  if (!read.ok) throw new Error(read.failure);
  expect(read.value).toMatchObject({ currency: "EUR", batch: 5 });
  expect(Object.keys(read.value.parts)).toContain("transformer");
  expect(priceBookSchema.safeParse(read.value).success).toBe(true);
});

test.each([
  ["no JSON", "{", /no JSON/],
  ["a list", "[]", /^the file: /],
  ["another format", text.replace("prices@1", "prices@9"), /^format: /],
  ["a price below nothing", text.replace(/"transformer": \d+/, '"transformer": -1'), /^parts\.transformer: /],
  ["a margin of everything", text.replace(/"marginPercent": \d+/, '"marginPercent": 100'), /^marginPercent: /],
  ["half a unit", text.replace(/"batch": \d+/, '"batch": 0.5'), /^batch: /],
  ["a field too many", text.replace("{", '{"discount": 3,'), /discount/],
])("%s is named", (_, spoilt, sentence) => {
  const read = readPriceBook(spoilt);
  expect(read.ok ? "" : read.failure).toMatch(sentence);
});

test("2,000 spoilt files (seed 44)", () => {
  const random = seededRandom(44);
  const at = (below: number) => Math.floor(random.uniform() * below);
  let sound = 0;
  for (let n = 0; n < 2000; n++) {
    const from = at(text.length);
    const spoilt = text.slice(0, from) + String.fromCharCode(1 + at(255)) + text.slice(from + 1 + at(4));
    const read = readPriceBook(spoilt);
    if (read.ok) {
      sound++;
      expect(priceBookSchema.safeParse(read.value).success).toBe(true);
    } else expect(read.failure).toMatch(/^\S[^\n]{5,}\.$/u);
  }
  expect(sound).toBeGreaterThan(20);
  expect(sound).toBeLessThan(1500);
});
