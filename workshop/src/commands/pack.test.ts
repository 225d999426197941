/** The verb as a builder types it: everything or nothing, the same bytes for the same revision, and sentences for bad input. */
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { unzipSync } from "fflate";
import { afterAll, expect, test } from "vitest";
import { type Io, processIo } from "../io.ts";
import { run } from "../run.ts";
import { toCsv } from "../writers/csv.ts";
import { toPdf, toZip, writeFolder } from "../writers/index.ts";

const folder = mkdtempSync(join(tmpdir(), "platewright-pack-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const DEMO = "examples/hearth/hearth.design.json";

function pack(words: readonly string[], today = "2026-12-01") {
  let [out, error] = ["", ""];
  const io: Io = {
    ...processIo(),
    out: (text) => void (out += text),
    error: (text) => void (error += text),
    pack: { toPdf, toZip, writeFolder, today: () => today },
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
    "template",
    "fabricator",
    "plate-dxf",
    "plate-underside-dxf",
    "plate-svg",
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

interface DemoFile {
  readonly now: {
    readonly chassis: {
      plate: Record<string, unknown>;
      items: { id: string; footprint: string; x: number; degrees: number }[];
      holes: { id: string; x: number; shape: Record<string, unknown> }[];
      salvage?: { hole: string; item: string; by: string }[];
    };
  };
}
function changed(name: string, change: (chassis: DemoFile["now"]["chassis"]) => void): string {
  const file = JSON.parse(readFileSync(DEMO, "utf8")) as DemoFile;
  change(file.now.chassis);
  const path = join(folder, `${name}.json`);
  writeFileSync(path, JSON.stringify(file));
  return path;
}
const item = (chassis: DemoFile["now"]["chassis"], id: string) => {
  const found = chassis.items.find((one) => one.id === id);
  if (found === undefined) throw new Error(`the demo has ${id}`);
  return found;
};

test("a ring over a hole has a DXF of its own, and the zip holds what the folder holds", () => {
  const path = changed("ring", (chassis) => {
    Object.assign(item(chassis, "V3"), { footprint: "7-pin-saddle-above", degrees: 0 });
    chassis.salvage = [{ hole: "H3", item: "V3", by: "adapter-ring" }];
  });
  const [one, other] = [join(folder, "ring-a"), join(folder, "ring-b")];
  expect(pack([path, "--out", one, "--zip"]).status).toBeLessThan(2);
  expect(pack([path, "--out", other, "--zip"]).status).toBeLessThan(2);
  expect(manifestOf(one).files.map((file) => [file.kind, file.file])).toContainEqual(["ring-v3-dxf", "ring-v3.dxf"]);
  expect(bytesOf(other)).toEqual(bytesOf(one));
  const unpacked = unzipSync(readFileSync(join(one, "pack.zip")));
  const rest = readdirSync(one).filter((name) => name !== "pack.zip");
  expect(Object.keys(unpacked).sort()).toEqual(rest.sort());
  for (const name of rest) expect(Buffer.from(unpacked[name] ?? []).equals(readFileSync(join(one, name)))).toBe(true);
});

test.each([
  [
    "a part without a footprint",
    (c) => void (item(c, "V1").footprint = "nobody-knows"),
    /V1 has the footprint nobody-knows/,
  ],
  [
    "a hole past the plate",
    (c) => void ((c.holes.length = 0), (item(c, "V1").x = 5)),
    /V1 .* reaches .* mm past the plate/,
  ],
  ["a hole of its own past the plate", (c) => void (c.holes[0] = { ...c.holes[0], x: -40 } as never), /holes\[H1\]/],
  ["a negative radius", (c) => void (c.plate.cornerRadiusMillimetres = -3), /cornerRadiusMillimetres/],
  [
    "a negative diameter",
    (c) => void (c.holes[0] = { ...c.holes[0], shape: { kind: "circle", diameterMillimetres: -22 } } as never),
    /diameterMillimetres/,
  ],
  ["a plate of no thickness", (c) => void (c.plate.thicknessMillimetres = 0), /thicknessMillimetres/],
  [
    "a flange lower than its bend",
    (c) => void (c.plate.bends = [{ edge: "rear", insideRadiusMillimetres: 4, flangeMillimetres: 5 }]),
    /flange of 5 mm is lower/,
  ],
  ["a name that a DXF cannot hold", (c) => void Object.assign(item(c, "DRIVE"), { label: "Ω 驱" }), /U\+9A71/],
] as const satisfies readonly (readonly [string, (chassis: DemoFile["now"]["chassis"]) => void, RegExp])[])(
  "%s: one sentence, and nothing is written",
  (name, change, sentence) => {
    const done = pack([changed("bad", change), "--out", join(folder, "half")]);
    expect(done, name).toMatchObject({ status: 2, out: "" });
    expect(done.error).toMatch(sentence);
    expect(done.error.trim().split("\n")).toHaveLength(1);
    expect(readdirSync(folder).filter((one) => one.startsWith("half"))).toEqual([]);
  },
);

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
