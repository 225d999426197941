/** The flat pattern by hand, what is cut once, and plates that cannot be drawn. */
import { readFileSync } from "node:fs";
import { type Chassis, type ChassisJudged, contourArea, judgedChassis, readDesign } from "@platewright/design";
import fc from "fast-check";
import { expect, test } from "vitest";
import { footprints, openCatalogue } from "../../../library/src/index.ts";
import { cutArea, cutMass } from "./weight.ts";
import { cutDrawing } from "./cut-drawing.ts";
import { flatPlate, K_FACTOR, RELIEF_MILLIMETRES } from "./flat.ts";

const read = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
if (!read.ok || read.value.now.chassis === undefined) throw new Error("the demo has a chassis");
const document = read.value.now;
const demo = read.value.now.chassis;
const catalogue = openCatalogue();
const judged = (chassis: Chassis): ChassisJudged => {
  const made = judgedChassis({ document: { ...document, chassis }, footprints, catalogue });
  if (made === undefined) throw new Error("there is a chassis");
  return made;
};
const bare = (more: Partial<Chassis["plate"]> = {}, holes: Chassis["holes"] = []): Chassis => ({
  plate: { widthMillimetres: 200, depthMillimetres: 100, thicknessMillimetres: 2, material: "aluminium", ...more },
  items: [],
  holes,
});
const bend = (edge: "front" | "rear" | "left" | "right", insideRadiusMillimetres = 2, flangeMillimetres = 30) => ({
  edge,
  insideRadiusMillimetres,
  flangeMillimetres,
});

test("the blank of one flange, worked out by hand", () => {
  // r 2, t 2: BA = π/2 (2 + 0.44 · 2) = 4.5239, BD = 8 − 4.5239 = 3.4761, blank 100 + 30 − 3.4761.
  const flat = flatPlate(bare({ bends: [bend("rear")] }).plate);
  if (!flat.ok) throw new Error(flat.failure.sentence);
  expect(flat.value.rear - flat.value.front).toBeCloseTo(126.5239, 4);
  expect(flat.value.right - flat.value.left).toBe(200);
  const [only] = flat.value.bends;
  expect(only?.allowanceMillimetres).toBeCloseTo(4.5239, 4);
  expect(only?.from).toMatchObject({ x: 0 });
  // The middle of the bend: flat to 4 mm from the outside, half of the allowance on.
  expect(only?.from.y).toBeCloseTo(100 - 4 + 4.5239 / 2, 3);
  expect(contourArea(flat.value.corners)).toBeCloseTo(200 * 126.5239, 0);
});

test("bent round at its neutral line, the metal is as long as the blank (seed 60611)", () => {
  fc.assert(
    fc.property(
      fc.record({ r: fc.double({ min: 0, max: 6, noNaN: true }), t: fc.double({ min: 0.5, max: 4, noNaN: true }) }),
      fc.double({ min: 15, max: 80, noNaN: true }),
      fc.subarray(["front", "rear", "left", "right"] as const, { minLength: 1 }),
      ({ r, t }, flange, edges) => {
        const plate = bare({ thicknessMillimetres: t, bends: edges.map((edge) => bend(edge, r, flange)) }).plate;
        const flat = flatPlate(plate);
        if (!flat.ok) throw new Error(flat.failure.sentence);
        // Flat part, arc of the neutral line, straight part of the flange: one by one along x.
        const ends = edges.filter((edge) => edge === "left" || edge === "right").length;
        const arc = (Math.PI / 2) * (r + K_FACTOR * t);
        const along = 200 - ends * (r + t) + ends * (arc + flange - (r + t));
        expect(flat.value.right - flat.value.left).toBeCloseTo(along, 9);
        const area = contourArea(flat.value.corners);
        expect(area).toBeGreaterThan(0);
        // Counter-clockwise, all straight, and where two bends meet the corner is cut past both.
        const corners = (["front", "rear"] as const).flatMap((y) =>
          (["left", "right"] as const).filter((x) => edges.includes(x) && edges.includes(y)),
        ).length;
        expect(flat.value.corners).toHaveLength(4 + 2 * corners);
        const notch = RELIEF_MILLIMETRES + arc + flange - (r + t);
        const whole = (flat.value.right - flat.value.left) * (flat.value.rear - flat.value.front);
        expect(area).toBeCloseTo(whole - corners * notch * notch, 6);
      },
    ),
    { seed: 60_611, numRuns: 300 },
  );
});

test("the underside of a bent plate is mirrored, its blank too", () => {
  const chassis = bare({ bends: [bend("left", 1, 20)] }, [
    { id: "P", x: 30, y: 40, shape: { kind: "circle", diameterMillimetres: 10 }, state: "planned" },
  ]);
  const [top, under] = (["top", "under"] as const).map((face) => cutDrawing(judged(chassis), { face }));
  if (top?.ok !== true || under?.ok !== true) throw new Error("both are drawn");
  expect([under.value.left, under.value.right]).toEqual([200 - top.value.right, 200 - top.value.left]);
  expect(under.value.holes[0]).toMatchObject({ x: 170, y: 40 });
  expect(under.value.title).toMatch(/UNDERSIDE.*mirrored/);
  expect(Math.min(...under.value.words.map((one) => one.x))).toBeCloseTo(under.value.left, 9);
});

test("what is doubled is cut once, what lies inside is left out, what crosses is said", () => {
  const hole = (id: string, x: number, diameterMillimetres: number): Chassis["holes"][number] => ({
    id,
    x,
    y: 50,
    shape: { kind: "circle", diameterMillimetres },
    state: "planned",
  });
  const made = cutDrawing(
    judged(bare({}, [hole("A", 40, 20), hole("B", 40, 20), hole("C", 42, 5), hole("D", 100, 10), hole("E", 107, 8)])),
    { face: "top" },
  );
  if (!made.ok) throw new Error(made.failure.sentence);
  expect(made.value.holes.map((one) => one.ids)).toEqual([["A", "B"], ["D"], ["E"]]);
  expect(made.value.notes).toEqual([
    "B and A are one hole, cut once.",
    "C lies inside A and is not cut apart.",
    "D and E cross: ask before cutting what their common outline is to be.",
  ]);
  expect(made.value.words.some((one) => one.layer === "NOTES" && one.text === made.value.notes[2])).toBe(true);
});

test("a new plate has every hole, the plate as it is only what is to be cut", () => {
  const count = (plate: "new" | "as-it-is") => {
    const made = cutDrawing(judged(demo), { face: "top", plate });
    if (!made.ok) throw new Error(made.failure.sentence);
    return made.value.contours.filter((one) => one.layer === "CUT").length;
  };
  expect(count("new")).toBe(1 + judged(demo).holes.holes.length);
  expect(count("as-it-is")).toBe(0);
  const opened = demo.holes.map((one) =>
    one.id === "H1" ? { ...one, shape: { kind: "circle" as const, diameterMillimetres: 16 } } : one,
  );
  const made = cutDrawing(judged({ ...demo, holes: opened }), { face: "top", plate: "as-it-is" });
  expect(made.ok && made.value.holes.map((one) => one.ids)).toEqual([["V1/body"]]);
});

test("engraved names stand on the metal, free of holes and of each other", () => {
  const made = cutDrawing(judged(demo), { face: "top" });
  if (!made.ok) throw new Error(made.failure.sentence);
  const names = made.value.words.filter((one) => one.layer === "ENGRAVE");
  expect(names.map((one) => one.text)).toEqual(expect.arrayContaining(["V1", "DRIVE", "IN-L"]));
  for (const one of names) {
    expect(one.y).toBeGreaterThan(0);
    expect(one.y + one.heightMillimetres).toBeLessThan(demo.plate.depthMillimetres);
  }
});

test("mass by hand: 200 × 100 × 2 mm of aluminium with one hole of 50 mm", () => {
  const made = cutDrawing(
    judged(bare({}, [{ id: "A", x: 60, y: 50, shape: { kind: "circle", diameterMillimetres: 50 }, state: "planned" }])),
    { face: "top" },
  );
  if (!made.ok) throw new Error(made.failure.sentence);
  expect(cutArea(made.value)).toBeCloseTo(20_000 - 1963.495, 2);
  expect(cutMass(made.value)).toBeCloseTo(0.0974, 4);
});

test.each([
  [
    "a part without a footprint",
    { ...demo, items: demo.items.map((one) => (one.id === "V1" ? { ...one, footprint: "nobody-knows" } : one)) },
    { kind: "no-footprint", id: "V1" },
    /V1 has the footprint nobody-knows/,
  ],
  [
    "a hole past the plate",
    { ...demo, holes: [], items: demo.items.map((one) => (one.id === "V1" ? { ...one, x: 5 } : one)) },
    { kind: "outside" },
    /past the plate \(300 × 180 × 2 mm aluminium\)/,
  ],
  [
    "a hole in the bend",
    { ...demo, plate: { ...demo.plate, bends: [bend("front", 18, 40)] } },
    { kind: "bend" },
    /into the bend of the front edge/,
  ],
  [
    "a flange that is lower than its own bend",
    bare({ bends: [bend("rear", 8, 9)] }),
    { kind: "bend", id: "plate" },
    /flange of 9 mm is lower/,
  ],
  [
    "bends that meet",
    bare({ depthMillimetres: 30, bends: [bend("rear", 14, 40), bend("front", 14, 40)] }),
    { kind: "bend" },
    /two opposite edges meet/,
  ],
] as const)("%s is not drawn", (_name, chassis, failure, sentence) => {
  const made = cutDrawing(judged(chassis as Chassis), { face: "top" });
  expect(made.ok).toBe(false);
  if (made.ok) return;
  expect(made.failure).toMatchObject(failure);
  expect(made.failure.sentence).toMatch(sentence);
});
