import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { expand } from "../document/expand.ts";
import { readDesign } from "../document/read.ts";
import { solveDesign } from "../solved/solve.ts";
import { setPart } from "../document/set-part.ts";
import { distance, type Goal, levelsFor } from "./goal.ts";
import { placeType } from "./place.ts";
import { openQuickTrials } from "./quick-trials.ts";
import { resistancesOf } from "./shelf.ts";
import { strainOf } from "./strain.ts";
import { variablesOf } from "./variables.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!file.ok) throw new Error("the demo does not read");
const base = file.value.now;
const expanded = expand(base);
const proven = solveDesign(base, catalogue);
if (!expanded.ok || !proven.ok) throw new Error("the demo does not solve");
const signal = base.envelopes.filter((one) => expanded.value.triodes.some((triode) => triode.envelope === one.id));
const triodes = expanded.value.triodes.map((triode) => triode.id);

/** The next of a fixed sequence between 0 and 1. */
const sequence = (seed: number) => () => {
  seed = (seed * 16807) % 2147483647;
  return seed / 2147483647;
};

test.each([
  ["5687", 3, { kind: "keep-voicing" }],
  ["12AU7A", 5, { kind: "keep-voicing" }],
  ["6SN7GT", 7, { kind: "keep-voicing" }],
  ["12BH7A", 9, { kind: "move-voicing", ratio: 0.01, inputVolts: 1 }],
  ["12AU7A", 11, { kind: "keep-current" }],
] as const)("%s, seed %i: quick trials tell what the whole solve tells", (type, seed, goal: Goal) => {
  const document = signal.reduce((so, { id }) => placeType(so, expanded.value, catalogue, [id], type).document, base);
  const unchanged = solveDesign(document, catalogue, { near: proven.value });
  if (!unchanged.ok) throw new Error(unchanged.failure.sentence);
  const instances = expanded.value.channels.map((channel) => channel.instance);
  const variables = variablesOf({ instances, available: resistancesOf(undefined) }, unchanged.value);
  const ask = { proven: proven.value, unchanged: unchanged.value, document, catalogue, goal, instances, triodes };
  const quick = openQuickTrials(
    ask,
    variables.map((variable) => variable.partId),
  );
  if (quick === undefined) throw new Error("no trials");
  const random = sequence(seed);
  let compared = 0;
  for (let i = 0; i < 16; i++) {
    const values = new Map<string, number>();
    for (const { partId, values: ohms, fitted } of variables)
      if (i > 0 && random() < 0.6)
        values.set(
          partId,
          ohms[Math.min(ohms.length - 1, Math.max(0, fitted + Math.round(8 * (random() - 0.5))))] ?? 0,
        );
    const edited = [...values].reduce(
      (so, [id, ohms]) => setPart(so, instances, id, { value: String(ohms) }),
      document,
    );
    const solved = solveDesign(edited, catalogue, {
      levels: levelsFor(goal, document.targets.voicingVolts),
      detail: "levels",
      near: unchanged.value,
    });
    if (!solved.ok) throw new Error(solved.failure.sentence);
    const strain = strainOf(solved.value, catalogue, triodes).amount;
    const told = quick.attempt(values, Infinity);
    expect(told.whole).toBe(true);
    expect(Math.abs(told.strain - strain)).toBeLessThan(0.02 + 0.05 * strain);
    if (strain > 0.5) continue;
    compared++;
    expect(Math.abs(told.distanceDecibels - distance(goal, proven.value, solved.value))).toBeLessThan(0.02);
  }
  expect(compared).toBeGreaterThan(2);
});

test("a bypass that turns phases at 1 kHz is left to the other trials", () => {
  const instances = expanded.value.channels.map((channel) => channel.instance);
  const open = (document: typeof base) => {
    const solved = solveDesign(document, catalogue);
    if (!solved.ok) throw new Error(solved.failure.sentence);
    const goal: Goal = { kind: "keep-voicing" };
    return openQuickTrials(
      { proven: solved.value, unchanged: solved.value, document, catalogue, goal, instances, triodes },
      [],
    );
  };
  expect(open(base)).toBeDefined();
  expect(open(setPart(base, instances, "C1", { value: "470n" }))).toBeUndefined();
});
