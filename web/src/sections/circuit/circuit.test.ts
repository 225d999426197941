import { type ChannelFigures, setPart } from "@platewright/design";
import type { PartPlace } from "@platewright/drawing";
import { preferredBetween } from "@platewright/engine";
import { describe, expect, test } from "vitest";
import { demoOpen, demoShelf } from "../../../test/demo.ts";
import { beside } from "./beside.ts";
import { netWords } from "./net-words.ts";
import { capacitorOnShelf, resistorOnShelf } from "./on-shelf.ts";
import { sheetsOf } from "./sheets.ts";
import { sliderScale } from "./slider-scale.ts";
import { levelsSaid, levelWords, movedFigures } from "./words.ts";

const { document } = demoOpen();
const { shelf } = demoShelf();

describe("drawings of a design", () => {
  test("equal channels once, and the supply", () => {
    expect(sheetsOf(document)).toEqual([
      { instance: "L", instances: ["L", "R"], isChannel: true, words: "Both channels" },
      { instance: "PS", instances: ["PS"], isChannel: false, words: "Power supply" },
    ]);
  });

  test("channels that differ, each by its name", () => {
    const uneven = setPart(document, ["R"], "R4", { value: "820" });
    expect(sheetsOf(uneven).map(({ words }) => words)).toEqual(["Left", "Right", "Power supply"]);
  });
});

test("a node is named by what is tied there, tubes first, and by its own name when it leaves the block", () => {
  expect(netWords(document, "L", "L.p1")).toBe("V1a plate, R3, C2");
  expect(netWords(document, "L", "B2")).toBe("B2, R11");
});

test("the shelf has what its counts and its series say, and nothing else", () => {
  expect(resistorOnShelf(shelf, 680)).toEqual({ has: true, words: "E12 at 500\u202fmW, E12 at 3\u202fW" });
  expect(resistorOnShelf(shelf, 750).has).toBe(false);
  const counted = { ...shelf, resistors: [{ value: "750", watts: 0.5, count: 14 }, ...shelf.resistors] };
  expect(resistorOnShelf(counted, 750).words).toBe("14 of 500\u202fmW");
  expect(capacitorOnShelf(shelf, 33e-6)).toEqual({ has: true, words: "2 of 450\u202fV" });
  expect(capacitorOnShelf(shelf, 34e-6).has).toBe(false);
});

test.each([10, 680, 751, 4.7e-7])(
  "a slider about %d: its series, in order, half a decade to each side, back from every place",
  (around) => {
    const scale = sliderScale(around, "E24");
    expect(scale.values).toEqual(preferredBetween("E24", around / 10 ** 0.5, around * 10 ** 0.5));
    for (const value of scale.values) expect(scale.nearest(scale.shareOf(value))).toBe(value);
    const shares = scale.values.map(scale.shareOf);
    expect(shares).toEqual(shares.toSorted((a, b) => a - b));
    expect(scale.nearest(-1)).toBe(scale.values[0]);
    expect(scale.nearest(2)).toBe(scale.values.at(-1));
  },
);

describe("arrows on the drawing", () => {
  const place = (id: string, x: number, y: number): PartPlace => {
    const box = { left: x - 1, right: x + 1, top: y - 1, bottom: y + 1 };
    return { id, body: box, box };
  };
  const parts = [place("a", 0, 0), place("b", 10, 0), place("c", 11, 20), place("d", 40, 5)];

  test("go along the signal and round at its ends", () => {
    let at: string | undefined = "a";
    for (const next of ["b", "c", "d", "a"]) expect((at = beside(parts, at ?? "", "after"))).toBe(next);
    for (const part of parts) expect(beside(parts, beside(parts, part.id, "after") ?? "", "before")).toBe(part.id);
  });

  test("go to the nearest above and below, and stay where there is none", () => {
    expect(beside(parts, "b", "below")).toBe("c");
    expect(beside(parts, "c", "above")).toBe("b");
    expect(beside(parts, "c", "below")).toBeUndefined();
    expect(beside(parts, "gone", "above")).toBe("a");
  });
});

describe("words", () => {
  test("of levels", () => {
    expect([1, 13.567, 0.3, 0.084, 0].map(levelWords)).toEqual(
      ["1.00 V", "13.6 V", "0.300 V", "84 mV", "0 V"].map((words) => words.replace(" ", "\u202f")),
    );
  });

  test("what is said otherwise of the proven unit stands below, what the hand moved is live, to three digits", () => {
    expect(levelsSaid({ a: 1, b: 2, c: 3 }, { a: 1.0001, b: 2.5 }, { a: 1, b: 2, c: 3.1 })).toEqual({
      a: { now: "1.00\u202fV" },
      b: { now: "2.00\u202fV", was: "2.50\u202fV" },
      c: { now: "3.00\u202fV", live: true },
    });
  });

  test("of what a step moves: in the unit a builder thinks in, zero said as zero, unsolved left open", () => {
    const now: ChannelFigures = {
      triodes: [{ part: "V1a", plateAmps: 0.008, plateVolts: 100 }],
      gainDecibels: 17.4,
      h2Ratio: 0.01,
      outputOhms: 300,
      supplyVolts: 280,
    };
    const then: ChannelFigures = {
      ...now,
      h2Ratio: 0.02,
      triodes: [{ part: "V1a", plateAmps: 0.0076, plateVolts: 107 }],
    };
    const rows = movedFigures(now, [then, null], 1);
    const words = (id: string) => rows.find((row) => row.id === id)?.changes.map((change) => change?.words ?? null);
    expect(words("h2")).toEqual(["+6.0\u202fdB", null]);
    expect(words("gain")).toEqual(["0\u202fdB", null]);
    expect(words("amps/V1a")).toEqual(["−5.0\u202f%", null]);
    expect(words("volts/V1a")).toEqual(["+7.0\u202fV", null]);
    expect(words("ohms")).toEqual(["0\u202f%", null]);
  });
});
