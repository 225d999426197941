/** A folder of files, all of them or none: written beside, then renamed into its place. */
import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fail, ok, type Result } from "@platewright/engine";

export interface FolderFailure {
  readonly kind: "not-ours" | "not-written";
  readonly sentence: string;
}

/** By it a folder is known as one that was written here. */
const MARK = "manifest.json";

/**
 * Writes `files` as the whole content of `path`. An earlier pack there is replaced; a folder with anything else in it is
 * refused, and stays as it is.
 */
export function writeFolder(
  path: string,
  files: ReadonlyMap<string, string | Uint8Array>,
): Result<readonly string[], FolderFailure> {
  const beside = `${path}.writing-${process.pid}`;
  const before = `${path}.before-${process.pid}`;
  try {
    if (existsSync(path)) {
      const there = readdirSync(path);
      if (there.length > 0 && !there.includes(MARK))
        return fail({
          kind: "not-ours",
          sentence: `${path}: the folder holds other things; name a new folder or one of an earlier pack.`,
        });
    }
    mkdirSync(dirname(path), { recursive: true });
    rmSync(beside, { recursive: true, force: true });
    mkdirSync(beside);
    for (const [name, content] of files) writeFileSync(join(beside, name), content);
    if (existsSync(path)) renameSync(path, before);
    renameSync(beside, path);
    rmSync(before, { recursive: true, force: true });
    return ok([...files.keys()]);
  } catch (error) {
    rmSync(beside, { recursive: true, force: true });
    if (existsSync(before) && !existsSync(path)) renameSync(before, path);
    const code = error instanceof Error && "code" in error ? String(error.code) : "";
    return fail({
      kind: "not-written",
      sentence: `${path}: nothing was written, ${CAUSES[code] ?? "it cannot be used"}.`,
    });
  }
}

const CAUSES: Readonly<Record<string, string>> = {
  EACCES: "the folder may not be written",
  EPERM: "the folder may not be written",
  ENOSPC: "the disk is full",
  EROFS: "the disk is read-only",
  ENOTDIR: "a part of the path is no folder",
};
