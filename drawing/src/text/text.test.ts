import { seededRandom } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { shorten, textWidth, wrap } from "./index.ts";

describe("textWidth", () => {
  // Adobe's metrics of Helvetica and Helvetica Bold (from memory): the same advances as the fonts that stand in for it.
  test.each([
    ["0", 556, 556],
    ["A", 667, 722],
    ["M", 833, 833],
    ["m", 833, 889],
    ["i", 222, 278],
    [".", 278, 278],
    ["W", 944, 944],
  ])("keeps at least the room of Helvetica for %s, and no more than half as much again", (char, regular, bold) => {
    expect(1000 * textWidth(char, 1)).toBeGreaterThanOrEqual(regular);
    expect(1000 * textWidth(char, 1)).toBeLessThan(1.5 * regular);
    expect(1000 * textWidth(char, 1, true)).toBeGreaterThanOrEqual(bold);
    expect(1000 * textWidth(char, 1, true)).toBeLessThan(1.5 * bold);
  });

  test("keeps room for what was never measured, once for a pair of halves", () => {
    expect(textWidth("日本", 1)).toBeGreaterThanOrEqual(2);
    expect(textWidth("😀", 1)).toBe(textWidth("日", 1));
    expect(textWidth("\u202f", 1)).toBeLessThan(0.4);
  });
});

function words(seed: number): string {
  const random = seededRandom(seed);
  return Array.from({ length: 1 + random.below(20) }, () => "a4ΩWi−".repeat(4).slice(0, 1 + random.below(24))).join(
    " ",
  );
}

test("wrapped lines fit, and together they are the text (seeds 1 to 60)", () => {
  for (let seed = 1; seed <= 60; seed++) {
    const text = words(seed);
    const lines = wrap(text, 20, 3.44);
    for (const line of lines) expect(textWidth(line, 3.44)).toBeLessThanOrEqual(20);
    expect(lines.join("").replaceAll(" ", "")).toBe(text.replaceAll(" ", ""));
  }
});

test("a shortened text fits and says so; one that fits is left alone (seeds 1 to 60)", () => {
  for (let seed = 1; seed <= 60; seed++) {
    const text = words(seed);
    const short = shorten(text, 30, 3.44);
    expect(textWidth(short, 3.44)).toBeLessThanOrEqual(30);
    if (short !== text) expect(text.startsWith(short.slice(0, -1)) && short.endsWith("…")).toBe(true);
    else expect(textWidth(text, 3.44)).toBeLessThanOrEqual(30);
  }
});
