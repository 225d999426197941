import { describe, expect, test } from "vitest";
import { z } from "zod";
import { DATA_SOURCES } from "./data-files.ts";
import { DATA_FOOTPRINTS, footprints } from "./footprints.ts";
import { DATA_HOLES } from "./holes.ts";

const millimetres = z.number().min(0.5).max(150);
const place = { x: z.number().min(-100).max(100), y: z.number().min(-100).max(100) };
const circle = { kind: z.literal("circle"), diameterMillimetres: millimetres };
const rectangle = {
  kind: z.literal("rectangle"),
  widthMillimetres: millimetres,
  heightMillimetres: millimetres,
  cornerMillimetres: z.number().min(0).max(20).optional(),
};
const bodies = z.array(
  z.strictObject({
    what: z.string().min(2).max(30),
    outline: z.union([z.strictObject({ ...circle, ...place }), z.strictObject({ ...rectangle, ...place })]),
    heightMillimetres: millimetres,
  }),
);
const row = z.strictObject({
  id: z.string().regex(/^[a-z0-9][a-z0-9-]{0,39}$/),
  label: z.string().min(3).max(60),
  kind: z.string(),
  hole: z.string().optional(),
  socket: z.enum(["noval", "octal", "7-pin miniature", "UX4", "UY5"]).optional(),
  pins: z
    .strictObject({
      circleMillimetres: z.number().min(5).max(30),
      count: z.int().min(3).max(12),
      places: z.int().min(3).max(12),
      first: z.number().min(0).max(1),
    })
    .optional(),
  holes: z
    .array(
      z.strictObject({
        id: z.string().regex(/^[a-z-]+$/),
        ...place,
        shape: z.union([z.strictObject(circle), z.strictObject(rectangle)]),
        underMillimetres: z.number().min(0).max(3),
        overMillimetres: z.number().min(0).max(5),
        slackMillimetres: z.number().min(0).max(3).optional(),
        purpose: z.enum(["body", "bush", "screw", "lug", "wires"]),
      }),
    )
    .min(1),
  above: bodies,
  below: bodies,
  wrench: z.strictObject({ side: z.enum(["above", "below"]), diameterMillimetres: millimetres }).optional(),
  thickestMillimetres: z.number().min(1).max(10).optional(),
  strainRelief: z.boolean().optional(),
  bareMillimetres: millimetres.optional(),
  source: z.string(),
  status: z.literal("memory"),
  confidence: z.enum(["high", "medium", "low"]),
  note: z.string().max(200),
});

describe("footprints", () => {
  test("every row has the shape, a known source and tells its reader to measure", () => {
    expect(z.array(row).safeParse(DATA_FOOTPRINTS).error?.issues ?? []).toEqual([]);
    expect(new Set(DATA_FOOTPRINTS.map((one) => one.id)).size).toBe(DATA_FOOTPRINTS.length);
    for (const one of DATA_FOOTPRINTS) {
      expect(DATA_SOURCES.map((source) => source.code)).toContain(one.source);
      expect(one.note, one.id).toContain("measure the part");
      expect(new Set(one.holes.map((hole) => hole.id)).size, one.id).toBe(one.holes.length);
      expect(one.pins === undefined, one.id).toBe(one.kind !== "socket");
    }
  });

  test("holes agree with the hole table: size within 0.6 mm of its range, screws at its centres, lugs at their distance", () => {
    const linked = DATA_FOOTPRINTS.filter((one) => one.hole !== undefined);
    expect(linked.length).toBeGreaterThan(20);
    for (const one of linked) {
      const table = DATA_HOLES.find((row) => row.id === one.hole);
      expect(table, one.id).toBeDefined();
      const [main] = one.holes;
      if (main?.shape.kind === "circle" && table?.holeMillimetres !== undefined) {
        expect(main.shape.diameterMillimetres, one.id).toBeGreaterThanOrEqual(table.holeMillimetres[0] - 0.6);
        expect(main.shape.diameterMillimetres, one.id).toBeLessThanOrEqual(table.holeMillimetres[1] + 0.6);
      }
      if (main?.shape.kind === "rectangle" && table?.cutoutMillimetres !== undefined) {
        expect(Math.abs(main.shape.widthMillimetres - table.cutoutMillimetres[0]), one.id).toBeLessThan(0.6);
        expect(Math.abs(main.shape.heightMillimetres - table.cutoutMillimetres[1]), one.id).toBeLessThan(0.6);
      }
      const screws = one.holes.filter((hole) => hole.purpose === "screw");
      const [first, second] = screws;
      if (table?.fixingMillimetres !== undefined && first !== undefined && second !== undefined)
        expect(Math.hypot(first.x - second.x, first.y - second.y), one.id).toBeCloseTo(table.fixingMillimetres, 6);
      const lug = one.holes.find((hole) => hole.purpose === "lug");
      if (lug !== undefined && table?.lugOffsetMillimetres !== undefined) {
        expect(Math.hypot(lug.x, lug.y), one.id).toBeGreaterThanOrEqual(table.lugOffsetMillimetres[0]);
        expect(Math.hypot(lug.x, lug.y), one.id).toBeLessThanOrEqual(table.lugOffsetMillimetres[1]);
      }
    }
  });

  test("a footprint is found by its id, and nothing else is", () => {
    expect(footprints.footprint("7-pin-saddle-above")?.holes[0]?.shape).toEqual({
      kind: "circle",
      diameterMillimetres: 16,
    });
    expect(footprints.footprint("7-pin")).toBeUndefined();
    expect(footprints.footprint("constructor")).toBeUndefined();
    for (const socket of ["noval", "octal", "7-pin miniature", "UX4", "UY5"])
      expect(
        footprints.all.some((one) => one.socket === socket),
        socket,
      ).toBe(true);
  });
});
