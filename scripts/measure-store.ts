/** How long the store takes, on this machine: the figures of docs/store.md. `npx tsx scripts/measure-store.ts` */
import { copyFileSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { applyChanges, type Change } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import BetterSqlite3 from "better-sqlite3";
import { openStore } from "../workshop/src/store/index.ts";
import { DEMO, handOf, valueOf } from "../workshop/src/store/test-shop.ts";

const folder = mkdtempSync(join(tmpdir(), "platewright-measure-"));
const path = join(folder, "shop.sqlite");
const catalogue = openCatalogue();
const opened = (file: string) => valueOf(openStore(file, { now: () => new Date().toISOString(), catalogue }));
const rows: string[] = [`${"".padEnd(66)}   clock    cpu`];

/** By the clock and by the processor; on a busy machine the second tells more. */
function stopwatch(what: string, per = 1): () => void {
  const [started, before] = [performance.now(), process.cpuUsage()];
  return () => {
    const clock = (performance.now() - started) / per;
    const { user, system } = process.cpuUsage(before);
    const processor = (user + system) / 1000 / per;
    const shown = [clock, processor].map((one) => Number(one.toPrecision(3)).toString().padStart(7));
    rows.push(`${what.padEnd(66)} ${shown.join(" ")} ms`);
  };
}

function timed<T>(what: string, work: () => T, per = 1): T {
  const stop = stopwatch(what, per);
  const done = work();
  stop();
  return done;
}

const STEPS = 10_000;
let store = timed("a new shop with the demo", () => opened(path));
const hand = handOf(1);
let { document, line } = valueOf(store.open(DEMO));
let { seq } = line;
timed(
  `one step kept (of ${STEPS})`,
  () => {
    for (let n = 0; n < STEPS; n++) {
      const step = hand(document);
      seq = valueOf(store.keep(DEMO, "now", { after: seq, steps: [step] })).seq;
      const next = applyChanges(document, step.changes as readonly Change[]);
      if (next.ok) document = next.value;
    }
  },
  STEPS,
);
store.close();
store = timed(`the file opened and checked, ${STEPS} steps`, () => opened(path));
timed("its line opened", () => valueOf(store.open(DEMO)));
timed("its line opened again", () => valueOf(store.open(DEMO)));
timed("a branch from its middle", () =>
  valueOf(store.branch(DEMO, { name: "x", from: { line: "now", seq: STEPS / 2 + 1 }, why: "branch" })),
);
timed("the shop as cards", () => valueOf(store.shop()));
const archive = timed("archive of the whole shop", () => valueOf(store.archive()));
timed("that archive taken in by another shop", () => {
  const other = opened(join(folder, "other.sqlite"));
  valueOf(other.bringIn(archive));
  other.close();
});
const stop = stopwatch("backup, verified");
const backup = valueOf(await store.backUp());
stop();
store.close();

const bare = join(folder, "bare.sqlite");
copyFileSync(backup.file, bare);
const db = new BetterSqlite3(bare);
db.exec("DELETE FROM snapshots");
db.close();
const replayed = opened(bare);
timed("its line opened from the base alone, with nothing ready on the way", () => valueOf(replayed.open(DEMO, "now")));
replayed.close();

const damaged = readFileSync(path);
damaged.fill(0, 40 * 4096, 41 * 4096);
writeFileSync(path, damaged);
const recovered = timed("a damaged file of that size recovered", () => opened(path));
rows.push(...valueOf(recovered.shop()).troubles.map((one) => `  ${one}`));
recovered.close();
rows.push(`file ${(statSync(backup.file).size / 1e6).toFixed(1)} MB, archive ${(archive.length / 1e6).toFixed(2)} MB`);
rmSync(folder, { recursive: true, force: true });
console.log(rows.join("\n"));
