/** Pages hear what was kept, by this server or by another process, once and only when it was. */
import { join } from "node:path";
import { openCatalogue } from "@platewright/library";
import { afterAll, beforeAll, expect, test } from "vitest";
import { eventSchema, type ShopEvent } from "../client/contract.ts";
import { openStore } from "../store/index.ts";
import { MOST_PAGES } from "./event-stream.ts";
import { beginTrial, OWN, refusalOf, type Trial, valueOfR4 } from "./trial.ts";

const DEMO = "hearth-line-box";
let trial: Trial;
beforeAll(() => {
  trial = beginTrial();
});
afterAll(() => trial.end());

const R4 = "blocks.channel.parts[R4].value";
const step = (target: string, before: unknown, after: unknown) => ({
  id: crypto.randomUUID(),
  title: "A step",
  changes: [{ target, before, after }],
});

/** A page that listens: its next event, and how it leaves. */
async function listening(from: Trial) {
  const response = await from.ask("/api/events", { headers: OWN });
  expect(response.headers.get("content-type")).toBe("text/event-stream; charset=utf-8");
  const reader = (response.body as ReadableStream<Uint8Array>).getReader();
  const text = new TextDecoder();
  let held = "";
  // The first message says how soon to ask again after a loss; from there on the page hears.
  await reader.read();
  const next = async (): Promise<ShopEvent | "over"> => {
    for (;;) {
      const end = held.indexOf("\n\n");
      if (end >= 0) {
        const message = held.slice(0, end);
        held = held.slice(end + 2);
        if (message.startsWith("data: ")) return eventSchema.parse(JSON.parse(message.slice(6)));
        continue;
      }
      const { done, value } = await reader.read();
      if (done) return "over";
      held += text.decode(value);
    }
  };
  return { next, leave: () => reader.cancel() };
}

test("a step, a revision, a shelf step: each is told to every page", async () => {
  const pages = [await listening(trial), await listening(trial)];
  const line = trial.store.open(DEMO, "now");
  if (!line.ok) throw new Error(line.failure.sentence);
  const { seq } = line.value.line;
  await trial.post(`/api/designs/${DEMO}/lines/now/steps`, {
    after: seq,
    steps: [step(R4, valueOfR4(line.value.document), "820")],
  });
  for (const page of pages)
    expect(await page.next()).toEqual({ kind: "line", design: DEMO, line: "now", seq: seq + 1 });
  await trial.post(`/api/designs/${DEMO}/revisions`, { line: "now", seq: seq + 1, id: "N1" });
  for (const page of pages) expect(await page.next()).toEqual({ kind: "design", design: DEMO });
  const shelf = trial.store.shelf();
  if (!shelf.ok) throw new Error(shelf.failure.sentence);
  await trial.post("/api/shelf/steps", {
    after: shelf.value.seq,
    steps: [step("name", shelf.value.shelf.name, "Other drawer")],
  });
  for (const page of pages) expect(await page.next()).toEqual({ kind: "shelf", seq: shelf.value.seq + 1 });
  for (const page of pages) await page.leave();
  expect(trial.news.listeners()).toBe(0);
});

test("what another process keeps is told too; a refusal is not", async () => {
  const other = openStore(join(trial.folder, "shop", "shop.sqlite"), {
    now: () => new Date().toISOString(),
    catalogue: openCatalogue(),
  });
  if (!other.ok) throw new Error(other.failure.sentence);
  const page = await listening(trial);
  try {
    const open = other.value.open(DEMO, "now");
    if (!open.ok) throw new Error(open.failure.sentence);
    const { line, document } = open.value;
    await trial.post(`/api/designs/${DEMO}/lines/now/steps`, { after: line.seq, steps: [step(R4, "1", "2")] });
    const kept = other.value.keep(DEMO, "now", {
      after: line.seq,
      steps: [step(R4, valueOfR4(document), "910")],
    });
    expect(kept.ok).toBe(true);
    expect(await page.next()).toEqual({ kind: "line", design: DEMO, line: "now", seq: line.seq + 1 });
  } finally {
    await page.leave();
    other.value.close();
  }
});

test("asking only for the head holds no place, and a page that does not read is let go", async () => {
  await trial.ask("/api/events", { method: "HEAD", headers: OWN });
  expect(trial.news.listeners()).toBe(0);
  const response = await trial.ask("/api/events", { headers: OWN });
  const reader = (response.body as ReadableStream<Uint8Array>).getReader();
  await reader.read();
  expect(trial.news.listeners()).toBe(1);
  for (let n = 0; n < 1100; n++) trial.news.tell({ kind: "shelf", seq: n });
  expect(trial.news.listeners()).toBe(0);
});

test("an error while looking stops neither the server nor the next look", async () => {
  let broken = false;
  const own = beginTrial({
    store: (store) => ({
      ...store,
      shop: () => {
        if (broken) throw new Error("not expected");
        return store.shop();
      },
    }),
  });
  try {
    const page = await listening(own);
    const open = own.store.open(DEMO, "now");
    if (!open.ok) throw new Error(open.failure.sentence);
    broken = true;
    const { line, document } = open.value;
    const kept = await own.post(`/api/designs/${DEMO}/lines/now/steps`, {
      after: line.seq,
      steps: [step(R4, valueOfR4(document), "820")],
    });
    expect(kept.status).toBe(200);
    while (own.complaints.length === 0) await new Promise((resolve) => setTimeout(resolve, 5));
    broken = false;
    own.news.soon();
    expect(await page.next()).toEqual({ kind: "line", design: DEMO, line: "now", seq: line.seq + 1 });
    await page.leave();
  } finally {
    own.end();
  }
});

test("so many pages and no more; all streams end with the server", async () => {
  const own = beginTrial();
  const pages = [];
  for (let n = 0; n < MOST_PAGES; n++) pages.push(await listening(own));
  expect(await refusalOf(await own.ask("/api/events", { headers: OWN }))).toMatchObject({
    status: 503,
    code: "too-many-pages",
  });
  await pages.pop()?.leave();
  pages.push(await listening(own));
  own.end();
  for (const page of pages) expect(await page.next()).toBe("over");
});
