import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { readDesign } from "../document/read.ts";
import { setPart } from "../document/set-part.ts";
import { solveDesign } from "../solved/solve.ts";
import { driveSteps } from "./drive-steps.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error("the demo does not read");
const demo = file.value.now;
const solve = (document: typeof demo, levels = [1]) => {
  const solved = solveDesign(document, catalogue, { levels });
  if (!solved.ok) throw new Error(solved.failure.sentence);
  return solved.value;
};

test("each step is the design solved cold with its drive there; more drive, more of both harmonics", () => {
  const answer = driveSteps(solve(demo), catalogue, 1);
  if (!answer.ok || answer.value === undefined) throw new Error("no drive");
  const { drive, steps } = answer.value;
  expect(drive).toBe("P1");
  expect(steps.map((one) => one.clock)).toEqual(["12 o'clock", "2 o'clock", "3 o'clock", "4 o'clock", "5 o'clock"]);
  let before = 0;
  for (const { turn, points } of steps) {
    const cold = solve(setPart(demo, ["L", "R"], "P1", { position: turn }));
    for (const channel of ["L", "R"]) {
      const level = cold.channels.find((one) => one.instance === channel)?.levels[0];
      const point = points.get(channel);
      expect(point?.outputVolts).toBeCloseTo(level?.outputVolts ?? Number.NaN, 6);
      for (const k of [0, 1]) expect((point?.ratios[k] ?? 0) / (level?.ratios[k] ?? 0)).toBeCloseTo(1, 3);
    }
    const second = Math.abs(points.get("L")?.ratios[0] ?? 0);
    expect(second).toBeGreaterThan(before);
    before = second;
  }
});

test("where the drive stands as it is, the step is what the design gives", () => {
  const solved = solve(setPart(demo, ["L", "R"], "P1", { position: 0.63 }));
  const answer = driveSteps(solved, catalogue, 1, [0.63]);
  if (!answer.ok) throw new Error(answer.failure);
  const [own] = solved.channels;
  expect(answer.value?.steps[0]?.points.get("L")?.ratios[0]).toBeCloseTo(own?.levels[0]?.ratios[0] ?? Number.NaN, 8);
});

test("without a drive there are no steps", () => {
  const bare = structuredClone(demo);
  for (const part of bare.blocks.channel?.parts ?? [])
    if (part.kind === "potentiometer" && part.id === "P1")
      Object.assign(part, {
        kind: "resistor",
        value: "50k",
        pins: { a: part.pins.top, b: part.pins.wiper },
        taper: undefined,
        position: undefined,
      });
  const answer = driveSteps(solve(JSON.parse(JSON.stringify(bare)) as typeof demo), catalogue, 1);
  expect(answer.ok && answer.value === undefined).toBe(true);
});
