/** Rows of the demo design against differences of full solves, supply joined, both channels. */
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { readDesign } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import { type FigureChange, type PartEffect, type PartSensitivities, partSensitivities } from "./sensitivity.ts";
import { solveDesign } from "./solve.ts";
import type { SolvedDesign } from "./types.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error(file.failure.sentence);
const base = file.value.now;

function solved(document: Document): SolvedDesign {
  const answer = solveDesign(document, catalogue, { detail: "levels", levels: [1] });
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
}

function rowsOf(design: SolvedDesign, channel = "L"): PartSensitivities {
  const answer = partSensitivities(design, { channel, catalogue });
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}

/** Figures in one list, in the order of `changes`. */
function figures(design: SolvedDesign, channel = "L"): readonly number[] {
  const one = design.channels.find((found) => found.instance === channel);
  const mine = [...design.bias.triodes].filter(([id]) => id.startsWith(`${channel}.`));
  return [
    ...mine.flatMap(([, state]) => [state.plateAmps, state.plateVolts]),
    20 * Math.log10(one?.gain ?? Number.NaN),
    20 * Math.log10(one?.levels[0]?.ratios[0] ?? Number.NaN),
    design.bias.netVolts.get("B1") ?? Number.NaN,
  ];
}

const changes = ({ triodes, gainDecibels, h2Decibels, supplyVolts }: FigureChange): readonly number[] => [
  ...triodes.flatMap((one) => [one.plateAmps, one.plateVolts]),
  gainDecibels,
  h2Decibels ?? Number.NaN,
  supplyVolts ?? Number.NaN,
];

/** The document with the row's part (in every instance) at `nepers` from where it is. */
function moved(row: PartEffect, nepers: number): Document {
  if (row.step === null) throw new Error(row.id);
  return setPart(
    base,
    row.together.map((id) => id.slice(0, id.indexOf("."))),
    row.part,
    { value: String(row.step.from * Math.exp(nepers)) },
  );
}

describe("the demo", () => {
  const design = solved(base);
  const answer = rowsOf(design);

  const differencesOf = (row: PartEffect): readonly number[] => {
    const slopes = (h: number) => {
      const [low, high] = [figures(solved(moved(row, -h))), figures(solved(moved(row, h)))];
      return high.map((x, i) => (x - (low[i] as number)) / (2 * h));
    };
    const [wide, narrow] = [slopes(0.06), slopes(0.03)];
    return narrow.map((x, i) => (4 * x - (wide[i] as number)) / 3);
  };
  const wanted = new Map(
    answer.rows
      .filter((row) => row.step !== null && row.step.value !== "fraction")
      .map((row) => [row.id, differencesOf(row)] as const),
  );
  const largest = figures(design).map((_, f) =>
    Math.max(...[...wanted.values()].map((one) => Math.abs(one[f] as number))),
  );

  /** Largest error of a row, relative, with `floor` of each figure's largest derivative as floor. */
  const errorOf = (row: PartEffect, floor: number): number => {
    const differences = wanted.get(row.id);
    if (row.step === null || differences === undefined) throw new Error(row.id);
    const nepers = Math.log(row.step.to / row.step.from);
    return Math.max(
      ...changes(row.step.change).map((change, f) => {
        const want = differences[f] as number;
        return Math.abs(change / nepers - want) / Math.max(Math.abs(want), floor * (largest[f] as number));
      }),
    );
  };
  const first = "PS.C1";

  test("derivatives of every resistor and capacitor against differences of full solves, to 1e-4", () => {
    expect(wanted.size).toBeGreaterThan(15);
    for (const row of answer.rows)
      if (wanted.has(row.id) && row.id !== first) expect(errorOf(row, 0.01), row.id).toBeLessThan(1e-4);
  });

  test("the first capacitor through the rectifier, to 1 %: the rectifier is solved to some microvolts of its 0.1 V", () => {
    const row = answer.rows.find((one) => one.id === first);
    if (row === undefined) throw new Error(first);
    expect(answer.ways.rectifier).toMatch(/solved again/);
    expect(errorOf(row, 1e-4)).toBeLessThan(1e-2);
  });
});
