import { readFileSync } from "node:fs";
import { footprints } from "@platewright/library";
import { describe, expect, test } from "vitest";
import { applyChanges } from "../document/change.ts";
import type { Chassis, ChassisTool } from "../document/chassis-schema.ts";
import { type ChassisHole, holesOf } from "./holes.ts";
import { salvageOptions } from "./salvage.ts";
import { demoOf, item, plate, uniform, with7Pin } from "./test-chassis.ts";
import { orderOfWork, threadOrNut, toolFor, tradeTrap } from "./tools.ts";

const demo = demoOf(readFileSync("examples/hearth/hearth.design.json", "utf8"));

const hole = (diameterMillimetres: number, under: number, over: number): ChassisHole => ({
  id: "A/body",
  label: "A body",
  purpose: "body",
  x: 50,
  y: 50,
  shape: { kind: "circle", diameterMillimetres },
  outline: { kind: "circle", x: 50, y: 50, diameterMillimetres },
  underMillimetres: under,
  overMillimetres: over,
  work: "cut",
  in: "plate",
});
const tool = (
  id: string,
  kind: ChassisTool["kind"],
  cuts: ChassisTool["cutsMillimetres"],
  more: Partial<ChassisTool> = {},
): ChassisTool => ({
  id,
  kind,
  cutsMillimetres: cuts,
  ...more,
});
const halfInch = tool("half", "punch", [22.5], { name: "conduit punch 1/2 in", pilotMillimetres: 10 });
const inch = tool("inch", "punch", [34.6], { name: 'conduit punch 1 "' });
const steps = tool("steps", "step-drill", [4, 6, 8, 10, 12, 14, 16, 18, 20, 22], { name: "step drill 4 to 22 mm" });
const drills = tool("drills", "drill", [3, 3.2, 4.3, 10]);
const file = tool("file", "file", { from: 6, to: 100 });
const chosen = (tools: readonly ChassisTool[], wanted: ChassisHole, thicknessMillimetres = 2) =>
  toolFor(plate({ tools: [...tools], plate: { ...plate().plate, thicknessMillimetres } }), wanted);

describe("a tool for each hole", () => {
  test.each<[string, readonly ChassisTool[], ChassisHole, number, string | undefined, number | undefined]>([
    ["a small one is drilled", [drills, steps], hole(3.2, 0.15, 1), 2, "drills", 3.2],
    ["a punch before a step drill", [steps, halfInch], hole(22, 0.2, 1.5), 2, "half", 22.5],
    ["the punch cuts too large: the step drill", [steps, halfInch], hole(22, 0.2, 0.3), 2, "steps", 22],
    ["the plate is too thick for the punch", [steps, halfInch], hole(22, 0.2, 1.5), 3, "steps", 22],
    ["and for the step drill", [steps, halfInch], hole(22, 0.2, 1.5), 5, undefined, undefined],
    ["a drill of 16 is no hand's drill", [tool("d", "drill", [16])], hole(16, 0.1, 1), 2, undefined, undefined],
    ["filed up from the next smaller", [steps, file], hole(19, 0.2, 0.2), 2, "file", 19],
    ["nothing to begin with", [file], hole(19, 0.2, 0.2), 2, undefined, undefined],
    ["a fabricator", [tool("laser", "fabricator", { from: 2, to: 300 })], hole(19, 0.2, 0.2), 2, "laser", 19],
  ])("%s", (_, tools, wanted, thickness, id, cut) => {
    const choice = chosen(tools, wanted, thickness);
    expect([choice.tool?.id, choice.cutMillimetres]).toEqual([id, cut]);
  });

  test("what it cuts is within the hole's range, whatever the list; 2,000 random lists (seed 51)", () => {
    const random = uniform(51);
    const KINDS = ["punch", "drill", "step-drill", "hole-saw", "reamer", "file"] as const;
    let made = 0;
    for (let n = 0; n < 2000; n++) {
      const tools = Array.from({ length: Math.floor(6 * random()) }, (_, i) => {
        const cuts = Array.from({ length: 1 + Math.floor(5 * random()) }, () => Math.round(400 * random() + 20) / 10);
        const from = 5 + 10 * random();
        return tool(
          `T${i}`,
          KINDS[Math.floor(KINDS.length * random())] ?? "drill",
          random() < 0.8 ? cuts : { from, to: from + 20 * random() },
        );
      });
      const wanted = hole(Math.round(300 * random() + 30) / 10, random(), 2 * random());
      const thickness = 1 + 3 * random();
      const choice = chosen(tools, wanted, thickness);
      if (choice.tool === undefined || choice.cutMillimetres === undefined || wanted.shape.kind !== "circle") continue;
      made++;
      const size = wanted.shape.diameterMillimetres;
      expect(choice.cutMillimetres).toBeGreaterThanOrEqual(size - wanted.underMillimetres - 1e-9);
      expect(choice.cutMillimetres).toBeLessThanOrEqual(size + wanted.overMillimetres + 1e-9);
      if (choice.tool.kind === "punch") expect(thickness).toBeLessThanOrEqual(2);
      if (choice.before !== undefined) expect(choice.before.cutMillimetres).toBeLessThan(choice.cutMillimetres);
    }
    expect(made).toBeGreaterThan(300);
  });

  test("pilots: 3 mm, and what the punch's bolt wants", () => {
    expect(chosen([halfInch], hole(22, 0.2, 1.5)).pilotsMillimetres).toEqual([3, 10]);
    expect(chosen([drills], hole(3.2, 0.2, 0.2)).pilotsMillimetres).toEqual([]);
    expect(chosen([drills], hole(10, 0.2, 0.2)).pilotsMillimetres).toEqual([3]);
  });

  test("an opening is drilled in its corners, sawn and filed", () => {
    const opening: ChassisHole = {
      ...hole(1, 0, 1),
      shape: { kind: "rectangle", widthMillimetres: 68, heightMillimetres: 52 },
    };
    expect(chosen([file], opening).words).toMatch(
      /drill 6 mm inside each corner, saw between, file file to 68 mm × 52 mm/,
    );
    expect(chosen([], opening).tool).toBeUndefined();
  });
});

describe("the trade-size trap", () => {
  test("a conduit punch is named by its pipe", () => {
    expect(tradeTrap(halfInch, 22.5)).toBe(
      "conduit punch 1/2 in is a trade size: 1/2 in names the pipe (12.7 mm), the hole is 22.5 mm; go by what it cuts",
    );
    expect(tradeTrap(tool("p", "punch", [28.6], { name: "1 1/8 in chassis punch" }), 28.6)).toBeUndefined();
    expect(tradeTrap(steps, 22)).toBeUndefined();
    expect(tradeTrap(drills, 3.2)).toBeUndefined();
  });

  test("one that seems right by its name and is not is said, and not taken", () => {
    const choice = chosen([inch, file, steps], hole(25.4, 0.3, 0.3));
    expect(choice.tool?.id).toBe("file");
    expect(choice.traps.join()).toMatch(/1 in names the pipe \(25\.4 mm\), the hole is 34\.6 mm/);
  });

  test("a plate too thick for the punch is said", () =>
    expect(chosen([halfInch, steps], hole(22, 0.2, 1.5), 3).traps.join()).toBe(
      "conduit punch 1/2 in takes 2 mm, the plate has 3 mm",
    ));
});

test("a thread or a nut", () => {
  expect(threadOrNut(3, 2)).toMatch(/nut/);
  expect(threadOrNut(3, 3)).toMatch(/may be tapped/);
});

describe("order of work", () => {
  const order = (chassis: Chassis) => orderOfWork(chassis, holesOf(chassis, footprints));

  test("nothing to cut, nothing to do but the mask of a coat", () =>
    expect(order(demo.chassis).map((one) => one.words.slice(0, 10))).toEqual(["Mask EARTH"]));

  test("a bare plate: every hole is marked, piloted, checked and made once, small before large", () => {
    const chassis: Chassis = { ...demo.chassis, holes: [] };
    const found = holesOf(chassis, footprints);
    const steps = orderOfWork(chassis, found);
    const all = found.holes.map((one) => one.id).sort();
    const marked = steps.find((one) => one.words.includes("mark every centre"));
    expect([...(marked?.holes ?? [])].sort()).toEqual(all);
    const made = steps.filter((one) => one.tool !== undefined).flatMap((one) => one.holes);
    expect([...made].sort()).toEqual(all);
    const sizes = made.flatMap((id) => {
      const shape = found.holes.find((one) => one.id === id)?.shape;
      return shape?.kind === "circle" ? [shape.diameterMillimetres] : [];
    });
    expect(Math.max(...sizes.slice(0, 5))).toBeLessThan(Math.min(...sizes.slice(-3)));
    expect(steps.findIndex((one) => one.words.includes("pilot all"))).toBeLessThan(
      steps.findIndex((one) => one.tool !== undefined),
    );
    expect(steps.some((one) => one.caution !== undefined)).toBe(false);
  });

  test("the demo's ring: caution first, the ring before its screws, nothing drilled in the plate when the old holes serve", () => {
    const chassis = with7Pin(demo.chassis);
    const options = salvageOptions({ chassis, library: footprints }, "H3", "V3");
    const ring = options.ok ? options.value.find((one) => one.by === "adapter-ring") : undefined;
    const decided = applyChanges({ ...demo, chassis }, ring?.fix?.changes ?? []);
    if (!decided.ok || decided.value.chassis === undefined) throw new Error("the fix applies");
    const steps = order(decided.value.chassis);
    expect(steps.find((one) => one.words.startsWith("Make the adapter ring for V3: 3 mm brass"))?.holes).toEqual([
      "V3/body",
      "V3/screw-a",
      "V3/screw-b",
    ]);
    expect(steps.some((one) => one.words.includes("mark its screws"))).toBe(false);

    // Without the old screw holes the ring wants new ones, marked through it, and the unit is built: the caution stands first.
    const bare: Chassis = {
      ...decided.value.chassis,
      holes: decided.value.chassis.holes.filter((one) => one.id !== "H3a" && one.id !== "H3b"),
    };
    const again = order(bare);
    expect(again.findIndex((one) => one.caution !== undefined)).toBe(1);
    expect(again.findIndex((one) => one.words.startsWith("Make the adapter ring"))).toBeLessThan(
      again.findIndex((one) => one.words.includes("mark its screws through it")),
    );
  });

  test("an item moved to a new place on a plate that is built is drilled there", () => {
    const chassis: Chassis = { ...demo.chassis, items: [...demo.chassis.items, item("L2", "lamp", 190, 24)] };
    expect(
      order(chassis)
        .filter((one) => one.tool !== undefined)
        .flatMap((one) => one.holes),
    ).toEqual(["L2/bush"]);
  });
});
