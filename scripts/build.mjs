// Bundles the command line with its data into dist/platewright.mjs.
import { build } from "esbuild";

await build({
  entryPoints: ["workshop/src/main.ts"],
  outfile: "dist/platewright.mjs",
  bundle: true,
  platform: "node",
  format: "esm",
  target: "node20",
  // commander is CommonJS and asks for Node's own modules at run time.
  banner: {
    js: 'import { createRequire as makeRequire } from "node:module";\nconst require = makeRequire(import.meta.url);',
  },
  logLevel: "warning",
});
