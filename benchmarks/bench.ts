/** `npm run bench`: bundles measure.ts as the command line is bundled, and runs that, so that built code is timed. */
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { build } from "esbuild";

const folder = mkdtempSync(join(tmpdir(), "platewright-bench-"));
const outfile = join(folder, "measure.mjs");
await build({
  entryPoints: ["benchmarks/measure.ts"],
  outfile,
  bundle: true,
  platform: "node",
  format: "esm",
  target: "node20",
  logLevel: "warning",
});
const { status } = spawnSync(process.execPath, [outfile], { stdio: "inherit" });
rmSync(folder, { recursive: true });
process.exitCode = status ?? 1;
