// npm test: installs what is missing, then types, unit and property tests. The last line counts passed and failed.
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const run = (command, args) => spawnSync(command, args, { stdio: "inherit" }).status === 0;

if (!existsSync("node_modules") && !run("npm", ["ci"])) process.exit(1);

let passed = 0;
let failed = 0;
const step = (name, good) => {
  if (good) passed++;
  else failed++;
  console.log(`${good ? "ok  " : "FAIL"} ${name}`);
};

step("types", run("npx", ["tsc", "-p", "tsconfig.json"]));
const report = join(mkdtempSync(join(tmpdir(), "platewright-")), "report.json");
run("npx", ["vitest", "run", "--reporter=default", "--reporter=json", `--outputFile.json=${report}`]);
if (existsSync(report)) {
  const counts = JSON.parse(readFileSync(report, "utf8"));
  passed += counts.numPassedTests;
  failed += counts.numFailedTests + (counts.numFailedTestSuites > 0 && counts.numFailedTests === 0 ? 1 : 0);
} else failed++;

console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
