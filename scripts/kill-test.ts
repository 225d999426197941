/** `npm run kill`: kills a process that writes to a shop, 200 times or as often as the first argument says. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { bundled } from "../workshop/src/store/kill/bundle.ts";
import { killAgain, storeWriter } from "../workshop/src/store/kill/run.ts";

const kills = Number(process.argv[2] ?? 200);
const seed = Number(process.argv[3] ?? 1);
const folder = mkdtempSync(join(tmpdir(), "platewright-kill-"));
const script = await bundled("workshop/src/store/kill/child.ts", "kill-child");
const started = performance.now();
const summary = await killAgain(join(folder, "shop.sqlite"), kills, seed, storeWriter(script), (done) => {
  if (process.stderr.isTTY) process.stderr.write(`\r${done} of ${kills} `);
});
rmSync(script);
rmSync(folder, { recursive: true, force: true });
const { acknowledged, keptUnsaid, revisions, lines, lost, wrong } = summary;
console.log(
  [
    `${kills} kills in ${Math.round((performance.now() - started) / 1000)} s (seed ${seed})`,
    `${acknowledged} steps acknowledged, ${revisions} revisions cut, up to ${lines} lines in one file`,
    `${keptUnsaid} steps kept that were not acknowledged any more`,
    `${lost.length} acknowledged and lost, ${wrong.length} things not as they should be`,
    ...[...lost, ...wrong].slice(0, 20),
  ].join("\n"),
);
process.exitCode = lost.length + wrong.length === 0 ? 0 : 1;
