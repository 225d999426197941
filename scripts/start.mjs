// npm start: installs what is missing, builds the command line and the page, and serves the workbench.
// `npm start -- --port 5000` hands its flags to `platewright serve`.
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";

const npm = (...words) =>
  spawnSync("npm", words, { stdio: "inherit", shell: process.platform === "win32" }).status ?? 1;

const { dependencies, devDependencies } = JSON.parse(readFileSync("package.json", "utf8"));
const needed = Object.keys({ ...dependencies, ...devDependencies });
if (needed.some((name) => !existsSync(join("node_modules", name))) && npm("ci") !== 0) process.exit(1);

const sqliteLoads = () => {
  try {
    const Database = createRequire(import.meta.url)("better-sqlite3");
    new Database(":memory:").close();
    return true;
  } catch {
    return false;
  }
};
if (!sqliteLoads()) {
  // Built for another Node, or its build was skipped when it was installed.
  npm("rebuild", "better-sqlite3");
  if (spawnSync(process.execPath, ["-e", 'new (require("better-sqlite3"))(":memory:")']).status !== 0) {
    console.error(
      "SQLite cannot be loaded, and no ready-made one fits this machine: install Python 3, make and a C++ compiler, then run npm start again.",
    );
    process.exit(1);
  }
}

const built = spawnSync(process.execPath, ["scripts/build.mjs"], { stdio: "inherit" }).status ?? 1;
if (built !== 0) process.exit(1);

// In this process, so that signals reach the server.
process.argv.splice(2, 0, "serve");
await import("../dist/platewright.mjs");
