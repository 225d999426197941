/** One file of a script and all it needs, so that a process of it starts at once. */
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { build } from "esbuild";

export async function bundled(script: string, name: string): Promise<string> {
  const folder = join("node_modules", ".cache", "platewright");
  mkdirSync(folder, { recursive: true });
  const outfile = join(folder, `${name}-${process.pid}.mjs`);
  await build({
    entryPoints: [script],
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    target: "node20",
    external: ["better-sqlite3"],
    banner: {
      js: 'import { createRequire as makeRequire } from "node:module";\nconst require = makeRequire(import.meta.url);',
    },
    logLevel: "warning",
  });
  return outfile;
}
