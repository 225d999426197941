import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { expect, test } from "vitest";

/** Lints one planted file under the project's own rules. */
function lint(path: string, source: string): { readonly status: number | null; readonly words: string } {
  const folder = mkdtempSync(join(tmpdir(), "platewright-"));
  cpSync(".oxlintrc.json", join(folder, ".oxlintrc.json"));
  mkdirSync(dirname(join(folder, path)), { recursive: true });
  writeFileSync(join(folder, path), source);
  const done = spawnSync(join(process.cwd(), "node_modules", ".bin", "oxlint"), ["-c", ".oxlintrc.json", "."], {
    cwd: folder,
    encoding: "utf8",
  });
  rmSync(folder, { recursive: true, force: true });
  return { status: done.status, words: done.stdout + done.stderr };
}

test.each([
  [
    "web takes a value from the workshop",
    "web/src/planted.ts",
    'import { run } from "@platewright/workshop";\nrun([]);\n',
  ],
  [
    "web takes a type from the workshop",
    "web/src/planted.ts",
    'import type { Store } from "@platewright/workshop";\nexport type S = Store;\n',
  ],
  [
    "the page takes a Node module",
    "web/src/app/planted.tsx",
    'import { readFileSync } from "node:fs";\nreadFileSync("x");\n',
  ],
  [
    "the client takes a Node module",
    "workshop/src/client/planted.ts",
    'import { readFileSync } from "node:fs";\nreadFileSync("x");\n',
  ],
  [
    "engine takes a value from design",
    "engine/src/planted.ts",
    'import { expand } from "@platewright/design";\nexpand();\n',
  ],
  [
    "engine takes a type from library",
    "engine/src/planted.ts",
    'import type { Wish } from "@platewright/library";\nexport type W = Wish;\n',
  ],
  [
    "engine takes a Node module",
    "engine/src/planted.ts",
    'import { readFileSync } from "node:fs";\nreadFileSync("x");\n',
  ],
  [
    "library takes a type from design",
    "library/src/planted.ts",
    'import type { Document } from "@platewright/design";\nexport type D = Document;\n',
  ],
  [
    "design takes a value from library",
    "design/src/planted.ts",
    'import { openCatalogue } from "@platewright/library";\nopenCatalogue();\n',
  ],
  [
    "design takes a type from workshop",
    "design/src/limits/planted.ts",
    'import type { Io } from "@platewright/workshop";\nexport type I = Io;\n',
  ],
  [
    "design takes a type from drawing",
    "design/src/planted.ts",
    'import type { Scene } from "@platewright/drawing";\nexport type S = Scene;\n',
  ],
  [
    "library takes a type from drawing",
    "library/src/planted.ts",
    'import type { Scene } from "@platewright/drawing";\nexport type S = Scene;\n',
  ],
  [
    "engine takes a value from drawing",
    "engine/src/planted.ts",
    'import { toSvg } from "@platewright/drawing";\ntoSvg();\n',
  ],
  [
    "drawing takes a type from library",
    "drawing/src/planted.ts",
    'import type { Wish } from "@platewright/library";\nexport type W = Wish;\n',
  ],
  [
    "drawing takes a value from workshop",
    "drawing/src/plots/planted.ts",
    'import { run } from "@platewright/workshop";\nrun();\n',
  ],
  [
    "drawing takes a type from web",
    "drawing/src/planted.ts",
    'import type { Screen } from "@platewright/web";\nexport type S = Screen;\n',
  ],
  [
    "drawing takes a Node module",
    "drawing/src/planted.ts",
    'import { writeFileSync } from "node:fs";\nwriteFileSync("x", "");\n',
  ],
  [
    "workshop reaches into the drawing room by path",
    "workshop/src/planted.ts",
    'import { toSvg } from "../../drawing/src/svg.ts";\ntoSvg();\n',
  ],
  [
    "workshop reaches into a room by path",
    "workshop/src/planted.ts",
    'import { ok } from "../../engine/src/result.ts";\nok(1);\n',
  ],
])("the lint refuses: %s", (_, path, source) => {
  const { status, words } = lint(path, source);
  expect(status).not.toBe(0);
  expect(words).toMatch(/no-restricted-imports/);
});

test.each([
  [
    "web takes the workshop's client",
    "web/src/planted.ts",
    'import { workshopAt } from "@platewright/workshop/client";\nworkshopAt();\n',
  ],
  ["design takes engine", "design/src/planted.ts", 'import { ok } from "@platewright/engine";\nok(1);\n'],
  ["drawing takes engine", "drawing/src/planted.ts", 'import { ok } from "@platewright/engine";\nok(1);\n'],
  ["drawing takes design", "drawing/src/planted.ts", 'import { expand } from "@platewright/design";\nexpand();\n'],
  ["workshop takes drawing", "workshop/src/planted.ts", 'import { toSvg } from "@platewright/drawing";\ntoSvg();\n'],
])("the lint accepts an import that points downward by package name: %s", (_, path, source) => {
  const { status, words } = lint(path, source);
  expect(words).not.toMatch(/no-restricted-imports/);
  expect(status).toBe(0);
});
