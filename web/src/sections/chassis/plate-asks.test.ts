import { applyChanges, type Change, chassisFindings, type Document, judgedChassis, toolFor } from "@platewright/design";
import { plateDrawing } from "@platewright/drawing";
import { footprints, openCatalogue } from "@platewright/library";
import { describe, expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import type { Answer } from "../../worker/ask.ts";
import { type Bench, openBench } from "../../worker/bench.ts";
import { clearances, itemsIn, limitWords, namedIn } from "./finding-words.ts";
import { movedItems } from "./layout-edits.ts";
import { placedAt } from "./place-edit.ts";
import { plateAsks } from "./plate-asks.ts";
import type { PlateGroup } from "./plate-groups.ts";
import { boundsOn, holeAt, inReadingOrder, itemAt } from "./pointing.ts";
import { roomFor } from "./room.ts";
import { wireAsks } from "./wire-asks.ts";

const catalogue = openCatalogue();
const { document } = demoOpen();
const changed = (changes: readonly Change[], on: Document = document): Document => {
  const after = applyChanges(on, changes);
  if (!after.ok) throw new Error(after.failure.sentence);
  return after.value;
};
const bench = (now: Document = document, before?: Bench) =>
  openBench({ document: now, kept: document, provenKey: "" }, catalogue, before);
function value<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): A {
  if (!("ok" in answer)) throw new Error("in steps");
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}
const judged = (of: Document) => {
  const found = judgedChassis({ document: of, footprints, catalogue });
  if (found === undefined) throw new Error("no chassis");
  return found;
};
const NONE: Record<string, never> = {};
const still = bench();

describe("the plate", () => {
  const params = { face: "top" as const, width: 190, wires: false };
  const kept = value(plateAsks.chassisPlate.run(still, params));
  const moved = changed(placedAt(document, "V1", { x: 70, y: 110 }).changes);

  test("its groups are the drawing of drawing/, in its order", () => {
    const look = {
      face: "top",
      scale: kept.scale,
      bodies: true,
      names: true,
      dimensions: "items",
      grid: true,
      keys: true,
      pins: false,
      bends: true,
      datum: true,
      edges: true,
      tinted: true,
    } as const;
    const items = kept.groups.flatMap(({ text }) => JSON.parse(text) as unknown[]);
    expect(items).toEqual(JSON.parse(JSON.stringify(plateDrawing(judged(document), look).items)));
    expect(kept.width).toBeLessThanOrEqual(190);
    expect(new Set(kept.groups.map(({ key }) => key)).size).toBe(kept.groups.length);
  });

  test("what lies over it while something is moved makes the drawing of what is moved, and little of it", () => {
    const over = value(plateAsks.chassisMoved.run(bench(moved, still), params));
    const gone = new Set(over.gone);
    const news = new Map(over.groups.map((group) => [group.key, group]));
    const both: PlateGroup[] = [
      ...kept.groups.filter(({ key }) => !gone.has(key)).map((group) => news.get(group.key) ?? group),
      ...over.groups.filter(({ key }) => !kept.groups.some((group) => group.key === key)),
    ];
    const whole = plateDrawing(judged(moved), {
      face: "top",
      scale: kept.scale,
      bodies: true,
      names: true,
      dimensions: "items",
      grid: true,
      keys: true,
      pins: false,
      bends: true,
      datum: true,
      edges: true,
      tinted: true,
      chosen: new Set(["V1"]),
    });
    const sorted = (items: readonly unknown[]) => items.map((item) => JSON.stringify(item)).toSorted();
    expect(sorted(both.flatMap(({ text }) => JSON.parse(text) as unknown[]))).toEqual(sorted(whole.items));
    expect(over.groups.length).toBeLessThan(kept.groups.length / 2);
    expect(over.places).toEqual([{ id: "V1", x: 70, y: 110 }]);
    expect(movedItems(document, moved)).toEqual(new Set(["V1"]));
  });

  test("nothing in hand, nothing over it", () => {
    expect(value(plateAsks.chassisMoved.run(still, params))).toEqual({ gone: [], groups: [], places: [] });
  });
});

test("findings are those of design/, with their fixes asked for apart", () => {
  const now = value(plateAsks.chassisNow.run(still, NONE));
  const solved = still.now();
  const all = chassisFindings({ document, footprints, catalogue, ...(solved.ok ? { solved: solved.value } : {}) });
  expect(now.map(({ id, level, value: of }) => ({ id, level, of }))).toEqual(
    all.map(({ id, level, value: of }) => ({ id, level, of })),
  );
  const fixes = value(plateAsks.chassisFixes.run(still, NONE));
  expect(fixes).toEqual(all.flatMap(({ id, fixes: own }) => (own.length === 0 ? [] : [{ id, fixes: own }])));
});

describe("holes", () => {
  const planned = changed([
    {
      target: "chassis.holes",
      before: document.chassis?.holes,
      after: document.chassis?.holes.filter(({ serves }) => serves !== "C1"),
    },
  ]);
  const rows = value(plateAsks.chassisHoles.run(bench(planned), NONE));
  test("what is to be done stands first, with the tool that design/ chooses", () => {
    const rank = ["unresolved", "open-up", "cut", "close", "spare", "done"];
    const order = rows.map(({ work }) => rank.indexOf(work));
    expect(order).toEqual(order.toSorted((a, b) => a - b));
    const { chassis, holes } = judged(planned);
    const due = rows.filter(({ work, in: place }) => work === "cut" && place === "plate");
    expect(due.length).toBeGreaterThan(0);
    for (const row of due) {
      const hole = holes.holes.find(({ id }) => id === row.id);
      expect(row.tool).toBe(hole === undefined ? "" : toolFor(chassis, hole).words);
    }
    expect(rows.length).toBe(holes.holes.length);
  });
  test("a socket's key is told by the side that it points to", () => {
    const key = (id: string) => rows.find((row) => row.id === `${id}/body`)?.key;
    expect([key("V1"), key("V3"), key("T1")]).toEqual(["front", "left", ""]);
  });
});

describe("pointing", () => {
  const { items } = value(plateAsks.chassisItems.run(still, NONE));
  const rows = value(plateAsks.chassisHoles.run(still, NONE));
  test("every part is met at its own place, on both faces", () => {
    for (const face of ["top", "under"] as const) {
      const all = items.map((facts) => ({ facts, bounds: boundsOn(face, facts) }));
      for (const { id, x, y } of items) expect(itemAt(all, { x, y })?.id).toBe(id);
      expect(itemAt(all, { x: 180, y: 5 })).toBeUndefined();
    }
  });
  test("a hole is met within it, the smaller of two", () => {
    expect(holeAt(rows, { x: 60, y: 104 })?.existing).toBe("H1");
    expect(holeAt(rows, { x: 45.7, y: 104 })?.existing).toBe("H1a");
    expect(holeAt(rows, { x: 180, y: 5 })).toBeUndefined();
  });
  test("read from the rear left; on the underside from the rear as it is seen", () => {
    expect(
      inReadingOrder(items, "top")
        .slice(0, 4)
        .map(({ id }) => id),
    ).toEqual(["IN-L", "IN-R", "OUT-L", "OUT-R"]);
    expect(inReadingOrder(items, "under")[0]?.id).toBe("EARTH");
    expect(inReadingOrder(items, "top").length).toBe(items.length);
  });
});

test("a part that is put where there is room stands clear of all others and breaks no rule of bodies and edges", () => {
  const [chassis] = [document.chassis];
  const footprint = footprints.footprint("lamp");
  if (chassis === undefined || footprint === undefined) throw new Error("the demo and the library are there");
  const at = roomFor(judged(document), footprint);
  const item = { id: "NEW", what: { fitting: "lamp" }, footprint: "lamp", ...at, degrees: 0 };
  const now = changed([{ target: "chassis.items", before: chassis.items, after: [...chassis.items, item] }]);
  const of = (rules: RegExp) =>
    chassisFindings({ document: now, footprints, catalogue, fixes: false }).filter(
      ({ rule, level, where }) => rules.test(rule) && level !== "ok" && where.includes("NEW"),
    );
  expect(of(/overlap|outside|web|edge/)).toEqual([]);
});

test("clearances are figures of findings, one of each rule, what breaks its rule first", () => {
  const now = changed(placedAt(document, "C1", { x: 165, y: 92 }).changes);
  const findings = value(plateAsks.chassisNow.run(bench(now), NONE));
  const { items } = value(plateAsks.chassisItems.run(still, NONE));
  const rows = clearances(findings, new Map(items.map(({ id, name }) => [id, name])));
  expect(rows.length).toBeGreaterThan(5);
  expect(new Set(rows.map(({ what }) => what)).size).toBe(rows.length);
  for (const row of rows) {
    const finding = findings.find(({ id }) => id === row.id);
    expect([finding?.value, finding?.limit, finding?.level]).toEqual([row.value, row.limit, row.level]);
  }
  const ranks = rows.map(({ level }) => ["stop", "watch", "ok"].indexOf(level));
  expect(ranks).toEqual(ranks.toSorted((a, b) => a - b));
  const spacing = findings.find(({ rule }) => rule === "chassis-tube-spacing");
  if (spacing === undefined) throw new Error("two tubes have a spacing");
  expect(itemsIn(spacing, new Set(items.map(({ id }) => id)))).toEqual(["V1", "V2"]);
  const glass = findings.find(({ rule }) => rule === "chassis-open-glass");
  expect(glass === undefined ? [] : namedIn(glass, new Set(items.map(({ id }) => id)))).toEqual(["V1", "V2", "V3"]);
  expect(limitWords(spacing)).toMatch(/^55\smm, at least 3[\d.]+\smm$/);
});

test("each pin of a socket goes where the circuit says", () => {
  const scene = value(wireAsks.chassisPins.run(still, { item: "V3", width: 190 }));
  const wiring = document.envelopes.find(({ id }) => id === "V3")?.wiring ?? {};
  for (const pin of Object.keys(wiring)) expect(scene?.description).toMatch(new RegExp(`pin ${pin} [^;]+ to `));
  expect(value(wireAsks.chassisPins.run(still, { item: "C1", width: 190 }))).toBeNull();
});

test("a design without a chassis is answered with a sentence", () => {
  const { chassis: _none, ...bare } = document;
  const empty = openBench({ document: bare, provenKey: "" }, catalogue);
  for (const answer of [
    plateAsks.chassisPlate.run(empty, { face: "top", width: 190, wires: true }),
    plateAsks.chassisNow.run(empty, NONE),
    plateAsks.chassisItems.run(empty, NONE),
  ])
    expect(answer).toEqual({ ok: false, failure: "This design has no chassis yet." });
});
