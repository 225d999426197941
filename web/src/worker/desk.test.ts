import { expect, test } from "vitest";
import { demoOpen } from "../../test/demo.ts";
import { keyOf, openDesk } from "./desk.ts";
import type { FromWorker, ToWorker } from "./protocol.ts";

const { document } = demoOpen();
const held = { ...document, name: "in hand" };

function open(later?: (run: () => void) => void) {
  const posted: ToWorker[] = [];
  let tell: (message: FromWorker) => void = () => undefined;
  const desk = openDesk(
    {
      postMessage: (message) => posted.push(message),
      addEventListener: (_kind, heard) => {
        tell = (data) => heard({ data });
      },
    },
    later,
  );
  const key = keyOf("differences", {});
  desk.ask(key);
  const told = () => desk.answers.getState().held.get(key)?.told;
  return { desk, posted, told, key, tell: (message: FromWorker) => tell(message) };
}

test("what is kept goes to the worker once; an edit in hand goes alone, and nothing goes when it is put down", () => {
  const { desk, posted } = open();
  desk.lay({ document, kept: document, provenKey: "A" });
  desk.lay({ document: held, kept: document, provenKey: "A" });
  desk.lay({ document, kept: document, provenKey: "A" });
  const benches = posted.filter((one) => one.kind === "bench");
  expect(benches.map((one) => [one.kept?.name, one.document?.name])).toEqual([
    [document.name, undefined],
    [undefined, "in hand"],
    [undefined, undefined],
  ]);
});

test("an answer that still stands is shown as it was told: value, failure or stop", () => {
  const { desk, tell, told, key } = open();
  desk.lay({ document, kept: document, provenKey: "A" });
  tell({ kind: "answer", key, version: 1, value: [1] });
  desk.lay({ document: held, kept: document, provenKey: "A" });
  expect(told()).toEqual({ value: [1], fresh: false });
  tell({ kind: "same", key, version: 2 });
  expect(told()).toEqual({ value: [1], fresh: true });
  tell({ kind: "progress", key, version: 2, done: 1, total: 3, soFar: [2] });
  tell({ kind: "stopped", key, version: 2 });
  desk.lay({ document, kept: document, provenKey: "A" });
  tell({ kind: "same", key, version: 3 });
  expect(told()).toMatchObject({ value: [2], fresh: false, stopped: true });
  tell({ kind: "failed", key, version: 3, sentence: "could not" });
  desk.lay({ document: held, kept: document, provenKey: "A" });
  tell({ kind: "same", key, version: 4 });
  expect(told()).toMatchObject({ failure: "could not", fresh: true });
});

test("what stands on nothing that is in hand stays fresh while a hand tries one thing after another, until something is kept", () => {
  const { desk, tell, told, key } = open();
  desk.lay({ document, kept: document, provenKey: "A" });
  tell({ kind: "answer", key, version: 1, value: [1] });
  desk.lay({ document: held, kept: document, provenKey: "A" });
  tell({ kind: "same", key, version: 2 });
  const first = told();
  expect(first).toEqual({ value: [1], fresh: true });
  desk.lay({ document: { ...held, name: "further" }, kept: document, provenKey: "A" });
  tell({ kind: "same", key, version: 3 });
  // Not even another object: nobody is drawn again.
  expect(told()).toBe(first);
  tell({ kind: "answer", key, version: 3, value: [2] });
  expect(told()).toEqual({ value: [2], fresh: true });
  desk.lay({ document: held, kept: held, provenKey: "A" });
  expect(told()).toEqual({ value: [2], fresh: false });
});

test("what the worker says in one go is laid down at once, in order, and nothing is lost after", () => {
  const runs: (() => void)[] = [];
  const { desk, tell, told, key } = open((run) => runs.push(run));
  desk.lay({ document, kept: document, provenKey: "A" });
  tell({ kind: "progress", key, version: 1, done: 1, total: 2 });
  tell({ kind: "answer", key, version: 1, value: [1] });
  expect(told()).toEqual({ fresh: false });
  expect(runs).toHaveLength(1);
  runs[0]?.();
  expect(told()).toEqual({ value: [1], fresh: true });
  tell({ kind: "answer", key, version: 1, value: [2] });
  expect(runs).toHaveLength(2);
  runs[1]?.();
  expect(told()).toEqual({ value: [2], fresh: true });
});
