import { readFileSync } from "node:fs";
import { compileTriode, type LawRecord, seededRandom } from "@platewright/engine";
import { openCatalogue } from "@platewright/library";
import { expect, test } from "vitest";
import { readDesign } from "../document/read.ts";
import { solveDesign } from "../solved/solve.ts";
import { NINETY } from "./gaussian.ts";
import { explainedDecibels, lawSlopes, specimenDecibels } from "./law-slopes.ts";
import { lawDraws } from "./slopes-band.ts";
import { undetermined } from "./undetermined.ts";

const catalogue = openCatalogue();
const read = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!read.ok) throw new Error(read.failure.sentence);
const answer = solveDesign(read.value.now, catalogue, { detail: "levels" });
if (!answer.ok) throw new Error(answer.failure.sentence);
const solved = answer.value;
const TRIODE = "L.V1a";
const record = solved.laws.get(TRIODE);
if (record === undefined) throw new Error("no law");

const openOf = (design = solved) => {
  const open = undetermined(design, TRIODE, 1, { watts: 4.2, volts: 300 });
  if (!open.ok) throw new Error(open.failure);
  return open.value;
};
const withRecord = (one: LawRecord) => ({ ...solved, laws: new Map(solved.laws).set(TRIODE, one) });

test("says the parameters that the record leaves open and no others, what moves H2 most first", () => {
  const { parameters } = openOf();
  expect(parameters.map((one) => one.name).sort()).toEqual(
    record.parameters.flatMap((one) => (one.determined ? [] : [one.name])).sort(),
  );
  const decibels = parameters.map((one) => one.h2Decibels);
  expect(decibels).toEqual(decibels.toSorted((a, b) => b - a));
});

test("no parameter moves H2 by more than the posterior leaves in all", () => {
  const slopes = lawSlopes(solved, "L", 1, { triode: TRIODE, record });
  if (!slopes.ok) throw new Error(slopes.failure);
  const posterior = Math.sqrt(explainedDecibels(slopes.value) ** 2 - specimenDecibels(slopes.value) ** 2);
  for (const one of openOf().parameters) expect(one.h2Decibels).toBeLessThanOrEqual(NINETY * posterior * 1.0001);
});

test("alone open, a parameter moves H2 by its deviation times its slope", () => {
  const n = record.parameters.length;
  const at = record.parameters.findIndex((one) => one.name === "k");
  const covariance = record.covariance.map((value, i) => (i === at * n + at ? value : 0));
  const slopes = lawSlopes(solved, "L", 1, { triode: TRIODE, record });
  if (!slopes.ok) throw new Error(slopes.failure);
  const [only, ...others] = openOf(withRecord({ ...record, covariance })).parameters;
  expect(others).toEqual([]);
  expect(only?.name).toBe("k");
  expect(only?.h2Decibels).toBeCloseTo(
    NINETY * Math.sqrt(covariance[at * n + at] ?? 0) * Math.abs(slopes.value.slopes[at]?.h2 ?? 0),
    9,
  );
});

test("a reading of current leaves what it says: 4000 laws drawn, their currents evaluated, regressed (seed 41)", () => {
  const open = openOf().parameters.find((one) => one.help?.reading === "plate-current");
  const { help } = open ?? {};
  const rest = solved.bias.triodes.get(TRIODE);
  if (open === undefined || help?.reading !== "plate-current" || rest === undefined) throw new Error("no such reading");
  const draw = lawDraws(record, 41);
  const random = seededRandom(42);
  const out = new Float64Array(6);
  const pairs = Array.from({ length: 4000 }, () => {
    const law = draw();
    const evaluate = compileTriode(law);
    evaluate(help.gridVolts, help.plateVolts, out);
    const there = out[0] as number;
    const perVolt = (out[1] as number) / there;
    evaluate(rest.gridVolts, rest.plateVolts, out);
    const error = Math.hypot(0.03, 0.03, perVolt * 0.03) / NINETY;
    const value = (law.space as unknown as Record<string, number>)[open.name] ?? Number.NaN;
    return [
      open.name === "Vct" ? value : Math.log(value),
      Math.log(there / (out[0] as number)) + error * random.normal(),
    ] as const;
  });
  const mean = (of: (pair: readonly [number, number]) => number) =>
    pairs.reduce((sum, pair) => sum + of(pair), 0) / pairs.length;
  const [mx, my] = [mean(([x]) => x), mean(([, y]) => y)];
  const [xx, yy, xy] = [
    mean(([x]) => (x - mx) ** 2),
    mean(([, y]) => (y - my) ** 2),
    mean(([x, y]) => (x - mx) * (y - my)),
  ];
  // Specimens differ in the parameter besides: the reading is asked for what the rows leave open, so they count as noise.
  expect(Math.abs(Math.sqrt(1 - xy ** 2 / (xx * yy)) - help.leaves)).toBeLessThan(0.12);
});

test("no reading is proposed beyond what the plate may take", () => {
  const open = undetermined(solved, TRIODE, 1, { watts: 0.5, volts: 60 });
  if (!open.ok) throw new Error(open.failure);
  for (const { help } of open.value.parameters)
    if (help?.reading === "plate-current") {
      expect(help.plateVolts).toBeLessThanOrEqual(60);
      expect(help.plateVolts * help.plateAmps).toBeLessThanOrEqual(0.5);
    }
  expect(undetermined(solved, "L.V9", 1).ok).toBe(false);
});
