/**
 * A damaged shop: the file is copied aside as it is, what can be read becomes a new file, and what was lost is said.
 *
 * Order  Copies aside, flushed; the new file under another name, whole; only then it takes the place of the damaged one.
 *        A stop at any moment leaves the damaged file, or the new one with the copy beside it.
 */
import { closeSync, existsSync, fsyncSync, openSync, readFileSync, renameSync, rmSync, writeSync } from "node:fs";
import { basename, dirname, extname, join } from "node:path";
import { ok } from "@platewright/engine";
import BetterSqlite3 from "better-sqlite3";
import { migrateFile, openedFile } from "../open-file.ts";
import { refuse } from "../refuse.ts";
import { insert } from "../rows.ts";
import type { Stored } from "../store.ts";
import { assemble, type Assembled } from "./assemble.ts";
import { carve } from "./carve.ts";
import { logOf } from "./look.ts";

const beside = (path: string, word: string): string => `${path}.${word}`;

/** Puts a recovered file in its place when a stop came between. */
export function finishRecovery(path: string): void {
  if (!existsSync(beside(path, "recovered"))) return;
  rmSync(logOf(path), { force: true });
  rmSync(`${path}-shm`, { force: true });
  renameSync(beside(path, "recovered"), path);
}

/** Recovers a damaged file; `log` is the log beside it, read before SQLite could touch it. */
export function recover(path: string, reason: string, log: Uint8Array, at: string): Stored<true> {
  const main = existsSync(path) ? readFileSync(path) : new Uint8Array();
  const aside = freeAside(path, at);
  writeFlushed(aside, main);
  if (log.length > 0) writeFlushed(logOf(aside), log);
  if (inUse(path)) {
    for (const copy of [aside, logOf(aside)]) rmSync(copy, { force: true });
    return refuse(
      "in-use",
      `${path} is damaged (${reason}) and another Platewright has it open; stop that one and start again.`,
    );
  }
  const making = beside(path, "recovering");
  for (const left of [making, logOf(making), `${making}-shm`]) rmSync(left, { force: true });
  const file = openedFile(making);
  migrateFile(file, () => {
    const assembled = assemble(file, carve(main, log), at);
    for (const sentence of sentencesOf(path, reason, aside, assembled)) insert(file, "troubles", { sentence, at });
  });
  file.db.close();
  renameSync(making, beside(path, "recovered"));
  finishRecovery(path);
  return ok(true);
}

function sentencesOf(path: string, reason: string, aside: string, found: Assembled): readonly string[] {
  const { designs, lines, steps, revisions, losses } = found;
  const many = (n: number, word: string) => `${n} ${word}${n === 1 ? "" : "s"}`;
  const nothing = designs + steps + revisions === 0;
  return [
    `The shop's file ${basename(path)} was damaged (${reason}). ${
      nothing
        ? "Nothing of it could be read; bring in your last archive or backup."
        : `What could be read was saved: ${many(designs, "design")}, ${many(lines, "line")}, ${many(steps, "step")} and ${many(revisions, "revision")}.`
    } The damaged file is kept as ${aside}.`,
    ...(losses.length === 0 && !nothing ? ["Nothing is known to be missing."] : losses),
  ];
}

/** Whether another process has the file open; a file that is no database cannot be asked. */
function inUse(path: string): boolean {
  if (!existsSync(path)) return false;
  let db: BetterSqlite3.Database | undefined;
  try {
    db = new BetterSqlite3(path, { timeout: 200 });
    db.pragma("locking_mode = EXCLUSIVE");
    db.exec("BEGIN EXCLUSIVE; ROLLBACK");
    return false;
  } catch (error) {
    return error instanceof Error && "code" in error && /^SQLITE_(BUSY|LOCKED)/.test(String(error.code));
  } finally {
    db?.close();
  }
}

/** "shop.sqlite" → "shop-damaged-20261127-184000.sqlite", numbered when it is there. */
function freeAside(path: string, iso: string): string {
  const stamp = iso.replace(/[-:]/g, "").replace("T", "-").slice(0, 15);
  const ending = extname(path);
  const stem = join(dirname(path), `${basename(path, ending)}-damaged-${stamp}`);
  for (let n = 1; ; n++) {
    const name = `${stem}${n === 1 ? "" : `-${n}`}${ending}`;
    if (!existsSync(name)) return name;
  }
}

function writeFlushed(path: string, bytes: Uint8Array): void {
  const to = openSync(path, "wx", 0o600);
  try {
    for (let done = 0; done < bytes.length; ) done += writeSync(to, bytes, done);
    fsyncSync(to);
  } finally {
    closeSync(to);
  }
}
