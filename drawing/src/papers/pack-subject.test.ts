/** Which state the papers are of, and with whose data; and that a pack in steps is the pack at once. */
import { readFileSync } from "node:fs";
import { type DesignFile, readDesign, type Revision } from "@platewright/design";
import { expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import { PAPERS } from "./pack.ts";
import { makePack, packSteps } from "./pack-steps.ts";
import { packSubject } from "./pack-subject.ts";

const catalogue = openCatalogue();
const present = { catalogue, footprints };
const read = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!read.ok) throw new Error(read.failure.sentence);
const file: DesignFile = read.value;
const [a] = file.revisions;
if (a === undefined) throw new Error("the demo has a revision");
const changed = { ...file, now: { ...file.now, note: "changed after the cut" } };

const value = <T>(answer: { ok: true; value: T } | { ok: false; failure: string }): T => {
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
};

test("what says the same as a revision is that revision, whatever the order of its fields; else it is a draft", () => {
  expect(value(packSubject(file, present))).toMatchObject({ revision: "A", cutOn: "2026-11-25" });
  const turned = Object.fromEntries(Object.entries(file.now).reverse()) as typeof file.now;
  expect(value(packSubject({ ...file, now: turned }, present)).revision).toBe("A");
  const draft = value(packSubject(changed, present));
  expect(draft.revision).toBe("draft");
  expect(draft).not.toHaveProperty("cutOn");
  expect(draft.catalogue).toBe(catalogue);
});

test("a draft is compared with the proven revision, the proven one with nothing", () => {
  expect(value(packSubject(changed, present)).proven).toEqual({ revision: "A", document: a.document });
  expect(value(packSubject(changed, present, "A"))).not.toHaveProperty("proven");
  const { proven: _, ...unpinned } = changed;
  expect(value(packSubject(unpinned, present))).not.toHaveProperty("proven");
});

test("of two revisions that say the same the later one counts; one that is not there is named with those that are", () => {
  const twice = { ...file, revisions: [a, { ...a, id: "B" }] };
  expect(value(packSubject(twice, present)).revision).toBe("B");
  expect(packSubject(twice, present, "C")).toEqual({ ok: false, failure: "there is no revision C; it has A, B" });
  expect(packSubject({ now: file.now, revisions: [] }, present, "A")).toMatchObject({
    failure: expect.stringMatching(/none was cut/) as string,
  });
});

test("a revision is drawn with the footprints and solved with the tubes that were frozen in it", () => {
  const [one] = Object.values(a.frozen.footprints ?? {}) as { id: string; holes: unknown[] }[];
  const tube = Object.keys(a.frozen.tubes)[0] ?? "";
  if (one === undefined) throw new Error("the demo's revision has footprints");
  const frozen: Revision["frozen"] = {
    ...a.frozen,
    footprints: { ...a.frozen.footprints, [one.id]: { ...one, holes: [] } },
    tubes: { ...a.frozen.tubes, [tube]: { ...(a.frozen.tubes[tube] as object), traps: ["of then"] } },
  };
  const subject = value(packSubject({ ...file, revisions: [{ ...a, frozen }] }, present, "A"));
  expect(subject.footprints.footprint(one.id)?.holes).toEqual([]);
  expect(subject.catalogue.tube(tube)?.traps).toEqual(["of then"]);
  expect(footprints.footprint(one.id)?.holes.length).toBeGreaterThan(0);
});

test("in steps it is the pack that is made at once, and its steps only go on", () => {
  const ask = { ...value(packSubject(file, present)), date: "2026-11-25", size: "A4" } as const;
  const steps = packSteps(ask);
  const seen: number[] = [];
  let step = steps.next();
  while (step.done !== true) {
    seen.push(step.value.done / step.value.total);
    step = steps.next();
  }
  expect(seen.length).toBeGreaterThan(PAPERS.length);
  expect(seen.every((one, n) => one > 0 && one < 1 && one >= (seen[n - 1] ?? 0))).toBe(true);
  const inSteps = value(step.value);
  const { solved, findings } = inSteps.input;
  const again = value(
    makePack({ ...ask, solved, findings, ...("study" in inSteps.input ? { study: inSteps.input.study } : {}) }),
  );
  // As text: an item by item look at forty pages takes longer than their making.
  expect(JSON.stringify(again.papers) === JSON.stringify(inSteps.papers)).toBe(true);
});
