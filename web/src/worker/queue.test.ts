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
  };
  const queue = openQueue(asks, catalogue, (message) => told.push(message));
  const lay = (version: number, name: string) =>
    queue.take({ kind: "bench", version, document: { ...document, name }, provenKey: "" });
  const begin = (name: string, params: unknown = {}) =>
    queue.take({ kind: "ask", key: name, name: name as never, params });
  const all = () => {
    while (queue.work());
  };
  return { told, ran, queue, lay, begin, all };
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

test("an ask that breaks says so, and the others go on", () => {
  const { lay, begin, all, told } = open();
  begin("broken");
  begin("quick", 2);
  lay(1, "A");
  all();
  expect(told.find((one) => one.kind === "failed")).toMatchObject({ key: "broken" });
  expect(told.find((one) => one.kind === "answer")).toMatchObject({ key: "quick", value: "A 2" });
});
