/** Writes the JSON Schemas of design and shelf files and of every --json answer. `npm run schemas`; a test holds them current. */
import { writeFileSync } from "node:fs";
import { designFileSchema, shelfFileSchema } from "@platewright/design";
import { ANSWERS } from "@platewright/workshop";
import { z } from "zod";

/** Path from the project's folder → text. */
export function schemaFiles(): ReadonlyMap<string, string> {
  const files = new Map<string, string>();
  const add = (path: string, title: string, schema: z.ZodType) =>
    files.set(
      path,
      `${JSON.stringify({ title, ...z.toJSONSchema(schema, { unrepresentable: "any" }) }, undefined, 1)}\n`,
    );
  add("design/schemas/design.schema.json", "platewright/design@1", designFileSchema);
  add("design/schemas/shelf.schema.json", "platewright/shelf@1", shelfFileSchema);
  for (const [verb, schema] of Object.entries(ANSWERS))
    add(`workshop/schemas/${verb}.schema.json`, `platewright ${verb} --json`, schema);
  return files;
}

if (process.argv[1]?.endsWith("write-schemas.ts") === true)
  for (const [path, text] of schemaFiles()) writeFileSync(new URL(`../${path}`, import.meta.url), text);
