/** Opens a shop's file: SQLite that flushes every commit to the disk, brought to the newest tables. */
import { mkdirSync } from "node:fs";
import { dirname } from "node:path";
import { ok } from "@platewright/engine";
import BetterSqlite3 from "better-sqlite3";
import { APPLICATION_ID, MIGRATIONS } from "./migrations.ts";
import { refuse } from "./refuse.ts";
import { type ShopFile, shopFile } from "./rows.ts";
import type { Stored } from "./store.ts";

/** How long one hand waits for another that writes. */
const BUSY_MILLISECONDS = 5000;

function openDatabase(path: string): BetterSqlite3.Database {
  mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
  const db = new BetterSqlite3(path, { timeout: BUSY_MILLISECONDS });
  db.pragma("journal_mode = WAL");
  db.pragma("synchronous = FULL");
  db.pragma("foreign_keys = ON");
  // So that INSERT OR REPLACE cannot get round the triggers either.
  db.pragma("recursive_triggers = ON");
  return db;
}

/** Whose file it is, looked at without writing to it: "none" has no tables yet. */
export function ownerOf(path: string): Stored<"none" | "ours"> {
  const db = new BetterSqlite3(path, { readonly: true, fileMustExist: true, timeout: BUSY_MILLISECONDS });
  try {
    const version = db.pragma("user_version", { simple: true }) as number;
    if (version > MIGRATIONS.length)
      return refuse(
        "newer-shop",
        `${path}: the shop was written by a newer version of Platewright (tables ${version}, this one knows ${MIGRATIONS.length}); update Platewright. The file was not touched.`,
      );
    if (db.pragma("application_id", { simple: true }) === APPLICATION_ID) return ok("ours");
    return version === 0 && db.prepare("SELECT count(*) FROM sqlite_schema").pluck().get() === 0
      ? ok("none")
      : refuse("not-a-shop", `${path}: this is a database of another program; name another file for the shop.`);
  } finally {
    db.close();
  }
}

/** Brings the tables up to date, in one transaction; `begin` fills a new file in the same one. */
export function migrateFile({ db }: ShopFile, begin: () => void): void {
  db.transaction(() => {
    const version = db.pragma("user_version", { simple: true }) as number;
    for (const sql of MIGRATIONS.slice(version)) db.exec(sql);
    if (version < MIGRATIONS.length) {
      db.pragma(`user_version = ${MIGRATIONS.length}`);
      db.pragma(`application_id = ${APPLICATION_ID}`);
    }
    if (version === 0) begin();
  }).immediate();
}

export const openedFile = (path: string): ShopFile => shopFile(openDatabase(path));
