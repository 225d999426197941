import { expect, test } from "vitest";
import { flatten, outside } from "../bounds.ts";
import { THIN } from "../plot/axis.ts";
import { type VoicingDifferenceFigure, voicingDifferenceFigure } from "./index.ts";

const figure: VoicingDifferenceFigure = {
  title: "a candidate",
  inputVolts: [0.1, 0.3, 1, 2],
  second: [-1, -0.8, -0.5, 0.2],
  third: [2, 1, 0, -3],
  keptDecibels: 1,
  markVolts: [0.3, 1],
  width: 52,
  height: 22,
};
const linesOf = (given: Partial<VoicingDifferenceFigure>) =>
  flatten(voicingDifferenceFigure({ ...figure, ...given }).items).flatMap((item) =>
    item.kind === "polyline" ? [item] : [],
  );
const wordsOf = (given: Partial<VoicingDifferenceFigure>) =>
  flatten(voicingDifferenceFigure({ ...figure, ...given }).items).flatMap((item) =>
    item.kind === "text" ? [item.text] : [],
  );

test("H2 is heavier than H3, nothing leaves the sheet", () => {
  const [third, second] = linesOf({});
  expect(second?.weight).toBeGreaterThan(third?.weight ?? Infinity);
  expect(outside(voicingDifferenceFigure(figure))).toEqual([]);
});

test("the same as proven lies on the line of 0 dB, in the middle of the tinted band", () => {
  const scene = voicingDifferenceFigure({ ...figure, second: [0, 0, 0, 0], third: [0, 0, 0, 0] });
  const band = flatten(scene.items).find((item) => item.kind === "rect");
  if (band?.kind !== "rect") throw new Error("no band");
  for (const { points } of linesOf({ second: [0, 0, 0, 0], third: [0, 0, 0, 0] }))
    for (const [, y] of points) expect(y).toBeCloseTo(band.at[1] + band.height / 2, 9);
});

test("twice the level is the same step along the picture, twice the dB the same step up", () => {
  const [, line] = linesOf({ inputVolts: [0.5, 1, 2], second: [-2, 0, 2], third: [0, 0, 0], markVolts: [] });
  const [a, b, c] = line?.points ?? [];
  expect((b?.[0] ?? 0) - (a?.[0] ?? 0)).toBeCloseTo((c?.[0] ?? 0) - (b?.[0] ?? 0), 9);
  expect((a?.[1] ?? 0) - (b?.[1] ?? 0)).toBeCloseTo((b?.[1] ?? 0) - (c?.[1] ?? 0), 9);
});

test("what leaves the picture is cut at its edge; what is wholly outside is said", () => {
  const cut = linesOf({ second: [-30, 0, 0, 30] });
  expect(outside(voicingDifferenceFigure({ ...figure, second: [-30, 0, 0, 30] }))).toEqual([]);
  expect(cut.length).toBe(2);
  expect(wordsOf({ second: [15, 20, 21, 22] })).toContain(`H2 +15.0 to +22.0${THIN}dB`);
  expect(wordsOf({ second: [null, null, null, null] })).toContain("H2 of the other sign");
});

test("a gap where there is no number, dashes for what may not be built, words for those who cannot see", () => {
  expect(linesOf({ second: [-1, null, 0, 1], third: [0, 0, 0, 0] }).length).toBe(2);
  expect(
    linesOf({ second: [-1, -1, null, 1, 1], third: [0, 0, 0, 0, 0], inputVolts: [0.1, 0.2, 0.5, 1, 2] }).length,
  ).toBe(3);
  expect(linesOf({ forbidden: true }).every((line) => line.dash === "dash")).toBe(true);
  expect(voicingDifferenceFigure(figure).description).toBe(
    `H2 −1.0 to +0.2${THIN}dB, H3 −3.0 to +2.0${THIN}dB against proven, from 0.1 V to 2 V in`,
  );
});
