/** Commands on designs of the shop. */
import { readFileSync } from "node:fs";
import { diffDocuments, same } from "@platewright/design";
import { afterAll, describe, expect, test } from "vitest";
import { type Io } from "../io.ts";
import { run } from "../run.ts";
import { DEMO, handOf, testFolder, testStore, valueOf } from "../store/test-shop.ts";

const folder = testFolder();
afterAll(folder.remove);

function tried(line: string, shop?: Io["shop"]) {
  let out = "";
  let error = "";
  const io: Io = {
    out: (text) => void (out += text),
    error: (text) => void (error += text),
    read: (path) => readFileSync(path, "utf8"),
    write: () => undefined,
    exists: () => false,
    errorIsTerminal: false,
    now: () => 0,
    ...(shop === undefined ? {} : { shop }),
  };
  return { status: run(line.split(" "), io), out: () => out, error: () => error };
}

const FILE = "examples/hearth/hearth.design.json";
const REWORK = "--shelf shop:shelf --put V1=12BH7A --put V3=6X4";

describe("shop:NAME", () => {
  test("is what the working line holds", () => {
    const path = folder.path("voice.sqlite");
    const store = folder.shop("voice.sqlite");
    const { document, line } = valueOf(store.open(DEMO));
    const levels = "--levels 1 --json";
    const before = tried(`voice shop:${DEMO} ${levels}`, () => testStore(path));
    expect(before.status).toBe(0);
    expect(before.out()).not.toBe(tried(`voice ${FILE} ${levels}`).out());
    const r4 = document.blocks.channel?.parts.find((part) => part.id === "R4");
    if (r4?.kind !== "resistor") throw new Error("no R4");
    const changes = [{ target: "blocks.channel.parts[R4].value", before: r4.value, after: "2k2" }];
    const step = { ...handOf(1)(document), title: "R4", changes };
    valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [step] }));
    store.close();
    const after = tried(`voice shop:${DEMO} ${levels}`, () => testStore(path));
    expect(after.out()).not.toBe(before.out());
    expect(tried(`voice shop:${DEMO.toUpperCase()} ${levels}`, () => testStore(path)).out()).toBe(after.out());
  });

  test("a rework of it is kept as a new line, said in words, and nothing else is changed", () => {
    const path = folder.path("rework.sqlite");
    folder.shop("rework.sqlite").close();
    const done = tried(`rework shop:${DEMO} ${REWORK} --out shop:${DEMO}`, () => testStore(path));
    expect(done.error()).toBe("");
    expect(done.status).not.toBe(2);
    expect(done.out().replace(/\s+/g, " ")).toMatch(
      /the rework is kept in the shop: 6 steps on a new line “Rework: 12BH7A in V1 and V2, 6X4 in V3” of Hearth line box/,
    );
    const store = testStore(path);
    const card = valueOf(store.shop()).designs[0];
    expect(card?.lines.map((one) => [one.key, one.seq, one.why])).toEqual([
      ["now", 7, "first"],
      ["rework-12bh7a-in-v1-and-v2-6x4-in-v3", 6, "branch"],
    ]);
    expect(card?.lines[1]?.from).toEqual({ line: "now", revision: "A", seq: 0 });
    // The demo's own line is this very rework, and after it the socket that the rectifier then wants.
    const line = valueOf(store.open(DEMO, "rework-12bh7a-in-v1-and-v2-6x4-in-v3"));
    const demo = valueOf(store.open(DEMO, "now"));
    expect(same(line.document, demo.document)).toBe(false);
    expect(diffDocuments(line.document, demo.document)).toEqual([
      { target: "chassis.items[V3].footprint", before: "noval-ceramic-above", after: "7-pin-saddle-above" },
    ]);
    store.close();
  });

  test.each([
    [`check shop:Nothing`, /shop:Nothing: the shop has no such design; it has shop:hearth-line-box/],
    [`rework ${FILE} --shelf shop:left`, /the shop has one shelf, shop:shelf/],
  ])("one sentence and status 2: %s", (line, sentence) => {
    folder.shop("none.sqlite").close();
    const done = tried(line, () => testStore(folder.path("none.sqlite")));
    expect(done.status).toBe(2);
    expect(done.error()).toMatch(sentence);
    expect(done.error().trim().split("\n")).toHaveLength(1);
  });

  test("without a shop at hand it says so", () => {
    expect(tried(`check shop:${DEMO}`).error()).toMatch(/there is no shop at hand/);
  });
});
