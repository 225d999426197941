/** Kills a process that writes to a shop, again and again, and looks each time at what is left. */
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, rmSync } from "node:fs";
import { applyChanges, type Change, same } from "@platewright/design";
import { type SeededRandom, seededRandom } from "@platewright/engine";
import BetterSqlite3 from "better-sqlite3";
import { wrongRows } from "../sound.ts";
import type { Store } from "../store.ts";
import { testStore, valueOf } from "../test-shop.ts";

/** What a writer said before it was killed. */
export interface Said {
  /** Messages that were sent, each with its steps. */
  readonly asked: readonly (readonly string[])[];
  readonly acknowledged: readonly string[];
  readonly revisions: readonly string[];
}

export interface KillSummary {
  readonly kills: number;
  readonly acknowledged: number;
  /** Kept, and killed before it was said. */
  readonly keptUnsaid: number;
  readonly revisions: number;
  readonly lines: number;
  /** Acknowledged and not found; none is accepted. */
  readonly lost: readonly string[];
  /** Messages of which only a part was found, lines that do not replay, files that are not sound. */
  readonly wrong: readonly string[];
}

/** A writer that is killed at a random moment; answers what it had said. */
export type KilledWriter = (path: string, seed: number, random: SeededRandom) => Promise<Said>;

/** A new file every so many kills, so that the beginning is killed too and a look stays quick. */
const KILLS_PER_FILE = 20;

export async function killAgain(
  path: string,
  kills: number,
  seed: number,
  writer: KilledWriter,
  progress: (done: number) => void = () => undefined,
): Promise<KillSummary> {
  const random = seededRandom(seed);
  const lost: string[] = [];
  const wrong: string[] = [];
  const all = { acknowledged: 0, keptUnsaid: 0, revisions: 0, lines: 0 };
  const expected = new Set<string>();
  for (let kill = 0; kill < kills; kill++) {
    if (kill % KILLS_PER_FILE === 0) {
      for (const ending of ["", "-wal", "-shm"]) rmSync(`${path}${ending}`, { force: true });
      expected.clear();
    }
    const said = await writer(path, seed * 1000 + kill, random);
    for (const one of [...said.acknowledged, ...said.revisions]) expected.add(one);
    all.acknowledged += said.acknowledged.length;
    all.revisions += said.revisions.length;
    if (!existsSync(path)) continue;
    const found = lookInto(path, (sentence) => wrong.push(`kill ${kill}: ${sentence}`));
    for (const one of expected) if (!found.has(one)) lost.push(`kill ${kill}: ${one}`);
    for (const ids of said.asked) {
      const kept = ids.filter((id) => found.has(id));
      // A late message is kept by its first step alone.
      if (kept.length > 1 && kept.length < ids.length) wrong.push(`kill ${kill}: a part of a message was kept`);
      if (!ids.some((id) => expected.has(id))) all.keptUnsaid += kept.length;
      for (const id of kept) expected.add(id);
    }
    all.lines = Math.max(all.lines, found.size === 0 ? 0 : countLines(path));
    progress(kill + 1);
  }
  return { kills, ...all, lost, wrong };
}

/** Ids of steps and revisions that a file holds; complains of what is not as it should be. */
function lookInto(path: string, complain: (sentence: string) => void): ReadonlySet<string> {
  const store = testStore(path);
  const { designs, troubles } = valueOf(store.shop());
  for (const sentence of troubles) complain(sentence);
  const found = new Set<string>();
  const db = new BetterSqlite3(path, { readonly: true });
  const wrong = wrongRows(db);
  if (wrong !== undefined) complain(wrong);
  for (const { key, lines, revisions } of designs) {
    for (const revision of revisions) found.add(revision.id);
    for (const line of lines) for (const id of replay(db, store, key, line.key, complain)) found.add(id);
  }
  db.close();
  store.close();
  return found;
}

/** Applies a line's steps one by one to its base, and compares with what the store opens. */
function replay(
  db: BetterSqlite3.Database,
  store: Store,
  design: string,
  line: string,
  complain: (sentence: string) => void,
): readonly string[] {
  const base = db.prepare("SELECT base FROM lines WHERE design = ? AND key = ?").pluck().get(design, line);
  let value = JSON.parse(String(base)) as object;
  const steps = db
    .prepare("SELECT id, seq, changes FROM steps WHERE design = ? AND line = ? ORDER BY seq")
    .all(design, line) as readonly { readonly id: string; readonly seq: number; readonly changes: string }[];
  for (const [i, step] of steps.entries()) {
    const next = applyChanges(value, JSON.parse(step.changes) as readonly Change[]);
    if (step.seq !== i + 1 || !next.ok) complain(`${line} does not replay at step ${step.seq}`);
    if (next.ok) value = next.value;
  }
  if (!same(value, valueOf(store.open(design, line)).document)) complain(`${line} opens as something else`);
  return steps.map((step) => step.id);
}

function countLines(path: string): number {
  const db = new BetterSqlite3(path, { readonly: true });
  const count = db.prepare("SELECT count(*) FROM lines").pluck().get() as number;
  db.close();
  return count;
}

/** Kills a child so long after it began to speak, or after it was started; answers what it printed. */
async function killedChild(child: ChildProcess, after: "speaking" | "start", milliseconds: number) {
  let text = "";
  let error = "";
  const kill = () => setTimeout(() => child.kill("SIGKILL"), milliseconds);
  let timer = after === "start" ? kill() : undefined;
  child.stderr?.setEncoding("utf8").on("data", (more: string) => void (error += more));
  child.stdout?.setEncoding("utf8").on("data", (more: string) => {
    text += more;
    timer ??= kill();
  });
  const signal = await new Promise<NodeJS.Signals | null>((resolve) => {
    child.on("close", (_, signal) => resolve(signal));
  });
  clearTimeout(timer);
  if (signal !== "SIGKILL") throw new Error(`the writer ended by itself: ${error}`);
  // The last line may have been cut off in the middle; then it was not said.
  return text.split("\n").slice(0, -1);
}

/** The writer of `child.ts`, bundled to `script`. */
export const storeWriter =
  (script: string): KilledWriter =>
  async (path, seed, random) => {
    const child = spawn(process.execPath, [script, path, String(seed)], { stdio: ["ignore", "pipe", "pipe"] });
    // One of ten while it opens or makes the file.
    const lines = await (random.uniform() < 0.1
      ? killedChild(child, "start", 500 * random.uniform())
      : killedChild(child, "speaking", 600 * random.uniform() ** 2));
    const of = (word: string) =>
      lines.filter((line) => line.startsWith(`${word} `)).map((line) => line.split(" ").slice(1));
    return { asked: of("ask"), acknowledged: of("kept").flat(), revisions: of("cut").flat() };
  };
