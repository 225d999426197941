import { readFileSync } from "node:fs";
import { partCode } from "@platewright/engine";
import { expect, test } from "vitest";
import { openCatalogue } from "../../../library/src/index.ts";
import { expand } from "../document/expand.ts";
import { readDesign, readShelf } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import { solveDesign } from "../solved/solve.ts";
import { distance, type Goal, HELD_DECIBELS } from "./goal.ts";
import { placeType } from "./place.ts";
import { BOARD_LIMITS } from "./board.ts";
import { bottleGroups } from "./bottles.ts";
import { searchValues } from "./search.ts";
import { resistancesOf } from "./shelf.ts";
import { strainOf } from "./strain.ts";
import { costOf } from "./trials.ts";
import { subsets, variablesOf } from "./variables.ts";

const catalogue = openCatalogue();
const file = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const shelf = readShelf(readFileSync("examples/hearth/shelf.json", "utf8"));
if (!file.ok || !shelf.ok) throw new Error("the demo does not read");
const base = file.value.now;
const expanded = expand(base);
const provenSolved = solveDesign(base, catalogue);
if (!expanded.ok || !provenSolved.ok) throw new Error("the demo does not solve");
const proven = provenSolved.value;
const group = bottleGroups(base, expanded.value).find((one) => one.kind === "signal");
if (group === undefined) throw new Error("no bottles");
const triodes = expanded.value.triodes.map((triode) => triode.id);
const available = resistancesOf(shelf.value);
const BUDGET = 120;

const placed = (type: string): Document => {
  let document = base;
  for (const envelope of group.envelopes)
    document = placeType(document, expanded.value, catalogue, [envelope], type).document;
  return document;
};

interface Found {
  readonly strain: number;
  readonly distanceDecibels: number;
  readonly cost: number;
  readonly changed: number;
}

/** The slow, plain way: every trial is a document solved whole, every step goes to the best of all neighbours. */
function slowSearch(document: Document, goal: Goal): Found {
  let solves = 0;
  const memo = new Map<string, Found>();
  const unchanged = solveDesign(document, catalogue, { detail: "levels" });
  if (!unchanged.ok) throw new Error(unchanged.failure.sentence);
  const variables = variablesOf({ instances: group?.instances ?? [], available }, unchanged.value);
  const fitted = variables.map((variable) => variable.fitted);
  const at = (indices: readonly number[]): Found => {
    const known = memo.get(indices.join(","));
    if (known !== undefined) return known;
    solves++;
    let edited = document;
    for (const [v, { values, instances, partId }] of variables.entries())
      if (indices[v] !== fitted[v])
        edited = setPart(edited, instances, partId, { value: partCode(values[indices[v] ?? 0] ?? 0, "resistance") });
    const solved = solveDesign(edited, catalogue, {
      detail: "levels",
      harmonicLimits: { tailDecibels: -70, mostHarmonics: 16 },
      ...(unchanged.ok ? { near: unchanged.value } : {}),
    });
    const strain = solved.ok ? strainOf(solved.value, catalogue, triodes).amount : Infinity;
    const away = solved.ok ? distance(goal, proven, solved.value) : Infinity;
    const changed = indices.filter((index, v) => index !== fitted[v]).length;
    const found = { strain, distanceDecibels: away, cost: solved.ok ? costOf(strain, away) : Infinity, changed };
    memo.set(indices.join(","), found);
    return found;
  };
  const steps = [-3, -1, 1, 3];
  const neighbours = (set: readonly number[]): readonly ReadonlyMap<number, number>[] => [
    ...set.flatMap((v) => steps.map((step) => new Map([[v, step]]))),
    ...set.flatMap((v) =>
      set
        .filter((w) => w > v)
        .flatMap((w) => [-1, 1].flatMap((a) => [-1, 1].map((b) => new Map([[v, a] as const, [w, b] as const])))),
    ),
  ];
  const holds = (one: Found) => one.strain === 0 && one.distanceDecibels <= HELD_DECIBELS;
  let best = { indices: fitted, found: at(fitted) };
  for (const size of [1, 2, 3]) {
    if (holds(best.found)) break;
    let bestHere = best;
    for (const set of subsets(variables.length, size)) {
      let indices = best.indices.map((index, v) => (set.includes(v) ? index : (fitted[v] ?? 0)));
      for (let improved = true; improved; ) {
        let next = indices;
        for (const move of neighbours(set)) {
          const tried = indices.map((index, v) => index + (move.get(v) ?? 0));
          if (solves >= BUDGET || tried.some((index, v) => variables[v]?.values[index] === undefined)) continue;
          if (at(tried).cost < at(next).cost - 1e-9) next = tried;
        }
        improved = next !== indices;
        indices = next;
      }
      if (at(indices).cost < bestHere.found.cost) bestHere = { indices, found: at(indices) };
    }
    best = bestHere;
  }
  return best.found;
}

// What the trials leave out may not cost quality: 0.05 dB is their tolerance, everything else must be at least as good.
test.each(["12BH7A", "6FQ7", "12AY7", "6N6P", "6922", "12AU7A"])(
  "%s: the quick search finds values no worse than the slow one",
  (type) => {
    const document = placed(type);
    const goal: Goal = { kind: "keep-voicing" };
    const slow = slowSearch(document, goal);
    const ask = { proven, document, catalogue, goal, available, instances: group.instances, triodes, solves: BUDGET };
    const quick = searchValues(ask);
    if ("sentence" in quick) throw new Error(quick.sentence);
    expect(quick.strain).toBeLessThanOrEqual(slow.strain + 1e-3);
    expect(costOf(quick.strain, quick.distanceDecibels)).toBeLessThanOrEqual(slow.cost + 0.05);
    if (slow.strain === 0 && slow.distanceDecibels <= HELD_DECIBELS) {
      expect(quick.held).toBe(true);
      expect(quick.changedParts.length).toBeLessThanOrEqual(slow.changed);
    }
    // What is handed back is solved whole, not a trial.
    const again = solveDesign(quick.document, catalogue);
    if (!again.ok) throw new Error(again.failure.sentence);
    expect(quick.distanceDecibels).toBeCloseTo(distance(goal, proven, again.value), 3);
    expect(quick.strain).toBeCloseTo(strainOf(again.value, catalogue, triodes).amount, 3);
  },
);

// The board leaves out harmonics and guesses onsets: what it shows is what the document's own solve gives.
test.each(["6922", "12AT7", "6N6P"])("%s: as good on the board as solved to the full rule", (type) => {
  const goal: Goal = { kind: "keep-voicing" };
  const ask = { proven, document: placed(type), catalogue, goal, available, instances: group.instances, triodes };
  const shown = searchValues({ ...ask, solves: BUDGET, harmonicLimits: BOARD_LIMITS });
  if ("sentence" in shown) throw new Error(shown.sentence);
  const full = solveDesign(shown.document, catalogue);
  if (!full.ok) throw new Error(full.failure.sentence);
  expect(shown.distanceDecibels).toBeCloseTo(distance(goal, proven, full.value), 3);
  expect(shown.strain).toBeCloseTo(strainOf(full.value, catalogue, triodes).amount, 3);
  for (const [c, channel] of full.value.channels.entries()) {
    const board = shown.solved.channels[c];
    for (const [n, onset] of channel.onset.entries())
      if (onset.inputVolts === null) expect(board?.onset[n]?.inputVolts).toBeNull();
      else expect((board?.onset[n]?.inputVolts ?? 0) / onset.inputVolts).toBeCloseTo(1, 5);
    // Extremes are read at the samples, which lie further apart where fewer harmonics are solved: half a percent of the peak.
    for (const [id, cycle] of channel.largest.answer.triodes) {
      const there = board?.largest.answer.triodes.get(id);
      if (there === undefined) throw new Error(`${id} has no cycle`);
      const apart = (of: "minimumPlateAmps" | "maximumPlateAmps") =>
        Math.abs(there[of] - cycle[of]) / cycle.maximumPlateAmps;
      expect(Math.max(apart("minimumPlateAmps"), apart("maximumPlateAmps"))).toBeLessThan(5e-3);
    }
  }
});
