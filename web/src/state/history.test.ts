import type { Document } from "@platewright/design";
import { readDesign } from "@platewright/design";
import { readFileSync } from "node:fs";
import fc from "fast-check";
import { expect, test } from "vitest";
import { bookOf } from "./session.ts";
import { type Book, historyOf, redoStep, stepId, takeStep, undoStep } from "./history.ts";

const read = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!read.ok) throw new Error(read.failure.sentence);
const base = read.value.now;

type Doing = { readonly kind: "name"; readonly name: string } | { readonly kind: "undo" } | { readonly kind: "redo" };

const doing: fc.Arbitrary<Doing> = fc.oneof(
  { weight: 3, arbitrary: fc.string({ minLength: 1, maxLength: 8 }).map((name) => ({ kind: "name" as const, name })) },
  { weight: 2, arbitrary: fc.constant({ kind: "undo" as const }) },
  { weight: 1, arbitrary: fc.constant({ kind: "redo" as const }) },
);

function does(book: Book<Document>, one: Doing): Book<Document> {
  const step =
    one.kind === "undo"
      ? undoStep(book.history, stepId())
      : one.kind === "redo"
        ? redoStep(book.history, stepId())
        : {
            id: stepId(),
            title: one.name,
            changes: [{ target: "name", before: book.value.name, after: one.name }],
          };
  if (step === undefined) return book;
  const taken = takeStep(book, step);
  if (!taken.ok) throw new Error(taken.failure);
  return taken.value;
}

test("undo and redo walk the same way as a list of states (seed 11)", () => {
  fc.assert(
    fc.property(fc.array(doing, { maxLength: 60 }), (doings) => {
      let book = bookOf(base, 0, []);
      // The slow clear version: every state, and where in them we stand.
      let states = [base.name];
      let at = 0;
      for (const one of doings) {
        book = does(book, one);
        if (one.kind === "undo") at = Math.max(0, at - 1);
        else if (one.kind === "redo") at = Math.min(states.length - 1, at + 1);
        else {
          states = [...states.slice(0, at + 1), one.name];
          at++;
        }
        expect(book.value.name).toBe(states[at]);
        expect(book.history.done.length).toBe(at);
        expect(book.history.undone.length).toBe(states.length - 1 - at);
      }
      // The history that a fresh page reads from the steps is the one that this page has.
      expect(historyOf(book.unsent)).toEqual(book.history);
    }),
    { seed: 11 },
  );
});

test("everything undone gives the document back, to the letter", () => {
  let book = bookOf(base, 0, []);
  for (const name of ["one", "two", "three"]) book = does(book, { kind: "name", name });
  for (let n = 0; n < 5; n++) book = does(book, { kind: "undo" });
  expect(book.value).toEqual(base);
  expect(JSON.stringify(book.value)).toBe(JSON.stringify(base));
});

test("ids of steps are random UUIDs, version 4", () => {
  const ids = Array.from({ length: 200 }, () => stepId());
  expect(new Set(ids).size).toBe(200);
  for (const id of ids) expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
});
