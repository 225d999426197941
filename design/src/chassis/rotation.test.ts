import { readFileSync } from "node:fs";
import { footprints, openCatalogue } from "@platewright/library";
import { expect, test } from "vitest";
import type { Chassis } from "../document/chassis-schema.ts";
import { chassisFindings } from "./chassis-findings.ts";
import { judgedChassis } from "./context.ts";
import { distance } from "./geometry.ts";
import { pinPlace, placeItem } from "./placed.ts";
import { isHeater, type Rotation, rotationOf } from "./rotation.ts";
import { demoOf, item, uniform } from "./test-chassis.ts";

const demo = demoOf(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const catalogue = openCatalogue();

function rotation(id: string, chassis: Chassis = demo.chassis): Rotation {
  const judged = judgedChassis({ document: { ...demo, chassis }, footprints, catalogue });
  const placed = judged?.items.find((one) => one.item.id === id);
  const found = judged === undefined || placed === undefined ? undefined : rotationOf(judged, placed);
  if (found === undefined) throw new Error(`${id} is a wired socket`);
  return found;
}
const at = (change: Partial<Chassis["items"][number]>, id: string, chassis = demo.chassis): Chassis => ({
  ...chassis,
  items: chassis.items.map((one) => (one.id === id ? { ...one, ...change } : one)),
});
/** Without holes every turn is open. */
const blank: Chassis = { ...demo.chassis, holes: [] };

test("pins go clockwise from the key seen from below, so counter-clockwise from above; the key is to the front", () => {
  const footprint = footprints.footprint("noval-ceramic-above");
  if (footprint === undefined) throw new Error("the library has it");
  const placed = placeItem(item("V", "noval-ceramic-above", 0, 0), footprint);
  const pins = [1, 2, 3, 4, 5, 6, 7, 8, 9].map((pin) => pinPlace(placed, pin) ?? { x: 0, y: 0 });
  for (const [i, p] of pins.entries()) {
    expect(Math.hypot(p.x, p.y)).toBeCloseTo(11.89 / 2, 9);
    const next = pins[i + 1];
    if (next !== undefined) expect(p.x * next.y - p.y * next.x).toBeGreaterThan(0);
  }
  // 1 and 9 stand beside the key, in front; 5 stands opposite.
  expect(pins[0]?.x).toBeGreaterThan(0);
  expect(pins[8]?.x).toBeCloseTo(-(pins[0]?.x ?? 0), 9);
  expect([pins[4]?.x, pins[4]?.y]).toEqual([expect.closeTo(0, 9), expect.closeTo(11.89 / 2, 9)]);
  expect(pinPlace(placed, 10)).toBeUndefined();
  const left = placeItem(item("V", "noval-ceramic-above", 0, 0, { degrees: 270 }), footprint);
  expect(pinPlace(left, 5)?.x).toBeCloseTo(11.89 / 2, 9);
});

test("wires of the demo lead where the circuit says: grid to the drive pot, heaters to the iron, follower to the level pot", () => {
  const { wires } = rotation("V1").now;
  const target = (pin: string) => wires.find((one) => one.pin === pin)?.target;
  expect(target("7")).toBe("DRIVE");
  expect([target("4"), target("5"), target("8")]).toEqual(["T1", "T1", "T1"]);
  expect(target("3")).toBe("LEVEL");
  expect(target("1")).toBe("C1");
  // The second grid is fed at the socket's own pins.
  expect(target("2")).toBeUndefined();
  const rectifier = rotation("V3").now.wires;
  expect(rectifier.find((one) => one.pin === "1")?.target).toBe("T1");
  expect(rectifier.find((one) => one.pin === "3")?.target).toBe("C1");
});

test("no angle scores better than the first, and the whole plate turned turns the answer with it (seed 61)", () => {
  const random = uniform(61);
  for (let n = 0; n < 30; n++) {
    const chassis = at({ x: 40 + 200 * random(), y: 30 + 120 * random() }, "V1", blank);
    const { turns, now, bestAsCut } = rotation("V1", chassis);
    expect(turns).toHaveLength(24);
    for (const turn of turns) expect(turn.score).toBeGreaterThanOrEqual(turns[0]?.score ?? 0);
    expect(now.score).toBeGreaterThanOrEqual((turns[0]?.score ?? 0) - 1e-9);
    expect(bestAsCut).toBeUndefined();
    // Everything turned by a quarter about the middle of a square.
    const square: Chassis = { ...chassis, plate: { ...chassis.plate, widthMillimetres: 300, depthMillimetres: 300 } };
    const quarter: Chassis = {
      ...square,
      items: square.items.map((one) => ({ ...one, x: 300 - one.y, y: one.x, degrees: one.degrees + 90 })),
    };
    const [straight, aside] = [rotation("V1", square), rotation("V1", quarter)];
    for (const turn of straight.turns) {
      const same = aside.turns.find((one) => one.degrees === (turn.degrees + 90) % 360);
      expect(same?.score).toBeCloseTo(turn.score, 6);
      expect(same?.crossings).toBe(turn.crossings);
    }
  }
});

test("lengths of the wires are those of their ends", () => {
  const { wires, gridMillimetres, heaterMillimetres } = rotation("V1").now;
  const sum = (which: (role: string) => boolean) =>
    wires.filter((one) => which(one.role)).reduce((total, one) => total + distance(one.from, one.to), 0);
  expect(gridMillimetres).toBeCloseTo(
    sum((role) => role === "grid"),
    9,
  );
  expect(heaterMillimetres).toBeCloseTo(
    sum((role) => isHeater(role as "heater")),
    9,
  );
});

test("holes that are there leave the turns that they take: as cut, and half way round", () => {
  expect(
    rotation("V1")
      .turns.filter((one) => one.asCut)
      .map((one) => one.degrees)
      .sort((one, other) => one - other),
  ).toEqual([0, 180]);
});

test("a socket turned badly on a bare plate is watched, and its fix has no worse turn left", () => {
  const { turns } = rotation("V1", blank);
  const worst = turns[turns.length - 1];
  const chassis = at({ degrees: worst?.degrees ?? 0 }, "V1", blank);
  const of = (now: Chassis) =>
    chassisFindings({ document: { ...demo, chassis: now }, footprints, catalogue }).find(
      (one) => one.id === "chassis-rotation/V1",
    );
  const found = of(chassis);
  expect(found?.level).toBe("watch");
  const [change] = found?.fixes[0]?.changes ?? [];
  expect(change).toMatchObject({
    target: "chassis.items[V1].degrees",
    before: worst?.degrees,
    after: turns[0]?.degrees,
  });
  expect(of(at({ degrees: Number(change?.after) }, "V1", blank))?.fixes).toEqual([]);
});
