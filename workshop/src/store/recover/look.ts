/** Looks at a shop's file before SQLite may write to it: whether it is there, whose it is, whether it is whole. */
import { closeSync, existsSync, openSync, readFileSync, readSync, statSync } from "node:fs";
import { ok } from "@platewright/engine";
import BetterSqlite3 from "better-sqlite3";
import { APPLICATION_ID, MIGRATIONS } from "../migrations.ts";
import { refuse } from "../refuse.ts";
import { select, shopFile, type ShopFile } from "../rows.ts";
import { headOf, linesOf } from "../lines.ts";
import { wrongRows } from "../sound.ts";
import type { Stored } from "../store.ts";
import { carve } from "./carve.ts";
import { fourBytes, PAGE_BYTES } from "./records.ts";
import { wrongLog } from "./wal.ts";

export type Look =
  | { readonly state: "new" }
  | { readonly state: "whole" }
  | {
      readonly state: "damaged";
      /** What is wrong, in a few words. */
      readonly reason: string;
      /** The log as it was: SQLite empties it when it opens the file. */
      readonly log: Uint8Array;
    };

/** How often a log is read again that seems altered: another process may be writing to it at this moment. */
const LOOKS = 5;
const BETWEEN_MILLISECONDS = 20;

export const logOf = (path: string): string => `${path}-wal`;

export function lookAt(path: string): Stored<Look> {
  const bytes = existsSync(path) ? statSync(path).size : 0;
  const { log, wrong } = lookAtLog(path);
  const damaged = (reason: string): Stored<Look> => ok({ state: "damaged", reason, log });
  if (bytes === 0) return log.length > 32 ? damaged("the file is empty") : ok({ state: "new" });
  const head = wrongHead(path);
  if (head !== undefined) return damaged(head);
  try {
    const db = new BetterSqlite3(path, { readonly: true, fileMustExist: true, timeout: 5000 });
    try {
      const owner = ownerOf(path, db);
      if (!owner.ok) return owner;
      if (typeof owner.value === "object") return damaged(owner.value.wrong);
      // Made and not yet filled: another process was stopped there, or is at it.
      if (owner.value === "blank") return ok({ state: "new" });
      const rows = wrongRows(db);
      if (rows !== undefined) return damaged(rows);
      if (wrong !== undefined && hides(shopFile(db), log)) return damaged(wrong);
    } finally {
      db.close();
    }
  } catch (error) {
    if (/^SQLITE_(CORRUPT|NOTADB)/.test(codeOf(error))) return damaged(`SQLite: ${(error as Error).message}`);
    throw error;
  }
  return ok({ state: "whole" });
}

const codeOf = (error: unknown): string =>
  error instanceof Error && "code" in error && typeof error.code === "string" ? error.code : "";

function lookAtLog(path: string): { readonly log: Uint8Array; readonly wrong: string | undefined } {
  for (let look = 1; ; look++) {
    const log = existsSync(logOf(path)) ? readFileSync(logOf(path)) : new Uint8Array();
    const wrong = wrongLog(log);
    if (wrong === undefined || look === LOOKS) return { log, wrong };
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, BETWEEN_MILLISECONDS);
  }
}

/** Fields of SQLite's head that are always the same in our files; a wrong one makes SQLite refuse or misread the file. */
function wrongHead(path: string): string | undefined {
  const head = new Uint8Array(100);
  const from = openSync(path, "r");
  readSync(from, head);
  closeSync(from);
  const magic = new TextDecoder("latin1").decode(head.subarray(0, 16));
  if (magic !== "SQLite format 3\0") return "it does not begin as a database does";
  const is = (at: number, ...bytes: readonly number[]) => bytes.every((byte, i) => head[at + i] === byte);
  const right =
    is(16, PAGE_BYTES >> 8, PAGE_BYTES & 255) &&
    [1, 2].includes(head[18] ?? 0) &&
    [1, 2].includes(head[19] ?? 0) &&
    is(20, 0, 64, 32, 32) &&
    fourBytes(head, 44) <= 4 &&
    fourBytes(head, 56) <= 1;
  // Files of other programs may have other pages; whose it is, is asked next.
  return right || fourBytes(head, 68) !== APPLICATION_ID ? undefined : "its head was altered";
}

/** What the tables are, spelled as SQLite keeps them. */
const schemaOf = (db: BetterSqlite3.Database): string =>
  JSON.stringify(db.prepare("SELECT type, name, sql FROM sqlite_schema ORDER BY type, name").raw().all());

/**
 * Whose file it is. Ours are known by their tables, so that a flipped bit in the version is no newer version. The file of
 * another program or of a newer version is refused.
 */
function ownerOf(path: string, db: BetterSqlite3.Database): Stored<"ours" | "blank" | { readonly wrong: string }> {
  const version = db.pragma("user_version", { simple: true }) as number;
  const ours = db.pragma("application_id", { simple: true }) === APPLICATION_ID;
  const schema = schemaOf(db);
  const blank = new BetterSqlite3(":memory:");
  const known = [schemaOf(blank), ...MIGRATIONS.map((sql) => schemaOf(blank.exec(sql)))];
  blank.close();
  const found = known.indexOf(schema);
  if (found === 0 && version === 0) return ok("blank");
  if (found === version && ours) return ok("ours");
  if (found >= 0) return ok({ wrong: "its head was altered" });
  if (ours && version > MIGRATIONS.length)
    return refuse(
      "newer-shop",
      `${path}: the shop was written by a newer version of Platewright (tables ${version}, this one knows ${MIGRATIONS.length}); update Platewright. The file was not touched.`,
    );
  if (ours) return ok({ wrong: "its list of tables was altered" });
  return refuse("not-a-shop", `${path}: this is a database of another program; name another file for the shop.`);
}

/** Whether a log holds something that SQLite does not show. */
function hides(file: ShopFile, log: Uint8Array): boolean {
  const { rows, lastSteps } = carve(new Uint8Array(), log);
  const heads = new Map<string, number>();
  for (const { key } of select(file, "designs", ""))
    for (const line of linesOf(file, key)) heads.set(`${key} ${line.key}`, headOf(file, line).seq);
  for (const [name, seq] of lastSteps) if ((heads.get(name) ?? 0) < seq) return true;
  const shown = file.db.prepare("SELECT count(*) FROM steps WHERE id = ?").pluck();
  if (rows.steps.some((row) => shown.get(row.id) === 0)) return true;
  return [rows.lines, rows.revisions, rows.pins, rows.names].some((all, i) => {
    const table = (["lines", "revisions", "pins", "names"] as const)[i] ?? "lines";
    const have = new Set(select(file, table, "").map((row) => JSON.stringify(row)));
    return all.some((row) => !have.has(JSON.stringify(row)));
  });
}
