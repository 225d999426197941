/** Two pages on one design in any interleaving: no step is lost, none is doubled, and each page's line is what it saw. */
import { applyChanges, type Change, type Document, same } from "@platewright/design";
import { seededRandom } from "@platewright/engine";
import BetterSqlite3 from "better-sqlite3";
import { afterAll, expect, test } from "vitest";
import type { Step } from "../client/contract.ts";
import type { Store } from "./store.ts";
import { DEMO, handOf, testFolder, testStore, valueOf } from "./test-shop.ts";

const folder = testFolder();
afterAll(folder.remove);

/** What a page knows: like the workbench, it goes on where the store tells it to. */
interface Page {
  readonly hand: (document: Document) => Step;
  line: string;
  seq: number;
  document: Document;
  /** Made and not yet answered for. */
  unsent: Step[];
  /** Answered for. */
  readonly acknowledged: string[];
}

function pageOn(store: Store, seed: number, name: string, line?: string): Page {
  const open = valueOf(store.open(DEMO, line));
  return {
    hand: handOf(seed, name),
    line: open.line.key,
    seq: open.line.seq,
    document: open.document,
    unsent: [],
    acknowledged: [],
  };
}

function make(page: Page): void {
  const step = page.hand(page.document);
  page.document = applied(page.document, step);
  page.unsent.push(step);
}

function send(store: Store, page: Page, answerIsLost: boolean): void {
  if (page.unsent.length === 0) return;
  const kept = valueOf(store.keep(DEMO, page.line, { after: page.seq, steps: page.unsent }));
  if (answerIsLost) return;
  page.acknowledged.push(...page.unsent.map((step) => step.id));
  page.unsent = [];
  page.line = kept.line;
  page.seq = kept.seq;
}

function applied(document: Document, step: Step): Document {
  const next = applyChanges(document, step.changes as readonly Change[]);
  if (!next.ok) throw new Error(next.failure.sentence);
  return next.value;
}

const SEEDS = Array.from({ length: 12 }, (_, i) => i + 1);

test.each(SEEDS)("two pages on two stores, answers that get lost, a store that is closed between (seed %i)", (seed) => {
  const name = `pages-${seed}.sqlite`;
  // As the server and a command do: two stores on one file.
  const stores = [folder.shop(name), testStore(folder.path(name))];
  const random = seededRandom(seed);
  const pages = stores.map((store, i) => pageOn(store, seed, `page ${i}`));
  for (let n = 0; n < 60; n++) {
    const which = random.below(2);
    const page = pages[which] as Page;
    const store = stores[which] as Store;
    const what = random.uniform();
    if (what < 0.55) make(page);
    else if (what < 0.8) send(store, page, false);
    else if (what < 0.9) send(store, page, true);
    else if (what < 0.93) {
      store.close();
      stores[which] = testStore(folder.path(name));
    } else if (page.unsent.length === 0) {
      // The builder loads the page again, on the line it was on or on the working line.
      const again = pageOn(store, seed * 100 + n, `again-${n}`, random.uniform() < 0.5 ? page.line : undefined);
      pages[pages.indexOf(page)] = { ...again, acknowledged: page.acknowledged };
    }
  }
  for (const [i, page] of pages.entries()) send(stores[i] as Store, page, false);

  const [store] = stores as [Store];
  const card = valueOf(store.shop()).designs[0];
  const found: string[] = [];
  for (const { key } of card?.lines ?? []) {
    const { steps, line, document } = valueOf(store.open(DEMO, key));
    const own = steps.filter((step) => step.seq > 0);
    expect(own.map((step) => step.seq)).toEqual(own.map((_, i) => i + 1));
    expect(line.seq).toBe(own.length);
    found.push(...own.map((step) => step.id));
    for (const page of pages)
      if (page.line === key && page.seq === line.seq) expect(same(document, page.document)).toBe(true);
  }
  expect(new Set(found).size).toBe(found.length);
  for (const page of pages) for (const id of page.acknowledged) expect(found).toContain(id);
  for (const one of stores) one.close();
});

test("what a page saw is what its line leads to, from the base alone", () => {
  const store = folder.shop("replay.sqlite");
  const [left, right] = [pageOn(store, 70, "left"), pageOn(store, 71, "right")];
  for (let n = 0; n < 70; n++) {
    make(left);
    make(right);
    send(store, left, false);
    send(store, right, false);
  }
  expect(right.line).not.toBe(left.line);
  store.close();
  const db = new BetterSqlite3(folder.path("replay.sqlite"));
  expect(db.prepare("DELETE FROM snapshots").run().changes).toBeGreaterThan(1);
  db.close();
  // Nothing is in memory and nothing stands ready: the documents are made from their bases.
  const again = testStore(folder.path("replay.sqlite"));
  for (const page of [left, right]) {
    const open = valueOf(again.open(DEMO, page.line));
    expect(same(open.document, page.document)).toBe(true);
    expect(open.line.seq).toBe(page.seq);
  }
  again.close();
});
