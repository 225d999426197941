/**
 * 5,000 random plates: findings against points taken along every rim, worked out from the footprints' data alone.
 *
 * Method  Rims are sampled in the part's own frame and then turned and moved here, so that neither the geometry, the placing nor
 *         the rules are asked. Points bound what is true: two rims are as near as their nearest points, or nearer by at most
 *         their steps. Where a finding gives a number it must lie within those bounds; its level must be that of both
 *         bounds, and where the bounds differ the points cannot tell, and are not counted.
 */
import { readFileSync } from "node:fs";
import type { Footprint, Outline, Place } from "@platewright/engine";
import { expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import type { Chassis, ChassisItem } from "../document/chassis-schema.ts";
import type { Level } from "../findings.ts";
import { chassisFindings } from "./chassis-findings.ts";
import { demoOf, uniform } from "./test-chassis.ts";
import { isInside, sampled } from "./test-sampled.ts";

const catalogue = openCatalogue();
const demo = demoOf(readFileSync("examples/hearth/hearth.design.json", "utf8"));

type Slot = readonly [id: string, what: ChassisItem["what"], footprints: readonly string[]];
const fitting = (id: string, ...names: readonly string[]): Slot => [id, { fitting: id.toLowerCase() }, names];

const SLOTS: readonly Slot[] = [
  ["V1", { envelope: "V1" }, ["noval-ceramic-above", "noval-moulded-below"]],
  ["V2", { envelope: "V2" }, ["noval-ceramic-above", "noval-moulded-below"]],
  ["V3", { envelope: "V3" }, ["noval-ceramic-above", "7-pin-saddle-above"]],
  ["C1", { part: "PS.C1" }, ["can-25-clamp", "can-30-clamp", "can-35-clamp"]],
  ["T1", { transformer: true }, ["transformer-drop-60", "transformer-toroid-80", "transformer-upright-60"]],
  ["DRIVE", { part: "L.P1" }, ["potentiometer-24-dual", "potentiometer-16-dual"]],
  ["IN", { part: "L.J1" }, ["phono-jack-insulated", "xlr", "phone-jack"]],
  fitting("SWITCH", "toggle", "toggle-small"),
  fitting("INLET", "mains-inlet", "mains-inlet-fused", "cable-gland-pg7"),
  fitting("FUSE", "fuse-holder"),
  fitting("LAMP", "lamp"),
  fitting("STRIP", "tag-strip-5"),
];

const EDGES = ["front", "rear", "left", "right"] as const;

function randomPlate(random: () => number): Chassis {
  const [width, depth] = [180 + 200 * random(), 120 + 120 * random()];
  const pick = <T>(all: readonly T[]): T => all[Math.floor(random() * all.length)] as T;
  const slots = SLOTS.filter(() => random() < 0.5);
  return {
    plate: {
      widthMillimetres: width,
      depthMillimetres: depth,
      thicknessMillimetres: 1 + 2 * random(),
      material: "aluminium",
      cornerRadiusMillimetres: 15 * random(),
      ...(random() < 0.5
        ? {}
        : { bends: [{ edge: pick(EDGES), insideRadiusMillimetres: 3 * random(), flangeMillimetres: 40 }] }),
    },
    items: slots.map(([id, what, names]) => ({
      id,
      what,
      footprint: pick(names),
      x: width * (1.1 * random() - 0.05),
      y: depth * (1.1 * random() - 0.05),
      degrees: random() < 0.5 ? 90 * Math.floor(4 * random()) : 360 * random(),
      ...(random() < 0.15 ? { face: "under" as const } : {}),
    })),
    holes: [],
  };
}

/** A rim on the plate in points. */
interface Rim {
  readonly points: readonly Place[];
  /** How much nearer the rim may come than its points. */
  readonly error: number;
  readonly holds: (p: Place) => boolean;
  /** A circle that holds it. */
  readonly middle: Place;
  readonly radius: number;
}

function rimOf(item: ChassisItem, outline: Outline): Rim {
  const { rim, step } = sampled(outline, 48);
  const angle = (item.degrees * Math.PI) / 180;
  const [c, s, flip] = [Math.cos(angle), Math.sin(angle), item.face === "under" ? -1 : 1];
  const onto = ({ x, y }: Place): Place => ({ x: item.x + flip * x * c - y * s, y: item.y + flip * x * s + y * c });
  const back = ({ x, y }: Place): Place => {
    const [dx, dy] = [x - item.x, y - item.y];
    return { x: flip * (dx * c + dy * s), y: dy * c - dx * s };
  };
  // Arcs of rectangles are chords: they lie inside the rim by a fiftieth of the radius at most.
  const round = outline.kind === "rectangle" ? (outline.cornerMillimetres ?? 0) / 50 : 0;
  const points = rim.map(onto);
  const error = step / 2 + round;
  const middle = {
    x: points.reduce((sum, p) => sum + p.x, 0) / points.length,
    y: points.reduce((sum, p) => sum + p.y, 0) / points.length,
  };
  const radius = error + Math.max(...points.map((p) => Math.hypot(p.x - middle.x, p.y - middle.y)));
  return { points, error, holds: (p) => isInside(outline, back(p)), middle, radius };
}

/** Between these lies what is true. */
interface Between {
  readonly least: number;
  readonly most: number;
}

/** Farther apart than any rule asks: the circles round them say enough. */
const FAR = 45;

function gap(one: Rim, other: Rim): Between {
  const between = Math.hypot(one.middle.x - other.middle.x, one.middle.y - other.middle.y);
  const least = between - one.radius - other.radius;
  if (least > FAR) return { least, most: between + one.radius + other.radius };
  let square = Infinity;
  for (const p of one.points)
    for (const q of other.points) square = Math.min(square, (p.x - q.x) * (p.x - q.x) + (p.y - q.y) * (p.y - q.y));
  const apart = Math.sqrt(square);
  if (one.points.some(other.holds) || other.points.some(one.holds)) return OVERLAP;
  return { least: apart - one.error - other.error, most: apart };
}

const OVERLAP: Between = { least: -Infinity, most: -1e-9 };

const nearest = (all: readonly Between[]): Between => ({
  least: Math.min(...all.map((one) => one.least)),
  most: Math.min(...all.map((one) => one.most)),
});

/** How deep a place lies in a rectangle from 0, 0 with round corners; negative outside. */
function depthAt({ x, y }: Place, width: number, depth: number, radius: number): number {
  const [u, v] = [Math.abs(x - width / 2) - width / 2 + radius, Math.abs(y - depth / 2) - depth / 2 + radius];
  return radius - Math.hypot(Math.max(u, 0), Math.max(v, 0)) - Math.min(Math.max(u, v), 0);
}

/** Of a rim: its points, and how far between them it may bulge: a circle's as much as its chord, no more. */
function deepest(rim: Rim, at: (p: Place) => number): Between {
  const most = Math.min(...rim.points.map(at));
  return { least: most - rim.error, most };
}

interface Body {
  readonly item: ChassisItem;
  readonly footprint: Footprint;
  readonly what: string;
  readonly face: "top" | "under";
  readonly rim: Rim;
}

const faceOf = (item: ChassisItem) => item.face ?? "top";

function bodiesOf(item: ChassisItem): readonly Body[] {
  const footprint = footprints.footprint(item.footprint);
  if (footprint === undefined) throw new Error(item.footprint);
  const own = faceOf(item);
  const list = (bodies: Footprint["above"], face: "top" | "under") =>
    bodies.map((body) => ({ item, footprint, what: body.what, face, rim: rimOf(item, body.outline) }));
  return [...list(footprint.above, own), ...list(footprint.below, own === "top" ? "under" : "top")];
}

/** Bulbs of the demo's bottles: those of the sheet, else what a noval socket takes. */
function bulbMillimetres(envelope: string): number {
  const type = demo.envelopes.find((one) => one.id === envelope)?.type ?? "";
  const sheet = catalogue.tube(type)?.dimensions?.diameter?.value;
  return sheet === undefined ? 22.2 : 1000 * sheet;
}

const bulbOf = (item: ChassisItem, diameterMillimetres: number): Rim =>
  rimOf(item, { kind: "circle", x: 0, y: 0, diameterMillimetres });

interface Expected {
  readonly rule: string;
  readonly where: string;
  readonly between: Between;
  readonly judged: Judgement;
}

interface Judgement {
  readonly level: (value: number) => Level;
  readonly limit: number;
}

/** Watched under the one, stopped under the other. */
const under = (watch: number, stop = -Infinity): Judgement => ({
  level: (value) => (value < stop ? "stop" : value < watch ? "watch" : "ok"),
  limit: watch === -Infinity ? stop : watch,
});

/** Every pair and part that a rule speaks of, with what the points say of it. */
function expectedOf({ plate, items }: Chassis): readonly Expected[] {
  const { widthMillimetres: width, depthMillimetres: depth, thicknessMillimetres: thick } = plate;
  const corner = plate.cornerRadiusMillimetres ?? 0;
  const bodies = items.flatMap(bodiesOf);
  const kind = (item: ChassisItem) => footprints.footprint(item.footprint)?.kind ?? "lamp";
  const of = (item: ChassisItem, ...not: readonly string[]) =>
    bodies.filter((body) => body.item === item && !not.includes(body.what));
  const tubes = items.flatMap((item) =>
    "envelope" in item.what ? [{ item, bulb: bulbMillimetres(item.what.envelope), envelope: item.what.envelope }] : [],
  );
  const isIron = (item: ChassisItem) => ["transformer", "toroid"].includes(kind(item));
  const mains = items.filter(
    (item) => "fitting" in item.what && ["inlet", "gland", "fuse-holder", "switch"].includes(kind(item)),
  );
  const signal = items.filter(
    (item) =>
      ("part" in item.what && ["jack", "potentiometer"].includes(kind(item))) ||
      ("envelope" in item.what && ["V1", "V2"].includes(item.what.envelope)),
  );
  const all: Expected[] = [];
  const add = (rule: string, where: string, between: Between, judged: Judgement) =>
    all.push({ rule: `chassis-${rule}`, where, between, judged });
  const pairs = <T>(list: readonly T[]) =>
    list.flatMap((one, i) => list.slice(i + 1).map((other) => [one, other] as const));

  const solid = [
    ...bodies,
    ...tubes.map(({ item, bulb }) => ({ item, what: "bulb", face: faceOf(item), rim: bulbOf(item, bulb) })),
  ];
  for (const [one, other] of pairs(items)) {
    const gaps = solid
      .filter((body) => body.item === one)
      .flatMap((a) => solid.filter((b) => b.item === other && b.face === a.face).map((b) => gap(a.rim, b.rim)));
    const [first, second] = one.id < other.id ? [one.id, other.id] : [other.id, one.id];
    if (gaps.length > 0) add("overlap", `${first}+${second}`, nearest(gaps), under(-Infinity, 0));
  }
  for (const item of items) {
    const rims = of(item, "plug").map((body) => deepest(body.rim, (p) => depthAt(p, width, depth, 0)));
    if (!isIron(item)) add("outside", item.id, nearest(rims), under(-Infinity, 0));
    else
      add(
        "heavy-edge",
        item.id,
        nearest(
          of(item)
            .filter((body) => body.face === faceOf(item))
            .map((body) => deepest(body.rim, (p) => depthAt(p, width, depth, corner))),
        ),
        under(20, 0),
      );
  }
  for (const [one, other] of pairs(tubes)) {
    if (faceOf(one.item) !== faceOf(other.item)) continue;
    const apart = Math.hypot(one.item.x - other.item.x, one.item.y - other.item.y);
    const touch = (one.bulb + other.bulb) / 2;
    const wanted = 1.5 * Math.max(one.bulb, other.bulb);
    add("tube-spacing", `${one.envelope}+${other.envelope}`, { least: apart, most: apart }, under(wanted, touch));
  }
  for (const tube of tubes) {
    const bulb = bulbOf(tube.item, tube.bulb);
    for (const item of items) {
      const here = bodies.filter((body) => body.item === item && body.face === faceOf(tube.item));
      const gaps = (rims: readonly Body[]) => nearest(rims.map((body) => gap(body.rim, bulb)));
      const can = here.filter((body) => body.what !== "clamp");
      const wanted = tube.envelope === "V3" ? 25 : 20;
      if (kind(item) === "can" && can.length > 0)
        add("tube-capacitor", `${tube.envelope}+${item.id}`, gaps(can), under(wanted, wanted / 2));
      if (["potentiometer", "switch"].includes(kind(item)) && faceOf(item) === faceOf(tube.item) && here.length > 0)
        add("hot-glass", `${tube.envelope}+${item.id}`, gaps(here), under(30));
      if (isIron(item) && tube.envelope !== "V3") {
        const apart = Math.hypot(item.x - tube.item.x, item.y - tube.item.y);
        const far = kind(item) === "toroid" ? 60 : 100;
        add("iron-tube", `${item.id}+${tube.item.id}`, { least: apart, most: apart }, under(far));
      }
    }
  }
  for (const live of mains)
    for (const quiet of signal) {
      const gaps = of(live, "plug").flatMap((a) => of(quiet, "plug").map((b) => gap(a.rim, b.rim)));
      add("mains-signal", `${live.id}+${quiet.id}`, nearest(gaps), under(40));
    }

  const toEdge: Readonly<Record<(typeof EDGES)[number], (p: Place) => number>> = {
    front: ({ y }) => y,
    rear: ({ y }) => depth - y,
    left: ({ x }) => x,
    right: ({ x }) => width - x,
  };
  const holes = items.flatMap((item) =>
    (footprints.footprint(item.footprint)?.holes ?? []).map(({ id, x, y, shape }) => ({
      item,
      id: `${item.id}/${id}`,
      rim: rimOf(item, { ...shape, x, y }),
    })),
  );
  for (const hole of holes) {
    add(
      "edge",
      hole.id,
      deepest(hole.rim, (p) => depthAt(p, width, depth, corner)),
      under(2 * thick, 0),
    );
    for (const { edge, insideRadiusMillimetres: radius } of plate.bends ?? []) {
      const from = deepest(hole.rim, (p) => toEdge[edge](p) - thick);
      add("bend", `${hole.id}+${edge}`, from, under(2.5 * thick + radius, radius));
    }
  }
  for (const { edge, insideRadiusMillimetres: radius } of plate.bends ?? [])
    for (const item of items) {
      const low = bodies.filter((body) => body.item === item && body.face === "under");
      // The first body that meets it is spoken of: only whether one does is compared.
      const from = nearest(low.map((body) => deepest(body.rim, (p) => toEdge[edge](p) - thick - radius)));
      if (low.length > 0) add("flange", `${item.id}+${edge}`, from, under(-Infinity, 0));
    }
  const wanted = Math.max(2, thick);
  for (const [one, other] of pairs(holes))
    if (one.item !== other.item) add("web", `${one.id}+${other.id}`, gap(one.rim, other.rim), under(wanted, 1));
  return all;
}

/** Not a number of the pair: a first body that meets a flange, however far; a shift that parts two that overlap. */
const LEVEL_ONLY = new Set(["chassis-flange"]);

test.each([81, 82, 83, 84, 85])("1,000 plates, every rule that measures (seed %i)", (seed) => {
  const random = uniform(seed);
  const told = new Map<string, number>();
  for (let n = 0; n < 1000; n++) {
    const chassis = randomPlate(random);
    const expected = expectedOf(chassis);
    const rules = new Set(expected.map((one) => one.rule));
    const found = chassisFindings({ document: { ...demo, chassis }, footprints, catalogue, fixes: false });
    const byKey = new Map(found.map((one) => [`${one.rule} ${one.where}`, one]));
    const wrong: string[] = [];
    const known = new Set<string>();
    for (const { rule, where, between, judged } of expected) {
      const key = `${rule} ${where}`;
      known.add(key);
      const one = byKey.get(key);
      const [low, high] = [judged.level(between.least), judged.level(between.most)];
      const is = one?.level ?? "ok";
      if (low === high) {
        if (is !== low) wrong.push(`${key}: ${is}, the points say ${low} (${between.least} to ${between.most})`);
        told.set(`${rule} ${low}`, (told.get(`${rule} ${low}`) ?? 0) + 1);
      }
      if (one?.value === undefined || one.value === null || LEVEL_ONLY.has(rule)) continue;
      if (Math.abs((one.limit ?? Number.NaN) - judged.limit) > 1e-9) wrong.push(`${key}: limit ${one.limit}`);
      if (one.value < between.least - 1e-6 || one.value > between.most + 1e-6)
        wrong.push(`${key}: ${one.value}, the points say ${between.least} to ${between.most}`);
    }
    for (const [key, one] of byKey) if (rules.has(one.rule) && !known.has(key)) wrong.push(`${key}: nobody asked`);
    if (wrong.length > 0) throw new Error(`seed ${seed}, plate ${n}: ${JSON.stringify(chassis)}\n${wrong.join("\n")}`);
  }
  // Each rule was broken and kept often enough to tell.
  for (const rule of ["overlap", "outside", "heavy-edge", "tube-spacing", "tube-capacitor", "hot-glass", "iron-tube"])
    expect(told.get(`chassis-${rule} ok`), rule).toBeGreaterThan(10);
  for (const [rule, level, least] of [
    ["overlap", "stop", 500],
    ["outside", "stop", 300],
    ["heavy-edge", "watch", 20],
    ["heavy-edge", "stop", 100],
    ["tube-spacing", "watch", 3],
    ["tube-spacing", "stop", 3],
    ["tube-capacitor", "watch", 10],
    ["tube-capacitor", "stop", 20],
    ["hot-glass", "watch", 50],
    ["iron-tube", "watch", 100],
    ["mains-signal", "watch", 100],
    ["mains-signal", "ok", 100],
    ["edge", "watch", 10],
    ["edge", "stop", 300],
    ["bend", "watch", 10],
    ["bend", "stop", 20],
    ["flange", "stop", 50],
    ["web", "stop", 20],
    ["web", "ok", 1000],
  ] as const)
    expect(told.get(`chassis-${rule} ${level}`) ?? 0, `${rule} ${level}`).toBeGreaterThan(least);
});
