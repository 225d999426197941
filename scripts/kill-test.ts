/**
 * `npm run kill`: kills 200 times, at random moments, a process that writes to a shop, and 200 times a server that two
 * pages write to; looks each time at what is left. Arguments: how often, a seed.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { bundled } from "../workshop/src/store/kill/bundle.ts";
import { killAgain, type KilledWriter, storeWriter } from "../workshop/src/store/kill/run.ts";
import { serverWriter } from "../workshop/src/store/kill/server-writer.ts";

const kills = Number(process.argv[2] ?? 200);
const seed = Number(process.argv[3] ?? 1);

async function killed(what: string, script: string, writerOf: (script: string) => KilledWriter): Promise<boolean> {
  const folder = mkdtempSync(join(tmpdir(), "platewright-kill-"));
  const bundle = await bundled(script, "killed");
  const started = performance.now();
  const summary = await killAgain(join(folder, "shop.sqlite"), kills, seed, writerOf(bundle), (done) => {
    if (process.stderr.isTTY) process.stderr.write(`\r${done} of ${kills} `);
  });
  rmSync(bundle);
  rmSync(folder, { recursive: true, force: true });
  const { acknowledged, keptUnsaid, revisions, lines, lost, wrong } = summary;
  const report = [
    `${what}: ${kills} kills in ${Math.round((performance.now() - started) / 1000)} s (seed ${seed})`,
    `  ${acknowledged} steps acknowledged, ${revisions} revisions cut, up to ${lines} lines in one file`,
    `  ${keptUnsaid} steps kept whose acknowledgement was not heard any more`,
    `  ${lost.length} acknowledged and lost, ${wrong.length} things not as they should be`,
    ...[...lost, ...wrong].slice(0, 20).map((one) => `  ${one}`),
  ];
  console.log(report.join("\n"));
  return lost.length + wrong.length === 0;
}

const store = await killed("Store", "workshop/src/store/kill/child.ts", storeWriter);
const server = await killed("Server", "workshop/src/main.ts", serverWriter);
process.exitCode = store && server ? 0 : 1;
