/** A process that writes is killed at random moments: nothing that was acknowledged is lost. `npm run kill` does it 200 times. */
import { rmSync } from "node:fs";
import { afterAll, expect, test } from "vitest";
import { DEMO, handOf, testFolder, testStore, valueOf } from "../test-shop.ts";
import { bundled } from "./bundle.ts";
import { killAgain, type KilledWriter, storeWriter } from "./run.ts";

const folder = testFolder();
afterAll(folder.remove);

test("10 kills of a writer lose nothing that was acknowledged (seed 5)", async () => {
  const script = await bundled("workshop/src/store/kill/child.ts", "kill-child");
  const summary = await killAgain(folder.path("killed.sqlite"), 10, 5, storeWriter(script));
  rmSync(script);
  expect(summary.lost).toEqual([]);
  expect(summary.wrong).toEqual([]);
  expect(summary.acknowledged).toBeGreaterThan(10);
});

test("a step that was acknowledged and is not there is found out, and so is half a message", async () => {
  const liar: KilledWriter = async (path) => {
    const store = testStore(path);
    const hand = handOf(7);
    const { document, line } = valueOf(store.open(DEMO));
    const [kept, never] = [hand(document), hand(document)];
    valueOf(store.keep(DEMO, "now", { after: line.seq, steps: [kept] }));
    const last = hand(valueOf(store.open(DEMO)).document);
    valueOf(store.keep(DEMO, "now", { after: line.seq + 1, steps: [last] }));
    store.close();
    return { asked: [[kept.id, last.id, never.id]], acknowledged: [kept.id, never.id], revisions: [] };
  };
  const summary = await killAgain(folder.path("liar.sqlite"), 1, 1, liar);
  expect(summary.lost).toHaveLength(1);
  expect(summary.wrong).toEqual(["kill 0: a part of a message was kept"]);
});
