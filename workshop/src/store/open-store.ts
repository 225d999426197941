/** Opens the store of a shop. */
import { ok, type Result } from "@platewright/engine";
import type { Refusal } from "../client/contract.ts";
import type { Around } from "./around.ts";
import { archiveOf } from "./archive.ts";
import { backUpTo } from "./backup.ts";
import { bringIn } from "./bring-in.ts";
import { beginShop } from "./demo.ts";
import { designCard, designRows, openDesignOn } from "./designs.ts";
import { exportOf } from "./export.ts";
import { keepShelfSteps, keepSteps } from "./keep.ts";
import { migrateFile, openedFile } from "./open-file.ts";
import { lookAt } from "./recover/look.ts";
import { finishRecovery, recover } from "./recover/recover.ts";
import { refusalOf } from "./refuse.ts";
import { branchOn, cutOn, pinOn } from "./revisions.ts";
import { read, select, write } from "./rows.ts";
import { shelfOf } from "./shelf.ts";
import type { Store, Stored, StoreHow } from "./store.ts";

/** Opens the shop of a file, which is made when it is not there. Close the store when done. */
export function openStore(path: string, how: StoreHow): Result<Store, Refusal> {
  return asValue(() => {
    finishRecovery(path);
    const look = lookAt(path);
    if (!look.ok) return look;
    if (look.value.state === "damaged") {
      const done = recover(path, look.value.reason, look.value.log, how.now());
      if (!done.ok) return done;
    }
    const file = openedFile(path);
    const around: Around = { file, heads: new Map(), now: how.now, catalogue: how.catalogue };
    try {
      migrateFile(file, () => beginShop(around, how.demo !== false));
    } catch (error) {
      file.db.close();
      throw error;
    }
    return ok(storeOn(around, path));
  });
}

function storeOn(around: Around, path: string): Store {
  const { file, heads } = around;
  const reading = <T>(work: () => Stored<T>): Stored<T> => asValue(() => read(file, work));
  const writing = <T>(work: () => Stored<T>): Stored<T> => {
    const done = asValue(() => write(file, work));
    // What was remembered on the way may have been taken back.
    if (!done.ok) heads.clear();
    return done;
  };
  return {
    file: path,
    shop: () =>
      reading(() =>
        ok({
          designs: designRows(file).map((row) => designCard(around, row.key)),
          troubles: [...troublesOf(around)],
          file: path,
        }),
      ),
    open: (design, line) => reading(() => openDesignOn(around, design, line)),
    keep: (design, line, ask) => writing(() => keepSteps(around, design, line, ask)),
    cut: (design, ask) => writing(() => cutOn(around, design, ask)),
    pin: (design, revision) => writing(() => pinOn(around, design, revision)),
    branch: (design, ask) => writing(() => branchOn(around, design, ask)),
    shelf: () => reading(() => shelfOf(around)),
    keepShelf: (ask) => writing(() => keepShelfSteps(around, ask)),
    exportDesign: (design, line) => reading(() => exportOf(around, design, line)),
    bringIn: (bytes) => writing(() => bringIn(around, bytes)),
    archive: () => reading(() => archiveOf(around)),
    backUp: () => backUpTo(around, path),
    changesOfOthers: () => asValue(() => ok(file.db.pragma("data_version", { simple: true }) as number)),
    close: () => void file.db.close(),
  };
}

/** Days that a shop goes on saying what a recovery found. */
const TROUBLE_DAYS = 7;

function troublesOf({ file, now }: Around): readonly string[] {
  const since = Date.parse(now()) - TROUBLE_DAYS * 86_400_000;
  return select(file, "troubles", "ORDER BY rowid")
    .filter((one) => Date.parse(one.at) >= since)
    .map((one) => one.sentence);
}

/** A disk that is full, a file that is busy or damaged: refusals, like every other. */
function asValue<T>(work: () => Stored<T>): Stored<T> {
  try {
    return work();
  } catch (error) {
    const failure = refusalOf(error);
    if (failure === undefined) throw error;
    return { ok: false, failure };
  }
}
