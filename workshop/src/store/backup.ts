/** A backup while the shop is open: copied page by page, verified, and only then given its name. */
import { existsSync, renameSync, rmSync } from "node:fs";
import { basename, dirname, extname, join } from "node:path";
import { fail, ok } from "@platewright/engine";
import BetterSqlite3 from "better-sqlite3";
import type { Around } from "./around.ts";
import { refusalOf, refuse } from "./refuse.ts";
import type { Stored } from "./store.ts";
import { wrongRows } from "./sound.ts";

/** `backUp` of the store. */
export async function backUpTo({ file, now }: Around, path: string): Promise<Stored<{ readonly file: string }>> {
  const target = freeName(path, now());
  const beside = `${target}.writing`;
  try {
    await file.db.backup(beside);
    const copy = new BetterSqlite3(beside);
    // One file, not three: a backup is carried about.
    copy.pragma("journal_mode = DELETE");
    const wrong = wrongRows(copy);
    copy.close();
    if (wrong !== undefined) {
      rmSync(beside, { force: true });
      return refuse("backup-not-sound", `The backup is not sound (${wrong}) and was taken away; look at the disk.`);
    }
    renameSync(beside, target);
    return ok({ file: target });
  } catch (error) {
    rmSync(beside, { force: true });
    const failure = refusalOf(error);
    if (failure === undefined) throw error;
    return fail(failure);
  }
}

/** "shop.sqlite" → "shop-backup-20261127-184000.sqlite", numbered when it is there. */
function freeName(path: string, iso: string): string {
  const stamp = iso.replace(/[-:]/g, "").replace("T", "-").slice(0, 15);
  const ending = extname(path);
  const stem = join(dirname(path), `${basename(path, ending)}-backup-${stamp}`);
  for (let n = 1; ; n++) {
    const name = `${stem}${n === 1 ? "" : `-${n}`}${ending}`;
    if (!existsSync(name) && !existsSync(`${name}.writing`)) return name;
  }
}
