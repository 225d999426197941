import { readFileSync } from "node:fs";
import { seededRandom } from "@platewright/engine";
import { expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import { solveDesign } from "../solved/solve.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { findControls } from "./controls.ts";
import { equalLoudness, type LoudnessSetting } from "./equal-loudness.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;
const BOTH = ["L", "R"];

const set = (document: Document, drive: number, level: number): Document =>
  setPart(setPart(document, BOTH, "P1", { position: drive }), BOTH, "P2", { position: level });

function solvedOf(document: Document, inputVolts = 1): SolvedDesign {
  const answer = solveDesign(document, catalogue, { detail: "levels", levels: [inputVolts] });
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
}

const decibels = (a: number, b: number) => 20 * Math.log10(a / b);

/** The design solved anew with the knobs written into its document. */
function heard(document: Document, { drive, level }: LoudnessSetting, inputVolts: number) {
  const point = solvedOf(set(document, drive.turn, level.turn), inputVolts).channels[0]?.levels[0];
  if (point === undefined) throw new Error("no level");
  return { outputVolts: point.outputVolts as number, h2: point.ratios[0] ?? 0 };
}

test("the controls are found by their nets", () => {
  const { drive, level } = findControls(solvedOf(base), "L");
  expect([drive?.id, level?.id]).toEqual(["L.P1", "L.P2"]);
});

test("outputs agree to 0.01 dB and H2 is the factor apart, when solved anew from the document (seed 41: 6 settings)", () => {
  const random = seededRandom(41);
  for (let n = 0; n < 6; n++) {
    const inputVolts = 0.5 + random.uniform();
    const factor = [2, 1.5, 3][n % 3] as number;
    const document = set(base, 0.6 + 0.35 * random.uniform(), 0.3 + 0.2 * random.uniform());
    const answer = equalLoudness(solvedOf(document, inputVolts), { instance: "L", inputVolts, factor });
    if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
    const [cleaner, richer] = [answer.value.cleaner, answer.value.richer].map((one) =>
      heard(document, one, inputVolts),
    );
    if (cleaner === undefined || richer === undefined) throw new Error("no pair");
    expect(Math.abs(decibels(richer.outputVolts, cleaner.outputVolts))).toBeLessThan(0.01);
    expect(Math.abs(decibels(richer.h2 / cleaner.h2, factor))).toBeLessThan(0.02);
    expect(answer.value.richer.drive.turn).toBeGreaterThan(answer.value.cleaner.drive.turn);
    expect(answer.value.richer.level.turn).toBeLessThan(answer.value.cleaner.level.turn);
  }
});

test("with the drive fully up, the present setting is the richer one", () => {
  const answer = equalLoudness(solvedOf(set(base, 1, 0.4)), { instance: "L", inputVolts: 1 });
  if (!answer.ok) throw new Error(JSON.stringify(answer.failure));
  expect(answer.value.present).toBe("richer");
  expect(answer.value.richer.drive).toMatchObject({ part: "L.P1", clock: "5 o'clock" });
});

test("out of reach by name: a drive fully up, a level fully up, no control, no channel", () => {
  const up = equalLoudness(solvedOf(set(base, 1, 0.4)), { instance: "L", inputVolts: 1, present: "cleaner" });
  expect(up).toMatchObject({ failure: { kind: "at-end", control: "drive", end: "up", part: "L.P1" } });
  const down = equalLoudness(solvedOf(set(base, 1, 0.95)), { instance: "L", inputVolts: 1, present: "richer" });
  expect(down).toMatchObject({ failure: { kind: "at-end", control: "level", end: "up", part: "L.P2" } });
  const block = base.blocks.channel;
  if (block === undefined) throw new Error("no block");
  const fixed = {
    ...base,
    blocks: {
      ...base.blocks,
      channel: {
        ...block,
        parts: block.parts.map((part) =>
          part.id === "P1" ? ({ kind: "resistor", id: "P1", value: "1k", pins: { a: "in", b: "w1" } } as const) : part,
        ),
      },
    },
  };
  expect(equalLoudness(solvedOf(fixed), { instance: "L", inputVolts: 1 })).toMatchObject({
    failure: { kind: "no-control", missing: "drive" },
  });
  const solved = solvedOf(base);
  expect(equalLoudness(solved, { instance: "L", inputVolts: 1, factor: 0.5 })).toMatchObject({
    failure: { kind: "bad-ask", field: "factor" },
  });
  expect(equalLoudness(solved, { instance: "L", inputVolts: Number.NaN })).toMatchObject({
    failure: { kind: "bad-ask", field: "inputVolts" },
  });
  const shut = equalLoudness(solvedOf(set(base, 0, 0.5)), { instance: "L", inputVolts: 1, present: "richer" });
  expect(shut).toMatchObject({ failure: { kind: "at-end", control: "drive", end: "down" } });
  expect(equalLoudness(solved, { instance: "PS", inputVolts: 1 })).toMatchObject({
    failure: { kind: "no-channel" },
  });
});
