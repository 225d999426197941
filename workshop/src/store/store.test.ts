/** The store as the server uses it: kept, found again, refused. */
import { readFileSync } from "node:fs";
import { applyChanges, type Change, frozenCatalogue, readDesign, same } from "@platewright/design";
import { openCatalogue } from "@platewright/library";
import BetterSqlite3 from "better-sqlite3";
import { afterAll, describe, expect, test } from "vitest";
import { openDesignSchema, shelfStateSchema, shopSchema, type Step } from "../client/contract.ts";
import { stepIdOf } from "./step-id.ts";
import { MIGRATIONS } from "./migrations.ts";
import { openedFile } from "./open-file.ts";
import { columnsOf, TABLES } from "./rows.ts";
import { codeOf, DEMO, handOf, openTestStore, testFolder, testStore, valueOf } from "./test-shop.ts";

const folder = testFolder();
afterAll(folder.remove);

test("what the store answers is what the contract says", () => {
  const store = folder.shop("contract.sqlite");
  const hand = handOf(1);
  const open = valueOf(store.open(DEMO));
  const late = hand(open.document);
  valueOf(store.keep(DEMO, open.line.key, { after: open.line.seq, steps: [hand(open.document)] }));
  const beside = valueOf(store.keep(DEMO, open.line.key, { after: open.line.seq, steps: [late] }));
  shopSchema.parse(valueOf(store.shop()));
  openDesignSchema.parse(valueOf(store.open(DEMO)));
  openDesignSchema.parse(valueOf(store.open(DEMO, beside.outcome === "kept" ? "" : beside.line)));
  shelfStateSchema.parse(valueOf(store.shelf()));
  store.close();
});

describe("steps", () => {
  test("are found again after the file was closed, in order, and lead to the same document", () => {
    const path = folder.path("again.sqlite");
    const store = folder.shop("again.sqlite");
    const hand = handOf(2);
    let { document, line } = valueOf(store.open(DEMO));
    const made: Step[] = [];
    for (let n = 0; n < 120; n++) {
      const step = hand(document);
      const kept = valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [step] }));
      expect(kept.outcome).toBe("kept");
      document = valueOf2(applyChanges(document, step.changes as readonly Change[]));
      line = { ...line, seq: kept.seq };
      made.push(step);
    }
    store.close();
    const again = testStore(path);
    const open = valueOf(again.open(DEMO));
    expect(open.line.seq).toBe(line.seq);
    expect(same(open.document, document)).toBe(true);
    expect(open.steps.slice(-120).map(({ seq: _seq, at: _at, ...step }) => step)).toEqual(made);
    again.close();
  });

  test("a step sent twice is kept once and answered alike, also when another hand came between", () => {
    const store = folder.shop("twice.sqlite");
    const hand = handOf(3);
    const { document, line } = valueOf(store.open(DEMO));
    const [a, b] = [hand(document), handOf(4)(document)];
    const first = valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [a] }));
    expect(valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [a] }))).toEqual(first);
    const beside = valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [b] }));
    expect(beside.outcome).toBe("kept-beside");
    expect(valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [b] }))).toEqual(beside);
    // The answer to the first was lost; the page sends it again with what came after.
    const next = hand(valueOf2(applyChanges(document, b.changes as readonly Change[])));
    const after = valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [b, next] }));
    expect(after).toEqual({ ...beside, seq: 2 });
    expect(valueOf(store.shop()).designs[0]?.lines.map((one) => one.why)).toEqual(["first", "sibling"]);
    store.close();
  });

  test("undo reaches back over the place where a sibling was parted", () => {
    const store = folder.shop("back.sqlite");
    const { document, line, steps } = valueOf(store.open(DEMO));
    const [a, b, c] = [handOf(5), handOf(6), handOf(7)];
    const shared = a(document);
    const then = valueOf2(applyChanges(document, shared.changes as readonly Change[]));
    valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [shared] }));
    valueOf(store.keep(DEMO, line.key, { after: line.seq + 1, steps: [b(then)] }));
    const mine = c(then);
    const beside = valueOf(store.keep(DEMO, line.key, { after: line.seq + 1, steps: [mine] }));
    const open = valueOf(store.open(DEMO, beside.line));
    expect(open.steps.map((step) => step.id)).toEqual([...steps.map((step) => step.id), shared.id, mine.id]);
    expect(open.steps.slice(-2).map((step) => step.seq)).toEqual([0, 1]);
    expect(open.line.from).toEqual({ line: line.key, seq: line.seq + 1 });
    store.close();
  });

  test("that do not fit, or lead to no sound design, are refused and change nothing", () => {
    const store = folder.shop("refused.sqlite");
    const { document, line } = valueOf(store.open(DEMO));
    const before = valueOf(store.archive());
    const good = handOf(8)(document);
    const [change] = good.changes;
    const id = (n: number) => stepIdOf("bad", n);
    const keep = (after: number, ...steps: readonly Step[]) =>
      codeOf(store.keep(DEMO, line.key, { after, steps: [...steps] }));
    const at = line.seq;
    const target = change?.target ?? "";
    const put = (n: number, changes: Step["changes"]): Step => ({ id: id(n), title: "x", changes });
    expect(keep(at, put(1, [{ target, before: "not there", after: "1k" }]))).toBe("does-not-apply");
    expect(keep(at, put(2, [{ target: "nowhere.at.all", after: 1 }]))).toBe("does-not-apply");
    expect(keep(at, put(3, [{ ...change, target, after: "47kk" }]))).toBe("not-sound");
    expect(keep(at, put(4, [{ target: "surprise", after: 1 }]))).toBe("not-sound");
    expect(keep(at, put(5, [{ target: "blocks.__proto__", after: {} }]))).toBe("not-sound");
    expect(keep(at, put(6, [{ target: "instances", before: document.instances, after: [] }]))).toBe("not-sound");
    expect(keep(at, put(7, [{ ...change, target, after: Number.NaN }]))).toBe("not-sound");
    expect(keep(at + 1, good)).toBe("ahead");
    expect(keep(at, good, good)).toBe("step-twice");
    expect(keep(at, good, put(8, [{ target: "surprise", after: 1 }]))).toBe("not-sound");
    expect(keep(at, { ...good, id: "no uuid" })).toBe("not-understood");
    let deep: unknown = 1;
    for (let n = 0; n < 100_000; n++) deep = [deep];
    expect(keep(at, put(9, [{ target: "name", before: deep, after: "x" }]))).toBe("not-understood");
    expect(codeOf(store.keep(DEMO, "elsewhere", { after: 0, steps: [good] }))).toBe("no-line");
    expect(codeOf(store.keep("../../etc", "now", { after: 0, steps: [good] }))).toBe("no-line");
    expect(codeOf(store.keep("shelf", "shelf", { after: 0, steps: [good] }))).toBe("no-line");
    expect(codeOf(store.open("shelf"))).toBe("no-design");
    expect(valueOf(store.archive())).toEqual(before);
    expect(keep(at, good)).toBe("not refused");
    expect(keep(at, { ...good, title: "another" })).toBe("step-differs");
    const known = put(10, [{ target: "name", before: document.name, after: "Another name" }]);
    expect(keep(at + 1, known, good)).toBe("step-order");
    store.close();
  });

  test("the name that a line gives its design is the name in the shop", () => {
    const store = folder.shop("name.sqlite");
    const { document, line } = valueOf(store.open(DEMO));
    const rename: Step = {
      id: stepIdOf("rename"),
      title: "Name",
      changes: [{ target: "name", before: document.name, after: "Box for the den" }],
    };
    valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [rename] }));
    expect(valueOf(store.shop()).designs[0]?.name).toBe("Box for the den");
    store.close();
  });
});

describe("revisions", () => {
  test("are frozen with the library's data, stay as cut, and are branched from", () => {
    const store = folder.shop("revisions.sqlite");
    const hand = handOf(9);
    const { document, line } = valueOf(store.open(DEMO));
    const step = hand(document);
    valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [step] }));
    const cut = { line: line.key, seq: line.seq + 1, id: "B", note: "Warmer" };
    const card = valueOf(store.cut(DEMO, cut));
    expect(card.revisions.map((one) => one.id)).toEqual(["A", "B"]);
    expect(card.proven).toBe("A");
    expect(valueOf(store.cut(DEMO, cut))).toEqual(card);
    expect(codeOf(store.cut(DEMO, { ...cut, note: "Colder" }))).toBe("revision-taken");
    expect(codeOf(store.cut(DEMO, { ...cut, id: "../C" }))).toBe("revision-name");
    expect(codeOf(store.cut(DEMO, { ...cut, id: "C", seq: line.seq + 2 }))).toBe("ahead");
    expect(codeOf(store.pin(DEMO, "Z"))).toBe("no-revision");
    expect(valueOf(store.pin(DEMO, "B")).proven).toBe("B");

    const { revisions } = valueOf(store.open(DEMO));
    const b = revisions.find((one) => one.id === "B");
    if (b === undefined) throw new Error("no revision B");
    expect(same(b.document, valueOf2(applyChanges(document, step.changes as readonly Change[])))).toBe(true);
    expect([b.line, b.seq]).toEqual([line.key, line.seq + 1]);
    const catalogue = openCatalogue();
    expect(frozenCatalogue(b, catalogue).law("5687")).toEqual(JSON.parse(JSON.stringify(catalogue.law("5687"))));

    const restored = valueOf(store.branch(DEMO, { name: "Back to A", from: { revision: "A" }, why: "restored" }));
    const back = valueOf(store.open(DEMO));
    expect(back.line.key).toBe(restored.key);
    expect(same(back.document, revisions.find((one) => one.id === "A")?.document)).toBe(true);
    const from = { line: line.key, seq: line.seq };
    const branch = valueOf(store.branch(DEMO, { name: "Back to A", from, why: "branch" }));
    expect(branch).toMatchObject({ key: "back-to-a-2", name: "Back to A (2)", seq: 0, from, why: "branch" });
    expect(same(valueOf(store.open(DEMO, branch.key)).document, document)).toBe(true);
    expect(codeOf(store.branch(DEMO, { name: "x", from: { revision: "Q" }, why: "branch" }))).toBe("no-revision");
    expect(codeOf(store.branch(DEMO, { name: "x", from: { line: "q", seq: 0 }, why: "branch" }))).toBe("no-line");
    // The first line is worked on again and is the working line again.
    valueOf(store.keep(DEMO, line.key, { after: line.seq + 1, steps: [hand(b.document)] }));
    expect(valueOf(store.open(DEMO)).line.key).toBe(line.key);
    store.close();
  });

  test("a sibling never becomes the working line by itself", () => {
    const store = folder.shop("working.sqlite");
    const { document, line } = valueOf(store.open(DEMO));
    valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [handOf(10)(document)] }));
    valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [handOf(11)(document)] }));
    expect(valueOf(store.open(DEMO)).line.key).toBe(line.key);
    store.close();
  });
});

describe("shelf", () => {
  const count = (id: string, title: string, before: unknown, after: unknown): Step => ({
    id: stepIdOf("shelf", id),
    title,
    changes: [{ target: "name", before, after }],
  });

  test("a late step that still fits is appended, one that does not is a conflict", () => {
    const store = folder.shop("shelf.sqlite");
    const { shelf, seq } = valueOf(store.shelf());
    const tubes: Step = {
      id: stepIdOf("shelf", "tubes"),
      title: "5687: 2 → 3",
      changes: [{ target: "tubes", before: shelf.tubes, after: [{ type: "5687", count: 3 }] }],
    };
    const name = count("a", "Name", shelf.name, "Left cupboard");
    expect(valueOf(store.keepShelf({ after: seq, steps: [tubes] }))).toEqual({ outcome: "kept", seq: seq + 1 });
    expect(valueOf(store.keepShelf({ after: seq, steps: [name] }))).toEqual({ outcome: "kept", seq: seq + 2 });
    const late = valueOf(
      store.keepShelf({ after: seq, steps: [count("b", "Right", shelf.name, "Right cupboard"), name] }),
    );
    expect(late).toMatchObject({ outcome: "kept" in late ? "kept" : "conflict", seq: seq + 2 });
    expect(late.outcome === "conflict" && late.sentence).toMatch(/“Right” was not kept: name is "Left cupboard"/);
    const now = valueOf(store.shelf());
    expect(now.shelf.name).toBe("Left cupboard");
    expect(now.shelf.tubes).toEqual([{ type: "5687", count: 3 }]);
    expect(now.steps.map((step) => step.title)).toEqual(["5687: 2 → 3", "Name"]);
    const bad = { ...tubes, id: stepIdOf("shelf", "bad") };
    const wrong = [{ target: "tubes", before: now.shelf.tubes, after: [{ type: "5687", count: -1 }] }];
    expect(codeOf(store.keepShelf({ after: now.seq, steps: [{ ...bad, changes: wrong }] }))).toBe("not-sound");
    expect(codeOf(store.keepShelf({ after: now.seq + 1, steps: [bad] }))).toBe("ahead");
    store.close();
  });
});

describe("the file", () => {
  test("rows are never altered or deleted, by whatever way", () => {
    const path = folder.path("stay.sqlite");
    const store = folder.shop("stay.sqlite");
    const { document, line } = valueOf(store.open(DEMO));
    valueOf(store.keep(DEMO, line.key, { after: line.seq, steps: [handOf(12)(document)] }));
    store.close();
    const db = new BetterSqlite3(path);
    db.pragma("recursive_triggers = ON");
    for (const table of TABLES) {
      if (table === "snapshots") continue;
      if (db.prepare(`SELECT count(*) FROM ${table}`).pluck().get() === 0) {
        const columns = [...columnsOf(table), "sum"];
        db.exec(`INSERT INTO ${table} (${columns.join(", ")}) VALUES (${columns.map(() => "'x'").join(", ")})`);
      }
      expect(() => db.exec(`UPDATE ${table} SET at = 'x'`), table).toThrow(/never altered/);
      expect(() => db.exec(`DELETE FROM ${table}`), table).toThrow(/never deleted/);
    }
    expect(() => db.exec("INSERT OR REPLACE INTO steps SELECT * FROM steps")).toThrow(/never deleted/);
    db.close();
  });

  test("every commit is flushed to the disk before it is answered, and references are held", () => {
    const { db } = openedFile(folder.path("pragmas.sqlite"));
    expect(db.pragma("journal_mode", { simple: true })).toBe("wal");
    expect(db.pragma("synchronous", { simple: true })).toBe(2);
    expect(db.pragma("foreign_keys", { simple: true })).toBe(1);
    db.close();
  });

  test("its tables have the columns that rows are read by", () => {
    const path = folder.path("columns.sqlite");
    folder.shop("columns.sqlite").close();
    const db = new BetterSqlite3(path);
    for (const table of TABLES) {
      const columns = db.pragma(`table_info(${table})`) as readonly { readonly name: string }[];
      expect(columns.map((one) => one.name)).toEqual([...columnsOf(table), "sum"]);
    }
    db.close();
  });

  test("one of a newer version, or of another program, is refused and left as it is", () => {
    const newer = folder.path("newer.sqlite");
    folder.shop("newer.sqlite").close();
    const db = new BetterSqlite3(newer);
    db.exec("CREATE TABLE later (text)");
    db.pragma(`user_version = ${MIGRATIONS.length + 1}`);
    db.close();
    const other = folder.path("other.sqlite");
    new BetterSqlite3(other).exec("CREATE TABLE letters (text)").close();
    for (const [path, code] of [
      [newer, "newer-shop"],
      [other, "not-a-shop"],
    ] as const) {
      const before = readFileSync(path);
      expect(codeOf(openTestStore(path))).toBe(code);
      expect(readFileSync(path).equals(before)).toBe(true);
    }
  });

  test("a shop without the demo has nothing but an empty shelf", () => {
    const store = testStore(folder.path("bare.sqlite"), { demo: false });
    expect(valueOf(store.shop()).designs).toEqual([]);
    expect(valueOf(store.shelf()).shelf.tubes).toEqual([]);
    store.close();
  });
});

test("an export is a design that reads", () => {
  const store = folder.shop("export.sqlite");
  const { design } = valueOf(store.exportDesign(DEMO));
  expect(readDesign(JSON.stringify(design)).ok).toBe(true);
  store.close();
});

function valueOf2<T>(result: { readonly ok: true; readonly value: T } | { readonly ok: false }): T {
  if (!result.ok) throw new Error("does not apply");
  return result.value;
}
