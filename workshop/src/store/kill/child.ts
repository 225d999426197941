/**
 * The process that is killed: writes to a shop as fast as it can and prints each thing before it asks for it ("ask …")
 * and when the store has answered ("kept …"). Arguments: the file, a seed.
 */
import { writeSync } from "node:fs";
import { applyChanges, type Change, type Document } from "@platewright/design";
import { seededRandom } from "@platewright/engine";
import { openCatalogue } from "@platewright/library";
import { openStore } from "../open-store.ts";
import { DEMO, handOf, valueOf } from "../test-shop.ts";

const [path = "", seedText = "0"] = process.argv.slice(2);
const seed = Number(seedText);
const random = seededRandom(seed);
const hand = handOf(seed, "killed");
const say = (line: string) => void writeSync(1, `${line}\n`);

const store = valueOf(openStore(path, { now: () => new Date().toISOString(), catalogue: openCatalogue() }));
const open = valueOf(store.open(DEMO));
let { document } = open;
let { key, seq } = open.line;
say("open");

for (let n = 0; ; n++) {
  const steps = [];
  let next: Document = document;
  for (let i = 0; i <= random.below(3); i++) {
    const step = hand(next);
    const applied = applyChanges(next, step.changes as readonly Change[]);
    if (!applied.ok) throw new Error(applied.failure.sentence);
    next = applied.value;
    steps.push(step);
  }
  // Now and then late, as a second page would be.
  const late = seq > 0 && random.uniform() < 0.02;
  const ids = steps.map((step) => step.id).join(" ");
  say(`ask ${ids}`);
  if (late) {
    const before = steps.slice(0, 1);
    const kept = store.keep(DEMO, key, { after: seq - 1, steps: before });
    // What was done on the document of now need not fit the one before.
    if (!kept.ok) continue;
    say(`kept ${before.map((step) => step.id).join(" ")}`);
    continue;
  }
  const kept = valueOf(store.keep(DEMO, key, { after: seq, steps }));
  say(`kept ${ids}`);
  document = next;
  ({ line: key, seq } = kept);
  if (random.uniform() < 0.01) {
    const id = `K${seed}.${n}`;
    valueOf(store.cut(DEMO, { line: key, seq, id }));
    say(`cut ${id}`);
  }
}
