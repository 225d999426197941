/**
 * Every page of the demo's pack as a small picture that was looked at, against what poppler renders today. A few pixels may
 * differ as letters are smoothed. `UPDATE_GOLDENS=1` writes them anew; look at them before keeping.
 */
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import pixelmatch from "pixelmatch";
import { PNG } from "pngjs";
import { afterAll, describe, expect, test } from "vitest";
import { processIo } from "../io.ts";
import { run } from "../run.ts";
import { toPdf, toZip, writeFolder } from "../writers/index.ts";

const GOLDENS = "workshop/src/commands/goldens";
const DOTS_PER_INCH = 36;
/** Share of pixels that may differ by more than a shade. */
const ALLOWED = 0.002;

const folder = mkdtempSync(join(tmpdir(), "platewright-pictures-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function pages(): ReadonlyMap<string, PNG> {
  const out = join(folder, "pack");
  const shop = ["--shelf", "examples/hearth/shelf.json", "--prices", "examples/hearth/prices.json"];
  const status = run(["pack", "examples/hearth/hearth.design.json", "--out", out, ...shop], {
    ...processIo(),
    out: () => undefined,
    error: () => undefined,
    pack: { toPdf, toZip, writeFolder, today: () => "2026-11-25" },
  });
  expect(status).toBe(0);
  const drawn = join(folder, "drawn");
  mkdirSync(drawn);
  for (const name of readdirSync(out).filter((one) => one.endsWith(".pdf") && one !== "pack.pdf")) {
    const to = join(drawn, name.replace(".pdf", ""));
    const done = spawnSync("pdftoppm", ["-r", String(DOTS_PER_INCH), "-gray", "-png", join(out, name), to]);
    expect(done.status).toBe(0);
  }
  return new Map(
    readdirSync(drawn)
      .sort()
      .map((name) => [name, PNG.sync.read(readFileSync(join(drawn, name)))]),
  );
}

describe.skipIf(!existsSync("/usr/bin/pdftoppm"))("pages of the demo's pack", { timeout: 60_000 }, () => {
  test("are as they were looked at, every one, and no other", () => {
    const drawn = pages();
    if (process.env["UPDATE_GOLDENS"] === "1") {
      rmSync(GOLDENS, { recursive: true, force: true });
      mkdirSync(GOLDENS, { recursive: true });
      for (const [name, png] of drawn)
        writeFileSync(join(GOLDENS, name), PNG.sync.write(png, { colorType: 0, inputColorType: 6 }));
    }
    expect(readdirSync(GOLDENS).sort()).toEqual([...drawn.keys()]);
    for (const [name, now] of drawn) {
      const golden = PNG.sync.read(readFileSync(join(GOLDENS, name)));
      expect([name, now.width, now.height]).toEqual([name, golden.width, golden.height]);
      const differing = pixelmatch(golden.data, now.data, undefined, golden.width, golden.height, { threshold: 0.2 });
      expect(differing / (golden.width * golden.height), name).toBeLessThan(ALLOWED);
    }
  });
});
