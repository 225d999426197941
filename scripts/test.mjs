// npm test: installs what is missing, then types, format, lint with import boundaries, build, unit, property and browser tests, outside
// checks. A check that lacks a tool from outside npm is counted as skipped; with CI=true a skip is a failure.
// The last line counts.
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const MISSING_TOOL = 77;
const status = (command, args) => spawnSync(command, args, { stdio: "inherit" }).status ?? 1;

if (!existsSync(join("node_modules", "vitest")) && status("npm", ["ci"]) !== 0) {
  console.log("0 passed, 1 failed");
  process.exit(1);
}

let passed = 0;
let failed = 0;
let skipped = 0;
const step = (name, code) => {
  if (code === MISSING_TOOL) skipped++;
  else if (code === 0) passed++;
  else failed++;
  console.log(`${code === 0 ? "ok  " : code === MISSING_TOOL ? "skip" : "FAIL"} ${name}`);
};

step("types", status("npx", ["tsc", "-p", "tsconfig.json"]));
step("format", status("npx", ["biome", "format", "."]));
step("lint and import boundaries", status("npx", ["oxlint", "--type-aware"]));
step("unused code", status("npx", ["knip"]));
// The tests in a real browser run what a builder runs.
step("build", status("node", ["scripts/build.mjs"]));

const folder = mkdtempSync(join(tmpdir(), "platewright-"));
const report = join(folder, "report.json");
status("npx", ["vitest", "run", "--reporter=default", "--reporter=json", `--outputFile.json=${report}`]);
if (existsSync(report)) {
  const counts = JSON.parse(readFileSync(report, "utf8"));
  passed += counts.numPassedTests;
  failed += counts.numFailedTests;
  // A file that cannot be loaded has no failed test of its own.
  if (counts.numFailedTestSuites > 0 && counts.numFailedTests === 0) failed++;
  skipped += counts.numPendingTests + (counts.numTodoTests ?? 0);
} else failed++;
rmSync(folder, { recursive: true, force: true });

if (existsSync("checks/scipy/compare.mjs"))
  step("SciPy fixtures made again and compared", status("node", ["checks/scipy/compare.mjs"]));

if (process.env.CI === "true" && skipped > 0) {
  console.log(`${skipped} skipped: with CI=true nothing may be.`);
  failed += skipped;
  skipped = 0;
}
console.log(`${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ""}`);
process.exit(failed === 0 ? 0 : 1);
