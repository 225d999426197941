/** 10,000 spoilt files and steps: each is refused by name and changes nothing, or is sound and kept. */
import { readFileSync } from "node:fs";
import { applyChanges, type Change, type Document, readDesign } from "@platewright/design";
import { seededRandom } from "@platewright/engine";
import BetterSqlite3 from "better-sqlite3";
import { afterAll, beforeAll, expect, test } from "vitest";
import { importedSchema, keptSchema } from "../client/contract.ts";
import { beginTrial, OWN, refusalOf, type Trial } from "./trial.ts";

const DEMO = "hearth-line-box";
const STEPS = `/api/designs/${DEMO}/lines/now/steps`;
let trial: Trial;
/** A hand of its own on the file: its data version tells whether anything was written, whoever says what. */
let watch: BetterSqlite3.Database;
const version = (): unknown => watch.pragma("data_version", { simple: true });
beforeAll(() => {
  trial = beginTrial();
  watch = new BetterSqlite3(trial.store.file, { readonly: true });
});
afterAll(() => {
  watch.close();
  trial.end();
});

type Random = (below: number) => number;
const randomOf = (seed: number): Random => {
  const random = seededRandom(seed);
  return (below) => Math.floor(random.uniform() * below);
};
const one = <T>(at: Random, list: readonly T[]): T => list[at(list.length)] as T;

const PIECES = [
  "1e309",
  "-1",
  "null",
  "[]",
  "{}",
  '""',
  "true",
  '"\\u0000"',
  '"\\ud800"',
  '"__proto__"',
  '{"__proto__":{"polluted":1}}',
  '{"constructor":{"prototype":{"polluted":1}}}',
  '"<script>alert(1)</script>"',
  '"\'; DROP TABLE steps; --"',
  "9".repeat(400),
  `${"[".repeat(200)}${"]".repeat(200)}`,
  '"'.concat("x".repeat(3000), '"'),
  "NaN",
];

/** Text of JSON spoilt in one to three places: cut, overwritten, doubled, a value replaced, a key renamed. */
function spoilt(at: Random, text: string): string {
  let mutant = text;
  for (let n = 0; n <= at(3); n++) {
    const from = at(mutant.length);
    switch (at(7)) {
      case 0:
        mutant = mutant.slice(0, from);
        break;
      case 1:
        mutant = mutant.slice(0, from) + String.fromCharCode(1 + at(255)) + mutant.slice(from + 1);
        break;
      case 2:
      case 3: {
        const colon = mutant.indexOf(":", from);
        const end = mutant.slice(colon + 1).search(/[,}\]]/);
        if (colon >= 0 && end >= 0)
          mutant = mutant.slice(0, colon + 1) + one(at, PIECES) + mutant.slice(colon + 1 + end);
        break;
      }
      case 4:
        mutant = mutant.slice(0, from) + mutant.slice(from + 1 + at(40));
        break;
      case 5:
        mutant = mutant.slice(0, from) + mutant.slice(from, from + at(60)) + mutant.slice(from);
        break;
      default:
        mutant = mutant.replace(
          /"(value|title|target|before|after|name|type)":/,
          () => `"${one(at, ["__proto__", "constructor", "x", "value"])}":`,
        );
    }
  }
  return mutant;
}

/** Judges one answer: kept with a written file, or refused with nothing written. */
async function judge(response: Response, before: unknown, kept: (answer: unknown) => void): Promise<boolean> {
  if (response.status === 200) {
    kept(await response.json());
    return true;
  }
  const refusal = await refusalOf(response);
  expect(refusal.status).toBeGreaterThanOrEqual(400);
  expect(refusal.status, refusal.sentence).toBeLessThan(500);
  expect(refusal.code).toMatch(/^[a-z]+(-[a-z]+)*$/);
  expect(refusal.sentence).toMatch(/^\S[^\n]{10,}\.$/u);
  expect(refusal.sentence.length).toBeLessThan(600);
  expect(version()).toBe(before);
  return false;
}

test("8,000 spoilt steps (seed 41)", async () => {
  const at = randomOf(41);
  const first = trial.store.open(DEMO, "now");
  if (!first.ok) throw new Error(first.failure.sentence);
  let document: Document = first.value.document;
  let { seq } = first.value.line;
  let kept = 0;
  const parts = Object.entries(document.blocks).flatMap(([block, { parts }]) =>
    parts.map((part) => `blocks.${block}.parts[${part.id}]`),
  );
  const valueAt = (target: string): unknown => {
    const [, block = "", part = ""] = /^blocks\.(.+)\.parts\[(.+)\]$/.exec(target) ?? [];
    const found = document.blocks[block]?.parts.find((known) => known.id === part);
    return found !== undefined && "value" in found ? found.value : undefined;
  };
  for (let n = 0; n < 8000; n++) {
    const part = one(at, parts);
    const change = one<() => Change>(at, [
      () => ({
        target: `${part}.value`,
        before: valueAt(part),
        after: one(at, ["1k", "2k2", "47k", "1M", "100n", "10u", "0", "47kk", ""]),
      }),
      () => ({ target: "name", before: document.name, after: `Name ${at(1000)}` }),
      () => ({
        target: one(at, [
          "__proto__.x",
          "constructor.prototype.x",
          "name.length",
          "blocks",
          "instances[0].sections",
          "[",
          "",
          "a".repeat(500),
          `${part}.pins.a`,
          `${part}.id`,
        ]),
        before: undefined,
        after: at(3),
      }),
    ])();
    const ask = {
      after: seq + one(at, [0, 0, 0, 0, -1, 1, 1000]),
      steps: [{ id: crypto.randomUUID(), title: `Step ${n}`, changes: [change] }],
    };
    const text = JSON.stringify(ask);
    const before = version();
    const response = await trial.post(STEPS, at(20) === 0 ? text : spoilt(at, text));
    if (
      await judge(response, before, (answer) => {
        const done = keptSchema.parse(answer);
        if (done.outcome === "kept-beside" || done.seq === seq) return;
        seq = done.seq;
        const now = applyChanges(document, [change]);
        const held = trial.store.open(DEMO, "now");
        if (!held.ok) throw new Error(held.failure.sentence);
        // A step sent as it was made leads where its changes lead.
        if (
          response.status === 200 &&
          now.ok &&
          held.value.steps.at(-1)?.title === `Step ${n}` &&
          JSON.stringify(held.value.steps.at(-1)?.changes) === JSON.stringify([change])
        )
          expect(held.value.document).toEqual(now.value);
        document = held.value.document;
      })
    )
      kept++;
  }
  // A server that refused all, or kept all, would pass the rest.
  expect(kept).toBeGreaterThan(100);
  expect(kept).toBeLessThan(4000);
}, 120_000);

test("2,000 spoilt files (seed 42)", async () => {
  const at = randomOf(42);
  const file = JSON.parse(readFileSync("examples/hearth/hearth.design.json", "utf8")) as Record<string, unknown>;
  const small = JSON.stringify({ ...file, revisions: [], proven: undefined });
  const shelf = JSON.stringify(JSON.parse(readFileSync("examples/hearth/shelf.json", "utf8")));
  let kept = 0;
  for (let n = 0; n < 2000; n++) {
    const before = version();
    const response = await trial.ask("/api/import", {
      method: "POST",
      headers: { ...OWN, "content-type": "application/octet-stream" },
      body: new TextEncoder().encode(
        at(30) === 0 ? small.replace("Hearth line box", `Box ${n}`) : spoilt(at, at(10) === 0 ? shelf : small),
      ),
    });
    if (await judge(response, before, (answer) => void importedSchema.array().min(1).parse(answer))) kept++;
  }
  expect(kept).toBeGreaterThan(50);
  expect(kept).toBeLessThan(1500);
}, 120_000);

test("half a character in a name that is brought in", async () => {
  const text = readFileSync("examples/hearth/hearth.design.json", "utf8").replaceAll("Hearth line box", "\\ud800 half");
  const before = version();
  const response = await trial.ask("/api/import", {
    method: "POST",
    headers: { ...OWN, "content-type": "application/octet-stream" },
    body: new TextEncoder().encode(text),
  });
  expect(await refusalOf(response)).toMatchObject({ status: 422, code: "half-character" });
  expect(version()).toBe(before);
});

test("after all that: nothing complained, the file is whole, and every design opens and reads", () => {
  expect(trial.complaints).toEqual([]);
  expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  expect(watch.pragma("integrity_check", { simple: true })).toBe("ok");
  const shop = trial.store.shop();
  if (!shop.ok) throw new Error(shop.failure.sentence);
  for (const { key, lines } of shop.value.designs)
    for (const line of lines.slice(0, 3)) {
      const exported = trial.store.exportDesign(key, line.key);
      if (!exported.ok) throw new Error(exported.failure.sentence);
      const read = readDesign(JSON.stringify(exported.value.design));
      expect(read.ok ? "" : `${key}: ${read.failure.sentence}`).toBe("");
    }
});
