/** The asks of the metal against the rooms they stand on; its edits; what its fields read. */
import { applyChanges, type Document } from "@platewright/design";
import { seededRandom } from "@platewright/engine";
import { openCatalogue } from "@platewright/library";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { demoOpen } from "../../../test/demo.ts";
import type { Answer } from "../../worker/ask.ts";
import { openBench } from "../../worker/bench.ts";
import { metalAsks } from "./metal-asks.ts";
import {
  addHole,
  addHoles,
  beginPlate,
  type Checked,
  checkedChanges,
  chassisEdit,
  decideAgain,
  fitInto,
  freshId,
  holesPast,
  keepFootprint,
  refitted,
  removeHole,
  removeItem,
  setPlate,
  setPlateWithout,
  spoken,
  without,
} from "./metal-edits.ts";
import { about, cutsWords, inches, mm, readCuts, readLength, SMALLEST } from "./read-length.ts";
import { casesOf } from "./salvage-cases.ts";

const catalogue = openCatalogue();
const { document } = demoOpen();
const { chassis } = document;
if (chassis === undefined) throw new Error("the demo has a chassis");

const benchOf = (one: Document) => openBench({ document: one, provenKey: "" }, catalogue);

function valueOf<A>(answer: Answer<A> | Generator<unknown, Answer<A>>): A {
  if (!("ok" in answer)) throw new Error("answers at once");
  if (!answer.ok) throw new Error(answer.failure);
  return answer.value;
}

function made(of: Document, edit: Checked): Document {
  if (!edit.ok) throw new Error(edit.failure);
  const after = applyChanges(of, edit.value.changes);
  if (!after.ok) throw new Error(after.failure.sentence);
  return after.value;
}

const itemOf = (of: Document, id: string) => {
  const found = of.chassis?.items.find((one) => one.id === id);
  if (found === undefined) throw new Error(`no ${id}`);
  return found;
};

/** The demo with a 7-pin socket at V3. */
const rectified = made(
  document,
  chassisEdit(document, "7-pin", (one) => ({
    ...one,
    items: one.items.map((item) => (item.id === "V3" ? refitted(item, "7-pin-saddle-above") : item)),
  })),
);

describe("salvage", () => {
  test("the demo with a 7-pin socket: H3 is in the way, its ring is 38 with a bore of 16 in the old screw holes", () => {
    const bench = benchOf(rectified);
    const cases = valueOf(metalAsks.chassisSalvage.run(bench, {}));
    expect(cases[0]).toMatchObject({ hole: "H3", item: "V3", level: "stop", decided: null });
    expect(cases[0]?.note).toBe("2 screws would fall on its rim");
    expect(cases.filter((one) => one.item === null).map((one) => one.hole)).toEqual(["H3a", "H3b"]);
    const ways = valueOf(metalAsks.chassisWays.run(bench, { hole: "H3", item: "V3", hourly: 50 }));
    expect(ways.map((one) => one.by).sort()).toEqual(
      ["adapter-ring", "blank-plug", "cover-plate", "keep", "new-plate", "open-up", "other-use", "sub-plate"].sort(),
    );
    const ring = ways.find((one) => one.by === "adapter-ring");
    expect(ring?.carrier?.outline).toMatchObject({ kind: "circle", diameterMillimetres: 38, x: 165, y: 128 });
    expect(ring?.carrier?.holes.find((one) => one.id === "body")?.outline).toMatchObject({ diameterMillimetres: 16 });
    const [one, other] = ring?.carrier?.fixing ?? [];
    if (one === undefined || other === undefined) throw new Error("two screws");
    expect(Math.hypot(one.x - other.x, one.y - other.y)).toBeCloseTo(28.6, 6);
    expect([one.existing, other.existing]).toEqual(["H3a", "H3b"]);
    expect(ways.find((each) => each.by === "new-plate")?.fix?.changes.length).toBeGreaterThan(0);

    const after = made(rectified, { ok: true, value: { title: "ring", changes: ring?.fix?.changes ?? [] } });
    const decided = valueOf(metalAsks.chassisSalvage.run(benchOf(after), {}));
    expect(decided.map(({ hole, level, decided: by }) => [hole, level, by])).toEqual([["H3", "ok", "adapter-ring"]]);
    const again = valueOf(metalAsks.chassisSalvage.run(benchOf(made(after, decideAgain(after, "H3"))), {}));
    expect(again[0]).toMatchObject({ hole: "H3", level: "stop", decided: null });
  });

  test("the cases of what is chosen: by the hole, by a row of its item, by the item", () => {
    const cases = valueOf(metalAsks.chassisSalvage.run(benchOf(rectified), {}));
    const found = (chosen: Parameters<typeof casesOf>[1]) => casesOf(cases, chosen).map((one) => one.hole);
    expect(found({ hole: "H3" })).toEqual(["H3"]);
    expect(found({ hole: "V3/body" })).toEqual(["H3", "H3a", "H3b"]);
    expect(found({ item: "V3", hole: "H3a" })).toEqual(["H3a"]);
    expect(found({ item: "V3" })).toEqual(["H3", "H3a", "H3b"]);
    expect(found({ item: "V1" })).toEqual([]);
    expect(found(undefined)).toEqual([]);
  });

  test("dearer hours make dearer ways", () => {
    const bench = benchOf(rectified);
    const cost = (hourly: number) =>
      valueOf(metalAsks.chassisWays.run(bench, { hole: "H3", item: "V3", hourly })).find(
        (one) => one.by === "adapter-ring",
      )?.cost ?? 0;
    expect(cost(90)).toBeGreaterThan(cost(30));
  });
});

test("on plates that were changed at random no way leads to a document that is not read, seed 47", () => {
  const random = seededRandom(47);
  const among = <T>(all: readonly T[]): T | undefined => all[Math.floor(random.uniform() * all.length)];
  const sockets = ["7-pin-saddle-above", "octal-moulded-below", "noval-moulded-below", "ux4-below"];
  let [ways, fixes] = [0, 0];
  for (let n = 0; n < 60; n++) {
    const item = among(["V1", "V2", "V3"]);
    const gone = among(chassis.holes)?.id;
    const socket = among(sockets) ?? "";
    const changed = made(
      document,
      chassisEdit(document, "at random", (one) => ({
        ...one,
        items: one.items.map((each) =>
          each.id === item
            ? { ...refitted(each, socket), x: each.x + 6 * random.uniform() - 3, y: each.y + 6 * random.uniform() - 3 }
            : each,
        ),
        holes: one.holes.filter((hole) => hole.id !== gone),
      })),
    );
    const bench = benchOf(changed);
    for (const one of valueOf(metalAsks.chassisSalvage.run(bench, {}))) {
      expect(changed.chassis?.holes.map((hole) => hole.id)).toContain(one.hole);
      for (const way of valueOf(metalAsks.chassisWays.run(bench, { hole: one.hole, item: one.item, hourly: 50 }))) {
        ways++;
        expect(way.fix === undefined).toBe(way.obstacle !== undefined);
        if (way.fix === undefined) continue;
        fixes++;
        const kept = checkedChanges(changed, way.fix);
        expect(kept.ok ? "" : `${way.title}: ${kept.failure}`).toBe("");
        // What lets the part stand where it is settles the hole.
        if (way.item === undefined || way.by === "new-plate") continue;
        const after = valueOf(metalAsks.chassisSalvage.run(benchOf(made(changed, kept)), {}));
        const same = after.find((each) => each.hole === way.hole && each.item === way.item);
        expect([way.title, same?.level ?? "ok"]).toEqual([way.title, "ok"]);
      }
    }
  }
  expect(fixes).toBeGreaterThan(200);
  expect(ways).toBeGreaterThan(fixes);
});

describe("parts, tools and turns", () => {
  test("what leaves the plate is offered again, with the footprints that may stand for it", () => {
    const bare = ["V1", "DRIVE", "IN-L", "T1", "C1"].reduce((now, id) => made(now, removeItem(now, id)), document);
    const { absent, footprints } = valueOf(metalAsks.chassisParts.run(benchOf(bare), {}));
    expect(absent.map((one) => one.words)).toEqual(
      expect.arrayContaining([
        expect.stringMatching(/^V1 /),
        "the transformer",
        expect.stringMatching(/^L\.P1 and R\.P1/),
      ]),
    );
    expect(absent.find((one) => one.id === "V1")?.footprints).toEqual(["noval-moulded-below", "noval-ceramic-above"]);
    for (const one of absent) expect(one.footprints.length).toBeGreaterThan(0);
    expect(footprints.every((one) => one.status === "memory" && !one.own)).toBe(true);
    expect(footprints.find((one) => one.id === "7-pin-saddle-above")?.holes).toMatch(/16 mm.*2 × .*3.2 mm at 22.2/);
  });

  test("a measured socket goes before the library's and is said to be the builder's own", () => {
    const print = valueOf(metalAsks.chassisFootprint.run(benchOf(document), { id: "noval-ceramic-above" }));
    const { provenance: _provenance, ...own } = JSON.parse(JSON.stringify(print)) as typeof print;
    const after = made(document, keepFootprint(document, { ...own, label: "noval, mine" } as never, "V1"));
    const rows = valueOf(metalAsks.chassisParts.run(benchOf(after), {})).footprints;
    expect(rows[0]).toMatchObject({ id: "noval-ceramic-above", label: "noval, mine", own: true, status: "measured" });
    expect(itemOf(after, "V1").measured).toBe(true);
  });

  test("holes that no tool makes are named; a trade size is told by what it cuts", () => {
    const planned = made(
      document,
      addHole(document, {
        id: "H99",
        x: 200,
        y: 40,
        shape: { kind: "circle", diameterMillimetres: 20 },
        state: "planned",
      }),
    );
    const withTools = made(planned, {
      ok: true,
      value: {
        title: "tools",
        changes: [
          {
            target: "chassis.tools",
            ...(planned.chassis?.tools === undefined ? {} : { before: planned.chassis.tools }),
            after: [{ id: "P1", kind: "punch", cutsMillimetres: [22.5], name: "1/2 in punch" }],
          },
        ],
      },
    });
    const told = valueOf(metalAsks.chassisTools.run(benchOf(withTools), {}));
    expect(told.without.map((one) => one.hole)).toEqual(["H99"]);
    expect(told.names[0]?.trap).toMatch(/trade size.*22\.5 mm/);
  });

  test("turns are scored, best first, and the best that the holes allow is one that they allow", () => {
    const turn = valueOf(metalAsks.chassisTurn.run(benchOf(document), { item: "V1" }));
    if (turn === null) throw new Error("V1 is wired");
    expect(turn.turns.map((one) => one.score)).toEqual(turn.turns.map((one) => one.score).sort((a, b) => a - b));
    expect(turn.bestAsCut?.asCut).toBe(true);
    expect(turn.now.degrees).toBe(0);
    expect(valueOf(metalAsks.chassisTurn.run(benchOf(document), { item: "LAMP" }))).toBeNull();
  });
});

describe("edits", () => {
  test("a hole past the edge is refused in a sentence; one inside is taken and taken out again", () => {
    const hole = {
      id: "H40",
      x: 299,
      y: 90,
      shape: { kind: "circle", diameterMillimetres: 10 },
      state: "cut",
    } as const;
    const refused = addHole(document, hole);
    expect(refused.ok ? "" : refused.failure).toMatch(/^H40: the hole reaches 4 mm past the right edge/);
    const taken = made(document, addHole(document, { ...hole, x: 200 }));
    expect(made(taken, removeHole(taken, "H40"))).toEqual(document);
  });

  test("a smaller plate names the holes that it would lose, and can be made without them", () => {
    const smaller = { ...chassis.plate, widthMillimetres: 260 };
    const gone = holesPast(chassis, smaller);
    expect(gone.map((one) => one.id)).toContain("H9");
    expect(setPlate(document, "smaller", smaller).ok).toBe(false);
    const after = made(document, setPlateWithout(document, "smaller", smaller, gone));
    expect(after.chassis?.holes.length).toBe(chassis.holes.length - gone.length);
    expect(holesPast(chassis, chassis.plate)).toEqual([]);
  });

  test("more holes than a document takes are refused before they are kept", () => {
    const many = Array.from({ length: 480 }, (_, n) => ({
      x: 10 + (n % 100) * 2,
      y: 40 + Math.floor(n / 100),
      shape: { kind: "circle", diameterMillimetres: 1 } as const,
      state: "cut" as const,
    }));
    const refused = addHoles(document, "many", many);
    expect(refused.ok ? "" : refused.failure).toBe("A plate has at most 500 holes; take some out first.");
  });

  test("errors are spoken without the path of the document", () => {
    const wrong = setPlate(document, "round", { ...chassis.plate, cornerRadiusMillimetres: 100 });
    expect(wrong.ok ? "" : wrong.failure).toBe("100 mm is more than half of the plate; at most 90 mm is accepted.");
    expect(spoken("chassis.holes[H3].shape: x is y.")).toBe("H3: x is y.");
  });

  test("a plate is begun where there is none, and only there", () => {
    const none = without(document, "chassis") as Document;
    const begun = made(none, beginPlate(none));
    expect(begun.chassis?.plate).toMatchObject({ widthMillimetres: 300, material: "aluminium" });
    expect(begun.chassis?.items).toEqual([]);
    expect(beginPlate(document).ok).toBe(false);
  });

  test("a fitting in a hole that was idle makes it its own", () => {
    const bare = made(document, removeItem(document, "LAMP"));
    const hole = bare.chassis?.holes.find((one) => one.id === "H8");
    if (hole === undefined) throw new Error("H8 is there");
    expect(hole.serves).toBeUndefined();
    const item = { id: "LAMP", what: { fitting: "lamp" }, footprint: "lamp", x: hole.x, y: hole.y, degrees: 0 };
    const after = made(bare, fitInto(bare, hole, item, "panel lamp"));
    expect(after.chassis?.holes.find((one) => one.id === "H8")?.serves).toBe("LAMP");
    expect(valueOf(metalAsks.chassisSalvage.run(benchOf(after), {}))).toEqual(
      valueOf(metalAsks.chassisSalvage.run(benchOf(document), {})),
    );
  });

  test("ids go on where the numbers end", () => {
    expect(freshId("H", [{ id: "H3" }, { id: "H15a" }, { id: "LAMP" }])).toBe("H16");
    expect(freshId("T", [])).toBe("T1");
    const shape = { kind: "circle", diameterMillimetres: 4 } as const;
    const after = made(
      document,
      addHoles(document, "two", [
        { x: 200, y: 40, shape, state: "cut" },
        { x: 200, y: 50, shape, state: "cut" },
      ]),
    );
    const ids = after.chassis?.holes.map((one) => one.id) ?? [];
    expect(new Set(ids).size).toBe(ids.length);
  });
});

describe("lengths as they are written", () => {
  test.each([
    ["22", 22],
    ["22 mm", 22],
    ["7/8 in", 22.225],
    ['1 1/8"', 28.575],
    ["2,5", 2.5],
    ["no. 30", 3.264],
    ["#7", 5.105],
    ["F drill", 6.528],
    ["letter z", 10.49],
  ])("%s is %d mm", (written, value) => {
    expect(readLength(written)).toEqual({ ok: true, value });
  });

  test.each([
    ["", /not a length/],
    ["wide", /not a length/],
    ["no. 77", /not a length/],
    ["F", /not a length/],
    ["-3", /0 mm or more/],
    ["3000", /above 0, up to 2000 mm/],
  ])("%s is refused", (written, why) => {
    const read = written === "3000" ? readLength(written, SMALLEST, 2000) : readLength(written);
    expect(read.ok ? "" : read.failure).toMatch(why);
  });

  test("what is printed is read again, seed 44", () => {
    fc.assert(
      fc.property(fc.integer({ min: 10, max: 200_000 }), (hundredths) => {
        const value = hundredths / 100;
        expect(readLength(mm(value))).toEqual({ ok: true, value });
        const inch = readLength(inches(value));
        if (!inch.ok) throw new Error(inch.failure);
        expect(Math.abs(inch.value - value)).toBeLessThan(0.02);
      }),
      { seed: 44 },
    );
  });

  test("what a tool cuts: sizes or a range", () => {
    expect(readCuts("16; 22.5, 20")).toEqual({ ok: true, value: [16, 20, 22.5] });
    expect(readCuts("1/2 in; 22")).toEqual({ ok: true, value: [12.7, 22] });
    expect(readCuts("4 to 30")).toEqual({ ok: true, value: { from: 4, to: 30 } });
    expect(readCuts("1/4 – 1 in")).toEqual({ ok: true, value: { from: 6.35, to: 25.4 } });
    expect(cutsWords({ from: 4, to: 30 })).toBe("4 to 30");
    for (const [written, why] of [
      ["30 to 4", /less to more/],
      ["", /what it cuts/],
      ["16; big", /not a length/],
    ] as const) {
      const read = readCuts(written);
      expect(read.ok ? "" : read.failure).toMatch(why);
    }
    expect(about(0.31)).toBe("0.35");
  });
});
