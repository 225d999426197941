/** A shop as one zip: `manifest.json`, `shelf.json` and one file per design with all its lines, steps and revisions. */
import { MIGRATIONS, revisionSchema } from "@platewright/design";
import { z } from "zod";
import { keySchema, lineSchema, stepSchema } from "../client/contract.ts";

export const ARCHIVE_FORMAT = "platewright/shop@1";

/** What is read at most; a shop of a hundred designs with ten thousand steps has a tenth of it. */
export const MOST_MEMBERS = 2000;
export const MOST_MEMBER_BYTES = 100_000_000;
export const MOST_UNPACKED_BYTES = 300_000_000;

export const MANIFEST = "manifest.json";
export const SHELF_MEMBER = "shelf.json";
export const memberOf = (key: string): string => `designs/${key}.json`;
/** The only names that a member may have: no folders above, no absolute paths, nothing that is no JSON. */
export const MEMBER_NAME = /^(?:shelf|designs\/[a-z0-9][a-z0-9-]{0,59})\.json$/;

/** The document migrations that everything in an archive has had. */
export const ARCHIVE_MIGRATIONS: readonly string[] = MIGRATIONS.map((one) => one.name);

const at = z.string().max(40);
const seq = z.number().int().min(0);
const archivedStepSchema = z.strictObject({ ...stepSchema.shape, at });

export const manifestSchema = z.strictObject({
  format: z.literal(ARCHIVE_FORMAT),
  migrations: z.array(z.string().max(100)).max(200),
  members: z
    .array(
      z.strictObject({
        path: z.string().max(200),
        bytes: z.number().int().min(0),
        sha256: z.string().regex(/^[0-9a-f]{64}$/),
      }),
    )
    .max(MOST_MEMBERS),
});

export const archivedDesignSchema = z.strictObject({
  format: z.literal("platewright/shop-design@1"),
  key: keySchema,
  at,
  names: z.array(z.strictObject({ name: z.string().min(1).max(200), at })).min(1),
  lines: z
    .array(
      z.strictObject({
        key: keySchema,
        name: z.string().min(1).max(300),
        why: lineSchema.shape.why,
        fromLine: keySchema.nullable(),
        fromRevision: z.string().max(40).nullable(),
        fromSeq: seq.nullable(),
        at,
        base: z.unknown(),
        steps: z.array(archivedStepSchema),
      }),
    )
    .min(1),
  revisions: z.array(z.strictObject({ ...revisionSchema.shape, line: keySchema, seq, at })).max(500),
  pins: z.array(z.strictObject({ revision: z.string(), at })),
});

export const archivedShelfSchema = z.strictObject({
  format: z.literal("platewright/shop-shelf@1"),
  base: z.unknown(),
  steps: z.array(archivedStepSchema),
});

export type ArchivedDesign = z.infer<typeof archivedDesignSchema>;
export type ArchivedShelf = z.infer<typeof archivedShelfSchema>;
