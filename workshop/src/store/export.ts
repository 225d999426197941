/** One design as a file: what it holds now, its revisions, which is proven; with a checksum over the canonical JSON. */
import { type DesignFile, type Document, MIGRATIONS } from "@platewright/design";
import { ok } from "@platewright/engine";
import type { Exported } from "../client/contract.ts";
import type { Around } from "./around.ts";
import { canonicalJson, sha256 } from "./canonical.ts";
import { knownDesign, noLine, provenId, revisionOf, revisionRows, workingLine } from "./designs.ts";
import { headOf, heldAt, lineOf } from "./lines.ts";
import type { Stored } from "./store.ts";

export const sumOfDesign = (design: unknown): string => sha256(canonicalJson(design));

/** `exportDesign` of the store. */
export function exportOf(around: Around, design: string, lineKey?: string): Stored<Exported> {
  const file = designFileOf(around, design, lineKey);
  return file.ok ? ok({ format: "platewright/export@1", sha256: sumOfDesign(file.value), design: file.value }) : file;
}

export function designFileOf(around: Around, design: string, lineKey?: string): Stored<DesignFile> {
  const { file, heads } = around;
  const known = knownDesign(around, design);
  if (!known.ok) return known;
  const line = lineKey === undefined ? workingLine(file, design) : lineOf(file, design, lineKey);
  if (line === undefined) return noLine(file, design, lineKey ?? "");
  const proven = provenId(file, design);
  return ok({
    format: "platewright/design@1",
    migrations: MIGRATIONS.map((one) => one.name),
    now: heldAt(file, heads, line, headOf(file, line).seq) as unknown as Document,
    revisions: revisionRows(file, design).map(revisionOf),
    ...(proven === undefined ? {} : { proven }),
  });
}
