/** A whole pack in memory: every file of the plan, and the manifest that names them with their checksums. */
import { createHash } from "node:crypto";
import type { PackMade, PageSize } from "@platewright/drawing";
import { ok, type Result } from "@platewright/engine";
import { planPack, type ToPdf } from "./plan.ts";

export interface ManifestFile {
  readonly kind: string;
  readonly file: string;
  readonly sha256: string;
  readonly pages?: number;
}

export interface Manifest {
  readonly format: "platewright/pack@1";
  readonly design: string;
  readonly revision: string;
  readonly date: string;
  readonly paper: PageSize;
  readonly files: readonly ManifestFile[];
}

export const MANIFEST = "manifest.json";

export interface PackFiles {
  /** By name; the manifest is the last. */
  readonly files: ReadonlyMap<string, string | Uint8Array>;
  readonly manifest: Manifest;
}

/** All or nothing; between two files something else may go first. */
export function* packFileSteps(made: PackMade, toPdf: ToPdf): Generator<undefined, Result<PackFiles, string>> {
  const files = new Map<string, string | Uint8Array>();
  const listed: ManifestFile[] = [];
  for (const { kind, file, pages, make } of planPack(made, toPdf)) {
    yield undefined;
    const content = make();
    if (!content.ok) return content;
    files.set(file, content.value);
    const sha256 = createHash("sha256").update(content.value).digest("hex");
    listed.push({ kind, file, sha256, ...(pages === undefined ? {} : { pages }) });
  }
  const { document, revision, date, size } = made.input;
  const manifest: Manifest = {
    format: "platewright/pack@1",
    design: document.name,
    revision,
    date,
    paper: size,
    files: listed,
  };
  files.set(MANIFEST, `${JSON.stringify(manifest, undefined, 1)}\n`);
  return ok({ files, manifest });
}

/** The same at once. */
export function packFiles(made: PackMade, toPdf: ToPdf): Result<PackFiles, string> {
  const steps = packFileSteps(made, toPdf);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
