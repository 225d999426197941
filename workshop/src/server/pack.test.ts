/** Files of the pack over HTTP: the bytes of the verb `pack`, one file alone, named refusals, and others answered meanwhile. */
import { createHash } from "node:crypto";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { seededRandom } from "@platewright/engine";
import { unzipSync } from "fflate";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { PackWanted } from "../client/contract.ts";
import { type Io, processIo } from "../io.ts";
import { run } from "../run.ts";
import { toPdf, toZip, writeFolder } from "../writers/index.ts";
import { beginTrial, OWN, refusalOf, type Trial } from "./trial.ts";

const DEMO = "hearth-line-box";
const PACK = `/api/designs/${DEMO}/pack`;
const folder = mkdtempSync(join(tmpdir(), "platewright-pack-"));
let trial: Trial;
let seq = 0;
beforeAll(() => {
  trial = beginTrial();
  const open = trial.store.open(DEMO, "now");
  if (!open.ok) throw new Error(open.failure.sentence);
  seq = open.value.line.seq;
});
afterAll(() => {
  trial.end();
  rmSync(folder, { recursive: true, force: true });
});

const prices = (() => {
  const {
    format: _,
    invented: __,
    ...book
  } = JSON.parse(readFileSync("examples/hearth/prices.json", "utf8")) as Record<string, unknown>;
  return book as PackWanted["prices"];
})();
const wanted = (more: Partial<PackWanted> = {}): PackWanted => ({
  line: "now",
  seq,
  paper: "A4",
  date: "2026-11-25",
  what: "zip",
  ...more,
});
const sha256 = (bytes: Uint8Array) => createHash("sha256").update(bytes).digest("hex");

/** What the verb writes of the same. */
function packed(words: readonly string[]): ReadonlyMap<string, Buffer> {
  const out = join(folder, String(words.length));
  const io: Io = {
    ...processIo(),
    out: () => undefined,
    pack: { toPdf, toZip, writeFolder, today: () => "2026-11-25" },
  };
  const status = run(["pack", "examples/hearth/hearth.design.json", "--out", out, ...words], io);
  expect(status).toBe(0);
  return new Map(readdirSync(out).map((name) => [name, readFileSync(join(out, name))]));
}

test("the zip holds the files that the verb writes, byte by byte, and its manifest is true", async () => {
  const response = await trial.post(PACK, wanted({ prices }));
  expect(response.headers.get("content-type")).toBe("application/zip");
  expect(response.headers.get("content-disposition")).toBe(`attachment; filename="${DEMO}-rev-a.zip"`);
  expect(response.headers.get("cache-control")).toBe("no-store");
  const bytes = new Uint8Array(await response.arrayBuffer());
  const files = unzipSync(bytes);
  const written = packed(["--shelf", "examples/hearth/shelf.json", "--prices", "examples/hearth/prices.json"]);
  expect(Object.keys(files).sort()).toEqual([...written.keys()].sort());
  for (const [name, content] of written) expect(sha256(files[name] ?? new Uint8Array()), name).toBe(sha256(content));
  const manifest = JSON.parse(new TextDecoder().decode(files["manifest.json"])) as {
    files: { file: string; sha256: string }[];
  };
  for (const one of manifest.files) expect(sha256(files[one.file] ?? new Uint8Array()), one.file).toBe(one.sha256);
  const again = await trial.post(PACK, wanted({ prices }));
  expect(sha256(new Uint8Array(await again.arrayBuffer()))).toBe(sha256(bytes));
}, 60_000);

test("one file alone is the file of the pack, under its own name, on the paper asked for", async () => {
  const made = await trial.workshop.pack(DEMO, wanted({ what: "bench-sheet", paper: "Letter", revision: "A" }));
  if (!made.ok) throw new Error(made.failure.sentence);
  expect(made.value.name).toBe(`${DEMO}-rev-a-bench-sheet.pdf`);
  expect(made.value.content.type).toBe("application/pdf");
  const written = packed(["--shelf", "examples/hearth/shelf.json", "--paper", "Letter"]);
  const bytes = new Uint8Array(await made.value.content.arrayBuffer());
  expect(sha256(bytes)).toBe(sha256(written.get("bench-sheet.pdf") ?? Buffer.alloc(0)));
}, 60_000);

test("others are answered while a pack is made", async () => {
  let done = false;
  const pack = trial.post(PACK, wanted({ what: "pack" })).then(async (response) => {
    await response.arrayBuffer();
    done = true;
  });
  const shop = await trial.ask("/api/shop");
  expect(shop.status).toBe(200);
  expect(done).toBe(false);
  await pack;
}, 60_000);

test("what was changed is a draft; a page that knows an earlier step is told so", async () => {
  const kept = await trial.workshop.keep(DEMO, "now", {
    after: seq,
    steps: [
      {
        id: "7b0c1f0e-4f0e-4b53-9a51-0a3b9f6d1c11",
        title: "The name",
        changes: [{ target: "name", before: "Hearth line box", after: "Hearth line box, tried" }],
      },
    ],
  });
  expect(kept.ok).toBe(true);
  expect(await refusalOf(await trial.post(PACK, wanted()))).toMatchObject({ status: 409, code: "moved-on" });
  const response = await trial.post(PACK, wanted({ seq: seq + 1, what: "safety-slip" }));
  expect(response.headers.get("content-disposition")).toBe(`attachment; filename="${DEMO}-rev-draft-safety-slip.pdf"`);
  seq += 1;
}, 60_000);

test.each<[string, Partial<Record<keyof PackWanted | "x", unknown>>, number, string]>([
  ["a line that is not there", { line: "none" }, 404, "no-line"],
  ["a revision that was not cut", { revision: "Z" }, 404, "no-revision"],
  ["a paper that there is not", { what: "wallpaper" }, 404, "no-paper"],
  ["a day that the calendar lacks", { date: "2026-02-31" }, 400, "not-understood"],
  ["a date of another kind", { date: "tomorrow" }, 400, "not-understood"],
  ["a size that no printer has", { paper: "B5" }, 400, "not-understood"],
  ["a name that climbs", { what: "../../etc/passwd" }, 400, "not-understood"],
  ["a price below nothing", { prices: { ...prices, perHour: -1 } }, 400, "not-understood"],
  [
    "a price that is no number",
    { prices: { ...prices, parts: { __proto__: null, R3: "free" } } },
    400,
    "not-understood",
  ],
  ["a field too many", { x: 1 }, 400, "not-understood"],
])("%s", async (_, more, status, code) => {
  const refusal = await refusalOf(await trial.post(PACK, { ...wanted(), ...more }));
  expect(refusal).toMatchObject({ status, code });
  expect(refusal.sentence).toMatch(/^\S[^\n]*\.$/u);
});

test("no design of that key, another content type, another site", async () => {
  expect(await refusalOf(await trial.post("/api/designs/none/pack", wanted()))).toMatchObject({ code: "no-design" });
  expect(await refusalOf(await trial.post(PACK, wanted(), { "content-type": "text/plain" }))).toMatchObject({
    status: 415,
  });
  expect(await refusalOf(await trial.post(PACK, wanted(), { origin: "http://elsewhere.example" }))).toMatchObject({
    status: 403,
  });
  expect(await refusalOf(await trial.ask(PACK, { headers: OWN }))).toMatchObject({ status: 405 });
});

test("a letter that the papers' font lacks is named, and no file is answered", async () => {
  const file = readFileSync("examples/hearth/hearth.design.json", "utf8").replaceAll("Hearth line box", "炉 line box");
  const [taken] = await trial.workshop
    .bringIn(new TextEncoder().encode(file))
    .then((answer) => (answer.ok ? answer.value : []));
  const open = trial.store.open(taken?.design ?? "");
  if (!open.ok) throw new Error(open.failure.sentence);
  const { key, seq: at } = open.value.line;
  const refusal = await refusalOf(
    await trial.post(`/api/designs/${taken?.design}/pack`, wanted({ line: key, seq: at })),
  );
  expect(refusal).toMatchObject({ status: 422, code: "not-written" });
  expect(refusal.sentence).toMatch(/U\+7089/);
}, 60_000);

test("300 spoilt asks (seed 43): each is refused by name, or is sound", async () => {
  const random = seededRandom(43);
  const at = (below: number) => Math.floor(random.uniform() * below);
  const text = JSON.stringify(wanted({ prices, revision: "none" }));
  const PIECES = ["1e309", "-1", "null", "[]", '"\\ud800"', '{"__proto__":{"polluted":1}}', "9".repeat(400), "NaN"];
  const seen = new Set<string>();
  for (let n = 0; n < 300; n++) {
    const from = at(text.length);
    const colon = text.indexOf(":", from);
    const end = text.slice(colon + 1).search(/[,}\]]/);
    const spoilt =
      n % 3 === 0
        ? text.slice(0, from)
        : n % 3 === 1 && colon >= 0
          ? text.slice(0, colon + 1) + (PIECES[at(PIECES.length)] ?? "") + text.slice(colon + 1 + end)
          : text.slice(0, from) + String.fromCharCode(1 + at(255)) + text.slice(from + 1);
    const refusal = await refusalOf(await trial.post(PACK, spoilt));
    expect(refusal.status, refusal.sentence).toBeLessThan(500);
    expect(refusal.sentence).toMatch(/^\S[^\n]{5,}\.$/u);
    seen.add(refusal.code);
  }
  expect(seen.size).toBeGreaterThan(2);
  expect(trial.complaints).toEqual([]);
}, 60_000);
