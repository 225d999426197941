/** Every route as the page uses it: the page's own client, the app, a real store. */
import { existsSync, readFileSync } from "node:fs";
import { readDesign } from "@platewright/design";
import type { Result } from "@platewright/engine";
import { unzipSync } from "fflate";
import { afterAll, beforeAll, expect, test } from "vitest";
import {
  designCardSchema,
  exportedSchema,
  openDesignSchema,
  shelfStateSchema,
  shopSchema,
} from "../client/contract.ts";
import { beginTrial, OWN, refusalOf, type Trial, valueOfR4 } from "./trial.ts";

const DEMO = "hearth-line-box";
let trial: Trial;
beforeAll(() => {
  trial = beginTrial();
});
afterAll(() => trial.end());

function good<T>(answer: Result<T, { readonly sentence: string }>): T {
  if (!answer.ok) throw new Error(answer.failure.sentence);
  return answer.value;
}
const step = (before: unknown, after: unknown, id = crypto.randomUUID()) => ({
  id,
  title: `R4 ${String(before)} → ${String(after)}`,
  changes: [{ target: "blocks.channel.parts[R4].value", before, after }],
});
test("the shop, a design, the shelf: what the page reads first, as the contract says", async () => {
  const shop = shopSchema.parse(good(await trial.workshop.shop()));
  expect(shop.designs.map((one) => [one.key, one.invented])).toEqual([[DEMO, true]]);
  expect(shop.troubles).toEqual([]);
  const open = openDesignSchema.parse(good(await trial.workshop.open(DEMO)));
  expect(open.line.key).toBe("now");
  expect(openDesignSchema.parse(good(await trial.workshop.open(DEMO, "now")))).toEqual(open);
  expect(shelfStateSchema.parse(good(await trial.workshop.shelf())).shelf.tubes.length).toBeGreaterThan(0);
});

test("a step is kept, the same one twice once, and one that comes late stands beside", async () => {
  const { line, document } = good(await trial.workshop.open(DEMO));
  const was = valueOfR4(document);
  const first = step(was, "820");
  expect(good(await trial.workshop.keep(DEMO, "now", { after: line.seq, steps: [first] }))).toEqual({
    outcome: "kept",
    line: "now",
    seq: line.seq + 1,
  });
  expect(good(await trial.workshop.keep(DEMO, "now", { after: line.seq, steps: [first] }))).toMatchObject({
    outcome: "kept",
    seq: line.seq + 1,
  });
  const late = good(await trial.workshop.keep(DEMO, "now", { after: line.seq, steps: [step(was, "910")] }));
  expect(late).toMatchObject({ outcome: "kept-beside", besides: "now" });
  expect(valueOfR4(good(await trial.workshop.open(DEMO, "now")).document)).toBe("820");
  expect(valueOfR4(good(await trial.workshop.open(DEMO, late.line)).document)).toBe("910");
});

test("a revision is cut, pinned and branched from", async () => {
  const { line } = good(await trial.workshop.open(DEMO, "now"));
  const cut = designCardSchema.parse(
    good(await trial.workshop.cut(DEMO, { line: "now", seq: line.seq, id: "T1", note: "tried on the bench" })),
  );
  expect(cut.revisions.map((one) => one.id)).toContain("T1");
  expect(good(await trial.workshop.pin(DEMO, "T1")).proven).toBe("T1");
  const branch = good(
    await trial.workshop.branch(DEMO, { name: "Without bypass", from: { revision: "T1" }, why: "branch" }),
  );
  expect(branch).toMatchObject({ name: "Without bypass", why: "branch", seq: 0 });
  expect(valueOfR4(good(await trial.workshop.open(DEMO, branch.key)).document)).toBe("820");
});

test("a step on the shelf", async () => {
  const { shelf, seq } = good(await trial.workshop.shelf());
  const kept = good(
    await trial.workshop.keepShelf({
      after: seq,
      steps: [
        {
          id: crypto.randomUUID(),
          title: "The shelf's name",
          changes: [{ target: "name", before: shelf.name, after: "Second drawer" }],
        },
      ],
    }),
  );
  expect(kept).toEqual({ outcome: "kept", seq: seq + 1 });
  expect(good(await trial.workshop.shelf()).shelf.name).toBe("Second drawer");
});

test("an export downloads under the design's key, reads back, and is known when it comes in again", async () => {
  const response = await trial.ask(trial.workshop.exportAddress(DEMO));
  expect(response.headers.get("content-disposition")).toBe(`attachment; filename="${DEMO}.design.json"`);
  const bytes = new Uint8Array(await response.arrayBuffer());
  const exported = exportedSchema.parse(JSON.parse(new TextDecoder().decode(bytes)));
  expect(readDesign(JSON.stringify(exported.design)).ok).toBe(true);
  const [again] = good(await trial.workshop.bringIn(bytes));
  expect(again).toMatchObject({ outcome: "already-here", design: DEMO });
  const other = good(await trial.workshop.bringIn(new Uint8Array(readFileSync("examples/hearth/hearth.design.json"))));
  expect(other[0]?.outcome).toBe("added-beside");
  expect(good(await trial.workshop.shop()).designs).toHaveLength(2);
});

test("the whole shop downloads as a zip, and an empty shop takes it in", async () => {
  const response = await trial.ask(trial.workshop.archiveAddress());
  expect(response.headers.get("content-type")).toBe("application/zip");
  expect(response.headers.get("content-disposition")).toBe('attachment; filename="platewright-2026-11-27.zip"');
  const bytes = new Uint8Array(await response.arrayBuffer());
  expect(Object.keys(unzipSync(bytes)).length).toBeGreaterThan(2);
  const empty = beginTrial();
  try {
    const taken = good(await empty.workshop.bringIn(bytes));
    expect(taken.filter((one) => one.design !== "shelf").length).toBe(2);
  } finally {
    empty.end();
  }
});

test("a backup is written while the server runs", async () => {
  const { file } = good(await trial.workshop.backUp());
  expect(existsSync(file)).toBe(true);
});

test.each([
  ["a design that is not there", "/api/designs/no-such", 404, "no-design"],
  ["a line that is not there", `/api/designs/${DEMO}?line=no-such`, 404, "no-line"],
  ["an export of nothing", "/api/designs/no-such/export", 404, "no-design"],
  ["the shelf as a design", "/api/designs/shelf", 404, "no-design"],
  ["a key that is none", "/api/designs/Hearth%20Line", 404, "no-design"],
  ["an address with nothing behind it", "/api/nothing", 404, "no-page"],
])("%s", async (_, path, status, code) => {
  const refusal = await refusalOf(await trial.ask(path));
  expect(refusal).toMatchObject({ status, code });
  expect(refusal.sentence).toMatch(/^\S.*\.$/);
});

test.each<[string, string, unknown, number, string]>([
  ["steps on no line", `/api/designs/${DEMO}/lines/none/steps`, { after: 0, steps: [step("1", "2")] }, 404, "no-line"],
  [
    "a step from a later shop",
    `/api/designs/${DEMO}/lines/now/steps`,
    { after: 999, steps: [step("1", "2")] },
    409,
    "ahead",
  ],
  ["no steps", `/api/designs/${DEMO}/lines/now/steps`, { after: 0, steps: [] }, 400, "not-understood"],
  [
    "a field too many",
    `/api/designs/${DEMO}/lines/now/steps`,
    { after: 0, steps: [step("1", "2")], x: 1 },
    400,
    "not-understood",
  ],
  [
    "a revision name that is taken",
    `/api/designs/${DEMO}/revisions`,
    { line: "now", seq: 0, id: "A" },
    409,
    "revision-taken",
  ],
  ["pinning no revision", `/api/designs/${DEMO}/proven`, { revision: "none" }, 404, "no-revision"],
  ["backup with wishes", "/api/backup", { file: "/etc/passwd" }, 400, "not-understood"],
])("%s", async (_, path, body, status, code) => {
  expect(await refusalOf(await trial.post(path, body))).toMatchObject({ status, code });
});

test("no answer of the API is kept by a cache; every answer carries the page's policy", async () => {
  for (const path of ["/api/shop", "/api/nothing", "/"]) {
    const response = await trial.ask(path);
    if (path.startsWith("/api")) expect(response.headers.get("cache-control")).toBe("no-store");
    expect(response.headers.get("content-security-policy")).toBe(
      "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; connect-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    );
    expect(response.headers.get("x-content-type-options")).toBe("nosniff");
    expect(response.headers.get("referrer-policy")).toBe("no-referrer");
    expect(response.headers.get("cross-origin-opener-policy")).toBe("same-origin");
    expect(response.headers.get("cross-origin-resource-policy")).toBe("same-origin");
    expect(response.headers.get("permissions-policy")).toContain("camera=()");
    expect(response.headers.get("access-control-allow-origin")).toBeNull();
  }
});

test("an error that nobody expected says nothing of its inside to the page, and all to the server's own stream", async () => {
  const broken = beginTrial({
    store: (store) => ({
      ...store,
      shop: () => {
        throw new Error("SELECT * FROM secrets at /home/builder");
      },
    }),
  });
  try {
    const refusal = await refusalOf(await broken.ask("/api/shop", { headers: OWN }));
    expect(refusal).toMatchObject({ status: 500, code: "internal" });
    expect(refusal.sentence).not.toMatch(/SELECT|builder/);
    expect(String(broken.complaints[0])).toMatch(/secrets/);
  } finally {
    broken.end();
  }
});
