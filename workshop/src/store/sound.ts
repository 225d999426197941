/** Whether a file is whole: SQLite's own check, then the checksum of every row, then every reference. */
import type BetterSqlite3 from "better-sqlite3";
import { DamagedRow } from "./refuse.ts";
import { checkedRow, columnsOf, TABLES } from "./rows.ts";

/** The first thing that is wrong with a file, in a few words; undefined when it is whole. */
export function wrongRows(db: BetterSqlite3.Database): string | undefined {
  try {
    const check = db.pragma("integrity_check(1)", { simple: true });
    if (check !== "ok") return `SQLite: ${String(check).replace(/^\*{3} in database main \*{3}\s*/, "")}`;
    for (const table of TABLES)
      for (const row of db.prepare(`SELECT ${columnsOf(table).join(", ")}, sum FROM ${table}`).iterate())
        checkedRow(table, row);
    const [lost] = db.pragma("foreign_key_check") as readonly { readonly table: string }[];
    return lost === undefined ? undefined : `a row of ${lost.table} belongs to one that is not there`;
  } catch (error) {
    if (error instanceof DamagedRow) return error.message;
    if (error instanceof Error && "code" in error) return `SQLite: ${error.message}`;
    throw error;
  }
}
