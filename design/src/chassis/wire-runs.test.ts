/** Wire runs: the demo's by hand, random plates against points along the ways, sharing nothing with the routes' geometry. */
import { readFileSync } from "node:fs";
import type { Place } from "@platewright/engine";
import { expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import { wiringList } from "../bench/wiring.ts";
import type { Chassis } from "../document/chassis-schema.ts";
import { solveDesign } from "../solved/solve.ts";
import { type ChassisJudged, judgedChassis } from "./context.ts";
import { demoOf, uniform } from "./test-chassis.ts";
import { alongEdges, square } from "./wire-routes.ts";
import { type WireRun, wireRuns } from "./wire-runs.ts";

const catalogue = openCatalogue();
const demo = demoOf(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const solved = solveDesign(demo, catalogue);
if (!solved.ok) throw new Error(solved.failure.sentence);
const list = wiringList(solved.value, new Map());

function runsOn(chassis: Chassis) {
  const judged = judgedChassis({ document: { ...demo, chassis }, footprints, catalogue });
  if (judged === undefined) throw new Error("no chassis");
  return { judged, ...wireRuns(judged, list) };
}

const byId = (runs: readonly WireRun[], id: string): WireRun => {
  const run = runs.find((one) => one.id === id);
  if (run === undefined) throw new Error(`no ${id}`);
  return run;
};

const apart = (a: Place, b: Place) => Math.hypot(a.x - b.x, a.y - b.y);

test("the demo: every wire has its run; what makes up each length is said", () => {
  const { runs, missing, bus } = runsOn(demo.chassis);
  expect(missing).toEqual([]);
  expect(runs.map((one) => one.id)).toEqual(list.wires.map((one) => one.id));
  // DRIVE at 60, 24 and IN-L at 24, 158, both without a corner between; tags at 34 and 20 mm below the plate.
  const input = byId(runs, "L.in: L.P1 top to L.J1 tip");
  expect(input.route).toEqual([
    { x: 60, y: 24 },
    { x: 24, y: 158 },
  ]);
  expect(input.parts.route).toBeCloseTo(Math.hypot(36, 134), 9);
  expect(input.parts).toMatchObject({ twist: 0, rise: 14, slack: 20 });
  expect(input.lengthMillimetres).toBe(175);
  expect(input.screened).toBe(true);
  // The heaters' leads from tube to tube are one pair with one way, a tenth longer, past the rear of the sockets.
  const [a, b] = ["H1: V2 pin 4 + 5 to V1 pin 4 + 5", "H1: V2 pin 8 to V1 pin 8"].map((id) => byId(runs, id));
  expect(a?.twisted).toBe(true);
  expect(a?.route).toEqual(b?.route);
  expect(a?.route).toHaveLength(4);
  expect(a?.parts.twist).toBeCloseTo(0.1 * (a?.parts.route ?? 0), 9);
  expect(bus.stations[0]?.end).toEqual({ item: "T1", at: "HT centre" });
  expect(bus.stations.at(-1)?.end).toEqual({ item: "R.J1", at: "sleeve" });
  expect(bus.bond).toEqual({ x: 24, y: 158 });
});

test("what stands nowhere has no run and is named; what hangs is said to hang", () => {
  const { runs, missing } = runsOn({ ...demo.chassis, items: demo.chassis.items.filter((one) => one.id !== "FUSE") });
  expect(missing).toEqual(["mains: inlet live to fuse", "mains: fuse to switch live in"]);
  expect(runs).toHaveLength(list.wires.length - 2);
  expect(byId(runs, "L.o2: L.P2 top to L.C3").hangs).toBe(true);
  expect(byId(runs, "L.in: L.P1 top to L.J1 tip").hangs).toBe(false);
});

test("a tag stands on the nearest tag strip", () => {
  const strip = { id: "STRIP", what: { fitting: "tag-strip-5" }, footprint: "tag-strip-5", x: 90, y: 70, degrees: 0 };
  const { runs } = runsOn({ ...demo.chassis, items: [...demo.chassis.items, strip] });
  expect(byId(runs, "L.o2: L.P2 top to L.C3").route.at(-1)).toEqual({ x: 90, y: 70 });
});

test("mains go round by the edge, beside a flange where there is one", () => {
  const plate = {
    ...demo.chassis.plate,
    bends: [{ edge: "right" as const, insideRadiusMillimetres: 2, flangeMillimetres: 40 }],
  };
  const from = { x: 270, y: 24 };
  const to = { x: 280, y: 120 };
  expect(alongEdges(demo.chassis.plate, from, to, []).map((one) => one.x)).toEqual([270, 292, 292, 280]);
  expect(alongEdges(plate, from, to, []).map((one) => one.x)).toEqual([270, 290, 290, 280]);
});

test("a square way takes the corner that keeps off", () => {
  const off = { place: { x: 100, y: 10 }, millimetres: 15 };
  expect(square({ x: 10, y: 10 }, { x: 100, y: 80 }, [off])[1]).toEqual({ x: 10, y: 80 });
  expect(square({ x: 10, y: 10 }, { x: 100, y: 80 }, [])[1]).toEqual({ x: 100, y: 10 });
});

const STEP = 2;

/** Points along a way, no two neighbours further apart than the step. */
function points(route: readonly Place[]): readonly Place[] {
  return route.flatMap((a, i) => {
    const b = route[i + 1];
    if (b === undefined) return [a];
    const pieces = Math.max(1, Math.ceil(apart(a, b) / STEP));
    return Array.from({ length: pieces }, (_, n) => ({
      x: a.x + ((b.x - a.x) * n) / pieces,
      y: a.y + ((b.y - a.y) * n) / pieces,
    }));
  });
}

const sampledGap = (one: readonly Place[], other: readonly Place[]): number => {
  let least = Infinity;
  for (const p of one) for (const q of other) least = Math.min(least, (p.x - q.x) ** 2 + (p.y - q.y) ** 2);
  return Math.sqrt(least);
};

/** A pin from the base's own drawing: places counted clockwise from below, the key to the front. */
function pinOf(judged: ChassisJudged, envelope: string, pin: number): Place {
  const item = judged.items.find(({ item: { what } }) => "envelope" in what && what.envelope === envelope);
  const pins = item?.footprint.pins;
  if (item === undefined || pins === undefined) throw new Error(envelope);
  const turn = item.item.degrees + (360 * (pins.first + pin - 1)) / pins.places - 90;
  const radius = pins.circleMillimetres / 2;
  return {
    x: item.item.x + radius * Math.cos((turn * Math.PI) / 180),
    y: item.item.y + radius * Math.sin((turn * Math.PI) / 180),
  };
}

/** The demo's items anywhere on the plate, turned anyhow. */
function scattered(random: () => number): Chassis {
  const { widthMillimetres: width, depthMillimetres: depth } = demo.chassis.plate;
  return {
    ...demo.chassis,
    holes: [],
    items: demo.chassis.items.map((one) => ({
      ...one,
      x: 25 + random() * (width - 50),
      y: 25 + random() * (depth - 50),
      degrees: Math.floor(random() * 24) * 15,
    })),
  };
}

/** Grids of a 5687: pins 2 and 7; the plate that swings: pin 9 of each (1 is on its reservoir). */
const GRIDS = [2, 7];
const PLATE = 9;
const TUBES = ["V1", "V2"];

test.each([61, 62, 63])(
  "100 random plates: ways, lengths and distances agree with points along them (seed %i)",
  (seed) => {
    const random = uniform(seed);
    for (let n = 0; n < 100; n++) {
      const { judged, runs, checks } = runsOn(scattered(random));
      const { widthMillimetres: width, depthMillimetres: depth } = judged.chassis.plate;
      for (const run of runs) {
        const { route, parts } = run;
        const out = route.slice(1, -1).filter(({ x, y }) => x < 0 || x > width || y < 0 || y > depth);
        expect(out).toEqual([]);
        const isSquare = !["grid", "plate", "cathode", "signal"].includes(run.purpose);
        const along = points(route);
        let length = 0;
        let askew = 0;
        for (const [i, b] of along.entries()) {
          const a = along[i - 1];
          if (a === undefined) continue;
          length += apart(a, b);
          askew = Math.max(askew, Math.min(Math.abs(a.x - b.x), Math.abs(a.y - b.y)));
        }
        if (isSquare) expect(askew).toBeLessThan(1e-9);
        expect(parts.route).toBeCloseTo(length, 6);
        const sum = parts.route + parts.twist + parts.rise + parts.slack;
        expect(run.lengthMillimetres - sum).toBeGreaterThan(-1e-6);
        expect(run.lengthMillimetres - sum).toBeLessThan(5);
        expect(run.lengthMillimetres % 5).toBe(0);
      }
      // Ends at pins, worked out from the base.
      expect(
        apart(byId(runs, "B1: V3 pin 3 to PS.C1 plus").route[0] ?? { x: 0, y: 0 }, pinOf(judged, "V3", 3)),
      ).toBeLessThan(1e-9);
      const way = (run: WireRun) => points(run.route);
      const agrees = (id: string, sampled: number) => {
        const check = checks.find((one) => one.id === id);
        const found = check?.millimetres ?? Number.NaN;
        expect(found).toBeLessThanOrEqual(sampled + 1e-6);
        expect(found).toBeGreaterThanOrEqual(sampled - STEP);
        expect(check?.level).toBe(found >= (check?.limit ?? 0) - 1e-4 ? "ok" : "watch");
      };
      const mains = runs.filter((one) => one.purpose === "mains").map(way);
      const signal = runs.filter((one) => one.purpose === "signal").map(way);
      agrees("mains-to-signal", Math.min(...mains.flatMap((a) => signal.map((b) => sampledGap(a, b)))));
      const toGrid = TUBES.flatMap((plate) =>
        TUBES.filter((tube) => tube !== plate).flatMap((tube) =>
          [
            ...GRIDS.map((pin) => [pinOf(judged, tube, pin)]),
            ...runs.filter((one) => one.to.near?.item === tube && one.to.near.at === "pin 7").map(way),
          ].map((grid) => sampledGap([pinOf(judged, plate, PLATE)], grid)),
        ),
      );
      agrees("plate-to-grid", Math.min(...toGrid));
      for (const tube of TUBES) {
        const rows = GRIDS.flatMap((pin) => {
          const grid = [pinOf(judged, tube, pin)];
          const own = Math.min(...[4, 5, 8].map((heater) => apart(pinOf(judged, tube, heater), grid[0] as Place)));
          return runs
            .filter((one) => one.purpose === "heater" && one.twisted)
            .map((run) => {
              const ends = run.from.item === tube || run.to.item === tube;
              return sampledGap(way(run), grid) - Math.min(15, ends ? own : 15);
            });
        });
        const check = checks.find((one) => one.id === `heater-to-grid/${tube}`);
        const room = (check?.millimetres ?? Number.NaN) - (check?.limit ?? Number.NaN);
        expect(room).toBeLessThanOrEqual(Math.min(...rows) + 1e-6);
        expect(room).toBeGreaterThanOrEqual(Math.min(...rows) - STEP);
      }
    }
  },
);
