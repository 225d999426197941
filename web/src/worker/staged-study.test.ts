import type { StudyStep, SupplyStudy } from "@platewright/design";
import { ok } from "@platewright/engine";
import { expect, test } from "vitest";
import { demoOpen } from "../../test/demo.ts";
import { openCatalogue } from "@platewright/library";
import { openBench } from "./bench.ts";
import { stagedStudy } from "./staged-study.ts";

const study = (faults: number): SupplyStudy => ({ faults: Array(faults), rows: [] }) as unknown as SupplyStudy;

/** Two conditions, a discharge, three faults; and how far it was worked. */
function steps() {
  const worked: string[] = [];
  function* run(): Generator<StudyStep, ReturnType<typeof ok<SupplyStudy>>> {
    const stages = ["conditions", "conditions", "discharge", "faults", "faults", "faults"] as const;
    for (const [n, stage] of stages.entries()) {
      worked.push(stage);
      yield { done: n + 1, total: 6, stage, isLast: stages[n + 1] !== stage, soFar: study(Math.max(0, n - 2)) };
    }
    return ok(study(3));
  }
  return { worked, run };
}

const toEnd = <A>(run: Generator<unknown, A>): { readonly value: A; readonly turns: number } => {
  for (let turns = 0; ; turns++) {
    const step = run.next();
    if (step.done === true) return { value: step.value, turns };
  }
};

test("a stage is worked for and no further, asks share what is done, the whole is made once", () => {
  const { worked, run } = steps();
  const staged = stagedStudy(run, () => 0);
  expect(toEnd(staged.through("conditions")).value.ok).toBe(true);
  expect(worked).toEqual(["conditions", "conditions"]);
  toEnd(staged.through("discharge"));
  expect(worked.length).toBe(3);
  const whole = staged.all();
  expect(whole.ok && whole.value?.faults.length).toBe(3);
  expect(worked.length).toBe(6);
  expect(toEnd(staged.through()).value).toBe(whole);
  expect(toEnd(staged.through("conditions")).value).toBe(whole);
  expect(worked.length).toBe(6);
});

test("it listens between turns: after every step when each is long, hardly ever when they are short", () => {
  let now = 0;
  const slow = toEnd(stagedStudy(steps().run, () => (now += 100)).through());
  expect(slow.turns).toBe(6);
  expect(toEnd(stagedStudy(steps().run, () => 0).through()).turns).toBe(0);
});

test("a failure and a design without a supply are answers too", () => {
  expect(stagedStudy(() => ({ ok: false, failure: "not solved" })).all()).toEqual({ ok: false, failure: "not solved" });
  expect(toEnd(stagedStudy(() => ok(undefined)).through("hum")).value).toEqual(ok(undefined));
});

test("what the bench makes in steps is what it makes at once", () => {
  const catalogue = openCatalogue();
  const { document } = demoOpen();
  const one = openBench({ document, provenKey: "" }, catalogue);
  const other = openBench({ document, provenKey: "" }, catalogue);
  const whole = one.study();
  const inSteps = toEnd(other.studying()).value;
  if (!whole.ok || !inSteps.ok) throw new Error("not studied");
  expect(inSteps.value?.rows).toEqual(whole.value?.rows);
  expect(inSteps.value?.faults.map((each) => each.burns)).toEqual(whole.value?.faults.map((each) => each.burns));
});
