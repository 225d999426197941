/** The verb as a builder types it: everything or nothing, the same bytes for the same revision, and sentences for bad input. */
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { type Io, processIo } from "../io.ts";
import { run } from "../run.ts";
import { toCsv } from "../writers/csv.ts";
import { toPdf, writeFolder } from "../writers/index.ts";

const folder = mkdtempSync(join(tmpdir(), "platewright-pack-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const DEMO = "examples/hearth/hearth.design.json";

function pack(words: readonly string[], today = "2026-12-01") {
  let [out, error] = ["", ""];
  const io: Io = {
    ...processIo(),
    out: (text) => void (out += text),
    error: (text) => void (error += text),
    pack: { toPdf, writeFolder, today: () => today },
  };
  const status = run(["pack", ...words], io);
  return { status, out, error };
}

const bytesOf = (path: string) =>
  Object.fromEntries(
    readdirSync(path)
      .sort()
      .map((name) => [name, readFileSync(join(path, name)).toString("base64")]),
  );

interface Manifest {
  readonly revision: string;
  readonly date: string;
  readonly files: readonly { readonly kind: string; readonly file: string; readonly sha256: string }[];
}
const manifestOf = (path: string): Manifest =>
  JSON.parse(readFileSync(join(path, "manifest.json"), "utf8")) as Manifest;

test("the demo's pack is whole, its manifest true, and made again it has the same bytes", () => {
  const [first, second] = [join(folder, "a"), join(folder, "b")];
  expect(pack([DEMO, "--out", first]).status).toBe(0);
  expect(pack([DEMO, "--out", second], "2031-01-01").status).toBe(0);
  expect(bytesOf(second)).toEqual(bytesOf(first));
  const manifest = manifestOf(first);
  expect(manifest).toMatchObject({ revision: "A", date: "2026-11-25" });
  expect([...manifest.files.map((one) => one.file), "manifest.json"].sort()).toEqual(readdirSync(first).sort());
  for (const { file, sha256 } of manifest.files)
    expect(
      createHash("sha256")
        .update(readFileSync(join(first, file)))
        .digest("hex"),
    ).toBe(sha256);
  for (const kind of [
    "parts-list",
    "schematic",
    "wiring",
    "ground-and-heaters",
    "bench-sheet",
    "measurement-sheet",
    "safety-slip",
    "technical-file",
    "owner-sheet",
    "price-sheet",
    "pack",
  ])
    expect(manifest.files.map((one) => one.kind)).toContain(kind);
  expect(pack([DEMO, "--out", first]).status).toBe(0);
  expect(readdirSync(folder).filter((name) => /writing|before/.test(name))).toEqual([]);
});

test("what was changed after the last cut is a draft of today", () => {
  const file = JSON.parse(readFileSync(DEMO, "utf8")) as { now: { name: string } };
  file.now.name = "Changed box";
  const path = join(folder, "changed.json");
  writeFileSync(path, JSON.stringify(file));
  expect(pack([path, "--out", join(folder, "c")]).status).toBe(0);
  expect(manifestOf(join(folder, "c"))).toMatchObject({ revision: "draft", date: "2026-12-01" });
  expect(pack([path, "--out", join(folder, "d"), "--revision", "A"]).status).toBe(0);
  expect(manifestOf(join(folder, "d")).revision).toBe("A");
});

test("a name that cannot be printed is named, and nothing is written", () => {
  const file = JSON.parse(readFileSync(DEMO, "utf8")) as { now: { name: string } };
  file.now.name = "炉 line box";
  const path = join(folder, "glyph.json");
  writeFileSync(path, JSON.stringify(file));
  const done = pack([path, "--out", join(folder, "never")]);
  expect(done).toMatchObject({ status: 2, out: "" });
  expect(done.error).toMatch(/U\+7089/);
  expect(existsSync(join(folder, "never"))).toBe(false);
});

test("a folder with other things in it stays as it is", () => {
  const path = join(folder, "mine");
  mkdirSync(path);
  writeFileSync(join(path, "letter.txt"), "dear");
  const done = pack([DEMO, "--out", path]);
  expect(done.status).toBe(2);
  expect(done.error).toMatch(/holds other things/);
  expect(readdirSync(path)).toEqual(["letter.txt"]);
});

test.each([
  [["--paper", "B5"], /A4, A3 or Letter/],
  [["--date", "tomorrow"], /2026-11-25/],
  [["--revision", "Z"], /it has A/],
  [["--prices", "package.json"], /package\.json/],
])("bad input is one sentence: %s", (flags, sentence) => {
  const done = pack([DEMO, "--out", join(folder, "bad"), ...flags]);
  expect(done.status).toBe(2);
  expect(done.error).toMatch(sentence);
  expect(done.error.trim().split("\n")).toHaveLength(1);
  expect(existsSync(join(folder, "bad"))).toBe(false);
});

test("CSV: commas, quotes and breaks are kept; a formula stays text", () => {
  expect(
    toCsv([
      ["a,b", 'say "x"', "two\nlines"],
      ["=1+1", "-5", "µ Ω"],
    ]),
  ).toBe('\uFEFF"a,b","say ""x""","two\nlines"\r\n\'=1+1,-5,µ Ω\r\n');
});
