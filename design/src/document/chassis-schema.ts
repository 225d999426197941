/**
 * The chassis of a document: the metal top plate, what stands on it, the holes that are in it. Millimetres, from the front left
 * corner of the top plate seen from above; x to the right, y to the rear; degrees counter-clockwise seen from above.
 */
import { z } from "zod";
import { id, note } from "./ids.ts";

const LARGEST_PLATE = 2000;
const length = z.number().positive().max(LARGEST_PLATE);
const corner = z
  .number()
  .min(0)
  .max(LARGEST_PLATE / 2);
const degrees = z.number().min(-360).max(360);
const place = {
  x: z
    .number()
    .min(-LARGEST_PLATE)
    .max(2 * LARGEST_PLATE),
  y: z
    .number()
    .min(-LARGEST_PLATE)
    .max(2 * LARGEST_PLATE),
};

const circle = { kind: z.literal("circle"), diameterMillimetres: length };
const rectangle = {
  kind: z.literal("rectangle"),
  widthMillimetres: length,
  heightMillimetres: length,
  cornerMillimetres: corner.optional(),
  degrees: degrees.optional(),
};
const holeShape = z.discriminatedUnion("kind", [z.strictObject(circle), z.strictObject(rectangle)]);
const outline = z.discriminatedUnion("kind", [
  z.strictObject({ ...circle, ...place }),
  z.strictObject({ ...rectangle, ...place }),
  z.strictObject({ kind: z.literal("polygon"), points: z.array(z.strictObject(place)).min(3).max(40) }),
]);

const plateSchema = z.strictObject({
  /** Outside, flanges included in plan. */
  widthMillimetres: length,
  depthMillimetres: length,
  cornerRadiusMillimetres: corner.optional(),
  thicknessMillimetres: z.number().positive().max(20),
  material: z.enum(["aluminium", "steel", "brass", "copper"]),
  finish: z.enum(["bare", "powder-coat", "anodised"]).optional(),
  bends: z
    .array(
      z.strictObject({
        edge: z.enum(["front", "rear", "left", "right"]),
        insideRadiusMillimetres: z.number().min(0).max(50),
        flangeMillimetres: z.number().positive().max(500),
      }),
    )
    .max(4)
    .optional(),
  /** Clear height under a cover; left out: tubes stand free. */
  coverMillimetres: z.number().positive().max(1000).optional(),
  /** Open area of all vents, in the plate and in the cover. */
  ventSquareMillimetres: z.number().min(0).max(4e6).optional(),
});

const itemSchema = z.strictObject({
  id,
  /** A part by its expanded id ("L.P1", "PS.C1"); `also` names others in the same body: a second gang, a second section. */
  what: z.union([
    z.strictObject({ envelope: id }),
    z.strictObject({ part: z.string().min(1).max(82), also: z.array(z.string().min(1).max(82)).max(6).optional() }),
    z.strictObject({ transformer: z.literal(true) }),
    z.strictObject({ fitting: id }),
  ]),
  footprint: id,
  ...place,
  degrees,
  /** The face that it is mounted on; left out: top. */
  face: z.enum(["top", "under"]).optional(),
  label: z.string().max(80).optional(),
  /** The part in hand was measured and is as its footprint says. */
  measured: z.boolean().optional(),
  /** Every terminal of a mains part has its insulating boot. */
  booted: z.boolean().optional(),
  /** The bare metal of an earth point is masked from the coat. */
  masked: z.boolean().optional(),
});

const holeSchema = z.strictObject({
  id,
  ...place,
  shape: holeShape,
  state: z.enum(["cut", "planned"]),
  /** The item that it is meant for. */
  serves: id.optional(),
  note: note.optional(),
});

const toolSchema = z.strictObject({
  id,
  kind: z.enum(["punch", "drill", "step-drill", "hole-saw", "file", "reamer", "fabricator"]),
  /** What it really cuts: measured, not what is printed on it. */
  cutsMillimetres: z.union([z.array(length).min(1).max(60), z.strictObject({ from: length, to: length })]),
  name: z.string().max(80).optional(),
  thickestMillimetres: z.number().positive().max(20).optional(),
  /** Hole that a punch's bolt or a saw's pilot wants. */
  pilotMillimetres: z.number().positive().max(50).optional(),
});

const salvageSchema = z.strictObject({
  /** The hole that is there, and the item that is to stand over it (for a plug or another use: what was meant for it, or none). */
  hole: id,
  item: id.optional(),
  by: z.enum(["keep", "open-up", "adapter-ring", "cover-plate", "sub-plate", "blank-plug", "other-use"]),
});

const side = z.enum(["above", "below"]);
const bodies = z.array(z.strictObject({ what: z.string().min(1).max(40), outline, heightMillimetres: length })).max(12);

/** A part that was measured, or that the library lacks; it goes before a footprint of the library with the same id. */
const ownFootprintSchema = z.strictObject({
  id,
  label: z.string().min(1).max(80),
  kind: z.enum([
    "socket",
    "can",
    "potentiometer",
    "jack",
    "inlet",
    "gland",
    "switch",
    "fuse-holder",
    "lamp",
    "terminal",
    "transformer",
    "toroid",
    "choke",
    "stand-off",
    "tag-strip",
    "earth-stud",
  ]),
  socket: z.enum(["noval", "octal", "7-pin miniature", "UX4", "UY5"]).optional(),
  holes: z
    .array(
      z.strictObject({
        id,
        ...place,
        shape: holeShape,
        underMillimetres: z.number().min(0).max(20),
        overMillimetres: z.number().min(0).max(20),
        slackMillimetres: z.number().min(0).max(20).optional(),
        purpose: z.enum(["body", "bush", "screw", "lug", "wires"]),
      }),
    )
    .min(1)
    .max(40),
  above: bodies,
  below: bodies,
  wrench: z.strictObject({ side, diameterMillimetres: length }).optional(),
  pins: z
    .strictObject({
      circleMillimetres: length,
      count: z.int().min(1).max(20),
      places: z.int().min(1).max(40),
      first: z.number().min(0).max(40),
    })
    .optional(),
  thickestMillimetres: z.number().positive().max(50).optional(),
  strainRelief: z.boolean().optional(),
  bareMillimetres: length.optional(),
  note: note.optional(),
});

export const chassisSchema = z.strictObject({
  plate: plateSchema,
  items: z.array(itemSchema).max(300),
  /** Holes that are there ("cut") and holes that belong to no part ("planned"). */
  holes: z.array(holeSchema).max(500),
  tools: z.array(toolSchema).max(100).optional(),
  salvage: z.array(salvageSchema).max(200).optional(),
  footprints: z.array(ownFootprintSchema).max(100).optional(),
});

export type Chassis = z.infer<typeof chassisSchema>;
export type ChassisPlate = z.infer<typeof plateSchema>;
export type ChassisItem = z.infer<typeof itemSchema>;
export type DocumentHole = z.infer<typeof holeSchema>;
export type ChassisTool = z.infer<typeof toolSchema>;
export type SalvageChoice = z.infer<typeof salvageSchema>;
export type SalvageWay = SalvageChoice["by"];
export type OwnFootprint = z.infer<typeof ownFootprintSchema>;
