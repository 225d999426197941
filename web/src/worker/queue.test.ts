import { openCatalogue } from "@platewright/library";
import { fail, ok } from "@platewright/engine";
import { expect, test } from "vitest";
import { demoOpen } from "../../test/demo.ts";
import { ask } from "./ask.ts";
import type { FromWorker } from "./protocol.ts";
import { openQueue } from "./queue.ts";

const catalogue = openCatalogue();
const { document } = demoOpen();

function open() {
  const told: FromWorker[] = [];
  const ran: string[] = [];
  const asks = {
    quick: ask("live", (bench, n: number) => (ran.push(`quick ${n}`), ok(`${bench.input.document.name} ${n}`))),
    calm: ask("settled", () => (ran.push("calm"), fail("could not"))),
    broken: ask("settled", () => {
      throw new Error("a promise");
    }),
    long: ask("long", function* (bench) {
      for (let done = 1; done <= 3; done++) {
        ran.push(`long ${bench.input.document.name} ${done}`);
        yield { done, total: 3, soFar: done };
      }
      return ok(3);
    }),
    steady: ask(
      "long",
      function* (bench) {
        for (let done = 1; done <= 2; done++) {
          ran.push(`steady ${bench.kept.name} ${done}`);
          yield { done, total: 2 };
        }
        return ok(bench.kept.name);
      },
      (bench) => [bench.kept],
    ),
  };
  const shaped = {
    ...asks,
    shape: ask(
      "live",
      (bench) => (ran.push(`shape ${bench.input.document.name}`), ok(bench.input.document.name)),
      (bench) => [bench.input.document.name.length],
      true,
    ),
  };
  const queue = openQueue(shaped, catalogue, (message) => told.push(message));
  const lay = (version: number, name: string) =>
    queue.take({ kind: "bench", version, document: { ...document, name }, provenKey: "" });
  /** Something in hand over what is kept, or put down again; what is kept may change too. */
  const hold = (version: number, inHand?: string, kept?: string) =>
    queue.take({
      kind: "bench",
      version,
      provenKey: "",
      ...(inHand === undefined ? {} : { document: { ...document, name: inHand } }),
      ...(kept === undefined ? {} : { kept: { ...document, name: kept } }),
    });
  const begin = (name: string, params: unknown = {}) =>
    queue.take({ kind: "ask", key: name, name: name as never, params });
  const all = () => {
    while (queue.work());
  };
  return { told, ran, queue, lay, hold, begin, all };
}

test("live asks come before settled ones, long ones last and in steps", () => {
  const { ran, lay, begin, all, told } = open();
  begin("long");
  begin("calm");
  begin("quick", 1);
  lay(1, "A");
  all();
  expect(ran).toEqual(["quick 1", "calm", "long A 1", "long A 2", "long A 3"]);
  expect(told.at(-1)).toEqual({ kind: "answer", key: "long", version: 1, value: 3 });
  expect(told.filter((one) => one.kind === "progress").length).toBe(3);
  expect(told.find((one) => one.kind === "failed")).toMatchObject({ key: "calm", sentence: "could not" });
});

test("what settles in steps does not keep what settles at once waiting", () => {
  const ran: string[] = [];
  const asks = {
    staged: ask("settled", function* () {
      for (let done = 1; done <= 3; done++) {
        ran.push(`staged ${done}`);
        yield { done, total: 3 };
      }
      return ok(3);
    }),
    calm: ask("settled", () => (ran.push("calm"), ok(1))),
    soon: ask("settled", function* () {
      ran.push("soon 1");
      yield { done: 1, total: 2 };
      ran.push("soon 2");
      return ok(2);
    }),
  };
  const queue = openQueue(asks, catalogue, () => undefined);
  for (const name of ["staged", "calm", "soon"])
    queue.take({ kind: "ask", key: name, name: name as never, params: {} });
  queue.take({ kind: "bench", version: 1, document, provenKey: "" });
  while (queue.work());
  expect(ran).toEqual(["staged 1", "calm", "soon 1", "staged 2", "soon 2", "staged 3"]);
});

test("a newer edit ends a long ask under way and is asked again", () => {
  const { ran, lay, begin, all, queue } = open();
  begin("long");
  lay(1, "A");
  queue.work();
  queue.work();
  lay(2, "B");
  all();
  expect(ran).toEqual(["long A 1", "long A 2", "long B 1", "long B 2", "long B 3"]);
});

test("stopped is stopped until the next edit", () => {
  const { ran, lay, begin, all, queue, told } = open();
  begin("long");
  lay(1, "A");
  queue.work();
  queue.take({ kind: "stop", key: "long" });
  all();
  expect(ran).toEqual(["long A 1"]);
  expect(told.at(-1)).toEqual({ kind: "stopped", key: "long", version: 1 });
  lay(2, "B");
  all();
  expect(ran.length).toBe(4);
});

test("an ask that reads what is kept waits while something is in hand, then goes on where it was", () => {
  const { ran, hold, begin, all, queue, told } = open();
  begin("steady");
  hold(1, undefined, "A");
  queue.work();
  hold(2, "A with R4 in hand");
  hold(3, "A with R4 further");
  all();
  expect(ran).toEqual(["steady A 1"]);
  hold(4);
  all();
  expect(ran).toEqual(["steady A 1", "steady A 2"]);
  expect(told.at(-1)).toEqual({ kind: "answer", key: "steady", version: 4, value: "A" });
});

test("its answer stands through what is in hand, and is asked again when what is kept changes", () => {
  const { ran, hold, begin, all, told } = open();
  begin("steady");
  hold(1, undefined, "A");
  all();
  const count = ran.length;
  hold(2, "in hand");
  all();
  hold(3);
  all();
  expect(ran.length).toBe(count);
  expect(told.filter((one) => one.kind === "same").map((one) => one.version)).toEqual([2, 3]);
  hold(4, undefined, "B");
  all();
  expect(told.at(-1)).toEqual({ kind: "answer", key: "steady", version: 4, value: "B" });
});

test("an ask whose ground may be in hand runs when that changes, and its answer stands while it does not", () => {
  const { told, ran, hold, begin, all } = open();
  hold(1, undefined, "one");
  begin("shape");
  all();
  hold(2, "two");
  all();
  hold(3, "three");
  all();
  hold(4);
  all();
  expect(ran).toEqual(["shape one", "shape three", "shape one"]);
  expect(told.map(({ kind }) => kind)).toEqual(["answer", "same", "answer", "answer"]);
});

test("stopped, it stays stopped until what is kept changes", () => {
  const { ran, hold, begin, all, queue } = open();
  begin("steady");
  hold(1, undefined, "A");
  queue.work();
  queue.take({ kind: "stop", key: "steady" });
  hold(2, "in hand");
  hold(3);
  all();
  expect(ran).toEqual(["steady A 1"]);
  hold(4, undefined, "B");
  all();
  expect(ran.length).toBe(3);
});

test("an ask that breaks says so, and the others go on", () => {
  const { lay, begin, all, told } = open();
  begin("broken");
  begin("quick", 2);
  lay(1, "A");
  all();
  expect(told.find((one) => one.kind === "failed")).toMatchObject({ key: "broken" });
  expect(told.find((one) => one.kind === "answer")).toMatchObject({ key: "quick", value: "A 2" });
});

test("while edits come faster than answers, every live ask still gets its turn", () => {
  const { lay, begin, queue, told } = open();
  for (const n of [1, 2, 3, 4]) {
    queue.take({ kind: "ask", key: `quick ${n}`, name: "quick" as never, params: n });
  }
  begin("calm");
  // One piece of work between two edits, as when a value is dragged on a slow machine.
  for (let version = 1; version <= 12; version++) {
    lay(version, `edit ${version}`);
    queue.work();
  }
  const answers = told.filter((one) => one.kind === "answer").map((one) => one.key);
  for (const n of [1, 2, 3, 4]) expect(answers.filter((key) => key === `quick ${n}`)).toHaveLength(3);
});

test("while a hand moves only what is live is answered; the rest when it has rested", () => {
  const { lay, begin, queue, ran } = open();
  begin("calm");
  begin("long");
  begin("quick", 1);
  lay(1, "A");
  expect(queue.work(true)).toBe(true);
  expect(queue.work(true)).toBe(false);
  expect(ran).toEqual(["quick 1"]);
  while (queue.work());
  expect(ran).toContain("calm");
  expect(ran).toContain("long A 3");
});
