import { readFileSync } from "node:fs";
import type { Result } from "@platewright/engine";
import { footprints, openCatalogue } from "@platewright/library";
import { describe, expect, test } from "vitest";
import { applyChanges } from "../document/change.ts";
import type { Chassis } from "../document/chassis-schema.ts";
import { checkDocument, readDesign } from "../document/read.ts";
import { cutRevision, frozenFootprints } from "../document/revision.ts";
import { distance } from "./geometry.ts";
import { type ChassisHole, holesOf } from "./holes.ts";
import { type SalvageOption, salvageOptions } from "./salvage.ts";
import { cut, demoOf, item, only, plate, round, uniform, with7Pin } from "./test-chassis.ts";

const demo = () => demoOf(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const works = (holes: readonly ChassisHole[]) => Object.fromEntries(holes.map((one) => [one.id, one.work]));

describe("the demo", () => {
  const document = demo();

  test("every hole of every item is there and serves; none is spare", () => {
    const { holes, unknown } = holesOf(document.chassis, footprints);
    expect(unknown).toEqual([]);
    expect(holes.filter((one) => one.work !== "done").map((one) => one.id)).toEqual([]);
    expect(new Set(holes.map((one) => one.existing)).size).toBe(document.chassis.holes.length);
  });

  test("a 7-pin socket over the 22 mm hole: body and both screws are in the way, the old screw holes are spare", () => {
    const { holes } = holesOf(with7Pin(document.chassis), footprints);
    expect(holes.filter((one) => one.work !== "done").map((one) => [one.id, one.work, one.existing])).toEqual([
      ["V3/body", "unresolved", "H3"],
      ["V3/screw-a", "unresolved", "H3"],
      ["V3/screw-b", "unresolved", "H3"],
      ["H3a", "spare", "H3a"],
      ["H3b", "spare", "H3b"],
    ]);
  });

  test("the ring: bore 16, on the old screw holes, the socket's screws on the rim and so tapped; the socket is turned", () => {
    const chassis = with7Pin(document.chassis);
    const options = salvageOptions({ chassis, library: footprints }, "H3", "V3");
    if (!options.ok) throw new Error(options.failure);
    const ring = options.value.find((one) => one.by === "adapter-ring");
    expect(ring?.obstacle).toBeUndefined();
    const carrier = ring?.carrier;
    expect(carrier?.fixing.map((one) => one.existing)).toEqual(["H3a", "H3b"]);
    expect(carrier?.holes.map((one) => [one.id, one.seat, one.thread])).toEqual([
      ["body", undefined, undefined],
      ["screw-a", "on-rim", "M3"],
      ["screw-b", "on-rim", "M3"],
    ]);
    expect(carrier?.material).toBe("brass");
    expect(carrier?.thicknessMillimetres).toBe(3);
    // Screw centres at 14.3 mm and 1.5 diameters of M3 to the edge.
    expect(carrier?.outline).toEqual({ kind: "circle", x: 165, y: 128, diameterMillimetres: 38 });
    expect(carrier?.countersunk).toBe(false);
    expect(carrier?.coversMillimetres).toBe(8);

    const decided = applyChanges({ ...document, chassis }, ring?.fix?.changes ?? []);
    if (!decided.ok || decided.value.chassis === undefined) throw new Error("the fix applies");
    expect(checkDocument(JSON.parse(JSON.stringify(decided.value))).ok).toBe(true);
    const after = holesOf(decided.value.chassis, footprints);
    expect(after.refused).toEqual([]);
    expect(works(after.holes.filter((one) => one.item === "V3"))).toEqual({
      "V3/body": "cut",
      "V3/screw-a": "cut",
      "V3/screw-b": "cut",
      "V3/opening": "done",
      "V3/fixing-1": "done",
      "V3/fixing-2": "done",
    });
    expect(
      after.holes.filter((one) => one.in === "adapter-ring").map((one) => [one.id, one.outline, one.thread]),
    ).toEqual([
      ["V3/body", { kind: "circle", x: 165, y: 128, diameterMillimetres: 16 }, undefined],
      // Drilled for the thread, 22.2 mm apart, across the old screws.
      ["V3/screw-a", { kind: "circle", x: 165 - 11.1, y: 128, diameterMillimetres: 2.5 }, "M3"],
      ["V3/screw-b", { kind: "circle", x: 165 + 11.1, y: 128, diameterMillimetres: 2.5 }, "M3"],
    ]);
    expect(after.holes.filter((one) => one.work === "unresolved" || one.work === "spare")).toEqual([]);
  });

  test("every way of the demo's case: those that keep the place first, what cannot be last, each that can with its fix", () => {
    const options = salvageOptions({ chassis: with7Pin(document.chassis), library: footprints }, "H3", "V3");
    if (!options.ok) throw new Error(options.failure);
    expect(options.value.map((one) => [one.by, one.obstacle === undefined, one.fix !== undefined])).toEqual([
      ["cover-plate", true, true],
      ["adapter-ring", true, true],
      ["sub-plate", true, true],
      ["blank-plug", true, true],
      ["other-use", true, true],
      ["new-plate", true, false],
      ["keep", false, false],
      ["open-up", false, false],
    ]);
    for (const one of options.value) {
      expect(one.cost).toBeGreaterThanOrEqual(one.materialCost);
      const applied = applyChanges({ ...document, chassis: with7Pin(document.chassis) }, one.fix?.changes ?? []);
      expect(applied.ok && checkDocument(JSON.parse(JSON.stringify(applied.value))).ok, one.by).toBe(true);
    }
    const dearer = salvageOptions(
      { chassis: with7Pin(document.chassis), library: footprints, hourly: 100 },
      "H3",
      "V3",
    );
    const ring = (from: Result<readonly SalvageOption[], string>) =>
      from.ok ? from.value.find((one) => one.by === "adapter-ring")?.cost : undefined;
    expect((ring(dearer) ?? 0) - (ring(options) ?? 0)).toBeCloseTo(50, 9);
  });
});

describe("what is there for a need", () => {
  const parts = only(round("p20", 20, 1, 1.5, 30));
  const workOf = (holes: Chassis["holes"]) => {
    const found = holesOf(plate({ items: [item("A", "p20", 100, 60)], holes }), parts);
    return works(found.holes)["A/body"];
  };

  test.each<[string, Chassis["holes"], string]>([
    ["nothing", [], "cut"],
    ["as wanted", [cut("H", 100, 60, 20)], "done"],
    ["smallest that it passes", [cut("H", 100, 60, 19)], "done"],
    ["smaller than that", [cut("H", 100, 60, 18.9)], "open-up"],
    ["largest that it covers", [cut("H", 100, 60, 21.5)], "done"],
    ["larger than that", [cut("H", 100, 60, 21.7)], "unresolved"],
    ["off by what the flange still covers", [cut("H", 100.5, 60, 20)], "done"],
    ["off by more", [cut("H", 101.5, 60, 20)], "unresolved"],
    ["a small one inside, off its place", [cut("H", 104, 62, 10)], "open-up"],
    ["a small one over the rim", [cut("H", 110, 60, 4)], "unresolved"],
    ["one that does not touch", [cut("H", 130, 60, 20)], "cut"],
    ["planned", [cut("H", 100, 60, 20, { state: "planned" })], "cut"],
    ["of another item", [cut("H", 100, 60, 20, { serves: "B" })], "cut"],
  ])("%s", (_, holes, work) => expect(workOf(holes)).toBe(work));

  test("a hole goes to one need: the one that it is meant for, then the nearest", () => {
    const items = [item("A", "p20", 100, 60), item("B", "p20", 100.3, 60)];
    const there = (holes: Chassis["holes"]) =>
      holesOf(plate({ items, holes }), parts).holes.map((one) => [one.id, one.existing]);
    expect(there([cut("H", 100.1, 60, 20)])).toContainEqual(["A/body", "H"]);
    expect(there([cut("H", 100.1, 60, 20, { serves: "B" })])).toContainEqual(["B/body", "H"]);
    expect(there([cut("H", 100.1, 60, 20)]).filter(([, existing]) => existing === "H")).toHaveLength(1);
  });

  test("moved and turned with its item, on the underside mirrored", () => {
    const document = demo();
    const moved = document.chassis.items.map((one) =>
      one.id === "SWITCH" ? { ...one, x: 150, y: 90, degrees: 90, face: "under" as const } : one,
    );
    const lug = holesOf({ ...document.chassis, items: moved, holes: [] }, footprints).holes.find(
      (one) => one.id === "SWITCH/lug",
    );
    expect([lug?.x, lug?.y]).toEqual([150 - 8.7, 90]);
    const pot = (face: "top" | "under") =>
      holesOf(plate({ items: [item("P", "potentiometer-24-dual", 100, 60, { face })] }), footprints).holes.find(
        (one) => one.id === "P/lug",
      )?.x;
    expect([pot("top"), pot("under")]).toEqual([100 - 12.7, 100 + 12.7]);
  });

  test("what is kept by the builder's word counts as done; a plug closes; a planned hole is cut", () => {
    const chassis = plate({
      items: [item("A", "p20", 100, 60)],
      holes: [cut("H", 100, 60, 22), cut("S", 30, 30, 12), cut("N", 60, 30, 8, { state: "planned" })],
    });
    expect(works(holesOf(chassis, parts).holes)).toEqual({ "A/body": "unresolved", S: "spare", N: "cut" });
    const salvage: Chassis["salvage"] = [
      { hole: "H", item: "A", by: "keep" },
      { hole: "S", by: "blank-plug" },
    ];
    expect(works(holesOf({ ...chassis, salvage }, parts).holes)).toEqual({ "A/body": "done", S: "close", N: "cut" });
  });

  test("an unknown footprint is named, the others keep their holes", () => {
    const found = holesOf(plate({ items: [item("A", "p20", 100, 60), item("Q", "nobody-knows", 50, 50)] }), parts);
    expect(found.unknown).toEqual(["Q"]);
    expect(found.holes.map((one) => one.id)).toEqual(["A/body"]);
  });

  test("a footprint of the document goes before the library's", () => {
    const own = { ...round("p20", 12, 0, 1, 20), provenance: undefined };
    const { provenance: _, ...measured } = own;
    const chassis = plate({
      items: [item("A", "p20", 100, 60)],
      footprints: [{ ...measured, kind: "lamp", holes: [...measured.holes], above: [], below: [] }],
    } as Partial<Chassis>);
    expect(holesOf(chassis, parts).holes[0]?.shape).toEqual({ kind: "circle", diameterMillimetres: 12 });
  });
});

describe("rings and plates on any hole", () => {
  test("a carrier that is made covers its opening, holds its part, keeps webs; 600 random cases (seed 21)", () => {
    const random = uniform(21);
    const counts: Record<string, number> = {};
    for (let n = 0; n < 600; n++) {
      const x = 15 + 170 * random();
      const y = 15 + 90 * random();
      const size = 12 + 26 * random();
      const off = random() < 0.5 ? 0 : 4 * random();
      const socket = random() < 0.5 ? "7-pin-saddle-above" : "noval-ceramic-above";
      const old = random() < 0.5 ? [] : [cut("A", x - size / 2 - 4, y, 3.2), cut("B", x + size / 2 + 4, y, 3.2)];
      const chassis = plate({
        items: [item("V", socket, x + off, y, { degrees: 15 * Math.floor(24 * random()) }), item("L", "lamp", 100, 60)],
        holes: [cut("H", x, y, size), ...old],
      });
      const options = salvageOptions({ chassis, library: footprints }, "H", "V");
      if (!options.ok) throw new Error(options.failure);
      for (const { carrier, by, words } of options.value) {
        if (carrier === undefined) continue;
        counts[by] = (counts[by] ?? 0) + 1;
        const where = `case ${n}, ${by}: ${words}`;
        expect(carrier.coversMillimetres, where).toBeGreaterThanOrEqual(1);
        for (const screw of carrier.fixing) {
          // Nothing is drilled into the hole, and the screw stands inside the carrier by its edge.
          expect(distance(screw, { x, y }) - size / 2 - screw.diameterMillimetres / 2, where).toBeGreaterThan(0.99);
          for (const own of carrier.holes)
            if (own.outline.kind === "circle")
              expect(
                distance(screw, own.outline) - own.outline.diameterMillimetres / 2 - screw.diameterMillimetres / 2,
                where,
              ).toBeGreaterThan(0.99);
        }
        const tapped = carrier.holes.some((one) => one.thread !== undefined);
        expect(
          carrier.holes.some((one) => one.seat === "on-rim"),
          where,
        ).toBe(tapped);
        if (tapped) expect(carrier.thicknessMillimetres, where).toBeGreaterThanOrEqual(3);
      }
    }
    for (const kind of ["adapter-ring", "cover-plate", "sub-plate"]) expect(counts[kind], kind).toBeGreaterThan(40);
  });
});

test("a revision keeps the footprints that it was cut with; the library's later ones do not move its holes", () => {
  const file = { format: "platewright/design@1" as const, migrations: [], now: demo(), revisions: [] };
  const revised = cutRevision(file, openCatalogue(), { id: "B" }, footprints);
  if (!revised.ok) throw new Error(revised.failure);
  const [revision] = revised.value.revisions;
  if (revision?.document.chassis === undefined) throw new Error("it holds its chassis");
  expect(readDesign(JSON.stringify(revised.value)).ok).toBe(true);
  const later = only(
    ...footprints.all.map((one) => ({ ...one, holes: one.holes.map((hole) => ({ ...hole, x: hole.x + 3 })) })),
  );
  const [then, now] = [frozenFootprints(revision, later), later].map((one) =>
    holesOf({ ...demo().chassis, holes: [] }, one).holes.map(({ id, x, y }) => ({ id, x, y })),
  );
  expect(then).toEqual(
    holesOf({ ...demo().chassis, holes: [] }, footprints).holes.map(({ id, x, y }) => ({ id, x, y })),
  );
  expect(now).not.toEqual(then);
  expect(frozenFootprints(revision, later).footprint("octal-moulded-below")?.holes[0]?.x).toBe(3);
});
