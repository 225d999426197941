/** The verb as a builder types it: holes, ways, an outline brought in, and sentences for bad input. */
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { readDesign } from "@platewright/design";
import { cutDrawing } from "@platewright/drawing";
import { afterAll, expect, test } from "vitest";
import { processIo } from "../io.ts";
import { run } from "../run.ts";
import { toDxf } from "../writers/dxf.ts";
import { demo, judgedOf } from "../writers/test-plates.ts";

const folder = mkdtempSync(join(tmpdir(), "platewright-chassis-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const DEMO = "examples/hearth/hearth.design.json";

function chassis(...words: readonly string[]) {
  let [out, error] = ["", ""];
  const status = run(["chassis", ...words], {
    ...processIo(),
    out: (text) => void (out += text),
    error: (text) => void (error += text),
  });
  return { status, out, error };
}

const inFolder = (name: string, text: string): string => {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
};

/** The demo's plate as our own DXF. */
function demoDxf(): string {
  const drawing = cutDrawing(judgedOf(demo().chassis), { face: "top" });
  if (!drawing.ok) throw new Error(drawing.failure.sentence);
  const text = toDxf(drawing.value);
  if (!text.ok) throw new Error(text.failure.sentence);
  return inFolder("plate.dxf", text.value);
}

test("the demo: every hole with its place, its size and its work", () => {
  const done = chassis(DEMO);
  expect(done.status).toBe(0);
  expect(done.out).toMatch(/33 holes: 33 there/);
  expect(done.out).toMatch(/V3\/screw-a +165 +142\.3 +3\.2/);
  expect(done.out).toMatch(/Danger, lethal voltage/);
});

test("a part over a hole that is too large: it stops, and every way is said with its cost", () => {
  const file = JSON.parse(readFileSync(DEMO, "utf8")) as { now: { chassis: { items: { id: string }[] } } };
  const v3 = file.now.chassis.items.find((one) => one.id === "V3") ?? { id: "" };
  Object.assign(v3, { footprint: "7-pin-saddle-above", degrees: 0 });
  const path = inFolder("seven.json", JSON.stringify(file));
  const done = chassis(path);
  expect(done.status).toBe(1);
  expect(done.out).toMatch(/V3\/body .* IN THE WAY: H3/);
  expect(done.out).toMatch(/H3 is in the way of V3\. Ways:/);
  expect(done.out).toMatch(/Adapter ring on H3, 22 mm → 16 mm/);
  const json = JSON.parse(chassis(path, "--json").out) as { ways: { by: string; fix?: unknown }[] };
  const ring = json.ways.find((one) => one.by === "adapter-ring");
  expect(ring?.fix).toMatchObject({
    changes: expect.arrayContaining([expect.objectContaining({ target: "chassis.salvage" })]) as unknown,
  });
});

test("an outline is brought in: sizes and holes as drawn, parts stay, the design itself is untouched", () => {
  const before = readFileSync(DEMO, "utf8");
  const out = join(folder, "brought.json");
  const done = chassis(DEMO, "--import", demoDxf(), "--out", out);
  expect(done.error).toBe("");
  expect(done.status).toBe(0);
  expect(done.out).toMatch(/300 × 180 mm, 33 holes; written to/);
  expect(done.out).toMatch(/33 holes: 33 there/);
  const read = readDesign(readFileSync(out, "utf8"));
  if (!read.ok) throw new Error(read.failure.sentence);
  expect(read.value.now.chassis?.holes).toHaveLength(33);
  expect(read.value.now.chassis?.items).toEqual(demo().chassis.items);
  expect(read.value.now.chassis?.plate).toMatchObject({ thicknessMillimetres: 2, finish: "powder-coat" });
  expect(readFileSync(DEMO, "utf8")).toBe(before);
  const planned = join(folder, "planned.json");
  expect(chassis(DEMO, "--import", demoDxf(), "--out", planned, "--holes", "planned").out).toMatch(/33 holes: 33 cut/);
});

const UNITLESS =
  "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\n0\n90\n4\n70\n1\n10\n0\n20\n0\n10\n30\n20\n0\n10\n30\n20\n18\n10\n0\n20\n18\n0\nENDSEC\n0\nEOF\n";

test("units that the drawing does not state are asked for", () => {
  const dxf = inFolder("unitless.dxf", UNITLESS);
  const out = join(folder, "unitless.json");
  const done = chassis(DEMO, "--import", dxf, "--out", out);
  expect(done.status).toBe(2);
  expect(done.error).toMatch(/states no unit .*measures 30 × 18.* --units/);
  expect(existsSync(out)).toBe(false);
  expect(chassis(DEMO, "--import", dxf, "--out", out, "--units", "cm").out).toMatch(/300 × 180 mm, 0 holes/);
});

test.each([
  ["not a DXF", ["--import", "package.json", "--out", "x.json"], /package\.json is not a DXF/],
  ["no such file", ["--import", "nowhere.dxf", "--out", "x.json"], /nowhere\.dxf: there is no such file/],
  ["no place to write", ["--import", "package.json"], /--import needs --out/],
  ["over the design itself", ["--import", "package.json", "--out", DEMO], /is the design itself/],
  ["a place without an import", ["--out", "x.json"], /--out goes with --import/],
  ["units of another world", ["--import", "package.json", "--out", "x.json", "--units", "ell"], /'ell' is not known/],
  [
    "holes of another kind",
    ["--import", "package.json", "--out", "x.json", "--holes", "maybe"],
    /'maybe' is not known/,
  ],
])("%s is one sentence, and nothing is written", (_name, flags, sentence) => {
  const done = chassis(DEMO, ...flags);
  expect(done).toMatchObject({ status: 2, out: "" });
  expect(done.error).toMatch(sentence);
  expect(done.error.trim().split("\n")).toHaveLength(1);
  expect(existsSync("x.json")).toBe(false);
});

test("a plate that is not one makes no design", () => {
  const circle = UNITLESS.replace(/LWPOLYLINE[\s\S]*?0\nENDSEC/, "CIRCLE\n8\n0\n10\n5\n20\n5\n40\n50\n0\nENDSEC");
  const done = chassis(
    DEMO,
    "--import",
    inFolder("round.dxf", circle),
    "--out",
    join(folder, "round.json"),
    "--units",
    "mm",
  );
  expect(done.status).toBe(2);
  expect(done.error).toMatch(/circle of 100 mm as its largest outline/);
});

test("a design without a chassis says so", () => {
  const file = JSON.parse(readFileSync(DEMO, "utf8")) as { now: { chassis?: unknown } };
  delete file.now.chassis;
  const path = inFolder("bare.json", JSON.stringify(file));
  expect(chassis(path).error).toMatch(/has no chassis/);
  const out = join(folder, "bare-out.json");
  expect(chassis(path, "--import", demoDxf(), "--out", out).status).toBeLessThan(2);
  expect(readFileSync(out, "utf8")).toMatch(/"thicknessMillimetres": 2/);
});
