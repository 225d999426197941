import { readFileSync } from "node:fs";
import { footprints, openCatalogue } from "@platewright/library";
import { describe, expect, test } from "vitest";
import { applyChanges } from "../document/change.ts";
import type { Chassis, ChassisItem } from "../document/chassis-schema.ts";
import { checkDocument } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import type { Finding } from "../findings.ts";
import { solveDesign } from "../solved/solve.ts";
import { chassisFindings } from "./chassis-findings.ts";
import { judgedChassis } from "./context.ts";
import { existingOutline } from "./match.ts";
import { cut, demoOf, item, uniform, with7Pin } from "./test-chassis.ts";
import { isInside, sampled, sampledGap } from "./test-sampled.ts";

const demo = demoOf(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const catalogue = openCatalogue();
const solved = solveDesign(demo, catalogue, { detail: "brief" });

type Edit = (chassis: Chassis) => Chassis;
const findings = (edit: Edit = (one) => one, document: Document = demo, fixes = true): readonly Finding[] =>
  chassisFindings({
    document: { ...document, chassis: edit(demo.chassis) },
    footprints,
    catalogue,
    fixes,
    ...(solved.ok ? { solved: solved.value } : {}),
  });
const of = (rule: string, edit?: Edit, document?: Document) =>
  findings(edit, document).filter((one) => one.rule === rule);
const levels = (rule: string, edit?: Edit) => of(rule, edit).map((one) => one.level);

const moved =
  (id: string, change: Partial<ChassisItem>): Edit =>
  (chassis) => ({ ...chassis, items: chassis.items.map((one) => (one.id === id ? { ...one, ...change } : one)) });
const plated =
  (change: Partial<Chassis["plate"]>): Edit =>
  (chassis) => ({ ...chassis, plate: { ...chassis.plate, ...change } });
const added =
  (...items: readonly ChassisItem[]): Edit =>
  (chassis) => ({ ...chassis, items: [...chassis.items, ...items] });
const without =
  (id: string): Edit =>
  (chassis) => ({
    ...chassis,
    items: chassis.items.filter((one) => one.id !== id),
    holes: chassis.holes.filter((one) => one.serves !== id),
  });
/** No hole is cut yet. */
const blank: Edit = (chassis) => ({ ...chassis, holes: [] });
const both =
  (...edits: readonly Edit[]): Edit =>
  (chassis) =>
    edits.reduce((now, edit) => edit(now), chassis);

test("the demo: nothing stops it; every finding has its number's limit, condition and source", () => {
  const all = findings();
  expect(all.filter((one) => one.level === "stop")).toEqual([]);
  expect(all.filter((one) => one.level === "watch").map((one) => one.rule)).toEqual([
    "chassis-measure",
    "chassis-open-glass",
    "chassis-rotation",
  ]);
  for (const one of all) {
    expect(one.id).toBe(`${one.rule}/${one.where}`);
    expect(one.condition).not.toBe("");
    expect(one.source).not.toBe("");
    expect(one.title).not.toMatch(/NaN|undefined|Infinity|null|\[object/);
    if (one.value !== null && one.unit !== "") expect(one.limit, one.id).not.toBeNull();
  }
  expect(new Set(all.map((one) => one.id)).size).toBe(all.length);
});

test("no chassis, no findings", () => {
  const { chassis: _, ...bare } = demo;
  expect(chassisFindings({ document: bare, footprints, catalogue })).toEqual([]);
});

describe("each rule at its limit", () => {
  test.each<[string, string, Edit, string]>([
    ["overlap", "chassis-overlap", moved("LAMP", { x: 270, y: 34 }), "stop"],
    ["part over the edge", "chassis-outside", moved("DRIVE", { x: 6 }), "stop"],
    ["hole past the edge", "chassis-edge", both(blank, moved("IN-L", { x: 3 })), "stop"],
    ["hole at 1 mm from the edge", "chassis-edge", both(blank, moved("EARTH", { x: 296.8 })), "watch"],
    [
      "web of 0.9 mm to a new hole",
      "chassis-web",
      (c) => ({ ...c, holes: [...c.holes, cut("N", 24, 158 - 4.75 - 2 - 0.9, 4, { state: "planned" })] }),
      "stop",
    ],
    [
      "web of 1.5 mm to a new hole",
      "chassis-web",
      (c) => ({ ...c, holes: [...c.holes, cut("N", 24, 158 - 4.75 - 2 - 1.5, 4, { state: "planned" })] }),
      "watch",
    ],
    [
      "web of 1.5 mm between holes that are there",
      "chassis-web",
      (c) => ({ ...c, holes: [...c.holes, cut("N", 24, 158 - 4.75 - 2 - 1.5, 4)] }),
      "ok",
    ],
    [
      "holes that are there run together",
      "chassis-web",
      (c) => ({ ...c, holes: [...c.holes, cut("N", 24, 154, 4)] }),
      "watch",
    ],
    [
      "bend over a hole",
      "chassis-bend",
      both(
        blank,
        plated({ bends: [{ edge: "rear", insideRadiusMillimetres: 2, flangeMillimetres: 20 }] }),
        moved("EARTH", { y: 175 }),
      ),
      "stop",
    ],
    [
      "bend near a hole",
      "chassis-bend",
      both(
        blank,
        plated({ bends: [{ edge: "front", insideRadiusMillimetres: 2, flangeMillimetres: 20 }] }),
        moved("LAMP", { y: 11 }),
      ),
      "watch",
    ],
    [
      "tags in the flange",
      "chassis-flange",
      plated({ bends: [{ edge: "left", insideRadiusMillimetres: 2, flangeMillimetres: 30 }] }),
      "none",
    ],
    [
      "tags nearer to it",
      "chassis-flange",
      both(
        plated({ bends: [{ edge: "left", insideRadiusMillimetres: 2, flangeMillimetres: 30 }] }),
        moved("IN-L", { x: 10 }),
      ),
      "stop",
    ],
    ["iron at 19 mm from the edge", "chassis-heavy-edge", moved("T1", { x: 237 }), "watch"],
    ["iron over the edge", "chassis-heavy-edge", moved("T1", { x: 260 }), "stop"],
    ["bush too short", "chassis-bush", plated({ thicknessMillimetres: 4.5 }), "stop"],
    ["tubes at 1.4 bulbs", "chassis-tube-spacing", moved("V2", { x: 60 + 1.4 * 22.2 }), "watch"],
    ["bulbs in each other", "chassis-tube-spacing", moved("V2", { x: 80 }), "stop"],
    ["rectifier at 20 mm from a can", "chassis-tube-capacitor", moved("C1", { y: 68 + 13.9 }), "watch"],
    ["rectifier at 10 mm from a can", "chassis-tube-capacitor", moved("C1", { y: 68 + 23.9 }), "stop"],
    ["glass at a knob", "chassis-hot-glass", moved("DRIVE", { y: 60 }), "watch"],
    ["iron at 90 mm from a first tube", "chassis-iron-tube", moved("V2", { x: 146 }), "watch"],
    ["mains near a jack", "chassis-mains-signal", moved("FUSE", { x: 150 }), "watch"],
    ["no earth stud", "chassis-earth", without("EARTH"), "stop"],
    ["earth far from the inlet", "chassis-earth", moved("EARTH", { x: 20, y: 90 }), "watch"],
    ["earth stud in the coat", "chassis-earth-bare", moved("EARTH", { masked: false }), "stop"],
    [
      "earth stud on bare metal",
      "chassis-earth-bare",
      both(plated({ finish: "bare" }), moved("EARTH", { masked: false })),
      "none",
    ],
    ["no inlet", "chassis-strain-relief", without("INLET"), "watch"],
    ["a gland", "chassis-strain-relief", both(without("INLET"), added(item("G", "cable-gland-pg7", 250, 165))), "ok"],
    [
      "terminals at a tag strip",
      "chassis-creepage",
      added(item("TS", "tag-strip-5", 208, 150, { face: "under" })),
      "stop",
    ],
    ["terminals at a jack", "chassis-creepage", moved("FUSE", { x: 116 + 20 }), "watch"],
    ["live without boots", "chassis-boots", moved("FUSE", { booted: false }), "watch"],
    ["spanner", "chassis-wrench", added(item("TS", "stand-off-m3", 219, 165, { face: "under" })), "watch"],
    [
      "a footprint that nobody knows",
      "chassis-footprint",
      moved("LAMP", { footprint: "candle", what: { fitting: "candle" } }),
      "stop",
    ],
    ["a socket of another base", "chassis-socket", moved("V1", { footprint: "octal-moulded-below" }), "stop"],
    ["a jack that stands nowhere", "chassis-absent", without("OUT-R"), "watch"],
    ["a spare hole", "chassis-spare", without("LAMP"), "none"],
    ["a hole left over", "chassis-spare", (c) => ({ ...c, holes: [...c.holes, cut("OLD", 240, 24, 8)] }), "watch"],
    ["under a low cover", "chassis-cover", plated({ coverMillimetres: 50 }), "stop"],
    ["under a cover that holds them in", "chassis-cover", plated({ coverMillimetres: 80 }), "watch"],
    ["under a high cover", "chassis-cover", plated({ coverMillimetres: 95 }), "ok"],
    ["glass under a cover", "chassis-open-glass", plated({ coverMillimetres: 95 }), "none"],
    ["a closed low box", "chassis-heat", plated({ coverMillimetres: 70, widthMillimetres: 300 }), "watch"],
    ["the same with vents", "chassis-heat", plated({ coverMillimetres: 70, ventSquareMillimetres: 16_000 }), "ok"],
    ["the wrong hole", "chassis-hole", with7Pin, "stop"],
    [
      "a hole too small",
      "chassis-hole",
      moved("LAMP", { footprint: "fuse-holder", what: { fitting: "fuse-holder" } }),
      "watch",
    ],
  ])("%s: %s", (_, rule, edit, level) => {
    const found = levels(rule, edit);
    if (level === "none") expect(found).toEqual([]);
    else expect(found).toContain(level);
    const rank = { ok: 0, watch: 1, stop: 2 } as const;
    if (level !== "none") expect(Math.max(...found.map((one) => rank[one]))).toBe(rank[level as Finding["level"]]);
  });

  test("a signal's way across the mains is watched, and named", () => {
    const [found] = of("chassis-crossing", both(blank, moved("INLET", { x: 60, y: 60 })));
    expect(found?.level).toBe("watch");
    expect(found?.title).toMatch(/the straight way of the signal from .+ to .+ crosses the mains from INLET to FUSE/);
  });

  test("what cannot be computed is never ok", () => {
    if (!solved.ok) throw new Error("the demo solves");
    const broken = { ...solved.value, heaters: solved.value.heaters.map((one) => ({ ...one, amps: Number.NaN })) };
    const document = { ...demo, chassis: plated({ coverMillimetres: 95 })(demo.chassis) };
    const heat = chassisFindings({
      document,
      footprints,
      catalogue,
      solved: broken as unknown as typeof solved.value,
    }).find((one) => one.rule === "chassis-heat");
    expect(heat?.level).toBe("stop");
  });
});

describe("fixes", () => {
  test.each<[string, string, Edit]>([
    ["an earth stud is masked", "chassis-earth-bare", moved("EARTH", { masked: false })],
    ["boots", "chassis-boots", both(moved("FUSE", { booted: false }), moved("SWITCH", { booted: false }))],
    ["a lamp that overlaps is moved", "chassis-overlap", both(blank, moved("LAMP", { x: 262, y: 24 }))],
    ["a left over hole is plugged", "chassis-spare", (c) => ({ ...c, holes: [...c.holes, cut("OLD", 240, 24, 8)] })],
    ["the wrong hole is salvaged", "chassis-hole", with7Pin],
    ["vents", "chassis-heat", plated({ coverMillimetres: 50 })],
  ])("%s: applied, it answers its finding and nothing new stops", (_, rule, edit) => {
    const chassis = edit(demo.chassis);
    const before = findings(edit);
    const [found] = before.filter((one) => one.rule === rule && one.level !== "ok");
    expect(found?.fixes.length).toBeGreaterThan(0);
    const [fix] = found?.fixes ?? [];
    const applied = applyChanges({ ...demo, chassis }, fix?.changes ?? []);
    if (!applied.ok || applied.value.chassis === undefined) throw new Error("the fix applies");
    expect(checkDocument(JSON.parse(JSON.stringify(applied.value))).ok).toBe(true);
    const after = chassisFindings({
      document: applied.value,
      footprints,
      catalogue,
      ...(solved.ok ? { solved: solved.value } : {}),
    });
    expect(after.filter((one) => one.id === found?.id && one.level !== "ok")).toEqual([]);
    const stops = (list: readonly Finding[]) => list.filter((one) => one.level === "stop").map((one) => one.id);
    expect(stops(after).filter((id) => !stops(before).includes(id))).toEqual([]);
  });

  test("none is looked for while something is being moved, and the levels are the same", () => {
    const edit = both(with7Pin, moved("EARTH", { masked: false }));
    const quick = findings(edit, demo, false);
    expect(quick.find((one) => one.rule === "chassis-hole")?.fixes).toEqual([]);
    expect(quick.map((one) => [one.id, one.level])).toEqual(findings(edit).map((one) => [one.id, one.level]));
  });
});

describe("random plates", () => {
  const NAMES = [
    "noval-ceramic-above",
    "7-pin-saddle-above",
    "can-30-clamp",
    "potentiometer-24-dual",
    "phono-jack-insulated",
    "mains-inlet",
    "toggle",
    "lamp",
    "earth-stud-m4",
    "tag-strip-5",
    "transformer-drop-60",
    "octal-ceramic-above",
  ];

  function randomPlate(random: () => number): Chassis {
    const [width, depth] = [160 + 200 * random(), 100 + 120 * random()];
    const count = 2 + Math.floor(5 * random());
    return {
      plate: {
        widthMillimetres: width,
        depthMillimetres: depth,
        thicknessMillimetres: 1 + 2 * random(),
        material: "aluminium",
        cornerRadiusMillimetres: 15 * random(),
      },
      items: Array.from({ length: count }, (_, i) => {
        const footprint = NAMES[Math.floor(NAMES.length * random())] ?? "lamp";
        return item(`I${i}`, footprint, width * (1.1 * random() - 0.05), depth * (1.1 * random() - 0.05), {
          degrees: random() < 0.5 ? 90 * Math.floor(4 * random()) : 360 * random(),
          face: random() < 0.2 ? "under" : "top",
        });
      }),
      holes: random() < 0.5 ? [] : [cut("H", width / 2, depth / 2, 3 + 20 * random())],
    };
  }

  test.each([31])("1,000 of them: overlaps, webs and edges as a count of points finds them (seed %d)", (seed) => {
    const random = uniform(seed);
    const seen = { overlap: 0, clear: 0, web: 0, edge: 0 };
    for (let n = 0; n < 1000; n++) {
      const chassis = randomPlate(random);
      const document = { ...demo, chassis };
      const judged = judgedChassis({ document, footprints, catalogue, fixes: false });
      const found = chassisFindings({ document, footprints, catalogue, fixes: false });
      const stopped = new Set(
        found.filter((one) => one.rule === "chassis-overlap" && one.level === "stop").map((one) => one.where),
      );
      const where = `seed ${seed}, plate ${n}`;
      const bodies = (judged?.bodies ?? []).map((body) => ({ body, points: sampled(body.outline, 36) }));
      const pairs = new Map<string, { overlap: boolean; doubtful: boolean }>();
      for (const [i, one] of bodies.entries())
        for (const other of bodies.slice(i + 1)) {
          if (one.body.item === other.body.item || one.body.face !== other.body.face) continue;
          const key = [one.body.item, other.body.item].sort().join("+");
          const gap = sampledGap(one.points, other.points);
          const before = pairs.get(key) ?? { overlap: false, doubtful: false };
          pairs.set(key, {
            overlap: before.overlap || gap.overlap,
            // So near that the points cannot tell.
            doubtful: before.doubtful || (!gap.overlap && gap.distance < gap.error),
          });
        }
      for (const [key, pair] of pairs) {
        if (pair.overlap) expect(stopped.has(key), `${where}: ${key} overlap`).toBe(true);
        else if (!pair.doubtful) expect(stopped.has(key), `${where}: ${key} do not overlap`).toBe(false);
        if (pair.overlap) seen.overlap++;
        else seen.clear++;
      }
      seen.edge += checkEdges(chassis, judged, found, where);
      seen.web += checkWebs(judged, found, where);
    }
    expect(Math.min(seen.overlap, seen.clear, seen.edge)).toBeGreaterThan(300);
    expect(seen.web).toBeGreaterThan(20);
  });

  type Judged = ReturnType<typeof judgedChassis>;

  /** Holes with a point of their rim off the plate are stopped, those whose whole rim is on it are not. */
  function checkEdges(chassis: Chassis, judged: Judged, found: readonly Finding[], where: string): number {
    const { widthMillimetres: w, depthMillimetres: h, cornerRadiusMillimetres } = chassis.plate;
    const plate = {
      kind: "rectangle" as const,
      x: w / 2,
      y: h / 2,
      widthMillimetres: w,
      heightMillimetres: h,
      cornerMillimetres: cornerRadiusMillimetres,
    };
    const stops = new Set(
      found.filter((one) => one.rule === "chassis-edge" && one.level === "stop").map((one) => one.where),
    );
    let checked = 0;
    for (const hole of judged?.holes.holes ?? []) {
      if (hole.work !== "cut" && hole.work !== "open-up") continue;
      const { rim, step } = sampled(hole.outline, 36);
      const out = rim.filter((p) => !isInside(plate, p)).length;
      if (out > 0) expect(stops.has(hole.id), `${where}: ${hole.id} is off the plate`).toBe(true);
      else if (
        rim.every((p) => isInside({ ...plate, widthMillimetres: w - 2 * step, heightMillimetres: h - 2 * step }, p))
      )
        expect(stops.has(hole.id), `${where}: ${hole.id} is on the plate`).toBe(false);
      checked++;
    }
    return checked;
  }

  /** New holes of different items with a point of one inside the other run into each other. */
  function checkWebs(judged: Judged, found: readonly Finding[], where: string): number {
    const stops = new Set(
      found.filter((one) => one.rule === "chassis-web" && one.level === "stop").map((one) => one.where),
    );
    const made = (judged?.holes.holes ?? []).filter((one) => one.work === "cut");
    const there = (judged?.chassis.holes ?? []).filter((one) =>
      (judged?.holes.holes ?? []).some((row) => row.existing === one.id && row.work === "done"),
    );
    let checked = 0;
    for (const [i, one] of made.entries()) {
      const a = sampled(one.outline, 36);
      for (const other of made.slice(i + 1)) {
        if (other.item === one.item || !sampledGap(a, sampled(other.outline, 36)).overlap) continue;
        expect(stops.has(`${one.id}+${other.id}`), `${where}: ${one.id} and ${other.id}`).toBe(true);
        checked++;
      }
      for (const hole of there) {
        if (!sampledGap(a, sampled(existingOutline(hole), 36)).overlap) continue;
        expect(stops.has(`${hole.id}+${one.id}`), `${where}: ${hole.id} and ${one.id}`).toBe(true);
        checked++;
      }
    }
    return checked;
  }
});

test("600 mutants of the demo's chassis: a sentence of the reader, or findings without nonsense (seed 41)", () => {
  const random = uniform(41);
  const text = JSON.stringify(demo.chassis);
  const VALUES = ["0", "-1", "0.5", "1e9", "22", "180", "300", "16", '"x"', "null", "[]", "true"];
  const IDS = ['"V1"', '"H3"', '"lamp"', '"toggle"', '"7-pin-saddle-above"', '"under"', '"planned"', '"L.P1"'];
  let judged = 0;
  for (let n = 0; n < 600; n++) {
    const bits = [...text.matchAll(random() < 0.6 ? /:-?\d+(\.\d+)?/g : /:"[^"]*"/g)];
    const one = bits[Math.floor(random() * bits.length)];
    if (one === undefined) continue;
    const pool = random() < 0.6 ? VALUES : IDS;
    const put = `:${pool[Math.floor(random() * pool.length)] ?? "0"}`;
    const mutant = JSON.parse(text.slice(0, one.index) + put + text.slice(one.index + one[0].length)) as unknown;
    const read = checkDocument(JSON.parse(JSON.stringify({ ...demo, chassis: mutant })));
    if (!read.ok) {
      expect(read.failure.sentence).toMatch(/^chassis\.|^The file/);
      continue;
    }
    judged++;
    for (const finding of chassisFindings({ document: read.value, footprints, catalogue }))
      expect(finding.title, put).not.toMatch(/NaN|undefined|Infinity|\[object/);
  }
  expect(judged).toBeGreaterThan(100);
});

test("a part that stands beside its own hole is told how far off it is, and goes back over it with its first fix", () => {
  const aside = moved("V1", { y: 90 });
  const [finding] = of("chassis-hole", aside).filter((one) => one.where === "V1");
  expect(finding?.title).toBe("V1: H1, 22 mm, is 14 mm off where the part wants it");
  expect([finding?.level, finding?.value]).toEqual(["stop", 14]);
  expect(finding?.fixes[0]?.title).toBe("V1 over H1, to 60, 104");
  const chassis = aside(demo.chassis);
  const mended = applyChanges({ ...demo, chassis }, finding?.fixes[0]?.changes ?? []);
  expect(mended.ok && mended.value.chassis).toEqual(demo.chassis);
});
