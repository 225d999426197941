/** Damaged files: opened without a crash, everything that can be read saved, everything lost said, nothing invented. */
import { copyFileSync, existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { applyChanges, type Change, type Document } from "@platewright/design";
import { type SeededRandom, seededRandom } from "@platewright/engine";
import BetterSqlite3 from "better-sqlite3";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openedFile } from "../open-file.ts";
import { stepIdOf } from "../step-id.ts";
import type { Store } from "../store.ts";
import { codeOf, DEMO, handOf, openTestStore, testFolder, testStore, valueOf } from "../test-shop.ts";
import { wrongRows } from "../sound.ts";

const folder = testFolder();
afterAll(folder.remove);

/** A shop with something of everything, and how it looked while it was open: the file with its log beside it. */
const closed = folder.path("closed.sqlite");
const live = folder.path("live.sqlite");
let closedFacts: ReadonlySet<string> = new Set();
let liveFacts: ReadonlySet<string> = new Set();

beforeAll(() => {
  const path = folder.path("full.sqlite");
  const store = folder.shop("full.sqlite");
  fill(store, 130);
  store.close();
  copyFileSync(path, closed);
  const again = testStore(path);
  fill(again, 12);
  copyFileSync(path, live);
  copyFileSync(`${path}-wal`, `${live}-wal`);
  again.close();
  closedFacts = factsOf(closed);
  // With its log: SQLite reads both.
  const intact = folder.path("intact.sqlite");
  copyFileSync(live, intact);
  copyFileSync(`${live}-wal`, `${intact}-wal`);
  liveFacts = factsOf(intact);
});

function fill(store: Store, count: number): void {
  const open = valueOf(store.open(DEMO, "now"));
  const [hand, other] = [handOf(open.line.seq, "hand"), handOf(open.line.seq, "other")];
  let { document } = open;
  let { seq } = open.line;
  for (let n = 0; n < count; n++) {
    const step = hand(document);
    if (n === 5) valueOf(store.keep(DEMO, "now", { after: seq - 1, steps: [other(before(store, seq - 1))] }));
    seq = valueOf(store.keep(DEMO, "now", { after: seq, steps: [step] })).seq;
    const next = applyChanges(document, step.changes as readonly Change[]);
    if (next.ok) document = next.value;
    if (n === 3) valueOf(store.cut(DEMO, { line: "now", seq, id: `R${seq}` }));
    if (n === 4) valueOf(store.pin(DEMO, `R${seq - 1}`));
  }
  valueOf(store.branch(DEMO, { name: "A wilder one", from: { line: "now", seq: seq - 3 }, why: "branch" }));
  const shelf = valueOf(store.shelf());
  const changes = [{ target: "name", before: shelf.shelf.name, after: `Shelf ${seq}` }];
  valueOf(store.keepShelf({ after: shelf.seq, steps: [{ id: stepIdOf("shelf", seq), title: "Name", changes }] }));
}

function before(store: Store, seq: number): Document {
  const line = valueOf(store.branch(DEMO, { name: `At ${seq}`, from: { line: "now", seq }, why: "branch" }));
  return valueOf(store.open(DEMO, line.key)).document;
}

/** What a file records, each as one text; what a recovery may have to write anew (places, names) left out. */
function factsOf(path: string): ReadonlySet<string> {
  const db = new BetterSqlite3(path);
  const all = (sql: string) => (db.prepare(sql).raw().all() as unknown[][]).map((row) => JSON.stringify([sql, ...row]));
  const facts = [
    ...all("SELECT key, kind FROM designs"),
    ...all("SELECT design, name FROM names"),
    ...all("SELECT design, base FROM lines"),
    ...all("SELECT design, id, title, changes, undoes, redoes, at FROM steps"),
    ...all("SELECT design, id, note, cutOn, document, frozen FROM revisions"),
    ...all("SELECT design, revision FROM pins"),
  ];
  db.close();
  return new Set(facts);
}

type Damage = (bytes: Buffer, random: SeededRandom) => Buffer;

const DAMAGES: Readonly<Record<string, Damage>> = {
  "one bit": (bytes, random) => {
    const at = random.below(bytes.length);
    bytes[at] = (bytes[at] ?? 0) ^ (1 << random.below(8));
    return bytes;
  },
  "one bit of the first page": (bytes, random) => {
    const at = random.below(Math.min(bytes.length, 100));
    bytes[at] = (bytes[at] ?? 0) ^ (1 << random.below(8));
    return bytes;
  },
  "a run of noise": (bytes, random) => {
    const at = random.below(bytes.length);
    for (let i = at; i < Math.min(bytes.length, at + 200); i++) bytes[i] = random.below(256);
    return bytes;
  },
  "an empty page": (bytes, random) => {
    const at = 4096 * random.below(Math.ceil(bytes.length / 4096));
    return bytes.fill(0, at, Math.min(bytes.length, at + 4096));
  },
  "cut short": (bytes, random) => bytes.subarray(0, random.below(bytes.length)),
};

const FRAME = 24 + 4096;

/** Where a log's last commit begins: after the last frame but those of its own that says how many pages there are. */
function lastCommitOf(log: Buffer): number {
  const frames = Math.floor((log.length - 32) / FRAME);
  const ends = Array.from({ length: frames }, (_, i) => 32 + i * FRAME).filter((at) => log.readUInt32BE(at + 4) > 0);
  return (ends.at(-2) ?? 32 - FRAME) + FRAME;
}

interface Proof {
  readonly whole: ReadonlySet<string>;
  /** What must stand aside when something was found wrong: the file, or the log that was beside it. */
  readonly damaged: Buffer;
  readonly ofLog?: boolean;
  /** A log that is cut between two commits looks like one that was never longer: only a backup can tell. */
  readonly cutLog?: boolean;
  /** A log's last commit that is damaged looks like one that a stop broke off: its step alone may be lost unsaid. */
  readonly lastCommit?: boolean;
}

/** Opens a damaged file and holds what must hold of every recovery. */
function proveOpened(path: string, { whole, damaged, ofLog, cutLog, lastCommit }: Proof): void {
  const opened = openTestStore(path);
  if (!opened.ok) throw new Error(opened.failure.sentence);
  const store = opened.value;
  const { designs, troubles } = valueOf(store.shop());
  for (const { key, lines } of designs) for (const line of lines) valueOf(store.open(key, line.key));
  valueOf(store.shelf());
  valueOf(store.archive());
  store.close();
  const found = factsOf(path);
  const lost = [...whole].filter((fact) => !found.has(fact));
  if (troubles.length === 0) {
    const last = [...whole].findLast((fact) => fact.includes('"shelf"') && fact.includes('"Name"'));
    if (cutLog !== true) expect(lost.filter((fact) => lastCommit !== true || fact !== last)).toEqual([]);
  } else {
    const asides = readdirSync(dirname(path)).filter((name) => name.startsWith(`${basename(path, ".sqlite")}-damaged`));
    const aside = asides.find((name) => name.endsWith(".sqlite"));
    expect(troubles[0]).toContain(aside);
    const copy = readFileSync(join(dirname(path), `${aside ?? ""}${ofLog === true ? "-wal" : ""}`));
    expect(copy.equals(damaged)).toBe(true);
    for (const name of asides) rmSync(join(dirname(path), name));
  }
  // Steps and revisions are never invented.
  for (const fact of found) if (/FROM (steps|revisions)/.test(fact)) expect(whole.has(fact)).toBe(true);
  const db = new BetterSqlite3(path);
  expect(wrongRows(db)).toBeUndefined();
  db.close();
}

const SEEDS = Array.from({ length: Number(process.env.SEEDS ?? 3) }, (_, i) => i + 1);

describe.each(Object.entries(DAMAGES))("%s", (what, damage) => {
  test.each(SEEDS)("of a file that was closed (seed %i)", (seed) => {
    const path = folder.path("a.sqlite");
    const damaged = damage(readFileSync(closed), seededRandom(seed));
    writeFileSync(path, damaged);
    for (const left of ["-wal", "-shm"]) rmSync(`${path}${left}`, { force: true });
    proveOpened(path, { whole: closedFacts, damaged });
  });

  test.each(SEEDS)("of the log of a file whose process was killed (seed %i)", (seed) => {
    const path = folder.path("b.sqlite");
    copyFileSync(live, path);
    rmSync(`${path}-shm`, { force: true });
    const log = readFileSync(`${live}-wal`);
    const damaged = damage(Buffer.from(log), seededRandom(seed));
    writeFileSync(`${path}-wal`, damaged);
    const from = lastCommitOf(log);
    const lastCommit = !damaged.subarray(from).equals(log.subarray(from));
    proveOpened(path, { whole: liveFacts, damaged, ofLog: true, cutLog: what === "cut short", lastCommit });
  });
});

test("a file that is no database at all, and one that is empty beside a full log", () => {
  const path = folder.path("letter.sqlite");
  writeFileSync(path, "Dear builder, this is not a shop.");
  const store = testStore(path);
  expect(valueOf(store.shop()).designs).toEqual([]);
  expect(valueOf(store.shop()).troubles[0]).toMatch(/Nothing of it could be read/);
  store.close();
  const empty = folder.path("empty.sqlite");
  writeFileSync(empty, "");
  copyFileSync(`${live}-wal`, `${empty}-wal`);
  const found = testStore(empty);
  const shop = valueOf(found.shop());
  expect(shop.troubles[0]).toMatch(/the file is empty/);
  expect(shop.designs[0]?.lines.length).toBeGreaterThan(0);
  found.close();
});

test("a file that was made and not filled before a stop is no damage", () => {
  const path = folder.path("blank.sqlite");
  openedFile(path).db.close();
  expect(readFileSync(path).length).toBeGreaterThan(0);
  const store = testStore(path);
  expect(valueOf(store.shop())).toMatchObject({ designs: [{ key: DEMO }], troubles: [] });
  store.close();
});

test("a damaged file that another process has open is left alone", () => {
  const path = folder.path("in-use.sqlite");
  copyFileSync(closed, path);
  const other = testStore(path);
  const bytes = readFileSync(path);
  const end = bytes.length;
  // Payload of the last page: SQLite itself sees nothing wrong with it.
  const damaged = Buffer.from(bytes).fill(0, end - 4096, end);
  writeFileSync(path, damaged);
  expect(codeOf(openTestStore(path))).toBe("in-use");
  expect(readFileSync(path).equals(damaged)).toBe(true);
  other.close();
  const store = testStore(path);
  expect(valueOf(store.shop()).troubles.length).toBeGreaterThan(0);
  store.close();
});

test("a stop between writing the new file and putting it in its place is made good", () => {
  const path = folder.path("stop.sqlite");
  copyFileSync(closed, path);
  const damaged = readFileSync(closed).fill(0, 8192, 16384);
  writeFileSync(path, damaged);
  testStore(path).close();
  const recovered = readFileSync(path);
  writeFileSync(path, damaged);
  writeFileSync(`${path}.recovered`, recovered);
  const store = testStore(path);
  expect(existsSync(`${path}.recovered`)).toBe(false);
  expect(valueOf(store.shop()).troubles.length).toBeGreaterThan(0);
  store.close();
});
