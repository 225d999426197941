/** What comes in from outside: exports, design files, shelves, archives; good ones once, bad ones not at all. */
import { readFileSync } from "node:fs";
import { seededRandom } from "@platewright/engine";
import { unzipSync, zipSync } from "fflate";
import { afterAll, describe, expect, test } from "vitest";
import { canonicalJson, sha256 } from "./canonical.ts";
import { sumOfDesign } from "./export.ts";
import type { Store } from "./store.ts";
import { codeOf, DEMO, handOf, testFolder, testStore, valueOf } from "./test-shop.ts";

const folder = testFolder();
afterAll(folder.remove);

const bytesOf = (value: unknown): Uint8Array =>
  new TextEncoder().encode(typeof value === "string" ? value : JSON.stringify(value));

const hearth = readFileSync("examples/hearth/hearth.design.json");

/** A shop with two lines, a sibling and a second revision. */
function full(name: string): Store {
  const store = folder.shop(name);
  const { document, line } = valueOf(store.open(DEMO));
  valueOf(store.keep(DEMO, "now", { after: line.seq, steps: [handOf(1)(document)] }));
  valueOf(store.keep(DEMO, "now", { after: line.seq, steps: [handOf(2)(document)] }));
  valueOf(store.cut(DEMO, { line: "now", seq: line.seq + 1, id: "B", note: "Second" }));
  valueOf(store.pin(DEMO, "B"));
  valueOf(store.branch(DEMO, { name: "Wilder", from: { revision: "B" }, why: "branch" }));
  return store;
}

describe("one design", () => {
  test("an export comes in once; the same again is already here; another of its name stands beside it", () => {
    const from = full("from.sqlite");
    const exported = valueOf(from.exportDesign(DEMO, "now"));
    expect(exported.sha256).toBe(sumOfDesign(exported.design));
    const to = testStore(folder.path("to.sqlite"), { demo: false });
    expect(valueOf(to.bringIn(bytesOf(exported)))).toEqual([
      { outcome: "added", design: DEMO, name: "Hearth line box" },
    ]);
    expect(valueOf(to.bringIn(bytesOf(exported)))).toEqual([
      { outcome: "already-here", design: DEMO, name: "Hearth line box" },
    ]);
    expect(valueOf(to.exportDesign(DEMO))).toEqual(exported);
    const open = valueOf(to.open(DEMO));
    expect(open.line.why).toBe("imported");
    expect(open.design.proven).toBe("B");
    // Each revision stands where the line held its document.
    for (const { id, line, seq } of open.revisions) {
      const branch = valueOf(to.branch(DEMO, { name: `At ${id}`, from: { line, seq }, why: "branch" }));
      const held = valueOf(to.open(DEMO, branch.key)).document;
      expect(canonicalJson(held)).toBe(canonicalJson(open.revisions.find((one) => one.id === id)?.document));
    }
    const changed = { ...exported.design, now: { ...exported.design.now, note: "Another" } };
    const other = { ...exported, design: changed, sha256: sumOfDesign(changed) };
    expect(valueOf(to.bringIn(bytesOf(other)))).toEqual([
      { outcome: "added-beside", design: `${DEMO}-2`, name: "Hearth line box (2)" },
    ]);
    expect(valueOf(to.exportDesign(DEMO, "now"))).toEqual(exported);
    from.close();
    to.close();
  });

  test("a plain design file comes in, one of an earlier form too", () => {
    const store = testStore(folder.path("plain.sqlite"), { demo: false });
    expect(valueOf(store.bringIn(hearth))[0]?.outcome).toBe("added");
    const early = hearth.toString().replaceAll('"largestInputVolts"', '"maximumInputVolts"');
    const early2 = JSON.stringify({ ...(JSON.parse(early) as object), migrations: [] });
    expect(valueOf(store.bringIn(bytesOf(early2)))[0]?.outcome).toBe("already-here");
    store.close();
  });

  test("what is altered, cut, or something else is refused in words and changes nothing", () => {
    const store = full("altered.sqlite");
    const before = valueOf(store.archive());
    const exported = valueOf(store.exportDesign(DEMO));
    const refused = (value: unknown) => codeOf(store.bringIn(value instanceof Uint8Array ? value : bytesOf(value)));
    expect(refused({ ...exported, design: { ...exported.design, proven: "A" } })).toBe("checksum");
    expect(refused({ ...exported, sha256: "00" })).toBe("not-understood");
    expect(refused({ format: exported.format, sha256: exported.sha256 })).toBe("not-understood");
    const broken = { ...exported.design, now: { ...exported.design.now, instances: [] } };
    expect(refused({ ...exported, design: broken, sha256: sumOfDesign(broken) })).toBe("not-a-design");
    expect(refused(hearth.subarray(0, 2000))).toBe("not-a-design");
    expect(refused("")).toBe("not-a-design");
    expect(refused("[]")).toBe("not-a-design");
    expect(refused(new Uint8Array([0xff, 0xfe, 0, 1]))).toBe("not-text");
    expect(refused(`${"[".repeat(200_000)}${"]".repeat(200_000)}`)).toBe("not-understood");
    expect(refused(new Uint8Array(12_000_000))).toBe("too-large");
    expect(refused({ format: "platewright/shelf@1", name: "x" })).toBe("not-a-shelf");
    expect(valueOf(store.archive())).toEqual(before);
    store.close();
  });
});

describe("shelf", () => {
  const other = {
    format: "platewright/shelf@1",
    name: "Left cupboard",
    tubes: [{ type: "5687", count: 9 }],
    transformers: [],
    resistors: [],
    capacitors: [],
  };

  test("that of the demo gives way, ours stays and theirs is one redo away", () => {
    const store = folder.shop("shelf.sqlite");
    expect(valueOf(store.bringIn(bytesOf(other)))).toEqual([
      { outcome: "added", design: "shelf", name: "Left cupboard" },
    ]);
    expect(valueOf(store.shelf()).shelf).toEqual(other);
    expect(valueOf(store.bringIn(bytesOf(other)))[0]?.outcome).toBe("already-here");
    const third = { ...other, name: "Right cupboard" };
    expect(valueOf(store.bringIn(bytesOf(third)))[0]?.outcome).toBe("added-beside");
    const { shelf, steps } = valueOf(store.shelf());
    expect(shelf).toEqual(other);
    expect(steps.at(-1)?.undoes).toBe(steps.at(-2)?.id);
    const again = { id: "3f2504e0-4f89-41d3-9a0c-0305e82c3301", title: "Again", changes: steps.at(-2)?.changes ?? [] };
    valueOf(store.keepShelf({ after: steps.length, steps: [again] }));
    expect(valueOf(store.shelf()).shelf).toEqual(third);
    store.close();
  });
});

describe("archive", () => {
  test("the same shop gives the same bytes, and another shop gets all of it", () => {
    const from = full("archive.sqlite");
    const bytes = valueOf(from.archive());
    expect(valueOf(from.archive())).toEqual(bytes);
    from.close();
    const again = testStore(folder.path("archive.sqlite"));
    expect(valueOf(again.archive())).toEqual(bytes);
    expect(valueOf(again.bringIn(bytes)).map((one) => one.outcome)).toEqual(["already-here", "already-here"]);
    const to = testStore(folder.path("archive-to.sqlite"), { demo: false });
    expect(valueOf(to.bringIn(bytes)).map((one) => one.outcome)).toEqual(["added", "added"]);
    expect(designMember(valueOf(to.archive()))).toBe(designMember(bytes));
    expect(valueOf(to.shop()).designs).toEqual(valueOf(again.shop()).designs);
    expect(valueOf(to.open(DEMO)).steps).toEqual(valueOf(again.open(DEMO)).steps);
    expect(valueOf(to.shelf()).shelf).toEqual(valueOf(again.shelf()).shelf);
    again.close();
    to.close();
  });

  test("one of yesterday is already here, one that says something else stands beside", () => {
    const store = full("yesterday.sqlite");
    const yesterday = valueOf(store.archive());
    const { document, line } = valueOf(store.open(DEMO, "now"));
    valueOf(store.keep(DEMO, "now", { after: line.seq, steps: [handOf(3)(document)] }));
    expect(valueOf(store.bringIn(yesterday)).map((one) => one.outcome)).toEqual(["already-here", "already-here"]);
    const today = valueOf(store.archive());
    const other = folder.shop("other.sqlite");
    const there = valueOf(other.open(DEMO));
    valueOf(other.keep(DEMO, "now", { after: there.line.seq, steps: [handOf(4)(there.document)] }));
    const card = valueOf(other.shop()).designs[0];
    expect(valueOf(other.bringIn(today)).at(-1)).toEqual({
      outcome: "added-beside",
      design: `${DEMO}-2`,
      name: "Hearth line box (2)",
    });
    expect(valueOf(other.shop()).designs[0]).toEqual(card);
    expect(valueOf(other.shop()).designs[1]?.lines).toEqual(valueOf(store.shop()).designs[0]?.lines);
    store.close();
    other.close();
  });

  test("wrong checksums, cut zips, bombs and strange names are refused and change nothing", () => {
    const store = full("hostile.sqlite");
    const before = valueOf(store.archive());
    const members = unzipSync(before);
    const zipped = (change: Record<string, Uint8Array | undefined>) => {
      const all = { ...members, ...change };
      return zipSync(
        Object.fromEntries(Object.entries(all).flatMap(([name, data]) => (data === undefined ? [] : [[name, data]]))),
      );
    };
    const member = `designs/${DEMO}.json`;
    const refused = (bytes: Uint8Array) => codeOf(store.bringIn(bytes));
    expect(refused(zipped({ [member]: bytesOf("{}") }))).toBe("checksum");
    expect(refused(zipped({ [member]: undefined }))).toBe("archive-incomplete");
    expect(refused(zipped({ "manifest.json": undefined }))).toBe("not-an-archive");
    expect(refused(zipped({ "designs/extra.json": bytesOf("{}") }))).toBe("archive-names");
    for (const name of [
      "../../up.json",
      "/etc/passwd",
      "designs/../x.json",
      "designs\\x.json",
      "designs/__proto__.json",
    ])
      expect(refused(zipped({ [name]: bytesOf("{}") })), name).toBe("archive-names");
    expect(refused(saying(zipped({ "designs/bomb.json": bytesOf("{}") }), 400_000_000))).toBe("archive-too-large");
    // One that says it is smaller than it is gets no more room than it asked for.
    const most = new Uint8Array(1_000_000);
    expect(refused(saying(zipped({ "designs/bomb.json": most }), 10))).toMatch(/archive-damaged|archive-names/);
    for (const cut of [10, 100, before.length - 30, before.length - 1])
      expect(refused(before.subarray(0, cut)), `cut at ${cut}`).toMatch(/archive-damaged|not-an-archive/);
    const newer = { format: "platewright/shop@2", migrations: [], members: [] };
    expect(refused(zipped({ "manifest.json": bytesOf(newer) }))).toBe("newer-archive");
    const later = { format: "platewright/shop@1", migrations: ["2099-01-something"], members: [] };
    expect(refused(zipped({ "manifest.json": bytesOf(later) }))).toBe("newer-archive");
    expect(valueOf(store.archive())).toEqual(before);
    store.close();
  });

  test("members that say what cannot be are refused, all of the archive with them", () => {
    const from = full("crafted.sqlite");
    const members = unzipSync(valueOf(from.archive()));
    from.close();
    const member = `designs/${DEMO}.json`;
    type Design = {
      lines: { key: string; base: { name: unknown }; steps: { id: string; changes: unknown[] }[] }[];
    } & Record<string, unknown>;
    const crafted = (change: (design: Design) => unknown) => {
      const design = JSON.parse(new TextDecoder().decode(members[member])) as Design;
      const text = JSON.stringify(change(design) ?? design);
      const manifest = JSON.parse(new TextDecoder().decode(members["manifest.json"])) as {
        members: { path: string; bytes: number; sha256: string }[];
      };
      for (const one of manifest.members)
        if (one.path === member) Object.assign(one, { bytes: bytesOf(text).length, sha256: sha256(text) });
      return zipSync({ ...members, "manifest.json": bytesOf(manifest), [member]: bytesOf(text) });
    };
    const store = testStore(folder.path("crafted-to.sqlite"), { demo: false });
    const before = valueOf(store.archive());
    const refused = (change: (design: Design) => unknown) => codeOf(store.bringIn(crafted(change)));
    expect(refused(() => [])).toBe("archive-member");
    expect(refused((design) => void (design.key = "another"))).toBe("archive-member");
    expect(refused((design) => void (design.surprise = 1))).toBe("archive-member");
    expect(refused((design) => void (design.lines = []))).toBe("archive-member");
    expect(refused((design) => void design.lines.push(...design.lines))).toBe("archive-member");
    expect(refused((design) => void (design.pins = [{ revision: "Z", at: "x" }]))).toBe("archive-member");
    expect(refused((design) => void design.lines.shift())).toBe("archive-member");
    expect(refused((design) => void (design.lines[0]!.base.name = 7))).toBe("not-sound");
    const stale = { target: "name", before: "not its name", after: "x" };
    expect(refused((design) => void design.lines[0]!.steps[0]!.changes.push(stale))).toBe("does-not-apply");
    expect(refused((design) => void design.lines[0]!.steps[0]!.changes.push({ target: "x", after: 1 }))).toBe(
      "not-sound",
    );
    expect(valueOf(store.archive())).toEqual(before);
    expect(codeOf(store.bringIn(crafted(() => undefined)))).toBe("not refused");
    store.close();
  });

  test.each([1, 2, 3])("300 archives with flipped bytes: refused, or whole (seed %i)", (seed) => {
    const from = full(`flip-${seed}.sqlite`);
    const bytes = valueOf(from.archive());
    from.close();
    const store = testStore(folder.path(`flip-to-${seed}.sqlite`), { demo: false });
    const random = seededRandom(seed);
    for (let n = 0; n < 300; n++) {
      const bad = bytes.slice();
      for (let m = 0; m <= random.below(3); m++) bad[random.below(bad.length)] = random.below(256);
      const done = store.bringIn(bad);
      if (done.ok) expect(done.value.every((one) => one.outcome !== "added-beside")).toBe(true);
      else expect(done.failure.sentence.length).toBeGreaterThan(20);
    }
    expect(valueOf(store.shop()).designs.length).toBeLessThanOrEqual(1);
    store.close();
  });
});

/** The zip with another unpacked size in the directory entry of its last member. */
function saying(zip: Uint8Array, bytes: number): Uint8Array {
  const view = new DataView(zip.buffer, zip.byteOffset, zip.byteLength);
  let last = -1;
  for (let at = 0; at + 4 <= zip.length; at++) if (view.getUint32(at, true) === 0x02014b50) last = at;
  view.setUint32(last + 24, bytes, true);
  return zip;
}

const designMember = (bytes: Uint8Array): string => new TextDecoder().decode(unzipSync(bytes)[`designs/${DEMO}.json`]);

test("a backup made while the shop is written to is whole and opens as a shop", async () => {
  const path = folder.path("busy.sqlite");
  const store = folder.shop("busy.sqlite");
  const { document, line } = valueOf(store.open(DEMO));
  const hand = handOf(6);
  valueOf(store.keep(DEMO, "now", { after: line.seq, steps: [hand(document)] }));
  const backup = store.backUp();
  valueOf(store.cut(DEMO, { line: "now", seq: line.seq + 1, id: "D" }));
  const { file } = valueOf(await backup);
  expect(file).not.toBe(path);
  const second = valueOf(await store.backUp());
  expect(second.file).not.toBe(file);
  const copy = testStore(second.file);
  expect(valueOf(copy.archive())).toEqual(valueOf(store.archive()));
  copy.close();
  const early = testStore(file);
  expect(valueOf(early.open(DEMO)).line.seq).toBe(line.seq + 1);
  early.close();
  store.close();
});
