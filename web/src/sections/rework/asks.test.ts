import { applyChanges, type Document, type Goal, rework, judgeDesign, setPart, solveDesign } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import { expect, test } from "vitest";
import { demoOpen, demoShelf } from "../../../test/demo.ts";
import type { Answer, Progress } from "../../worker/ask.ts";
import { type Bench, openBench } from "../../worker/bench.ts";
import { type BoardAnswer, reworkAsks } from "./asks.ts";

const catalogue = openCatalogue();
const { document, revisions } = demoOpen();
const [revision] = revisions;
if (revision === undefined) throw new Error("the demo has a revision");
const { line: _line, seq: _seq, ...proven } = revision;
const shelf = demoShelf().shelf;
const KEEP: Goal = { kind: "keep-voicing" };

const benchOf = (now: Document, more: Partial<Parameters<typeof openBench>[0]> = {}): Bench =>
  openBench({ document: now, proven, provenKey: "A", shelf, ...more }, catalogue);
const value = <T>(answer: Answer<T>): T => {
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
};

function fill(bench: Bench, where: string, goal = KEEP, library = false) {
  const steps = reworkAsks.candidates.run(bench, { where, goal, library, again: 0 }) as Generator<
    Progress<BoardAnswer>,
    Answer<BoardAnswer>
  >;
  const seen: Progress<BoardAnswer>[] = [];
  for (;;) {
    const step = steps.next();
    if (step.done === true) return { answer: step.value, seen };
    seen.push(step.value);
  }
}

const base = benchOf(document);
const board = fill(base, "V1, V2");

test("the board in steps is the command's board, type by type, and tells how far it is", () => {
  const done = rework({
    proven: document,
    catalogue,
    goal: KEEP,
    judge: (one, nominal, how) => judgeDesign(one, catalogue, nominal, how),
    shelf,
    put: new Map([["V1", "5687"]]),
  });
  if (!done.ok) throw new Error(done.failure.sentence);
  const asked = done.value.candidates.filter((one) => one.where === "V1, V2");
  const { rows } = value(board.answer);
  expect(rows.map((row) => row.type).toSorted()).toEqual(asked.map((one) => one.tube).toSorted());
  for (const one of asked) {
    const row = rows.find((each) => each.type === one.tube);
    expect(row).toMatchObject({ level: one.level, reason: one.reason, changes: one.changes, onShelf: one.onShelf });
    expect(row?.distanceDecibels ?? 0).toBeCloseTo(one.voicingErrorDecibels ?? 0, 6);
  }
  expect(board.seen.map((step) => step.done)).toEqual([...rows.keys(), rows.length]);
  expect(board.seen.every((step) => step.total === rows.length)).toBe(true);
});

test("a candidate's changes lead from what is kept to a unit that solves as it was told", () => {
  const row = value(board.answer).rows.find((one) => one.type === "12BH7A");
  const changed = applyChanges(document, row?.changes ?? []);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  const solved = solveDesign(changed.value, catalogue);
  if (!solved.ok) throw new Error(solved.failure.sentence);
  expect(20 * Math.log10(solved.value.channels[0]?.gain ?? 0)).toBeCloseTo(row?.gainDecibels ?? 0, 3);
  expect(row?.wires).toMatch(/move 6→8, 8→9, 9→6/);
  expect(row?.title).toBe("V1, V2 12BH7A");
});

test("pictures: proven against itself is nothing, at every level; the one fitted is said to be", () => {
  const same = value(board.answer).rows.find((one) => one.type === "5687");
  expect(same?.fitted).toBe(true);
  expect(same?.changes).toEqual([]);
  for (const decibels of [...(same?.curve?.second ?? []), ...(same?.curve?.third ?? [])])
    expect(Math.abs(decibels ?? Number.NaN)).toBeLessThan(0.05);
});

test("candidates start from what is kept: other edits stay, what is in hand is left out", () => {
  const kept = setPart(document, ["PS"], "R1", { value: "1k2" });
  const held = setPart(kept, ["L", "R"], "R4", { value: "1k" });
  const { rows } = value(fill(benchOf(held, { kept }), "V3").answer);
  const row = rows.find((one) => one.type === "6X4");
  const changed = applyChanges(kept, row?.changes ?? []);
  expect(changed.ok).toBe(true);
  expect(changed.ok && changed.value.blocks["power"]?.parts.find((one) => one.id === "R1")).toMatchObject({
    value: "1k2",
  });
  expect(row?.supplyVolts).toBeGreaterThan(200);
});

test("with nothing on the shelf the board is empty, the library still offers its types", () => {
  const bench = benchOf(document, { shelf: { ...shelf, tubes: [] } });
  expect(value(fill(bench, "V1, V2").answer).rows).toEqual([]);
  const bottles = value(reworkAsks.bottles.run(bench, {}) as Answer<readonly { choices: readonly unknown[] }[]>);
  expect(bottles.length).toBe(2);
  expect(bottles[0]?.choices.length).toBeGreaterThan(20);
});

test("bottles that are not there are a sentence", () => {
  expect(fill(base, "V9").answer).toEqual({ ok: false, failure: "There are no bottles V9 in this design." });
});

test("put in with its values as they are: only the tube and its wires change", () => {
  const params = { where: "V1, V2", type: "6N6P", goal: KEEP };
  const bare = value(
    reworkAsks.putIn.run(base, { ...params, choose: false }) as Answer<{ changes: { target: string }[] }>,
  );
  expect(bare.changes.every((change) => change.target.startsWith("envelopes["))).toBe(true);
  const chosen = value(
    reworkAsks.putIn.run(base, { ...params, choose: true }) as Answer<{ changes: { target: string }[] }>,
  );
  expect(chosen.changes.length).toBeGreaterThan(bare.changes.length);
});

test("a goal that is held asks for nothing; another H2 names the values that reach it, and they do", () => {
  const run = (bench: Bench, goal: Goal) =>
    value(
      reworkAsks.goalValues.run(bench, { goal }) as Answer<{
        changes: [];
        held: boolean;
        heldNow: boolean;
        nowDecibels: number;
        thenDecibels: number;
      }>,
    );
  expect(run(base, KEEP)).toMatchObject({ changes: [], held: true, heldNow: true });
  const goal: Goal = { kind: "move-voicing", ratio: 0.006, inputVolts: 1 };
  const asked = run(base, goal);
  expect(asked.heldNow).toBe(false);
  expect(asked.held).toBe(true);
  expect(asked.thenDecibels).toBeLessThan(asked.nowDecibels);
  const changed = applyChanges(document, asked.changes);
  if (!changed.ok) throw new Error(changed.failure.sentence);
  expect(run(benchOf(changed.value), goal)).toMatchObject({ changes: [], heldNow: true });
});

test("nothing pinned: the unit as it is kept is what the goal is measured against", () => {
  const bench = openBench({ document, provenKey: "", shelf }, catalogue);
  expect(
    value(reworkAsks.goalValues.run(bench, { goal: KEEP }) as Answer<{ nowDecibels: number }>).nowDecibels,
  ).toBeLessThan(1e-4);
});

test("a design that cannot be solved says why, for the table, the board and the goal", () => {
  const broken = setPart(document, ["L", "R"], "R4", { value: "1" });
  const gone: Document = {
    ...document,
    envelopes: document.envelopes.map((one) => (one.id === "V3" ? one : { ...one, type: "6H30" })),
  };
  expect(benchOf(broken).differences().ok).toBe(true);
  const bench = benchOf(gone);
  const differences = reworkAsks.differences.run(bench, {}) as Answer<unknown>;
  expect(differences.ok ? "" : differences.failure).toMatch(/no law for 6H30/);
  const goal = reworkAsks.goalValues.run(bench, { goal: KEEP }) as Answer<unknown>;
  expect(goal.ok ? "" : goal.failure).toMatch(/6H30/);
  const { rows } = value(fill(bench, "V1, V2").answer);
  expect(rows.find((row) => row.type === "12BH7A")?.changes.length).toBeGreaterThan(0);
});
