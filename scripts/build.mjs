// Builds what `npm start` serves: the command line with its data into dist/platewright.mjs, the page into dist/web.
import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { extname, join } from "node:path";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import { build } from "esbuild";
import { build as buildPage } from "vite";

rmSync("dist/parts", { recursive: true, force: true });
await build({
  entryPoints: { platewright: "workshop/src/main.ts" },
  outdir: "dist",
  outExtension: { ".js": ".mjs" },
  // The server, and SQLite with it, is a part of its own: other verbs start without them.
  splitting: true,
  chunkNames: "parts/[name]-[hash]",
  bundle: true,
  platform: "node",
  format: "esm",
  target: "node20",
  // A native addon is found by its package, not in a bundle.
  external: ["better-sqlite3"],
  // commander is CommonJS and asks for Node's own modules at run time.
  banner: {
    js: 'import { createRequire as makeRequire } from "node:module";\nconst require = makeRequire(import.meta.url);',
  },
  logLevel: "warning",
});

await buildPage({ configFile: "web/vite.config.ts", logLevel: "warn" });

// Compressed once here as well as it goes, instead of at every request.
const COMPRESSED = new Set([".html", ".css", ".js", ".svg", ".json"]);
const page = "dist/web";
for (const file of readdirSync(page, { withFileTypes: true, recursive: true })) {
  if (!file.isFile() || !COMPRESSED.has(extname(file.name))) continue;
  const path = join(file.parentPath, file.name);
  const bytes = readFileSync(path);
  writeFileSync(`${path}.gz`, gzipSync(bytes, { level: 9 }));
  writeFileSync(
    `${path}.br`,
    brotliCompressSync(bytes, { params: { [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length } }),
  );
}
