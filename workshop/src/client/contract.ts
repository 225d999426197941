/**
 * What the workbench and the server say to each other: one zod schema per message, shared by both sides. No Node here.
 *
 * A design is kept as lines of steps. A step is one thing the builder did (one drag, one fix, one undo): a title and the
 * Changes it made. Steps are appended to a line and never altered; the document of a line is its base with all its steps
 * applied. A step that comes too late (another tab was first) is kept on a sibling line that branches where it was made.
 */
import {
  designFileSchema,
  documentSchema,
  priceBookSchema,
  revisionSchema,
  shelfFileSchema,
} from "@platewright/design";
import { z } from "zod";

/** Names given by the store: letters and digits, so that none can climb out of a path. */
export const keySchema = z.string().regex(/^[a-z0-9][a-z0-9-]{0,59}$/, "a key of small letters, digits and -");

export const changeSchema = z.strictObject({
  target: z.string().min(1).max(400),
  before: z.unknown().optional(),
  after: z.unknown().optional(),
});

export const stepSchema = z.strictObject({
  /** Made by the page: the same step sent twice is kept once. */
  id: z.uuid(),
  /** What was done, in the builder's words: "R3 750 → 820". */
  title: z.string().min(1).max(300),
  changes: z.array(changeSchema).min(1).max(2000),
  /** The step that this one takes back, or brings again. */
  undoes: z.uuid().optional(),
  redoes: z.uuid().optional(),
});

const keptStepSchema = z.strictObject({ ...stepSchema.shape, seq: z.number().int(), at: z.string() });

export const lineSchema = z.strictObject({
  key: keySchema,
  name: z.string(),
  /** Steps it has; the number of the last one. */
  seq: z.number().int().min(0),
  /** Where it branched off; a sibling was cut because two hands were on one line. */
  from: z
    .strictObject({ line: keySchema.optional(), revision: z.string().optional(), seq: z.number().int() })
    .optional(),
  why: z.enum(["first", "branch", "sibling", "restored", "imported"]),
  at: z.string(),
  lastAt: z.string(),
});

export const designCardSchema = z.strictObject({
  key: keySchema,
  name: z.string(),
  invented: z.boolean(),
  lines: z.array(lineSchema),
  revisions: z.array(z.strictObject({ id: z.string(), note: z.string().optional(), cutOn: z.string().optional() })),
  proven: z.string().optional(),
});

export const shopSchema = z.strictObject({
  designs: z.array(designCardSchema),
  /** What was found when the file was opened and could not be read, in sentences; empty when all is well. */
  troubles: z.array(z.string()),
  /** Where the shop's file is. */
  file: z.string(),
});

export const openDesignSchema = z.strictObject({
  design: designCardSchema,
  line: lineSchema,
  document: documentSchema,
  revisions: z.array(z.strictObject({ ...revisionSchema.shape, line: keySchema, seq: z.number().int() })),
  /** The last steps of the line, oldest first, so that undo reaches back over a restart. */
  steps: z.array(keptStepSchema),
});

export const keepStepsSchema = z.strictObject({
  /** The number of the last step the page knew. */
  after: z.number().int().min(0),
  steps: z.array(stepSchema).min(1).max(200),
});

export const keptSchema = z.discriminatedUnion("outcome", [
  z.strictObject({ outcome: z.literal("kept"), line: keySchema, seq: z.number().int() }),
  /** The line had moved on: the steps stand on a sibling, where the page goes on. */
  z.strictObject({
    outcome: z.literal("kept-beside"),
    line: keySchema,
    seq: z.number().int(),
    name: z.string(),
    besides: keySchema,
  }),
]);

export const cutSchema = z.strictObject({
  line: keySchema,
  /** The step it is cut after: the document as the builder saw it. */
  seq: z.number().int().min(0),
  id: z.string().min(1).max(40),
  note: z.string().max(2000).optional(),
});

export const branchSchema = z.strictObject({
  name: z.string().min(1).max(120),
  /** From a revision, or from a line as it stood after a step. */
  from: z.union([
    z.strictObject({ revision: z.string().min(1).max(40) }),
    z.strictObject({ line: keySchema, seq: z.number().int().min(0) }),
  ]),
  why: z.enum(["branch", "restored"]),
});

/** Which papers, and what stands on them. Answered with the file itself. */
export const packAskSchema = z.strictObject({
  line: keySchema,
  /** The last step of the line that the page knows: the papers are of what it shows. */
  seq: z.number().int().min(0),
  /** Left out: what the line holds now. */
  revision: z.string().min(1).max(40).optional(),
  paper: z.enum(["A4", "A3", "Letter"]),
  /** "2026-11-25": dated by the page, so that the same ask gives the same bytes. */
  date: z.string().max(10),
  prices: priceBookSchema.optional(),
  /** "zip": everything with its manifest. Else one file by its kind: "pack", "bench-sheet", "parts-list-csv". */
  what: z.string().regex(/^[a-z0-9][a-z0-9-]{0,59}$/, "a kind of file: small letters, digits and -"),
});

export const shelfStateSchema = z.strictObject({
  shelf: shelfFileSchema,
  seq: z.number().int().min(0),
  steps: z.array(keptStepSchema),
});

/** A shelf has one line. Steps that still fit are appended after what another hand did; one that does not is refused. */
export const keptShelfSchema = z.discriminatedUnion("outcome", [
  z.strictObject({ outcome: z.literal("kept"), seq: z.number().int() }),
  z.strictObject({ outcome: z.literal("conflict"), sentence: z.string(), seq: z.number().int() }),
]);

/** One design as a file that can be sent: with a checksum over the design's canonical JSON. */
export const exportedSchema = z.strictObject({
  format: z.literal("platewright/export@1"),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  design: designFileSchema,
});

/** Import adds a design or, when one of that name is there, another beside it; it never replaces. */
export const importedSchema = z.strictObject({
  outcome: z.enum(["added", "added-beside", "already-here"]),
  design: keySchema,
  name: z.string(),
});

/** Every refusal: one sentence that says what, where, and what would be accepted; `code` is stable. */
export const refusalSchema = z.strictObject({ code: z.string(), sentence: z.string() });

/** Told to every open page over `/api/events` when something was kept. */
export const eventSchema = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("line"), design: keySchema, line: keySchema, seq: z.number().int() }),
  z.strictObject({ kind: z.literal("design"), design: keySchema }),
  z.strictObject({ kind: z.literal("shelf"), seq: z.number().int() }),
]);

export type Step = z.infer<typeof stepSchema>;
export type KeptStep = z.infer<typeof keptStepSchema>;
export type Line = z.infer<typeof lineSchema>;
export type DesignCard = z.infer<typeof designCardSchema>;
export type Shop = z.infer<typeof shopSchema>;
export type OpenDesign = z.infer<typeof openDesignSchema>;
export type KeepSteps = z.infer<typeof keepStepsSchema>;
export type Kept = z.infer<typeof keptSchema>;
export type Cut = z.infer<typeof cutSchema>;
export type Branch = z.infer<typeof branchSchema>;
export type PackWanted = z.infer<typeof packAskSchema>;
export type ShelfState = z.infer<typeof shelfStateSchema>;
export type KeptShelf = z.infer<typeof keptShelfSchema>;
export type Exported = z.infer<typeof exportedSchema>;
export type Imported = z.infer<typeof importedSchema>;
export type Refusal = z.infer<typeof refusalSchema>;
export type ShopEvent = z.infer<typeof eventSchema>;
