/** Opens a shop's file: SQLite that flushes every commit to the disk, brought to the newest tables. */
import { mkdirSync } from "node:fs";
import { dirname } from "node:path";
import BetterSqlite3 from "better-sqlite3";
import { APPLICATION_ID, MIGRATIONS } from "./migrations.ts";
import { type ShopFile, shopFile } from "./rows.ts";

/** How long one hand waits for another that writes. */
const BUSY_MILLISECONDS = 5000;

function openDatabase(path: string): BetterSqlite3.Database {
  mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
  const db = new BetterSqlite3(path, { timeout: BUSY_MILLISECONDS });
  // Counts for a new file only; a recovery reads pages of this size.
  db.pragma("page_size = 4096");
  db.pragma("journal_mode = WAL");
  db.pragma("synchronous = FULL");
  db.pragma("foreign_keys = ON");
  // So that INSERT OR REPLACE cannot get round the triggers either.
  db.pragma("recursive_triggers = ON");
  return db;
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
