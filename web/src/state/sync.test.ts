import type { KeepSteps } from "@platewright/workshop/client";
import { expect, test } from "vitest";
import { demoOpen, demoShelf, memoryWorkshop } from "../../test/demo.ts";
import { handsOf, openSession } from "./session.ts";
import { openSync, type Waiting } from "./sync.ts";

function around() {
  const store = openSession(demoOpen(), demoShelf());
  const workshop = memoryWorkshop();
  const saved = new Map<string, KeepSteps>();
  const waiting: Waiting = {
    save: (key, ask) => void saved.set(key, structuredClone(ask)),
    load: (key) => [saved.get(key)].filter((one) => one !== undefined),
    clear: (key) => void saved.delete(key),
  };
  const timers: (() => void)[] = [];
  const sync = openSync(store, workshop, waiting, (run) => {
    timers.push(run);
    return () => undefined;
  });
  const hands = handsOf(store);
  const rename = (name: string) =>
    hands.keep(name, [{ target: "name", before: store.getState().book.value.name, after: name }]);
  return { store, workshop, saved, timers, sync, hands, rename };
}

test("a step is sent as it is made, in order", async () => {
  const { workshop, rename, sync, store, saved } = around();
  for (const name of ["one", "two", "three"]) rename(name);
  await sync.flush();
  expect(workshop.steps.get("main")?.map((step) => step.title)).toEqual(["one", "two", "three"]);
  expect(store.getState().book.unsent).toEqual([]);
  expect(store.getState().book.seq).toBe(3);
  expect(saved.size).toBe(0);
});

test.each([
  ["is down", true],
  ["is busy with another program's writing", "busy"],
  ["has no room on its disk", "disk-full"],
  ["asks for its passphrase, being started again", "passphrase-wanted"],
])("while the workshop %s steps wait, also in the browser, and go when it takes them", async (_, down) => {
  const { workshop, rename, sync, store, saved, timers } = around();
  workshop.down = down;
  rename("one");
  rename("two");
  await sync.flush();
  expect(store.getState().unsaved).toBeDefined();
  expect([...saved.values()][0]?.steps.map((step) => step.title)).toEqual(["one", "two"]);
  workshop.down = false;
  timers.at(-1)?.();
  await sync.flush();
  expect(workshop.steps.get("main")?.map((step) => step.title)).toEqual(["one", "two"]);
  expect(store.getState().unsaved).toBeUndefined();
  expect(saved.size).toBe(0);
});

test("a line that moved on keeps our work on a sibling, where the page goes on", async () => {
  const { workshop, rename, sync, store } = around();
  workshop.byAnother("main");
  rename("mine");
  await sync.flush();
  rename("mine too");
  await sync.flush();
  expect(workshop.steps.get("main")?.map((step) => step.title)).toEqual(["another hand"]);
  expect(workshop.steps.get("main-beside")?.map((step) => step.title)).toEqual(["mine", "mine too"]);
  expect(store.getState().line.key).toBe("main-beside");
  expect(store.getState().book.value.name).toBe("mine too");
  expect(store.getState().notice?.sentence).toContain("kept beside");
});

test("what is in hand is shown and not kept; let go it is one step, put down it is none", async () => {
  const { workshop, sync, store, hands } = around();
  const before = store.getState().book.value.name;
  for (const name of ["a", "ab", "abc"]) hands.hold(name, [{ target: "name", before, after: name }]);
  expect(store.getState().book.value.name).toBe(before);
  hands.keepHand();
  await sync.flush();
  expect(workshop.steps.get("main")?.length).toBe(1);
  hands.hold("x", [{ target: "name", before: "abc", after: "x" }]);
  hands.drop();
  await sync.flush();
  expect(workshop.steps.get("main")?.length).toBe(1);
  hands.undo();
  await sync.flush();
  expect(store.getState().book.value.name).toBe(before);
  expect(workshop.steps.get("main")?.map((step) => step.title)).toEqual(["abc", "Undo: abc"]);
});
