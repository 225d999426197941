import { clockPosition } from "@platewright/engine";
import { expect, test } from "vitest";
import { readTurn } from "./turn.ts";

test.each([
  ["0", 0],
  ["10", 1],
  ["6.5", 0.65],
  ["6,5", 0.65],
  [".5", 0.05],
  ["7 o'clock", 0],
  ["12 o'clock", 0.5],
  ["5 o’clock", 1],
  ["3:15", 0.825],
  ["10:30 oclock", 0.35],
])("%s", (text, turn) => {
  const read = readTurn(text);
  expect(read.ok ? read.value : Number.NaN).toBeCloseTo(turn, 12);
});

test("what the clock prints is read back, at every quarter of an hour", () => {
  for (let quarter = 0; quarter <= 40; quarter++) {
    const read = readTurn(clockPosition(quarter / 40));
    expect(read.ok ? read.value : Number.NaN).toBeCloseTo(quarter / 40, 12);
  }
});

test.each(["10.1", "11", "6 o'clock", "5:30", "13:00", "noon", "", "-1", "3:70"])(
  "refuses %j in a sentence",
  (text) => {
    expect(readTurn(text)).toMatchObject({ ok: false, failure: expect.stringContaining("is no position") });
  },
);
